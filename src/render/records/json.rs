//! As-installed records as JSON has them: anchors that are accepted are counted and not listed, all else is.

use super::{deviating, embedment, not_accepted, remarks, torque};
use crate::compile::RecordsUse;
use crate::records::{Deviation, Done};
use serde::Serialize;

/// What came of a file of records.
#[derive(Serialize)]
pub struct Entry<'a> {
    file: &'a str,
    torque_unit: String,
    embedment_unit: String,
    /// What every record was held against, and what nothing was asked of.
    asked: &'a [String],
    #[serde(skip_serializing_if = "<[String]>::is_empty")]
    not_asked: &'a [String],
    rows_read: usize,
    rows_in_error: usize,
    rows_held_back: usize,
    rows_superseded: usize,
    rows_unlisted: usize,
    not_accepted: Vec<Anchor<'a>>,
    /// Every anchor that was repaired, moved or substituted.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    deviating: Vec<Row<'a>>,
    /// What records say beside of anchors that are in neither list.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    remarks: Vec<Row<'a>>,
    /// Rows of anchors that are not specified, the first hundred of them.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    unlisted: Vec<Row<'a>>,
    /// What rows say that cannot be read as a whole, the first hundred of them.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    unreadable: Vec<Row<'a>>,
}

/// An anchor that is not accepted.
#[derive(Serialize)]
struct Anchor<'a> {
    #[serde(skip_serializing_if = "str::is_empty")]
    base: &'a str,
    anchor: &'a str,
    state: &'static str,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    reasons: Vec<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    lines: Vec<u32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    torque: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    embedment: Option<f64>,
    #[serde(skip_serializing_if = "str::is_empty")]
    tool: &'a str,
}

/// What a row of the file says.
#[derive(Default, Serialize)]
struct Row<'a> {
    #[serde(skip_serializing_if = "str::is_empty")]
    base: &'a str,
    #[serde(skip_serializing_if = "str::is_empty")]
    anchor: &'a str,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    done: Vec<&'static str>,
    /// Whether that is all it says was done.
    #[serde(skip_serializing_if = "Option::is_none")]
    is_done_known: Option<bool>,
    #[serde(skip_serializing_if = "str::is_empty")]
    state: &'static str,
    line: u32,
    #[serde(skip_serializing_if = "str::is_empty")]
    remark: &'a str,
}

/// What came of the records of a line.
pub fn entry(used: &RecordsUse) -> Entry<'_> {
    let report = &used.report;
    let totals = &report.totals;
    let words = |done: Done| done.deviations().map(Deviation::word).collect();
    Entry {
        file: &used.source.name,
        torque_unit: used.torque_unit.to_string(),
        embedment_unit: used.length_unit.to_string(),
        asked: &used.asked,
        not_asked: &used.not_asked,
        rows_read: totals.rows_read,
        rows_in_error: totals.rows_in_error,
        rows_held_back: totals.rows_held_back,
        rows_superseded: totals.rows_superseded,
        rows_unlisted: totals.rows_unlisted,
        not_accepted: not_accepted(used).map(|open| anchor(used, open)).collect(),
        deviating: deviating(used)
            .map(|row| Row {
                base: row.base,
                anchor: row.anchor,
                done: row.done,
                state: row.state,
                line: row.line,
                remark: row.remark,
                ..Row::default()
            })
            .collect(),
        remarks: remarks(used)
            .map(|row| Row { base: row.base, anchor: row.anchor, line: row.line, remark: row.text, ..Row::default() })
            .collect(),
        unlisted: (report.unlisted.iter())
            .map(|row| Row {
                base: &row.base,
                anchor: &row.anchor,
                done: words(row.done),
                line: row.line,
                remark: &row.remark,
                ..Row::default()
            })
            .collect(),
        unreadable: (report.unreadable.iter())
            .map(|row| Row {
                base: &row.base,
                anchor: &row.anchor,
                done: words(row.done),
                is_done_known: Some(row.is_done_known),
                line: row.line,
                remark: &row.remark,
                ..Row::default()
            })
            .collect(),
    }
}

fn anchor<'a>(used: &'a RecordsUse, open: super::NotAccepted<'a>) -> Anchor<'a> {
    Anchor {
        base: open.base,
        anchor: open.anchor,
        state: open.state,
        reasons: open.reasons,
        lines: open.lines,
        torque: open.record.as_ref().and_then(|record| torque(record, &used.torque_unit)),
        embedment: open.record.as_ref().and_then(|record| embedment(record, &used.length_unit)),
        tool: open.record.map_or("", |record| record.tool),
    }
}
