//! Every value of a calculation as JSON: value, unit, formula, reference, ratio; one line of text for each line.

use super::address::Addresses;
use super::math;
use super::recalculation::ratios_before;
use super::records;
use super::review::{Counts, LineRemarks, PageReview, ThreadState};
use super::view::{ModeRow, ModeTable, SignOffRow};
use super::wording::reference_text;
use crate::compile::{Line, LineId, Number, Value, Work};
use crate::document::FrontMatter;
use crate::evaluate::{State, Trace};
use crate::syntax::{Definition, StatementKind, print_expression, print_giving, print_solving, print_statement};
use serde::Serialize;
use serde::ser::{SerializeMap, SerializeSeq, Serializer};
use std::collections::BTreeMap;

/// What is told of a calculation beside its lines.
#[derive(Copy, Clone, Default)]
pub struct Circumstances<'a> {
    /// Every failure mode of the standards in use.
    pub modes: &'a [ModeTable],
    /// What was checked and asked; nothing for a sheet without marks.
    pub review: Option<&'a PageReview>,
    /// Of all that decides the result.
    pub digest: &'a str,
    /// The status of the document.
    pub status: &'a str,
    /// Roles, signed for or open.
    pub sign_offs: &'a [SignOffRow],
    /// Sign-offs that do not count.
    pub void: &'a [SignOffRow],
}

/// The document, with a line end.
pub fn to_json(front: &FrontMatter, trace: &Trace, addresses: &Addresses, beside: Circumstances<'_>) -> Vec<u8> {
    let Circumstances { modes, review, digest, status, sign_offs, void } = beside;
    let head = Head {
        number: &front.number,
        title: &front.title,
        revision: &front.revision,
        status,
        verdict: trace.verdict_of_sheet().words(),
        digest,
        review: review.map(|review| review.counts),
        sign_offs: sign_offs.iter().chain(void).map(sign_off).collect(),
        modes: modes.iter().flat_map(|table| table.rows.iter().map(|row| mode(&table.standard, row))).collect(),
    };
    let mut text = Vec::with_capacity(256 * trace.order.len());
    print(&mut text, &head);
    // The head stays open for its last field.
    text.pop();
    text.extend_from_slice(b",\"lines\":[");
    let before = ratios_before(trace, addresses);
    let ids = trace.order.iter().filter(|id| !matches!(trace.compiled.notes.line(**id).work, Work::Figure));
    for (at, id) in ids.enumerate() {
        text.extend_from_slice(if at > 0 { b",\n" } else { b"\n" });
        let ratio_before = before.get(id).copied();
        print(&mut text, &Entry { ratio_before, ..entry(trace, addresses, review, *id) });
    }
    text.extend_from_slice(b"\n]}\n");
    text
}

fn print(text: &mut Vec<u8>, value: &impl Serialize) {
    // Strings and finite numbers, written to memory, cannot fail.
    let _ = serde_json::to_writer(text, value);
}

#[derive(Serialize)]
struct Head<'a> {
    number: &'a str,
    title: &'a str,
    revision: &'a str,
    status: &'a str,
    verdict: &'static str,
    digest: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    review: Option<Counts>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    sign_offs: Vec<SignOff<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    modes: Vec<Mode<'a>>,
}

/// A role, or a sign-off that does not count.
#[derive(Serialize)]
struct SignOff<'a> {
    role: &'a str,
    #[serde(skip_serializing_if = "str::is_empty")]
    signer: &'a str,
    #[serde(skip_serializing_if = "str::is_empty")]
    key: &'a str,
    /// As the signer states it.
    #[serde(skip_serializing_if = "str::is_empty")]
    date: &'a str,
    state: &'a str,
    /// Whether it fills its role.
    counts: bool,
    #[serde(skip_serializing_if = "str::is_empty")]
    reason: &'a str,
}

fn sign_off(row: &SignOffRow) -> SignOff<'_> {
    SignOff {
        role: &row.role,
        signer: &row.who,
        key: &row.key,
        date: &row.date,
        state: &row.state,
        counts: row.slug == "signature-good",
        reason: &row.reason,
    }
}

