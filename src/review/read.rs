//! Marks from the text of their file, or all that is wrong with it at once.
//!
//! A mark is lost by being misread, and nobody would see it; so the reader is strict. What it overlooks is order:
//! the numbers of the marks tell it, and a merge of two files may disturb that of the lines.

use super::day::Day;
use super::digest::LineDigest;
use super::mark::{HEADER, Mark, MarkKind, Marks};
use crate::diagnostic::{Code, Diagnostic};
use crate::text::{SourceFile, Span};
use std::collections::BTreeMap;
use std::sync::Arc;

/// Whatever a later form of the file may say behind it, its version stands before the colon.
const HEADER_START: &str = "# soleplate marks 2";
/// The form whose digests told in which unit a number was written.
const EARLIER_START: &str = "# soleplate marks 1";
/// What a merge that was not finished leaves at the start of a line.
const CONFLICT: [&str; 4] = ["<<<<<<<", "|||||||", "=======", ">>>>>>>"];

impl Marks {
    /// Reads a file's text; marks with mistakes are left out, and told of.
    pub fn read(source: &Arc<SourceFile>) -> (Self, Vec<Diagnostic>) {
        let mut reader = Reader { source, findings: Vec::new(), marks: Vec::new(), seen: BTreeMap::new() };
        reader.file();
        (Marks::new(reader.marks), reader.findings)
    }
}

struct Reader<'a> {
    source: &'a Arc<SourceFile>,
    findings: Vec<Diagnostic>,
    marks: Vec<Mark>,
    /// Where each mark stands.
    seen: BTreeMap<Mark, Span>,
}

/// A field of a line: its text and its place.
struct Field {
    text: String,
    span: Span,
    is_quoted: bool,
}

impl Reader<'_> {
    fn file(&mut self) {
        let (mut at, mut conflict, mut is_told) = (0, None, false);
        for (index, whole) in self.source.text.split_inclusive('\n').enumerate() {
            let line = whole.trim_end_matches(['\n', '\r']);
            let (start, span) = (at, Span::new(at, at + line.len()));
            at += whole.len();
            if index == 0 {
                self.header(line, span);
                continue;
            }
            if let Some(marker) = CONFLICT.iter().find(|marker| line.starts_with(**marker)) {
                match (*marker, conflict) {
                    ("<<<<<<<", None) => conflict = Some(span),
                    (">>>>>>>", Some(first)) => {
                        self.conflict(first, Some(span));
                        conflict = None;
                    }
                    (_, Some(_)) => {}
                    (_, None) => self.conflict(span, None),
                }
                continue;
            }
            // Which side of a merge holds is not for the reader to say.
            if conflict.is_some() || line.trim().is_empty() {
                continue;
            }
            let Some(mark) = self.mark(line, start) else { continue };
            if let Some(first) = self.seen.get(&mark) {
                let finding = Diagnostic::error(Code::BadMark, self.source, span, "this mark stands twice");
                self.findings.push(finding.also(self.source, *first, "first here").help("delete one of the two lines"));
                continue;
            }
            if !is_told && self.marks.last().is_some_and(|last| *last > mark) {
                is_told = true;
                let message = "the marks from here on are out of order";
                let place = Span::new(start, start + mark.address.len().min(line.len()));
                let finding = Diagnostic::error(Code::UnorderedMarks, self.source, place, message).as_warning();
                self.findings.push(finding.help("they count all the same; the next mark puts the file in order"));
            }
            self.seen.insert(mark.clone(), span);
            self.marks.push(mark);
        }
        if let Some(first) = conflict {
            self.conflict(first, None);
        }
        if self.source.text.is_empty() {
            self.header("", Span::default());
        }
    }

    fn header(&mut self, line: &str, span: Span) {
        let start = line.split(':').next().map(str::trim_end);
        if start == Some(HEADER_START) {
            return;
        }
        if start == Some(EARLIER_START) {
            let message =
                "these marks were made in an earlier form, whose digests say nothing of the lines as they are";
            let finding = Diagnostic::error(Code::BadMark, self.source, span, message);
            self.findings.push(finding.help("keep the file under another name, and mark the lines again"));
            return;
        }
        let message = match line.starts_with("# soleplate marks") {
            true => "these marks are written in a form that this program does not know",
            false => "a file of marks begins with a line that says so",
        };
        let finding = Diagnostic::error(Code::BadMark, self.source, span, message);
        self.findings.push(finding.help(format!("the first line is `{HEADER}`")));
    }

    fn conflict(&mut self, first: Span, last: Option<Span>) {
        let message = "a merge was not finished here";
        let mut finding = Diagnostic::error(Code::MergeConflict, self.source, first, message);
        if let Some(last) = last {
            finding = finding.also(self.source, last, "it ends here");
        }
        self.findings.push(
            finding.help("keep the lines of both sides, each once, and delete those that the merge put between them"),
        );
    }

    fn mark(&mut self, line: &str, start: usize) -> Option<Mark> {
        let fields = match fields(line, start) {
            Ok(fields) => fields,
            Err((span, message, help)) => return self.fail(span, message, help),
        };
        let end = Span::new(start + line.len(), start + line.len());
        let mut fields = fields.into_iter();
        let address = self.expect(fields.next(), end, "the address of a line")?;
        let number = self.expect(fields.next(), end, "the number of the mark")?;
        let kind = self.expect(fields.next(), end, "what the mark says, such as `ticked`")?;
        let date = self.expect(fields.next(), end, "a date")?;
        let who = self.expect(fields.next(), end, "who made the mark")?;
        let was = self.expect_quoted(fields.next(), end, "the line as it was")?;
        let rest: Vec<Field> = fields.collect();
        let (remark, digest, more) = match rest.as_slice() {
            [remark, digest, more @ ..] if remark.is_quoted => (remark.text.clone(), digest, more.first()),
            [digest, more @ ..] if !digest.is_quoted => (String::new(), digest, more.first()),
            _ => return self.fail(end, "the digest is missing at the end of this mark".to_owned(), MADE_BY),
        };
        if let Some(more) = more {
            return self.fail(more.span, "nothing stands behind the digest of a mark".to_owned(), MADE_BY);
        }
        let Some(number) = number.text.parse::<u32>().ok().filter(|number| *number > 0) else {
            let message = format!("`{}` is no number of a mark: they count from 1", number.text);
            return self.fail(number.span, message, "");
        };
        let Some(kind) = MarkKind::ALL.into_iter().find(|known| known.words() == kind.text) else {
            let names = MarkKind::ALL.map(MarkKind::words);
            let message = format!("there is no mark `{}`", kind.text);
            let finding = Diagnostic::error(Code::BadMark, self.source, kind.span, message);
            let finding = finding.suggest(&kind.text, names).help(format!("marks are {}", names.join(", ")));
            self.findings.push(finding);
            return None;
        };
        let Some(date) = Day::parse(&date.text) else {
            let message = format!("`{}` is no day of the calendar", date.text);
            return self.fail(date.span, message, "write year, month and day, such as 2026-11-20");
        };
        let Some(digest) = LineDigest::parse(&digest.text) else {
            return self.fail(digest.span, "this is no digest of a line".to_owned(), MADE_BY);
        };
        Some(Mark { address: address.text, number, date, kind, who: who.text, was: was.text, remark, digest })
    }

    fn fail<T>(&mut self, span: Span, message: String, help: &str) -> Option<T> {
        let finding = Diagnostic::error(Code::BadMark, self.source, span, message);
        self.findings.push(if help.is_empty() { finding } else { finding.help(help) });
        None
    }

    fn expect(&mut self, field: Option<Field>, end: Span, what: &str) -> Option<Field> {
        match field {
            Some(field) if field.text.is_empty() => self.fail(field.span, format!("expected {what}"), ""),
            Some(field) => Some(field),
            None => self.fail(end, format!("expected {what}"), MADE_BY),
        }
    }

    fn expect_quoted(&mut self, field: Option<Field>, end: Span, what: &str) -> Option<Field> {
        match field {
            Some(field) if field.is_quoted => Some(field),
            Some(field) => self.fail(field.span, format!("expected {what}, in quotes"), MADE_BY),
            None => self.fail(end, format!("expected {what}, in quotes"), MADE_BY),
        }
    }
}

