//! As-installed records as JSON has them: anchors that are accepted are counted and not listed, all else is.

use super::{deviating, embedment, not_accepted, remarks, replaced, torque};
use crate::compile::RecordsUse;
use crate::records::{Deviation, Done};
use serde::Serialize;
use std::collections::BTreeMap;

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
    /// What each column was read as, by its header.
    columns: BTreeMap<&'static str, &'a str>,
    /// What the sheet says of every record.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    throughout: BTreeMap<&'static str, &'a str>,
    /// What the words for what was done stand for.
    #[serde(skip_serializing_if = "BTreeMap::is_empty")]
    words: BTreeMap<&'a str, Vec<&'static str>>,
    /// Headers of columns that are not read, and what stands above the header.
    #[serde(skip_serializing_if = "<[String]>::is_empty")]
    not_read: &'a [String],
    #[serde(skip_serializing_if = "<[String]>::is_empty")]
    above: &'a [String],
    rows_read: usize,
    rows_in_error: usize,
    rows_held_back: usize,
    rows_superseded: usize,
    rows_unlisted: usize,
    not_accepted: Vec<Anchor<'a>>,
    /// Every anchor that was repaired, moved or substituted.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    deviating: Vec<Row<'a>>,
    /// Records that a later one replaces.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    replaced: Vec<Row<'a>>,
    /// What records say beside of anchors that are in neither list.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    remarks: Vec<Row<'a>>,
    /// Rows of anchors that are not specified, the first hundred of them.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    unlisted: Vec<Row<'a>>,
    /// What rows say that cannot be read as a whole, the first hundred of them.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    unreadable: Vec<Row<'a>>,
    /// Why, the first hundred mistakes.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    mistakes: Vec<String>,
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
    #[serde(skip_serializing_if = "Option::is_none")]
    torque: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    embedment: Option<f64>,
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
        columns: report.notes.columns.iter().map(|(field, header)| (field.name(), header.as_str())).collect(),
        throughout: used.mapping.throughout.iter().map(|(field, text)| (field.name(), text.as_str())).collect(),
        words: meanings(used),
        not_read: &report.notes.not_read,
        above: &report.notes.above,
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
        replaced: replaced(used)
            .map(|row| Row {
                base: row.base,
                anchor: row.anchor,
                done: words(row.record.done),
                line: row.record.line,
                torque: torque(&row.record, &used.torque_unit),
                embedment: embedment(&row.record, &used.length_unit),
                remark: row.record.remark,
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
        mistakes: report.mistakes.iter().map(ToString::to_string).collect(),
    }
}

/// Each word for what was done with all that it stands for.
fn meanings(used: &RecordsUse) -> BTreeMap<&str, Vec<&'static str>> {
    let mut meanings: BTreeMap<&str, Vec<&'static str>> = BTreeMap::new();
    for (meaning, word) in &used.mapping.words {
        meanings.entry(word).or_default().push(meaning.map_or("as specified", Deviation::word));
    }
    meanings
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
