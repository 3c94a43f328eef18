//! As-installed records on the page and in JSON: totals, every anchor that is not accepted, drawings, and how the file was read.
//!
//! [`report`] writes what stands below the line that names the records; [`not_accepted`], [`deviating`] and [`remarks`] are what
//! it, the JSON and the terminal share.

mod drawings;
pub mod json;
mod reading;
mod reasons;
mod table;
#[cfg(test)]
mod tests;

use super::markup::Markup;
use crate::compile::RecordsUse;
use crate::quantity::{Unit, print_shortest};
use crate::records::{AnchorVerdict, Deviation, Reason, Record, State, TorqueReading};
use reasons::reasons;
use uom::si::length::meter;
use uom::si::torque::newton_meter;

/// An anchor that is not accepted.
pub struct NotAccepted<'a> {
    /// The mark of its base; empty where there is but one.
    pub base: &'a str,
    /// Its own mark.
    pub anchor: &'a str,
    /// How it came out, in a word.
    pub state: &'static str,
    /// Why its record fails, or what is missing where it passes.
    pub reasons: Vec<String>,
    /// The lines of the file on which its records stand.
    pub lines: Vec<u32>,
    /// The record that counts.
    pub record: Option<Record<'a>>,
}

impl NotAccepted<'_> {
    /// Its marks in one.
    pub fn name(&self) -> String {
        named((self.base, self.anchor))
    }

    /// How it came out and why.
    pub fn outcome(&self) -> String {
        if self.reasons.is_empty() {
            self.state.to_owned()
        } else {
            format!("{}: {}", self.state, self.reasons.join("; "))
        }
    }
}

/// The anchors that are not accepted, in the order of the specification.
pub fn not_accepted(records: &RecordsUse) -> impl Iterator<Item = NotAccepted<'_>> {
    let report = &records.report;
    report.anchors.iter().enumerate().filter(|(_, verdict)| !verdict.is_accepted).map(|(at, verdict)| {
        let (base, anchor) = marks(records, verdict);
        let record = verdict.row.map(|row| report.record(row));
        let unread =
            report.unreadable.iter().filter(|row| row.is_of_anchor && row.base == base && row.anchor == anchor);
        let unread = unread.map(|row| row.line);
        let mut lines: Vec<u32> = report.records(at).map(|record| record.line).chain(unread).collect();
        lines.sort_unstable();
        let reasons = reasons(records, at, verdict, &lines);
        NotAccepted { base, anchor, state: word(verdict), reasons, lines, record }
    })
}

/// A record that a later torque on the same anchor replaces.
pub struct Replaced<'a> {
    /// The mark of its base; empty where there is but one.
    pub base: &'a str,
    /// The mark of the anchor.
    pub anchor: &'a str,
    /// The record.
    pub record: Record<'a>,
}

/// Records that count no more, since a later one does.
pub fn replaced(records: &RecordsUse) -> impl Iterator<Item = Replaced<'_>> {
    let all = records.report.replaced();
    all.filter_map(|(place, record)| {
        let (base, anchor) = marks(records, records.report.anchors.get(place)?);
        Some(Replaced { base, anchor, record })
    })
}

/// A remark on an anchor that is told nowhere else.
pub struct Remark<'a> {
    /// The mark of its base; empty where there is but one.
    pub base: &'a str,
    /// The mark of the anchor.
    pub anchor: &'a str,
    /// The line of the file.
    pub line: u32,
    /// What it says.
    pub text: &'a str,
}

/// The remarks on anchors that are accepted and at which nothing is known to have been done.
pub fn remarks(records: &RecordsUse) -> impl Iterator<Item = Remark<'_>> {
    let report = &records.report;
    let quiet = report.anchors.iter().enumerate();
    let quiet = quiet.filter(|(_, verdict)| verdict.is_accepted && !verdict.done.deviates());
    quiet.flat_map(move |(at, verdict)| {
        let (base, anchor) = marks(records, verdict);
        let said = report.records(at).filter(|record| !record.remark.is_empty());
        said.map(move |record| Remark { base, anchor, line: record.line, text: record.remark })
    })
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
        Deviating { base, anchor, done, state: word(verdict), line: told.line, remark: report.remark(told) }
    })
}

/// Both marks in one: `B3 A7`, or `A7` where there is one base.
fn named((base, anchor): (&str, &str)) -> String {
    if base.is_empty() { anchor.to_owned() } else { format!("{base} {anchor}") }
}

/// The marks of base and anchor.
fn marks<'a>(records: &'a RecordsUse, verdict: &AnchorVerdict) -> (&'a str, &'a str) {
    let base = records.specification.bases.get(verdict.base as usize);
    let anchor = base.and_then(|base| base.anchors.get(verdict.anchor as usize));
    (base.map_or("", |base| base.id.as_str()), anchor.map_or("", String::as_str))
}

fn word(verdict: &AnchorVerdict) -> &'static str {
    match verdict.state {
        State::Pass if !verdict.is_accepted => "passes, not accepted yet",
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
        TorqueReading::Measured(torque) => Some(unit.measured(torque.get::<newton_meter>())),
        TorqueReading::NotRecorded | TorqueReading::Click => None,
    }
}

/// The embedment of a record in a unit, as recorded.
pub fn embedment(record: &Record<'_>, unit: &Unit) -> Option<f64> {
    record.embedment.map(|length| unit.measured(length.get::<meter>()))
}

fn number(value: f64) -> String {
    print_shortest(value).to_text()
}

/// Writes the report below the line of the records.
pub fn report(out: &mut Markup, records: &RecordsUse) {
    out.tags("\n<div class=\"as-installed\">");
    asked(out, records);
    table::totals(out, records);
    table::not_accepted(out, records);
    table::deviating(out, records);
    table::replaced(out, records);
    table::remarks(out, records);
    table::unlisted(out, records);
    table::unreadable(out, records);
    drawings::bases(out, records);
    drawings::torques(out, records);
    reading::notes(out, records);
    out.tags("\n</div>");
}

/// What every record was held against: what was not asked for is no part of a pass.
fn asked(out: &mut Markup, records: &RecordsUse) {
    out.tags("\n<p class=\"remark\">Each record was held against: ");
    out.say(&records.asked.join("; "));
    if !records.not_asked.is_empty() {
        out.tags(". Not asked for: ");
        out.say(&records.not_asked.join(", "));
    }
    out.tags(".</p>");
}