const MADE_BY: &str = "marks are made by `soleplate review`; sheets/LANGUAGE.md says how they are written";

/// A mistake within a line: its place, what it is, and what to do.
type Mistake = (Span, String, &'static str);

/// The fields of a line, which have spaces between them.
fn fields(line: &str, start: usize) -> Result<Vec<Field>, Mistake> {
    let mut fields = Vec::new();
    let mut at = 0;
    loop {
        let rest = &line[at..];
        at += rest.len() - rest.trim_start().len();
        let rest = &line[at..];
        let span = |length: usize| Span::new(start + at, start + at + length);
        if rest.is_empty() {
            return Ok(fields);
        }
        if !rest.starts_with('"') {
            let length = rest.find(|c: char| c.is_whitespace() || c == '"').unwrap_or(rest.len());
            fields.push(Field { text: rest[..length].to_owned(), span: span(length), is_quoted: false });
            at += length;
            continue;
        }
        let (mut text, mut length, mut is_escaped) = (String::new(), None, false);
        for (offset, c) in rest.char_indices().skip(1) {
            match (is_escaped, c) {
                (true, 'n') => text.push('\n'),
                (true, '"' | '\\') => text.push(c),
                (true, _) => {
                    let place = Span::new(start + at + offset - 1, start + at + offset + c.len_utf8());
                    return Err((place, format!("`\\{c}` means nothing in quotes"), "write `\\\\` for a backslash"));
                }
                (false, '"') => length = Some(offset + 1),
                (false, '\\') => {}
                (false, _) => text.push(c),
            }
            if length.is_some() {
                break;
            }
            is_escaped = !is_escaped && c == '\\';
        }
        let Some(length) = length else {
            return Err((span(rest.len()), "these quotes are not closed".to_owned(), "end the text with `\"`"));
        };
        fields.push(Field { text, span: span(length), is_quoted: true });
        at += length;
    }
}
