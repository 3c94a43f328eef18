//! Why a card must not be used although its calculation may be satisfied.
//!
//! What stands on a card in large type is what gets built, so every value on it is held against what was computed: the
//! values that clauses took or computed under that name, or else what the product says.

use super::{found, number};
use crate::compile::{CardEntry, CardUse, LineId, ScopeId, Value, Work};
use crate::evaluate::{Trace, Verdict};
use crate::library::{CardCondition, Piece, pieces};
use crate::quantity::print_shortest;
use crate::render::completeness::{completeness, unanswered};
use crate::render::math::{quantity_text, unit_of};
use crate::render::wording::Wording;

/// Parts by which two numbers may differ and still be the same: what rounding leaves.
const SAME: f64 = 1e-9;

/// Why each card must not be used, in plain words; nothing where it may be.
pub fn bars(wording: &Wording<'_>) -> Vec<String> {
    let mut told = Vec::new();
    for used in &wording.trace.compiled.notes.cards {
        let counts = conditions(wording, used).map(|condition| {
            let words = pieces(&condition.text).into_iter().map(|piece| match piece {
                Piece::Words(words) => words.to_owned(),
                Piece::Symbol(place) => match number(wording, used, place.symbol) {
                    Some(number) => print_shortest(number).to_text(),
                    None => format!("`{}`", place.symbol),
                },
            });
            words.collect::<String>()
        });
        let all = counts.chain(others(wording, used));
        told.extend(all.map(|words| format!("{}: not for use: {words}", used.title)));
    }
    told
}

/// The counts of a card that have to be zero and are not.
pub(super) fn conditions<'a>(wording: &'a Wording<'_>, used: &'a CardUse) -> impl Iterator<Item = &'a CardCondition> {
    let (text, _) = used.card.text();
    text.for_use.iter().filter(|condition| number(wording, used, &condition.zero) != Some(0.0))
}

/// What stands against any card, beside its own counts.
pub(super) fn others(wording: &Wording<'_>, used: &CardUse) -> Vec<String> {
    let trace = wording.trace;
    let (text, _) = used.card.text();
    let mut told = Vec::new();
    if !trace.checks().any(|(line, check)| trace.verdict(line, check) != Verdict::NotApplicable) {
        told.push("nothing is checked".to_owned());
    }
    if text.from_records {
        return told;
    }
    let modes = unanswered(&completeness(wording));
    if !modes.is_empty() {
        told.push(format!("failure modes without an answer: {}", modes.join(", ")));
    }
    let mut families = used.products.iter().filter_map(|(_, product)| product.family.as_ref());
    if !text.families.is_empty() && !families.any(|family| text.families.contains(&family.node)) {
        told.push(format!("no product data of the family {} stand behind `from`", text.families.join(" or ")));
    }
    for (line, product) in &used.products {
        if !is_rested_on(trace, *line) {
            told.push(format!(
                "nothing in this calculation rests on {}: name the product that was verified behind `from`",
                product.title
            ));
        }
    }
    told.extend(used.values.iter().filter_map(|entry| difference(wording, used, entry)));
    told
}

/// Whether a line or a clause of the calculation names the data file of a line, or a value of it.
fn is_rested_on(trace: &Trace, file: LineId) -> bool {
    let notes = &trace.compiled.notes;
    let is_of_file = |line: LineId| line == file || matches!(notes.line(line).work, Work::FromData(of) if of == file);
    let works = notes.lines.iter().filter(|line| !matches!(line.work, Work::Figure));
    works.flat_map(|line| &line.mentions).filter_map(|mention| mention.line).any(is_of_file)
}

/// How a value on the card differs from what the calculation knows under its name; nothing where it does not.
fn difference(wording: &Wording<'_>, used: &CardUse, entry: &CardEntry) -> Option<String> {
    // What is not valid or no number is open on the card.
    found(wording, used, &entry.symbol)?;
    let trace = wording.trace;
    let taken = taken(trace, &entry.symbol, &entry.value);
    let (others, whose) = if taken.is_empty() {
        (vec![entry.of_product.as_ref()?], "the data of the product have")
    } else {
        (taken, "the clauses have")
    };
    if others.iter().any(|other| same(trace, &entry.value, other) != Some(false)) {
        return None;
    }
    let (text, _) = used.card.text();
    let name = match text.name_of(&entry.symbol) {
        Some(name) => format!("{name} ({})", entry.symbol),
        None => entry.symbol.clone(),
    };
    let mut words: Vec<String> = Vec::new();
    for other in others.iter().map(|other| in_words(trace, other)) {
        if !words.contains(&other) {
            words.push(other);
        }
    }
    let shown = in_words(trace, &entry.value);
    Some(format!(
        "{name} is {shown} on the card, and {whose} {}: show the value that was verified, or verify the one that is shown",
        words.join(" and ")
    ))
}

/// The values that clauses took or computed under a name, as far as they can be held against one on the card.
fn taken<'a>(trace: &'a Trace, symbol: &str, shown: &Value) -> Vec<&'a Value> {
    let lines = trace.compiled.notes.lines.iter();
    let takes = lines.filter(|line| line.scope != ScopeId(0) && line.symbol.as_deref() == Some(symbol));
    takes.map(|line| &line.value).filter(|value| same(trace, shown, value).is_some()).collect()
}

/// Whether two values are the same; nothing where they are of different kinds.
///
/// Of two tables the columns that both have are compared: a clause is handed no others.
fn same(trace: &Trace, a: &Value, b: &Value) -> Option<bool> {
    if let (Value::Table(a), Value::Table(b)) = (a, b) {
        let column = |name: &str| b.columns.iter().find(|(other, _)| other == name).map(|(_, list)| list);
        let shared: Vec<bool> = a
            .columns
            .iter()
            .filter_map(|(name, list)| same(trace, &Value::List(list.clone()), &Value::List(column(name)?.clone())))
            .collect();
        return (!shared.is_empty()).then(|| a.labels == b.labels && shared.iter().all(|same| *same));
    }
    if !a.kind().accepts(&b.kind()) || a.is_unknown() || b.is_unknown() {
        return None;
    }
    let (a, b) = (trace.numbers_of(a), trace.numbers_of(b));
    let is_same = |(a, b): (&f64, &f64)| (a - b).abs() <= SAME * a.abs().max(b.abs());
    Some(a.len() == b.len() && a.iter().zip(&b).all(is_same))
}

/// A value in a bar: a number in all its figures, so that what differs is seen to differ.
fn in_words(trace: &Trace, value: &Value) -> String {
    match value {
        Value::Number(number) => {
            let unit = unit_of(number);
            let si = trace.register(number.register);
            if unit.is_one() { print_shortest(unit.measured(si)).to_text() } else { unit.measured_text(si) }
        }
        Value::Table(table) => match table.labels.as_slice() {
            [] => "a table without rows".to_owned(),
            labels => format!("the table of {}", labels.join(", ")),
        },
        other => quantity_text(trace, other),
    }
}
