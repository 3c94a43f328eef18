//! What cannot be read, as data: where, what was found, what was expected.

use crate::diagnostic::{Code, Diagnostic};
use crate::text::{SourceFile, Span};
use std::fmt;
use std::sync::Arc;

/// Characters of a cell that a message quotes at most.
const LONGEST_QUOTE: usize = 40;

/// A cell, a row, a file or a specification that cannot be taken as it stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Mistake {
    /// Which kind of mistake.
    pub code: Code,
    /// The line of the file on which the row starts, from 1; none where the matter is not in the file.
    pub line: Option<u32>,
    /// The header of the column, where one column is concerned.
    pub column: Option<Box<str>>,
    /// The bytes concerned, in the decoded text.
    pub span: Span,
    /// What was found.
    pub found: String,
    /// What was expected instead.
    pub expected: String,
    /// A second place that the matter rests on, and what stands there.
    pub also: Option<Box<(Span, String)>>,
    /// What can be done.
    pub help: Vec<String>,
}

impl Mistake {
    /// A mistake without a place.
    pub(super) fn new(code: Code, found: impl Into<String>, expected: impl Into<String>) -> Self {
        Self {
            code,
            line: None,
            column: None,
            span: Span::default(),
            found: found.into(),
            expected: expected.into(),
            also: None,
            help: Vec::new(),
        }
    }

    /// Says on which line and where in the text it is.
    pub(super) fn at(mut self, line: usize, span: Span) -> Self {
        self.line = Some(u32::try_from(line).unwrap_or(u32::MAX));
        self.span = span;
        self
    }

    /// Says in which column it is.
    pub(super) fn in_column(mut self, header: &str) -> Self {
        self.column = Some(header.into());
        self
    }

    /// Adds a second place.
    pub(super) fn also(mut self, span: Span, text: impl Into<String>) -> Self {
        self.also = Some(Box::new((span, text.into())));
        self
    }

    /// Adds advice.
    pub(super) fn help(mut self, text: impl Into<String>) -> Self {
        self.help.push(text.into());
        self
    }

    /// The mistake as a diagnostic about the decoded text.
    pub fn diagnostic(&self, source: &Arc<SourceFile>) -> Diagnostic {
        let mut diagnostic = Diagnostic::error(self.code, source, self.span, self.sentence());
        if self.line.is_some() {
            diagnostic = diagnostic.here(format!("expected {}", self.expected));
        }
        if let Some((span, text)) = self.also.as_deref() {
            diagnostic = diagnostic.also(source, *span, text);
        }
        self.help.iter().fold(diagnostic, |diagnostic, help| diagnostic.help(help))
    }

    fn sentence(&self) -> String {
        let column = self.column.as_ref().map(|column| format!("column `{column}`: ")).unwrap_or_default();
        format!("{column}found {}, expected {}", self.found, self.expected)
    }
}

/// `line 7: column `Torque (Nm)`: found `abc`, expected a number in N·m`.
impl fmt::Display for Mistake {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(line) = self.line {
            write!(f, "line {line}: ")?;
        }
        f.write_str(&self.sentence())?;
        self.help.iter().try_for_each(|help| write!(f, "; {help}"))
    }
}

/// A cell in quotes, cut where it is long.
pub(super) fn quote(cell: &str) -> String {
    if cell.chars().count() <= LONGEST_QUOTE {
        return format!("`{cell}`");
    }
    let start: String = cell.chars().take(LONGEST_QUOTE).collect();
    format!("`{start}…`")
}