/// What came of a failure mode of a standard in use.
#[derive(Serialize)]
struct Mode<'a> {
    standard: &'a str,
    clause: &'a str,
    mode: &'a str,
    answer: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    verdict: Option<&'a str>,
    #[serde(skip_serializing_if = "str::is_empty")]
    reason: &'a str,
    /// The id of the line that decides.
    #[serde(skip_serializing_if = "str::is_empty")]
    id: &'a str,
}

fn mode<'a>(standard: &'a str, row: &'a ModeRow) -> Mode<'a> {
    Mode {
        standard,
        clause: &row.clause,
        mode: &row.mode,
        answer: &row.answer,
        verdict: row.verdict.as_ref().map(|verdict| verdict.words.as_str()),
        reason: &row.reason,
        id: &row.id,
    }
}

/// One line; what it does not have is left out.
#[derive(Serialize)]
struct Entry<'a> {
    line: u32,
    id: &'a str,
    #[serde(skip_serializing_if = "str::is_empty")]
    scope: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    symbol: Option<&'a str>,
    #[serde(skip_serializing_if = "str::is_empty")]
    description: &'a str,
    formula: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    value: Option<Plain<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    demand: Option<Plain<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    resistance: Option<Plain<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    unit: Option<String>,
    /// Of a table or a record, the unit of each column that has one.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    units: BTreeMap<&'a str, String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    shown: Option<String>,
    /// The ratio of a check, `null` where there is no number.
    #[serde(skip_serializing_if = "Option::is_none")]
    ratio: Option<Option<f64>>,
    /// The ratio of the same check in the calculation that is made again here, as that one stands.
    #[serde(skip_serializing_if = "Option::is_none")]
    ratio_before: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    verdict: Option<&'static str>,
    #[serde(skip_serializing_if = "String::is_empty")]
    reference: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    valid: Option<bool>,
    /// `ticked`, `changed` since it was ticked, or `to check`.
    #[serde(skip_serializing_if = "Option::is_none")]
    review: Option<&'static str>,
    /// Where the last query stands.
    #[serde(skip_serializing_if = "Option::is_none")]
    query: Option<&'static str>,
    /// As-installed records: counts, and the anchors that are not accepted.
    #[serde(skip_serializing_if = "Option::is_none")]
    records: Option<records::json::Entry<'a>>,
    /// Whether the value was copied from another calculation and nobody has confirmed it.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    inherited: bool,
}

fn entry<'a>(trace: &'a Trace, addresses: &'a Addresses, review: Option<&PageReview>, id: LineId) -> Entry<'a> {
    let remarks = review.and_then(|review| review.lines.get(id.0 as usize));
    let line = trace.compiled.notes.line(id);
    let plain = |value| Plain { trace, value };
    let mut entry = Entry {
        line: trace.number(id),
        id: addresses.line(id),
        scope: &trace.compiled.notes.scope(line.scope).path,
        symbol: line.symbol.as_deref(),
        description: &line.description,
        formula: formula_text(line),
        value: None,
        demand: None,
        resistance: None,
        unit: unit_text(&line.value),
        units: units(&line.value),
        shown: None,
        ratio: None,
        ratio_before: None,
        verdict: None,
        reference: reference_text(line),
        valid: (trace.state(id) != State::Sound).then_some(false),
        review: remarks.and_then(LineRemarks::tick_word),
        query: remarks.and_then(LineRemarks::query).map(ThreadState::words),
        records: trace.compiled.notes.records_of(id).map(records::json::entry),
        inherited: remarks.is_some_and(|remarks| remarks.inherited.is_some()),
    };
    match &line.work {
        Work::Check(check) => {
            entry.demand = Some(plain(&check.demand));
            entry.resistance = Some(plain(&check.resistance));
            entry.unit = unit_text(&check.demand);
            entry.ratio = Some(finite(trace.register(check.ratio)));
            entry.verdict = Some(trace.verdict(id, check).words());
        }
        Work::Use(_) => {}
        _ => {
            entry.value = Some(plain(&line.value));
            entry.shown = Some(math::result_text(trace, line));
        }
    }
    entry
}

