//! The tables of a report: counts, anchors that are not accepted, what was done at anchors, remarks, records of other
//! anchors, rows that cannot be read.
//!
//! Every cell names its column as well, since on a narrow screen a row becomes a few lines without a head above them.

use super::{embedment, number, torque};
use crate::compile::RecordsUse;
use crate::records::{Deviation, Done, Field, Record};
use crate::render::markup::Markup;

/// Rows that a table on the page has at most; the JSON has them all.
const MOST_ROWS: usize = 200;

/// Rows up to which a table stays on one sheet of paper.
const FEW_ROWS: usize = 8;

/// The head of a column, and how its cells are set.
#[derive(Clone, Debug)]
struct Head {
    words: String,
    class: &'static str,
}

fn words(head: &str) -> Head {
    Head { words: head.to_owned(), class: "" }
}

fn quantity(head: &str) -> Head {
    Head { words: head.to_owned(), class: "q" }
}

/// Writes a table; a row has a cell for each head.
fn table(out: &mut Markup, class: &'static str, caption: &'static str, heads: &[Head], rows: &[Vec<String>]) {
    out.tags("\n<table class=\"");
    out.tags(class);
    out.tags(if rows.len() <= FEW_ROWS { " few\">" } else { "\">" });
    if !caption.is_empty() {
        out.tags("<caption>");
        out.tags(caption);
        out.tags("</caption>");
    }
    out.tags("<thead><tr>");
    for head in heads {
        out.tags("<th scope=\"col\"");
        set(out, head.class);
        out.tags(">");
        out.say(&head.words);
        out.tags("</th>");
    }
    out.tags("</tr></thead><tbody>");
    for row in rows {
        out.tags("\n<tr>");
        for (head, cell) in heads.iter().zip(row) {
            out.tags("<td");
            set(out, head.class);
            out.tags(" data-head=\"");
            out.say(&head.words);
            out.tags("\">");
            out.say(cell);
            out.tags("</td>");
        }
        out.tags("</tr>");
    }
    out.tags("</tbody></table>");
}

fn set(out: &mut Markup, class: &'static str) {
    if !class.is_empty() {
        out.tags(" class=\"");
        out.tags(class);
        out.tags("\"");
    }
}

/// Counts of anchors and of rows, each of which adds up, and what was done at anchors, which is counted beside.
pub(super) fn totals(out: &mut Markup, records: &RecordsUse) {
    let totals = &records.report.totals;
    let counts = |out: &mut Markup, cells: &[(&str, usize)]| {
        let heads: Vec<Head> = cells.iter().map(|(head, _)| quantity(head)).collect();
        let row = cells.iter().map(|(_, count)| count.to_string()).collect();
        table(out, "totals", "", &heads, &[row]);
    };
    counts(
        out,
        &[
            ("anchors specified", totals.specified),
            ("pass", totals.passed),
            ("fail", totals.failed),
            ("missing", totals.missing),
            ("several records", totals.duplicate),
            ("not readable", totals.unreadable),
        ],
    );
    counts(
        out,
        &[
            ("rows read", totals.rows_read),
            ("count", totals.passed + totals.failed),
            ("in error", totals.rows_in_error),
            ("held back", totals.rows_held_back),
            ("replaced by a later one", totals.rows_superseded),
            ("of other anchors", totals.rows_unlisted),
        ],
    );
    let says_what_was_done = records.mapping.has(Field::Done);
    if says_what_was_done {
        counts(
            out,
            &[
                ("accepted", totals.accepted),
                ("pass, not accepted yet", totals.passed - totals.accepted),
                ("pass as specified", totals.passed_as_specified),
                ("repaired", totals.repaired),
                ("moved", totals.moved),
                ("substituted", totals.substituted),
            ],
        );
    }
    if says_what_was_done && totals.rows_silent > 0 {
        out.tags("\n<p class=\"remark\">");
        out.say(&format!(
            "What was done is not known of {} of the {} rows that cannot be read: more may be repaired, moved or substituted.",
            totals.rows_silent, totals.rows_in_error
        ));
        out.tags("</p>");
    }
    if totals.passed_by_click + totals.exactly_on_target > 0 {
        out.tags("\n<p class=\"remark\">");
        out.say(&format!(
            "Of the records that count, {} tell only that the tool clicked, and {} give exactly the torque asked for.",
            totals.passed_by_click, totals.exactly_on_target
        ));
        out.tags("</p>");
    }
}

