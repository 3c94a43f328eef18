//! Source text and places in it: what every diagnostic points at.
//!
//! A [`SourceFile`] is one file's text with an index of its lines; a [`Span`] is a range of its bytes.
//! Nothing here reads a disk: text comes in as a `String`.

use std::fmt;
use std::ops::Range;
use std::sync::Arc;

/// A range of bytes in one source file.
#[derive(Copy, Clone, Debug, Default, Eq, PartialEq, Hash, Ord, PartialOrd)]
pub struct Span {
    /// First byte.
    pub start: u32,
    /// One past the last byte.
    pub end: u32,
}

impl Span {
    /// A span from byte positions; positions beyond 4 GiB cannot occur, since sheets are limited in size.
    pub fn new(start: usize, end: usize) -> Self {
        let narrow = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
        Self { start: narrow(start), end: narrow(end.max(start)) }
    }

    /// The smallest span that holds both.
    pub fn to(self, other: Self) -> Self {
        Self { start: self.start.min(other.start), end: self.end.max(other.end) }
    }

    /// The span as a range of indices.
    pub fn range(self) -> Range<usize> {
        self.start as usize..self.end as usize
    }
}

/// Something with the place where it was written.
#[derive(Clone, Debug, Default, Eq, PartialEq)]
pub struct Spanned<T> {
    /// What was written.
    pub node: T,
    /// Where.
    pub span: Span,
}

impl<T> Spanned<T> {
    /// Joins a thing and its place.
    pub fn new(node: T, span: Span) -> Self {
        Self { node, span }
    }
}

/// A place as people count it: both from one, columns in characters.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub struct Position {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
}

/// One file's text under the name that people know it by (a path inside its package).
#[derive(Eq, PartialEq)]
pub struct SourceFile {
    /// Path as shown in messages, always with `/`.
    pub name: String,
    /// The whole text.
    pub text: String,
    line_starts: Vec<u32>,
}

impl SourceFile {
    /// Takes a file's text and finds its lines.
    pub fn new(name: impl Into<String>, text: impl Into<String>) -> Arc<Self> {
        let text = text.into();
        let line_starts = std::iter::once(0)
            .chain(text.match_indices('\n').map(|(at, _)| at + 1))
            .map(|at| u32::try_from(at).unwrap_or(u32::MAX))
            .collect();
        Arc::new(Self { name: name.into(), text, line_starts })
    }

    /// The text of a span, empty where the span lies outside the file.
    pub fn slice(&self, span: Span) -> &str {
        self.text.get(span.range()).unwrap_or("")
    }

    /// Line and column of a byte.
    pub fn position(&self, byte: u32) -> Position {
        let line = self.line_starts.partition_point(|&start| start <= byte);
        let start = self.line_starts.get(line.saturating_sub(1)).copied().unwrap_or(0) as usize;
        let column = self.text.get(start..byte as usize).map_or(1, |before| before.chars().count() + 1);
        Position { line: line.max(1), column }
    }
}

impl fmt::Debug for SourceFile {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "SourceFile({}, {} bytes)", self.name, self.text.len())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_and_columns_count_characters_from_one() {
        let file = SourceFile::new("a.md", "ab\nγ = 5 °\n");
        assert_eq!(file.position(0), Position { line: 1, column: 1 });
        assert_eq!(file.position(3), Position { line: 2, column: 1 });
        assert_eq!(file.position(5), Position { line: 2, column: 2 });
        assert_eq!(file.position(999).line, 3);
    }

    #[test]
    fn a_span_outside_the_file_is_empty() {
        let file = SourceFile::new("a.md", "ab");
        assert_eq!(file.slice(Span::new(1, 9)), "");
    }
}
