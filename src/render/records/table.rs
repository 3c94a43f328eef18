//! The tables of a report: counts, anchors that do not pass, records of other anchors, rows that cannot be read.

use super::{embedment, number, torque};
use crate::compile::RecordsUse;
use crate::records::Mistake;
use crate::render::markup::Markup;

/// Rows that a table on the page has at most; the JSON has them all.
const MOST_ROWS: usize = 200;

/// Counts of anchors and of rows, each of which adds up.
pub(super) fn totals(out: &mut Markup, records: &RecordsUse) {
    let totals = &records.report.totals;
    out.tags("\n<table class=\"totals\"><thead><tr>");
    let anchors = [
        ("anchors specified", totals.specified),
        ("pass", totals.passed),
        ("fail", totals.failed),
        ("missing", totals.missing),
        ("several records", totals.duplicate),
        ("not readable", totals.unreadable),
    ];
    let rows = [
        ("rows read", totals.rows_read),
        ("count", totals.passed + totals.failed),
        ("in error", totals.rows_in_error),
        ("held back", totals.rows_held_back),
        ("replaced by a later one", totals.rows_superseded),
        ("of other anchors", totals.rows_unlisted),
    ];
    let heads = |out: &mut Markup, cells: &[(&'static str, usize)]| {
        for (head, _) in cells {
            out.tags("<th class=\"q\">");
            out.tags(head);
            out.tags("</th>");
        }
    };
    let counts = |out: &mut Markup, cells: &[(&'static str, usize)]| {
        for (_, count) in cells {
            out.tags("<td class=\"q\">");
            out.say(&count.to_string());
            out.tags("</td>");
        }
    };
    heads(out, &anchors);
    out.tags("</tr></thead><tbody><tr>");
    counts(out, &anchors);
    out.tags("</tr></tbody></table>\n<table class=\"totals\"><thead><tr>");
    heads(out, &rows);
    out.tags("</tr></thead><tbody><tr>");
    counts(out, &rows);
    out.tags("</tr></tbody></table>");
    if totals.passed_by_click + totals.exactly_on_target > 0 {
        out.tags("\n<p class=\"remark\">");
        out.say(&format!(
            "Of the records that count, {} tell only that the tool clicked, and {} give exactly the torque asked for.",
            totals.passed_by_click, totals.exactly_on_target
        ));
        out.tags("</p>");
    }
}

/// Every anchor that does not pass, with all its reasons.
pub(super) fn not_passing(out: &mut Markup, records: &RecordsUse) {
    let rows: Vec<_> = super::not_passing(records).collect();
    if rows.is_empty() {
        return;
    }
    out.tags("\n<table class=\"open\"><caption>Anchors that do not pass</caption><thead><tr>");
    for head in ["base", "anchor", "outcome and reasons", "line"] {
        out.tags("<th>");
        out.tags(head);
        out.tags("</th>");
    }
    let [torque_head, depth_head] = [("torque", &records.torque_unit), ("embedment", &records.length_unit)]
        .map(|(what, unit)| format!("{what}, {unit}"));
    for head in [torque_head.as_str(), depth_head.as_str()] {
        out.tags("<th class=\"q\">");
        out.say(head);
        out.tags("</th>");
    }
    out.tags("<th class=\"day\">day</th><th>tool</th><th>remark</th></tr></thead><tbody>");
    for row in rows.iter().take(MOST_ROWS) {
        out.tags("\n<tr>");
        cell(out, row.base);
        cell(out, row.anchor);
        let mut words = row.state.to_owned();
        if !row.reasons.is_empty() {
            words = format!("{words}: {}", row.reasons.join("; "));
        }
        cell(out, &words);
        let lines: Vec<String> = row.lines.iter().map(u32::to_string).collect();
        cell(out, &lines.join(", "));
        let record = row.record.as_ref();
        for value in [
            record.and_then(|record| torque(record, &records.torque_unit)),
            record.and_then(|record| embedment(record, &records.length_unit)),
        ] {
            out.tags("<td class=\"q\">");
            out.say(&value.map(number).unwrap_or_default());
            out.tags("</td>");
        }
        let day = record.and_then(|record| record.time).map(|time| time.day.to_string());
        out.tags("<td class=\"day\">");
        out.say(&day.unwrap_or_default());
        out.tags("</td>");
        cell(out, record.map_or("", |record| record.tool));
        cell(out, record.map_or("", |record| record.remark));
        out.tags("</tr>");
    }
    out.tags("</tbody></table>");
    more(out, rows.len(), MOST_ROWS);
}

/// Records of anchors that are not in the specification.
pub(super) fn unlisted(out: &mut Markup, records: &RecordsUse) {
    let unlisted = &records.report.unlisted;
    if unlisted.is_empty() {
        return;
    }
    out.tags("\n<table class=\"open\"><caption>Records of anchors that are not specified</caption>");
    out.tags("<thead><tr><th>base</th><th>anchor</th><th>line</th></tr></thead><tbody>");
    for row in unlisted {
        out.tags("\n<tr>");
        cell(out, &row.base);
        cell(out, &row.anchor);
        cell(out, &row.line.to_string());
        out.tags("</tr>");
    }
    out.tags("</tbody></table>");
    more(out, records.report.totals.rows_unlisted, unlisted.len());
}

/// Rows that cannot be read, with line and column.
pub(super) fn unreadable(out: &mut Markup, records: &RecordsUse) {
    let mistakes: &[Mistake] = &records.report.mistakes;
    if mistakes.is_empty() {
        return;
    }
    out.tags("\n<table class=\"open\"><caption>What cannot be read</caption>");
    out.tags("<thead><tr><th>line</th><th>column</th><th>found</th><th>expected</th></tr></thead><tbody>");
    for mistake in mistakes {
        out.tags("\n<tr>");
        cell(out, &mistake.line.map(|line| line.to_string()).unwrap_or_default());
        cell(out, mistake.column.as_deref().unwrap_or(""));
        cell(out, &mistake.found);
        cell(out, &mistake.expected);
        out.tags("</tr>");
    }
    out.tags("</tbody></table>");
    more(out, records.report.mistake_count, mistakes.len());
}

fn cell(out: &mut Markup, words: &str) {
    out.tags("<td>");
    out.say(words);
    out.tags("</td>");
}

fn more(out: &mut Markup, all: usize, told: usize) {
    if all > told {
        out.tags("\n<p class=\"remark\">");
        out.say(&format!("and {} more", all - told));
        out.tags("</p>");
    }
}
