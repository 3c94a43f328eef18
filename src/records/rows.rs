//! Rows of the file one after another (RFC 4180), each with its line and its bytes.
//!
//! `csv-core` splits and unquotes into buffers of a fixed size, so that no field and no number of columns can take up
//! memory. It reads any text, whatever stands around its quotes; that could join rows to one without a word, so that a row
//! with quotes is looked at once more, strictly.

use super::mistake::Mistake;
use crate::diagnostic::Code;
use crate::text::Span;
use csv_core::{ReadRecordResult, Reader, ReaderBuilder};
use std::ops::Range;

/// Bytes of a row at most.
pub const LONGEST_ROW: usize = 64 * 1024;
/// Columns of a row at most.
pub const MOST_COLUMNS: usize = 1000;

/// The rows of a text from some place on.
pub(super) struct Rows<'t> {
    text: &'t str,
    delimiter: u8,
    reader: Reader,
    at: usize,
    line: usize,
    output: Vec<u8>,
    ends: Vec<usize>,
    has_quotes: bool,
    /// Rows passed over since nothing stands in them.
    pub(super) blank: usize,
}

/// One row: fields without their quotes.
pub(super) struct Row<'r> {
    /// The line on which it starts, from 1.
    pub(super) line: usize,
    /// Its bytes in the text, without the end of the line.
    pub(super) range: Range<usize>,
    output: &'r [u8],
    ends: &'r [usize],
}

/// Which bytes of the text a row takes up, and how much of the buffers.
struct Extent {
    range: Range<usize>,
    output: usize,
    ends: usize,
}

impl<'t> Rows<'t> {
    pub(super) fn new(text: &'t str, delimiter: u8) -> Self {
        Self {
            text,
            delimiter,
            reader: ReaderBuilder::new().delimiter(delimiter).build(),
            at: 0,
            line: 1,
            output: vec![0; LONGEST_ROW],
            ends: vec![0; MOST_COLUMNS],
            has_quotes: text.contains('"'),
            blank: 0,
        }
    }

    /// Goes to the start of a line.
    pub(super) fn seek(&mut self, at: usize, line: usize) {
        self.reader.reset();
        (self.at, self.line, self.blank) = (at, line, 0);
    }

    /// The next row in which something stands, none at the end.
    pub(super) fn next(&mut self) -> Result<Option<Row<'_>>, Mistake> {
        loop {
            let Some(Extent { range, output, ends }) = self.advance()? else { return Ok(None) };
            let line = self.line;
            self.line += 1;
            let raw = &self.text.as_bytes()[range.clone()];
            if self.has_quotes && raw.contains(&b'"') {
                self.line += count_line_ends(raw);
                split_strictly(raw, self.delimiter).map_err(|problem| problem.mistake(line, &range))?;
            }
            if self.output[..output].iter().all(u8::is_ascii_whitespace) {
                self.blank += 1;
                continue;
            }
            return Ok(Some(Row { line, range, output: &self.output[..output], ends: &self.ends[..ends] }));
        }
    }

    /// Reads the next record.
    fn advance(&mut self) -> Result<Option<Extent>, Mistake> {
        let bytes = self.text.as_bytes();
        // The reader passes over empty lines by itself, without counting them.
        loop {
            let length = line_end_length(&bytes[self.at..]);
            if length == 0 {
                break;
            }
            (self.at, self.line, self.blank) = (self.at + length, self.line + 1, self.blank + 1);
        }
        let start = self.at;
        let (mut output, mut ends) = (0, 0);
        loop {
            let (result, read, written, ended) =
                self.reader.read_record(&bytes[self.at..], &mut self.output[output..], &mut self.ends[ends..]);
            (self.at, output, ends) = (self.at + read, output + written, ends + ended);
            match result {
                // Everything is in memory already: the next call tells the reader that this is the end.
                ReadRecordResult::InputEmpty => {}
                ReadRecordResult::OutputFull => return Err(self.too_long(start)),
                ReadRecordResult::OutputEndsFull => return Err(self.too_wide(start)),
                ReadRecordResult::End => return Ok(None),
                ReadRecordResult::Record => break,
            }
        }
        if self.at > start && bytes[self.at - 1] == b'\r' && bytes.get(self.at) == Some(&b'\n') {
            self.at += 1;
        }
        let end = start + bytes[start..self.at].strip_suffix(b"\n").map_or(self.at - start, <[u8]>::len);
        let end = start + bytes[start..end].strip_suffix(b"\r").map_or(end - start, <[u8]>::len);
        Ok(Some(Extent { range: start..end, output, ends }))
    }

    fn too_long(&self, start: usize) -> Mistake {
        let raw = &self.text.as_bytes()[start..self.at];
        // The likeliest cause of an endless row is a quote that nobody closed.
        if let Err(problem) = split_strictly(raw, self.delimiter) {
            return problem.mistake(self.line, &(start..self.at));
        }
        let expected = format!("at most {LONGEST_ROW} bytes in a row");
        Mistake::new(Code::TooLarge, "a longer row", expected).at(self.line, Span::new(start, start))
    }

    fn too_wide(&self, start: usize) -> Mistake {
        let expected = format!("at most {MOST_COLUMNS} columns");
        Mistake::new(Code::TooLarge, "more columns", expected).at(self.line, Span::new(start, start))
    }
}

