//! As-installed records on the page and in JSON: totals, every anchor that does not pass, drawings, and how the file was read.
//!
//! [`report`] writes what stands below the line that names the records; [`not_passing`] is what it and the JSON share.

mod drawings;
mod table;
#[cfg(test)]
mod tests;

use super::markup::Markup;
use crate::compile::RecordsUse;
use crate::quantity::{Unit, print_shortest};
use crate::records::{
    AnchorVerdict, DayOrder, DecimalMark, Decision, Delimiter, Deviation, Encoding, Limit, Reason, Record,
    Specification, State, TorqueReading,
};
use uom::si::f64::{Length, Torque};
use uom::si::length::meter;
use uom::si::torque::newton_meter;

/// An anchor that does not pass.
pub struct NotPassing<'a> {
    /// The mark of its base; empty where there is but one.
    pub base: &'a str,
    /// Its own mark.
    pub anchor: &'a str,
    /// How it came out, in a word.
    pub state: &'static str,
    /// Why its record fails.
    pub reasons: Vec<String>,
    /// The lines of the file on which its records stand.
    pub lines: Vec<u32>,
    /// The record that counts.
    pub record: Option<Record<'a>>,
}

/// The anchors that do not pass, in the order of the specification.
pub fn not_passing(records: &RecordsUse) -> impl Iterator<Item = NotPassing<'_>> {
    let report = &records.report;
    report.anchors.iter().enumerate().filter(|(_, verdict)| verdict.state != State::Pass).map(|(at, verdict)| {
        let (base, anchor) = marks(records, verdict);
        let record = verdict.row.map(|row| report.record(row));
        let reasons = match verdict.state {
            State::Fail(reasons) => reasons.iter().map(|reason| because(records, verdict, reason)).collect(),
            _ => Vec::new(),
        };
        NotPassing { base, anchor, state: word(verdict.state), reasons, lines: report.lines(at), record }
    })
}

/// A reason with the value that it is held against.
fn because(records: &RecordsUse, verdict: &AnchorVerdict, reason: Reason) -> String {
    let specification = &records.specification;
    let demand = specification.bases.get(verdict.base as usize).map(|base| &base.demand);
    let record = verdict.row.map(|row| records.report.record(row));
    let torque = |torque: Torque| shown(&records.torque_unit, torque.get::<newton_meter>());
    let length = |length: Length| shown(&records.length_unit, length.get::<meter>());
    let day = |limit: Limit| format!("{}, {}", limit.what, limit.day);
    let named = match reason {
        Reason::TorqueLow => demand.map(|demand| torque(demand.torque.lower)),
        Reason::TorqueHigh => demand.map(|demand| torque(demand.torque.upper)),
        Reason::EmbedmentShort => demand.and_then(|demand| demand.embedment).map(|band| length(band.lower)),
        Reason::EmbedmentDeep => demand.and_then(|demand| demand.embedment?.upper).map(length),
        Reason::TooEarly => specification.works.first.map(day),
        Reason::TooLate => specification.works.last.map(day),
        Reason::ToolUnknown => record.map(|record| record.tool.to_owned()),
        Reason::BatchNotAllowed => record.map(|record| record.batch.to_owned()),
        Reason::OutOfCalibration => record.map(|record| calibration(specification, &record)),
        _ => None,
    };
    match named {
        Some(named) if !named.is_empty() => format!("{reason}: {named}"),
        _ => reason.to_string(),
    }
}

/// Until when, or from when on, the tool of a record was calibrated, and by whose word.
fn calibration(specification: &Specification, record: &Record<'_>) -> String {
    let tool = specification.tools.iter().find(|tool| tool.serial == record.tool);
    let period = tool.and_then(|tool| tool.calibrated);
    let recorded = record.calibrated_until.map(|until| format!("until {until} by the record"));
    let specified = period.map(|(from, until)| format!("from {from} until {until}"));
    let mut said: Vec<String> = [recorded, specified].into_iter().flatten().collect();
    if !record.tool.is_empty() {
        said.insert(0, record.tool.to_owned());
    }
    said.join(", ")
}

/// A value in a unit, in words.
fn shown(unit: &Unit, si: f64) -> String {
    format!("{} {unit}", number(tidy(unit, si)))
}

/// An anchor at which something was done beside installing it as specified.
pub struct Deviating<'a> {
    /// The mark of its base; empty where there is but one.
    pub base: &'a str,
    /// Its own mark.
    pub anchor: &'a str,
    /// What was done.
    pub done: Vec<&'static str>,
    /// How it came out, in a word.
    pub state: &'static str,
    /// The line of the file that says so last.
    pub line: u32,
    /// What it says beside.
    pub remark: &'a str,
}

/// Every anchor that was repaired, moved or substituted, in the order of the specification.
pub fn deviating(records: &RecordsUse) -> impl Iterator<Item = Deviating<'_>> {
    let report = &records.report;
    let all = report.deviating.iter().filter_map(|told| Some((report.anchors.get(told.anchor as usize)?, told)));
    all.map(|(verdict, told)| {
        let (base, anchor) = marks(records, verdict);
        let done = verdict.done.deviations().map(Deviation::word).collect();
        let state = match verdict.state {
            State::Pass if !verdict.is_accepted => "passes, not accepted yet",
            state => word(state),
        };
        Deviating { base, anchor, done, state, line: told.line, remark: report.remark(told) }
    })
}

