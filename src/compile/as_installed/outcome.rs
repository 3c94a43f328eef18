//! What comes of the records as fields of one record: counts, figures, and tables of anchors.

use super::super::{Compiler, Kind, List, Row, Shown, Table, Value};
use super::asked::Asked;
use super::{Taken, of_labels};
use crate::quantity::Dimension;
use crate::records::{Deviation, Field, Mapping, Reason, Report, State};
use std::sync::Arc;
use uom::si::f64::{Length, Torque};
use uom::si::length::meter;
use uom::si::torque::newton_meter;

impl Compiler<'_> {
    /// Counts and figures of the report, as fields of one record.
    pub(super) fn outcome(&mut self, report: &Report, (taken, asked): (&Taken, &Asked), mapping: &Mapping) -> Value {
        let totals = &report.totals;
        let because = |reason: Reason| report.failing(reason).count();
        let counts = [
            ("n_specified", totals.specified),
            ("n_pass", totals.passed),
            ("n_accepted", totals.accepted),
            ("n_open", totals.specified - totals.accepted),
            ("n_fail", totals.failed),
            ("n_missing", totals.missing),
            ("n_duplicate", totals.duplicate),
            ("n_unreadable", totals.unreadable),
            ("n_unlisted", totals.rows_unlisted),
            ("n_rows", totals.rows_read),
            ("n_rows_unreadable", totals.rows_in_error),
            ("n_torque_low", because(Reason::TorqueLow)),
            ("n_torque_high", because(Reason::TorqueHigh)),
            ("n_embedment_short", because(Reason::EmbedmentShort)),
            ("n_embedment_deep", because(Reason::EmbedmentDeep)),
            ("n_out_of_calibration", because(Reason::OutOfCalibration)),
            ("n_calibration_too_long", because(Reason::CalibrationTooLong)),
            ("n_outside_days", report.anchors.iter().filter(|verdict| is_outside_days(verdict.state)).count()),
            ("n_out_of_order", because(Reason::OutOfOrder)),
            ("n_on_target", totals.exactly_on_target),
            ("n_click", totals.passed_by_click),
            ("n_replaced", totals.rows_superseded),
        ];
        let torque = |torque: Option<Torque>| torque.map(|torque| torque.get::<newton_meter>());
        let length = |length: Option<Length>| length.map(|length| length.get::<meter>());
        let (torques, depths) = (&report.overall.torque, &report.overall.embedment);
        // A figure that the sample is too small for is no field: an absent one would make all the others not valid.
        let figures = [
            ("T_mean", torque(torques.mean), &taken.torque_unit),
            ("T_spread", torque(torques.deviation), &taken.torque_unit),
            ("T_min", torque(torques.least), &taken.torque_unit),
            ("T_max", torque(torques.greatest), &taken.torque_unit),
            ("h_mean", length(depths.mean), &taken.length_unit),
            ("h_spread", length(depths.deviation), &taken.length_unit),
            ("h_min", length(depths.least), &taken.length_unit),
            ("h_max", length(depths.greatest), &taken.length_unit),
        ];
        let mut fields = Vec::with_capacity(counts.len() + figures.len());
        for (name, count) in counts {
            fields.push((name.to_owned(), Value::plain(self.builder.constant(count as f64))));
        }
        for (name, value, unit) in figures {
            let Some(value) = value else { continue };
            let value = Value::number(self.builder.constant(value), unit.dimension());
            let shown = Shown { unit: unit.clone(), digits: None, figures: None };
            fields.push((name.to_owned(), value.shown_as(&Arc::new(shown))));
        }
        let not_passing = report.anchors.iter().filter(|verdict| verdict.state != State::Pass);
        fields.push(("not_passing".to_owned(), taken.table_of(not_passing)));
        let not_accepted = report.anchors.iter().filter(|verdict| !verdict.is_accepted);
        fields.push(("not_accepted".to_owned(), taken.table_of(not_accepted)));
        fields.push(("asked".to_owned(), of_labels(asked.asked.clone())));
        fields.push(("not_asked".to_owned(), of_labels(asked.not_asked.clone())));
        let throughout = mapping.throughout.iter().map(|(field, text)| format!("{field} of every record is {text}"));
        fields.push(("throughout".to_owned(), of_labels(throughout.collect())));
        fields.push(("not_read".to_owned(), of_labels(report.notes.not_read.clone())));
        if mapping.has(Field::Remark) {
            fields.push(("remarks".to_owned(), of_labels(remarks(report, taken))));
        }
        if mapping.has(Field::Done) {
            self.deviations(report, (taken, mapping), &mut fields);
        }
        if mapping.has(Field::Batch) {
            let batches = report.batches().into_iter().map(|(batch, count)| (recorded(batch), count));
            fields.push(("batches".to_owned(), self.counted(batches)));
        }
        let tools = report.tools().into_iter().map(|((tool, until), count)| {
            let until = until.map_or_else(String::new, |until| format!(", calibrated until {until}"));
            (format!("{}{until}", recorded(tool)), count)
        });
        fields.push(("tools".to_owned(), self.counted(tools)));
        let label = format!("{} of {} anchors pass", totals.passed, totals.specified);
        Value::Row(Arc::new(Row { label, fields }))
    }

    /// What was done at anchors: how many of each, and which, with the last line of the file that tells of it.
    ///
    /// What the sheet has no word for nobody could write, so that nothing is said of it.
    fn deviations(&mut self, report: &Report, (taken, mapping): (&Taken, &Mapping), fields: &mut Vec<(String, Value)>) {
        let totals = &report.totals;
        let as_specified = Value::plain(self.builder.constant(totals.passed_as_specified as f64));
        fields.push(("n_as_specified".to_owned(), as_specified));
        for (deviation, count) in Deviation::ALL.into_iter().zip([totals.repaired, totals.moved, totals.substituted]) {
            if mapping.words.iter().any(|(meaning, _)| *meaning == Some(deviation)) {
                let count = Value::plain(self.builder.constant(count as f64));
                fields.push((format!("n_{}", deviation.word()), count));
                let rows = self.labelled("line", told_of(report, taken, deviation));
                fields.push((deviation.word().to_owned(), rows));
            }
        }
    }

    /// A table of names, each with how many anchors it is of; those without one are the last.
    fn counted(&mut self, names: impl Iterator<Item = (String, usize)>) -> Value {
        let mut rows: Vec<(String, f64)> = names.map(|(name, count)| (name, count as f64)).collect();
        rows.sort_by_key(|(name, _)| name.starts_with(NOT_RECORDED));
        self.labelled("n", rows)
    }

    /// A table of one column of plain numbers.
    fn labelled(&mut self, column: &str, rows: Vec<(String, f64)>) -> Value {
        let items = rows.iter().map(|(_, number)| Value::plain(self.builder.constant(*number))).collect();
        let columns = vec![(column.to_owned(), List { items, element: Kind::Number(Dimension::NONE) })];
        Value::Table(Arc::new(Table { columns, labels: rows.into_iter().map(|(label, _)| label).collect() }))
    }
}

