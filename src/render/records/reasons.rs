//! Why an anchor is not accepted, in words with the values: what was found, and what it is held against.

use super::table::quoted;
use super::{marks, named};
use crate::compile::RecordsUse;
use crate::records::{AnchorVerdict, Base, Day, Field, Limit, Reason, Record, State, TorqueReading};
use uom::si::f64::{Length, Time, Torque};
use uom::si::length::meter;
use uom::si::time::minute;
use uom::si::torque::newton_meter;

/// All reasons of the anchor at a place, each with its values; its records stand on these lines.
pub(super) fn reasons(records: &RecordsUse, place: usize, verdict: &AnchorVerdict, lines: &[u32]) -> Vec<String> {
    let reasons = match verdict.state {
        State::Fail(reasons) => reasons,
        State::Pass => return vec!["it was moved and is not verified in its place as built".to_owned()],
        State::Unreadable => return mistakes(records, lines),
        State::Missing | State::Duplicate => return Vec::new(),
    };
    let record = verdict.row.map(|row| records.report.record(row));
    let base = records.specification.bases.get(verdict.base as usize);
    let said = reasons.iter().map(|reason| match reason {
        Reason::OutOfOrder => {
            let first = records.report.comes_first(place).map(|first| named(marks(records, first)));
            first.map_or_else(|| reason.to_string(), |first| format!("{reason}: {first}"))
        }
        Reason::NotMended => {
            let earlier = records.report.not_mended(place).map(|(record, reasons)| {
                let said = reasons.iter().map(|reason| of_record(records, base, Some(&record), reason));
                format!("line {}: {}", record.line, said.collect::<Vec<_>>().join(", "))
            });
            format!("{reason}: {}", earlier.collect::<Vec<_>>().join("; "))
        }
        reason => of_record(records, base, record.as_ref(), reason),
    });
    said.collect()
}

/// What cannot be read on these lines.
fn mistakes(records: &RecordsUse, lines: &[u32]) -> Vec<String> {
    let here = records.report.mistakes.iter().filter(|mistake| mistake.line.is_some_and(|line| lines.contains(&line)));
    let said = here.map(|mistake| {
        let column = mistake.column.as_ref().map(|column| format!(" in column “{column}”")).unwrap_or_default();
        format!("{}{column}", quoted(&mistake.found))
    });
    said.collect()
}

/// A reason that a record gives by itself, with its values.
fn of_record(records: &RecordsUse, base: Option<&Base>, record: Option<&Record<'_>>, reason: Reason) -> String {
    let specification = &records.specification;
    let demand = base.map(|base| &base.demand);
    let torque = |torque: Torque| records.torque_unit.measured_text(torque.get::<newton_meter>());
    let length = |length: Length| records.length_unit.measured_text(length.get::<meter>());
    let against = |found: Option<String>, bound: String| match found {
        Some(found) => format!("{found} against {bound}"),
        None => bound,
    };
    let found = record.and_then(|record| match record.torque {
        TorqueReading::Measured(measured) => Some(torque(measured)),
        TorqueReading::NotRecorded | TorqueReading::Click => None,
    });
    let depth = record.and_then(|record| record.embedment).map(length);
    // Of torque and setting the day that lies outside.
    let on = |limit: Limit, is_outside: fn(&Day, &Day) -> bool| {
        let days = record.into_iter().flat_map(|record| [record.time, record.set]).flatten().map(|moment| moment.day);
        let day = days.into_iter().find(|day| is_outside(day, &limit.day)).map(|day| day.to_string());
        against(day, format!("{}, {}", limit.what, limit.day))
    };
    let embedment = demand.and_then(|demand| demand.embedment);
    let values = match reason {
        Reason::TorqueLow => demand.map(|demand| against(found, torque(demand.torque.lower))),
        Reason::TorqueHigh => demand.map(|demand| against(found, torque(demand.torque.upper))),
        Reason::EmbedmentShort => embedment.map(|band| against(depth, length(band.lower))),
        Reason::EmbedmentDeep => embedment.map(|band| against(depth, length(band.upper))),
        Reason::TooEarly => specification.works.map(|works| on(works.first, Day::lt)),
        Reason::TooLate => specification.works.map(|works| on(works.last, Day::gt)),
        Reason::ToolUnknown => record.map(|record| record.tool.to_owned()),
        Reason::BatchNotAllowed => record.map(|record| record.batch.to_owned()),
        Reason::BeforeCured => record.and_then(|record| waited(record, demand?.cure?)),
        Reason::OutOfCalibration | Reason::CalibrationTooLong => record.map(|record| calibration(records, record)),
        _ => None,
    };
    match values {
        Some(values) if !values.is_empty() => format!("{reason}: {values}"),
        _ => reason.to_string(),
    }
}

/// How long was waited from setting to torque, against how long it has to be.
fn waited(record: &Record<'_>, cure: Time) -> Option<String> {
    let minutes = (record.time?.milliseconds - record.set?.milliseconds) / 60_000;
    let in_words = |minutes: i64| format!("{} h {} min", minutes / 60, minutes % 60);
    let asked = in_words((cure.get::<minute>()).ceil() as i64);
    Some(match minutes {
        late if late < 0 => format!("set {} after it", in_words(-late)),
        waited => format!("{} against {asked}", in_words(waited)),
    })
}

/// Until when, or from when on, the tool of a record was calibrated, and by whose word.
fn calibration(records: &RecordsUse, record: &Record<'_>) -> String {
    let tool = records.specification.tools.iter().find(|tool| tool.serial == record.tool);
    let period = tool.and_then(|tool| tool.calibrated);
    let is_throughout = records.mapping.throughout.iter().any(|(field, _)| *field == Field::CalibratedUntil);
    let source = if is_throughout { "by the sheet" } else { "by the record" };
    let recorded = record.calibrated_until.map(|until| format!("until {until} {source}"));
    let specified = period.map(|(from, until)| format!("from {from} until {until}"));
    let mut said: Vec<String> = [recorded, specified].into_iter().flatten().collect();
    if !record.tool.is_empty() {
        said.insert(0, record.tool.to_owned());
    }
    said.join(", ")
}