/// The marks of base and anchor.
fn marks<'a>(records: &'a RecordsUse, verdict: &AnchorVerdict) -> (&'a str, &'a str) {
    let base = records.specification.bases.get(verdict.base as usize);
    let anchor = base.and_then(|base| base.anchors.get(verdict.anchor as usize));
    (base.map_or("", |base| base.id.as_str()), anchor.map_or("", String::as_str))
}

fn word(state: State) -> &'static str {
    match state {
        State::Pass => "passes",
        State::Fail(reasons) if reasons.has(Reason::Substituted) => "substituted",
        State::Fail(_) => "fails",
        State::Missing => "missing",
        State::Duplicate => "several records, none counts",
        State::Unreadable => "record not readable",
    }
}

/// The torque of a record in a unit, as recorded.
pub fn torque(record: &Record<'_>, unit: &Unit) -> Option<f64> {
    match record.torque {
        TorqueReading::Measured(torque) => Some(tidy(unit, torque.get::<uom::si::torque::newton_meter>())),
        TorqueReading::NotRecorded | TorqueReading::Click => None,
    }
}

/// The embedment of a record in a unit, as recorded.
pub fn embedment(record: &Record<'_>, unit: &Unit) -> Option<f64> {
    record.embedment.map(|length| tidy(unit, length.get::<uom::si::length::meter>()))
}

/// A value in a unit without the binary noise of the conversion: twelve figures are more than any tool has.
fn tidy(unit: &Unit, si: f64) -> f64 {
    let value = unit.from_si(si);
    format!("{value:.11e}").parse().unwrap_or(value)
}

fn number(value: f64) -> String {
    print_shortest(value).text
}

/// Writes the report below the line of the records.
pub fn report(out: &mut Markup, records: &RecordsUse) {
    out.tags("\n<div class=\"as-installed\">");
    table::totals(out, records);
    table::not_passing(out, records);
    table::deviating(out, records);
    table::unlisted(out, records);
    table::unreadable(out, records);
    drawings::bases(out, records);
    drawings::torques(out, records);
    reading_notes(out, records);
    out.tags("\n</div>");
}

/// How the file was read: what a single cell can decide has to be seen.
fn reading_notes(out: &mut Markup, records: &RecordsUse) {
    let notes = &records.report.notes;
    let mut said = vec![
        format!("{} was read as {}", records.source.name, encoding(notes.encoding)),
        format!("its header is on line {}, its fields are parted by {}", notes.header_line, delimiter(notes.delimiter)),
    ];
    for decision in &notes.decimal_marks {
        let mark = match decision.reading {
            DecimalMark::Comma => "a comma",
            DecimalMark::Point => "a point",
        };
        said.push(format!("the decimal mark of {} is {mark}{}", decision.field, decided(decision)));
    }
    for decision in &notes.day_orders {
        let order = match decision.reading {
            DayOrder::DayFirst => "the day first",
            DayOrder::MonthFirst => "the month first",
        };
        said.push(format!("{} is written with {order}{}", decision.field, decided(decision)));
    }
    let works = records.specification.works;
    let limit = |limit: Option<Limit>| limit.map(|limit| format!("{} ({})", limit.day, limit.what));
    said.push(match (limit(works.first), limit(works.last)) {
        (Some(first), Some(last)) => format!("its days have to lie from {first} to {last}"),
        (Some(first), None) => format!("its days have to lie from {first} on, and nothing says until when"),
        (None, Some(last)) => format!("its days have to lie until {last}, and nothing says from when on"),
        (None, None) => "nothing says within which days it has to lie, so that no day was doubted".to_owned(),
    });
    let bands = records.specification.bases.iter().filter_map(|base| base.demand.embedment);
    if bands.into_iter().any(|band| band.upper.is_none()) {
        said.push("nothing says how deep an anchor may be at most, so that too deep was not looked for".to_owned());
    }
    if notes.blank_rows > 0 {
        said.push(format!("{} blank rows were passed over", notes.blank_rows));
    }
    out.tags("\n<p class=\"remark\">");
    out.say(&said.join("; "));
    out.tags(".</p>");
}

fn decided<T>(decision: &Decision<T>) -> String {
    decision.line.map_or_else(String::new, |line| format!(", as line {line} shows"))
}

fn encoding(encoding: Encoding) -> &'static str {
    match encoding {
        Encoding::Utf8 => "UTF-8",
        Encoding::Utf16LittleEndian | Encoding::Utf16BigEndian => "UTF-16",
        Encoding::Windows1252 => "Windows-1252",
    }
}

fn delimiter(delimiter: Delimiter) -> &'static str {
    match delimiter {
        Delimiter::Comma => "commas",
        Delimiter::Semicolon => "semicolons",
        Delimiter::Tab => "tabs",
        Delimiter::Pipe => "vertical bars",
    }
}