fn is_outside_days(state: State) -> bool {
    matches!(state, State::Fail(reasons) if reasons.has(Reason::TooEarly) || reasons.has(Reason::TooLate))
}

/// The anchors and rows that tell of a deviation, each with the last line of the file that says so.
fn told_of(report: &Report, taken: &Taken, deviation: Deviation) -> Vec<(String, f64)> {
    let all = report.deviating.iter().filter_map(|told| Some((report.anchors.get(told.anchor as usize)?, told.line)));
    let mut rows: Vec<(String, f64)> = all
        .filter(|(verdict, _)| verdict.done.has(deviation))
        .map(|(verdict, line)| (taken.label(verdict), f64::from(line)))
        .collect();
    let unlisted = report.unlisted.iter().map(|row| (&row.base, &row.anchor, row.done, row.line));
    let unreadable = report.unreadable.iter().filter(|row| !row.is_of_anchor);
    let unreadable = unreadable.map(|row| (&row.base, &row.anchor, row.done, row.line));
    let strays = unlisted.chain(unreadable).filter(|(_, _, done, _)| done.has(deviation));
    rows.extend(strays.map(|(base, anchor, _, line)| {
        let marks = [base.as_str(), anchor.as_str()].into_iter().filter(|mark| !mark.is_empty());
        let marks = marks.chain(["(no anchor specified)"]).collect::<Vec<_>>().join(" ");
        (marks, f64::from(line))
    }));
    // While a row cannot be read nobody can say that there is none, or no more.
    if let Some(first) = report.unreadable.first() {
        let label = match report.totals.rows_in_error {
            1 => "1 row cannot be read".to_owned(),
            many => format!("{many} rows cannot be read"),
        };
        rows.push((label, f64::from(first.line)));
    }
    rows
}

const NOT_RECORDED: &str = "not recorded";

/// A name as recorded; whoever signs for it has to see where there is none.
fn recorded(name: &str) -> String {
    if name.is_empty() { NOT_RECORDED.to_owned() } else { name.to_owned() }
}

/// Every remark on an anchor of the specification, and on rows of other anchors or none: `B3 A7: on a shim`.
fn remarks(report: &Report, taken: &Taken) -> Vec<String> {
    let of_anchors = report.anchors.iter().enumerate().flat_map(|(at, verdict)| {
        let remarks = report.records(at).map(|record| record.remark).filter(|remark| !remark.is_empty());
        remarks.map(move |remark| (taken.label(verdict), remark))
    });
    let unlisted = report.unlisted.iter().map(|row| (row.marks(), row.remark.as_str()));
    let unreadable = report.unreadable.iter().map(|row| (format!("line {}", row.line), row.remark.as_str()));
    let all = of_anchors.chain(unlisted).chain(unreadable).filter(|(_, remark)| !remark.is_empty());
    all.map(|(label, remark)| format!("{label}: {remark}")).collect()
}