/// The formula in the language.
pub fn formula_text(line: &Line) -> String {
    if let Work::Takes(expression) = &line.work {
        return print_expression(expression);
    }
    if let Work::Solved(solved) = &line.work {
        return print_solving(&solved.solving);
    }
    if let Work::FromData(_) = line.work {
        return String::new();
    }
    let giving = line.statement.suffix.giving.as_ref();
    match &line.statement.kind {
        StatementKind::Define { value: Definition::Expression(expression), .. } => match giving {
            Some(giving) => format!("{} {}", print_expression(expression), print_giving(giving)),
            None => print_expression(expression),
        },
        StatementKind::Require { condition: expression, .. } | StatementKind::Verify(expression) => {
            print_expression(expression)
        }
        _ => print_statement(&line.statement),
    }
}

fn unit_text(value: &Value) -> Option<String> {
    match value {
        Value::Number(number) => Some(math::unit_of(number)).filter(|unit| !unit.is_one()).map(|unit| unit.to_string()),
        Value::List(list) => list.items.first().and_then(unit_text),
        _ => None,
    }
}

/// The unit of each column of a table and of each field of a record.
fn units(value: &Value) -> BTreeMap<&str, String> {
    let mut units = BTreeMap::new();
    match value {
        Value::Table(table) => {
            for (name, list) in &table.columns {
                units.extend(list.items.first().and_then(unit_text).map(|unit| (name.as_str(), unit)));
            }
        }
        Value::Row(row) => {
            for (name, value) in &row.fields {
                units.extend(unit_text(value).map(|unit| (name.as_str(), unit)));
            }
        }
        _ => {}
    }
    units
}

/// A value as JSON has it: numbers in the unit that they are shown in; `null` for what is no number.
struct Plain<'a> {
    trace: &'a Trace,
    value: &'a Value,
}

impl Serialize for Plain<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let plain = |value| Plain { trace: self.trace, value };
        match self.value {
            Value::Number(number) => finite(in_shown_unit(self.trace, number)).serialize(serializer),
            Value::Truth(register) => {
                let truth = self.trace.register(*register);
                (!truth.is_nan()).then_some(truth != 0.0).serialize(serializer)
            }
            Value::Word(_) | Value::Data(_) => serializer.serialize_str(&math::quantity_text(self.trace, self.value)),
            Value::List(list) => serializer.collect_seq(list.items.iter().map(plain)),
            Value::Table(table) => {
                let mut rows = serializer.serialize_seq(Some(table.labels.len()))?;
                for (at, label) in table.labels.iter().enumerate() {
                    let columns = table.columns.iter();
                    let cells = columns.map(|(name, list)| (name.as_str(), list.items.get(at).map(plain)));
                    rows.serialize_element(&Record { label: Some(label), cells: cells.collect() })?;
                }
                rows.end()
            }
            Value::Row(row) => {
                let cells = row.fields.iter().map(|(name, value)| (name.as_str(), Some(plain(value))));
                Record { label: None, cells: cells.collect() }.serialize(serializer)
            }
            Value::Unknown => serializer.serialize_none(),
        }
    }
}

/// A row of a table, with its label where it stands among others.
struct Record<'a> {
    label: Option<&'a str>,
    cells: Vec<(&'a str, Option<Plain<'a>>)>,
}

impl Serialize for Record<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(None)?;
        if let Some(label) = self.label {
            map.serialize_entry("label", label)?;
        }
        for (name, cell) in &self.cells {
            map.serialize_entry(name, cell)?;
        }
        map.end()
    }
}

fn finite(value: f64) -> Option<f64> {
    value.is_finite().then_some(value)
}

/// A number in the unit that it is shown in, without the binary noise of the conversion.
fn in_shown_unit(trace: &Trace, number: &Number) -> f64 {
    let value = trace.register(number.register);
    let converted = math::unit_of(number).from_si(value);
    // Fifteen figures are what a double holds of a decimal number.
    if converted == value { value } else { format!("{converted:.14e}").parse().unwrap_or(converted) }
}