impl<'r> Row<'r> {
    /// How many fields there are.
    pub(super) fn len(&self) -> usize {
        self.ends.len()
    }

    /// A field without quotes and without blanks around it; empty where there is none.
    pub(super) fn field(&self, index: usize) -> &'r str {
        let Some(&end) = self.ends.get(index) else { return "" };
        let start = if index == 0 { 0 } else { self.ends[index - 1] };
        // Delimiters and quotes are ASCII, so that a field of a valid text is valid text.
        std::str::from_utf8(&self.output[start..end]).unwrap_or_default().trim()
    }

    /// The bytes of a field in the text; the whole row where there is no such field.
    pub(super) fn span(&self, index: usize, text: &str, delimiter: u8) -> Span {
        let fields = split_strictly(&text.as_bytes()[self.range.clone()], delimiter).unwrap_or_default();
        let field = fields.get(index).cloned().unwrap_or(0..self.range.len());
        Span::new(self.range.start + field.start, self.range.start + field.end)
    }
}

/// A quote that breaks the row.
#[derive(Debug)]
enum QuoteProblem {
    /// It opens a field at this byte, and nothing closes it.
    Open(usize),
    /// It opens a field at the first byte and closes it before the second, where the field goes on.
    TextBehind(usize, usize),
}

impl QuoteProblem {
    fn mistake(&self, line: usize, row: &Range<usize>) -> Mistake {
        match *self {
            QuoteProblem::Open(at) => {
                let span = Span::new(row.start + at, row.start + at + 1);
                let expected = format!("a closing quote within {LONGEST_ROW} bytes");
                Mistake::new(Code::BadData, "a quote that is not closed", expected).at(line, span)
            }
            QuoteProblem::TextBehind(open, at) => {
                let span = Span::new(row.start + open, row.start + open + 1);
                let behind = Span::new(row.start + at, row.start + at + 1);
                Mistake::new(
                    Code::BadData,
                    "a quoted field with text behind its closing quote",
                    "the next field or the end of the row there",
                )
                .at(line, span)
                .also(behind, "text behind the closing quote")
                .help("a quote inside a quoted field is written twice")
            }
        }
    }
}

/// The bytes of every field of one row, quotes included, by the letter of RFC 4180, section 2.
///
/// A quote inside a field that does not start with one (`5" rod`) is a character like any other.
fn split_strictly(raw: &[u8], delimiter: u8) -> Result<Vec<Range<usize>>, QuoteProblem> {
    let mut fields = Vec::new();
    let mut start = 0;
    loop {
        let end = if raw.get(start) == Some(&b'"') {
            end_of_quoted(raw, start, delimiter)?
        } else {
            raw[start..].iter().position(|&byte| byte == delimiter).map_or(raw.len(), |length| start + length)
        };
        fields.push(start..end);
        if end >= raw.len() {
            return Ok(fields);
        }
        start = end + 1;
    }
}

fn end_of_quoted(raw: &[u8], open: usize, delimiter: u8) -> Result<usize, QuoteProblem> {
    let mut at = open + 1;
    loop {
        let Some(length) = raw[at..].iter().position(|&byte| byte == b'"') else {
            return Err(QuoteProblem::Open(open));
        };
        at += length + 1;
        match raw.get(at) {
            None => return Ok(at),
            Some(&byte) if byte == delimiter => return Ok(at),
            Some(b'"') => at += 1,
            Some(_) => return Err(QuoteProblem::TextBehind(open, at)),
        }
    }
}

/// Lines that end in these bytes, by `\n`, `\r\n` or `\r`.
pub(super) fn count_line_ends(bytes: &[u8]) -> usize {
    let lone = |at: usize| bytes[at] == b'\r' && bytes.get(at + 1) != Some(&b'\n');
    (0..bytes.len()).filter(|&at| bytes[at] == b'\n' || lone(at)).count()
}

/// Bytes of the end of a line that stands right here, 0 if none does.
fn line_end_length(bytes: &[u8]) -> usize {
    match bytes {
        [b'\r', b'\n', ..] => 2,
        [b'\r' | b'\n', ..] => 1,
        _ => 0,
    }
}
