//! How the file was read, for whoever checks it: columns, words, what the sheet adds, and what a single cell decided.

use crate::compile::RecordsUse;
use crate::records::{DayOrder, DecimalMark, Decision, Delimiter, Deviation, Encoding};
use crate::render::markup::Markup;

/// How the file was read: what a single cell can decide has to be seen.
pub(super) fn notes(out: &mut Markup, records: &RecordsUse) {
    let notes = &records.report.notes;
    let mut said = vec![
        format!("{} was read as {}", records.source.name, encoding(notes.encoding)),
        format!("its header is on line {}, its fields are parted by {}", notes.header_line, delimiter(notes.delimiter)),
    ];
    let columns = notes.columns.iter().map(|(field, header)| format!("{field} is “{header}”"));
    said.push(columns.collect::<Vec<_>>().join(", "));
    let throughout =
        records.mapping.throughout.iter().map(|(field, text)| format!("{field} of every record is {text}"));
    let throughout = throughout.collect::<Vec<_>>().join(", ");
    if !throughout.is_empty() {
        said.push(format!("by the sheet, not by the file, {throughout}"));
    }
    let words = records
        .mapping
        .words
        .iter()
        .map(|(meaning, word)| format!("“{word}” stands for {}", meaning.map_or("as specified", Deviation::word)));
    let words = words.collect::<Vec<_>>().join(", ");
    if !words.is_empty() {
        said.push(words);
    }
    for (what, texts) in [("columns that are not read are", &notes.not_read), ("above the header stands", &notes.above)]
    {
        let texts = texts.iter().map(|text| format!("“{text}”")).collect::<Vec<_>>().join(", ");
        if !texts.is_empty() {
            said.push(format!("{what} {texts}"));
        }
    }
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
    if notes.blank_rows > 0 {
        let rows =
            if notes.blank_rows == 1 { "1 blank row was" } else { &format!("{} blank rows were", notes.blank_rows) };
        said.push(format!("{rows} passed over"));
    }
    out.tags("\n<p class=\"remark\">How the file was read:</p>\n<ul class=\"remark\">");
    for said in &said {
        out.tags("<li>");
        out.say(said);
        out.tags("</li>");
    }
    out.tags("</ul>");
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
