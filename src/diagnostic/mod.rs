//! What went wrong, where, and what to do about it: data, not text on a screen.
//!
//! A user's mistake is a [`Diagnostic`]; drawing it is the front end's business (`cli::terminal`).
//! Wording is lower case, in the user's words, without a full stop; help is something that can be typed.

mod code;
mod near;

pub use code::Code;
pub use near::nearest;

use crate::text::{Position, SourceFile, Span};
use std::fmt;
use std::sync::Arc;

/// How much a diagnostic matters.
#[derive(Copy, Clone, Debug, Eq, PartialEq, Ord, PartialOrd)]
pub enum Severity {
    /// The sheet cannot be built.
    Error,
    /// The sheet is built; somebody should look.
    Warning,
}

/// A place and what it has to do with the matter.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// The file.
    pub source: Arc<SourceFile>,
    /// The characters.
    pub span: Span,
    /// What stands there, or what was expected; may be empty.
    pub text: String,
}

/// One finding about a source text.
#[derive(Clone, Debug, PartialEq)]
pub struct Diagnostic {
    /// Which kind of finding.
    pub code: Code,
    /// How much it matters.
    pub severity: Severity,
    /// One line, with the names and numbers concerned.
    pub message: String,
    /// The primary place first, then places that explain it.
    pub labels: Vec<Label>,
    /// Facts that do not belong to one place.
    pub notes: Vec<String>,
    /// What can be done.
    pub help: Vec<String>,
}

impl Diagnostic {
    /// An error at a place.
    pub fn error(code: Code, source: &Arc<SourceFile>, span: Span, message: impl Into<String>) -> Self {
        Self {
            code,
            severity: Severity::Error,
            message: message.into(),
            labels: vec![Label { source: source.clone(), span, text: String::new() }],
            notes: Vec::new(),
            help: Vec::new(),
        }
    }

    /// Makes it a warning.
    #[must_use]
    pub fn as_warning(mut self) -> Self {
        self.severity = Severity::Warning;
        self
    }

    /// Words for the primary place.
    #[must_use]
    pub fn here(mut self, text: impl Into<String>) -> Self {
        if let Some(label) = self.labels.first_mut() {
            label.text = text.into();
        }
        self
    }

    /// A further place.
    #[must_use]
    pub fn also(mut self, source: &Arc<SourceFile>, span: Span, text: impl Into<String>) -> Self {
        self.labels.push(Label { source: source.clone(), span, text: text.into() });
        self
    }

    /// A fact that belongs to no place.
    #[must_use]
    pub fn note(mut self, text: impl Into<String>) -> Self {
        self.notes.push(text.into());
        self
    }

    /// Advice.
    #[must_use]
    pub fn help(mut self, text: impl Into<String>) -> Self {
        self.help.push(text.into());
        self
    }

    /// Advice "did you mean …" where a name comes near one of the candidates.
    #[must_use]
    pub fn suggest<'a>(self, name: &str, candidates: impl IntoIterator<Item = &'a str>) -> Self {
        match nearest(name, candidates) {
            Some(near) => self.help(format!("did you mean `{near}`?")),
            None => self,
        }
    }

    /// Line and column of the primary place.
    pub fn position(&self) -> Option<Position> {
        self.labels.first().map(|label| label.source.position(label.span.start))
    }

    /// Whether it stops the build of its sheet.
    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }
}

/// The short form: `file:line:column: error[code]: message`.
impl fmt::Display for Diagnostic {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let (Some(label), Some(at)) = (self.labels.first(), self.position()) {
            write!(f, "{}:{}:{}: ", label.source.name, at.line, at.column)?;
        }
        let severity = match self.severity {
            Severity::Error => "error",
            Severity::Warning => "warning",
        };
        write!(f, "{severity}[{}]: {}", self.code.name(), self.message)
    }
}

/// Whether any of them stops the build.
pub fn any_error(diagnostics: &[Diagnostic]) -> bool {
    diagnostics.iter().any(Diagnostic::is_error)
}
