//! Where the header stands and what stands between fields.
//!
//! A mapping names headers, so that the header is simply the first line in which they stand, under whatever delimiter they
//! stand in it. What is above it is a preamble, as logbooks export one.

use super::header::{Column, HeaderMatch, match_header};
use super::mapping::Mapping;
use super::mistake::{Mistake, quote};
use super::rows::Rows;
use crate::diagnostic::Code;

/// Lines in which a header is looked for.
const MOST_PREAMBLE: usize = 200;
/// Lines above it that are told, and how much of each.
const MOST_ABOVE: usize = 10;
const LONGEST_ABOVE: usize = 120;

/// What stands between fields.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub enum Delimiter {
    /// A comma.
    Comma,
    /// A semicolon.
    Semicolon,
    /// A tab.
    Tab,
    /// A vertical bar.
    Pipe,
}

impl Delimiter {
    /// Every delimiter, in the order in which they are tried.
    pub const ALL: [Delimiter; 4] = [Delimiter::Comma, Delimiter::Semicolon, Delimiter::Tab, Delimiter::Pipe];

    /// The character.
    pub fn byte(self) -> u8 {
        match self {
            Delimiter::Comma => b',',
            Delimiter::Semicolon => b';',
            Delimiter::Tab => b'\t',
            Delimiter::Pipe => b'|',
        }
    }
}

/// The shape of a file.
#[derive(Debug)]
pub(super) struct Layout {
    pub(super) delimiter: Delimiter,
    /// Lines above the header, blank ones among them.
    pub(super) preamble: usize,
    /// The first byte of the header, and its line from 1.
    pub(super) start: usize,
    pub(super) line: usize,
    /// Columns of the header up to the last that has a name, mapped or not.
    pub(super) width: usize,
    /// The mapped columns.
    pub(super) columns: Vec<Column>,
    /// The headers of the others.
    pub(super) not_read: Vec<String>,
}

/// A line that may be the header.
struct Candidate {
    delimiter: Delimiter,
    start: usize,
    line: usize,
    headers: Vec<String>,
    matched: HeaderMatch,
}

/// Finds the header.
pub(super) fn find(text: &str, mapping: &Mapping) -> Result<Layout, Vec<Mistake>> {
    let mut delimiters: Vec<Delimiter> = Delimiter::ALL.to_vec();
    delimiters.retain(|delimiter| mapping.delimiter.is_none_or(|stated| stated == *delimiter));
    let mut readers: Vec<(Delimiter, Rows<'_>)> =
        delimiters.into_iter().map(|delimiter| (delimiter, Rows::new(text, delimiter.byte()))).collect();
    let mut best: Option<Candidate> = None;
    let mut unreadable = None;
    for (index, (start, line)) in line_starts(text).take(MOST_PREAMBLE).enumerate() {
        for (delimiter, rows) in &mut readers {
            rows.seek(start, line);
            let row = match rows.next() {
                Ok(Some(row)) if row.line == line => row,
                Ok(_) => continue,
                // A preamble may hold anything; should no header be found below, this is worth telling.
                Err(mistake) => {
                    unreadable = unreadable.or((index == 0).then_some(mistake));
                    continue;
                }
            };
            let headers: Vec<String> = (0..row.len()).map(|index| row.field(index).to_owned()).collect();
            let matched = match_header(&row, &headers, text, delimiter.byte(), mapping);
            let score = (matched.found, headers.len());
            if best.as_ref().is_none_or(|best| score > (best.matched.found, best.headers.len())) {
                best = Some(Candidate { delimiter: *delimiter, start, line, headers, matched });
            }
        }
        if best.as_ref().is_some_and(|best| best.matched.found == mapping.columns.len()) {
            break;
        }
    }
    let Some(best) = best else {
        return Err(vec![
            unreadable.unwrap_or_else(|| Mistake::new(Code::BadData, "no rows", "a header and rows below it")),
        ]);
    };
    let mut mistakes: Vec<Mistake> = Vec::new();
    if !best.matched.missing.is_empty() {
        mistakes.extend(unreadable);
        mistakes.push(missing_columns(&best));
    }
    mistakes.extend(best.matched.mistakes);
    if !mistakes.is_empty() {
        return Err(mistakes);
    }
    let is_read = |index: usize| best.matched.columns.iter().any(|column| column.index == index);
    let others = best.headers.iter().enumerate().filter(|(index, header)| !header.is_empty() && !is_read(*index));
    Ok(Layout {
        not_read: others.map(|(_, header)| header.clone()).collect(),
        delimiter: best.delimiter,
        preamble: best.line - 1,
        start: best.start,
        line: best.line,
        // A spreadsheet may export empty columns behind the last one that has a name.
        width: best.headers.iter().rposition(|header| !header.is_empty()).map_or(0, |last| last + 1),
        columns: best.matched.columns,
    })
}

/// The first lines above the header in which something stands, without what parts their fields.
pub(super) fn above(text: &str, layout: &Layout) -> Vec<String> {
    let lines = text.get(..layout.start).unwrap_or_default().lines();
    let mark = char::from(layout.delimiter.byte());
    let fields = |line: &str| {
        let fields = line.split(mark).map(|field| field.trim().trim_matches('"')).filter(|field| !field.is_empty());
        fields.collect::<Vec<_>>().join(" ")
    };
    let told = lines.map(fields).filter(|line| !line.is_empty()).take(MOST_ABOVE);
    told.map(|line| line.chars().take(LONGEST_ABOVE).collect()).collect()
}

/// All the columns that are not there, with the headers that are.
fn missing_columns(best: &Candidate) -> Mistake {
    let listed = |names: &[String]| names.iter().map(|name| quote(name)).collect::<Vec<_>>().join(", ");
    let headers: Vec<String> = best.headers.iter().filter(|header| !header.is_empty()).take(50).cloned().collect();
    let found = format!("the headers {}", listed(&headers));
    let plural = if best.matched.missing.len() == 1 { "the column" } else { "the columns" };
    let expected = format!("{plural} {} as well", listed(&best.matched.missing));
    let at = crate::text::Span::new(best.start, best.start);
    let mut mistake = Mistake::new(Code::UnknownField, found, expected).at(best.line, at);
    for missing in &best.matched.missing {
        let lower: Vec<String> = headers.iter().map(|header| header.to_lowercase()).collect();
        let near = crate::diagnostic::nearest(&missing.to_lowercase(), lower.iter().map(String::as_str));
        if let Some(header) = near.and_then(|near| headers.get(lower.iter().position(|header| header == near)?)) {
            mistake = mistake.help(format!("did you mean `{header}` by `{missing}`?"));
        }
    }
    mistake
}

/// The first byte of every line, and its number from 1.
fn line_starts(text: &str) -> impl Iterator<Item = (usize, usize)> {
    let bytes = text.as_bytes();
    let mut next = Some(0);
    std::iter::from_fn(move || {
        let start = next.filter(|&start| start < bytes.len())?;
        next = bytes[start..].iter().position(|byte| matches!(byte, b'\n' | b'\r')).map(|length| {
            let end = start + length;
            if bytes[end..].starts_with(b"\r\n") { end + 2 } else { end + 1 }
        });
        Some(start)
    })
    .zip(1..)
}