/// A table of the first rows, and how many more there are; nothing where there is none.
fn listed(
    out: &mut Markup,
    (caption, heads): (&'static str, &[Head]),
    rows: impl Iterator<Item = Vec<String>>,
    all: impl FnOnce() -> usize,
) {
    let rows: Vec<Vec<String>> = rows.take(MOST_ROWS).collect();
    if !rows.is_empty() {
        table(out, "open", caption, heads, &rows);
        more(out, all(), rows.len());
    }
}

/// Every anchor that is not accepted, with all its reasons.
pub(super) fn not_accepted(out: &mut Markup, records: &RecordsUse) {
    let rows = super::not_accepted(records).map(|row| {
        let mut cells = vec![row.base.to_owned(), row.anchor.to_owned(), row.outcome(), lines(&row.lines)];
        cells.extend(measured(records, row.record.as_ref()));
        cells
    });
    let mut heads = ["base", "anchor", "outcome and reasons", "line"].map(words).to_vec();
    heads.extend(measured_heads(records));
    let totals = &records.report.totals;
    listed(out, ("Anchors that are not accepted", &heads), rows, || totals.specified - totals.accepted);
}

/// The heads of what a record says, and its cells.
fn measured_heads(records: &RecordsUse) -> [Head; 5] {
    [
        quantity(&format!("torque, {}", records.torque_unit)),
        quantity(&format!("embedment, {}", records.length_unit)),
        Head { words: "day".to_owned(), class: "day" },
        words("tool"),
        words("remark"),
    ]
}

fn measured(records: &RecordsUse, record: Option<&Record<'_>>) -> [String; 5] {
    let in_figures = |value: Option<f64>| value.map(number).unwrap_or_default();
    let day = record.and_then(|record| record.time).map(|time| time.day.to_string());
    [
        in_figures(record.and_then(|record| torque(record, &records.torque_unit))),
        in_figures(record.and_then(|record| embedment(record, &records.length_unit))),
        day.unwrap_or_default(),
        record.map_or("", |record| record.tool).to_owned(),
        record.map_or("", |record| record.remark).to_owned(),
    ]
}

/// Every anchor that was repaired, moved or substituted, with how its records came out.
pub(super) fn deviating(out: &mut Markup, records: &RecordsUse) {
    let rows = super::deviating(records).map(|row| {
        let [base, anchor, state, remark] = [row.base, row.anchor, row.state, row.remark].map(str::to_owned);
        vec![base, anchor, row.done.join(", "), state, row.line.to_string(), remark]
    });
    let heads = ["base", "anchor", "what was done", "its records", "line", "remark"].map(words);
    let all = || super::deviating(records).count();
    listed(out, ("Anchors that were repaired, moved or substituted", &heads), rows, all);
    if records.report.totals.moved > 0 {
        out.tags("\n<p class=\"remark\">");
        out.say(
            "Records say nothing of resistance: a moved anchor is accepted once it was verified in its place as built.",
        );
        out.tags("</p>");
    }
}

/// Records that count no more: a later torque mends too little of it, and nothing else.
pub(super) fn replaced(out: &mut Markup, records: &RecordsUse) {
    let rows = super::replaced(records).map(|row| {
        let record = &row.record;
        let marks = [row.base, row.anchor].map(str::to_owned);
        let mut cells = marks.into_iter().chain([record.line.to_string(), record.batch.to_owned()]).collect::<Vec<_>>();
        cells.extend(measured(records, Some(record)));
        cells
    });
    let mut heads = ["base", "anchor", "line", "batch"].map(words).to_vec();
    heads.extend(measured_heads(records));
    let all = || records.report.totals.rows_superseded;
    listed(out, ("Records that a later one replaces", &heads), rows, all);
}

/// What records say beside of anchors that stand in no other table: free words may tell what no column does.
pub(super) fn remarks(out: &mut Markup, records: &RecordsUse) {
    let rows = super::remarks(records)
        .map(|row| vec![row.base.to_owned(), row.anchor.to_owned(), row.line.to_string(), row.text.to_owned()]);
    let heads = ["base", "anchor", "line", "remark"].map(words);
    let all = || super::remarks(records).count();
    listed(out, ("Remarks on the other anchors, for somebody to read", &heads), rows, all);
}

/// Records of anchors that are not in the specification.
pub(super) fn unlisted(out: &mut Markup, records: &RecordsUse) {
    let unlisted = &records.report.unlisted;
    if unlisted.is_empty() {
        return;
    }
    let rows: Vec<Vec<String>> = unlisted
        .iter()
        .map(|row| {
            let [base, anchor, remark] = [&row.base, &row.anchor, &row.remark].map(String::clone);
            vec![base, anchor, row.line.to_string(), in_words(row.done), remark]
        })
        .collect();
    let heads = ["base", "anchor", "line", "what was done", "remark"].map(words);
    table(out, "open", "Records of anchors that are not specified", &heads, &rows);
    more(out, records.report.totals.rows_unlisted, unlisted.len());
}

/// Rows that cannot be read, with line and column.
pub(super) fn unreadable(out: &mut Markup, records: &RecordsUse) {
    let mistakes = &records.report.mistakes;
    if mistakes.is_empty() {
        return;
    }
    let rows: Vec<Vec<String>> = mistakes
        .iter()
        .map(|mistake| {
            let line = mistake.line.map(|line| line.to_string()).unwrap_or_default();
            vec![
                line,
                mistake.column.as_deref().unwrap_or("").to_owned(),
                quoted(&mistake.found),
                quoted(&mistake.expected),
            ]
        })
        .collect();
    table(out, "open", "What cannot be read", &["line", "column", "found", "expected"].map(words), &rows);
    more(out, records.report.mistake_count, mistakes.len());
    let unreadable = &records.report.unreadable;
    let rows: Vec<Vec<String>> = unreadable
        .iter()
        .map(|row| {
            let [base, anchor, remark] = [&row.base, &row.anchor, &row.remark].map(String::clone);
            let anchor =
                if row.is_of_anchor || anchor.is_empty() { anchor } else { format!("{anchor}, not specified") };
            let mut done = in_words(row.done);
            if !row.is_done_known {
                done += if done.is_empty() { "not known" } else { ", the rest not known" };
            }
            vec![base, anchor, row.line.to_string(), done, remark]
        })
        .collect();
    let heads = ["base", "anchor", "line", "what was done", "remark"].map(words);
    table(out, "open", "What these rows say all the same", &heads, &rows);
    more(out, records.report.totals.rows_in_error, unreadable.len());
}

/// Words of a message as they are printed: what stands in backticks on a terminal stands in quotation marks.
pub(super) fn quoted(message: &str) -> String {
    let mut parts = message.split('`');
    let mut said = parts.next().unwrap_or_default().to_owned();
    for (at, part) in parts.enumerate() {
        said.push(if at % 2 == 0 { '“' } else { '”' });
        said.push_str(part);
    }
    said
}

/// What was done, deviations alone.
fn in_words(done: Done) -> String {
    done.deviations().map(Deviation::word).collect::<Vec<_>>().join(", ")
}

fn lines(numbers: &[u32]) -> String {
    numbers.iter().map(u32::to_string).collect::<Vec<_>>().join(", ")
}

fn more(out: &mut Markup, all: usize, told: usize) {
    if all > told {
        out.tags("\n<p class=\"remark\">");
        out.say(&format!("and {} more", all - told));
        out.tags("</p>");
    }
}
