//! Tokens and the reserved words.

use crate::text::Span;

/// One token with its place in the file.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Token {
    pub kind: TokenKind,
    pub span: Span,
}

/// What a token is.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum TokenKind {
    /// Digits without grouping, as Rust reads them.
    Number(String),
    /// The unit behind a number.
    Unit(String),
    /// A name or a reserved word.
    Name(String),
    /// Words in quotes, without the quotes.
    Text(String),
    /// What stands after `@`, to the end of the line, without the `@`.
    Reference(String),
    /// A raised digit group, `²`.
    Raised(String),
    /// An operator or a mark of punctuation, in its plain spelling.
    Mark(&'static str),
    /// A character without a meaning, which was told of already.
    Unreadable,
    /// The end of a line within a statement.
    LineBreak,
    /// The end of the statement.
    End,
}

impl TokenKind {
    /// How a message names it.
    pub fn describe(&self) -> String {
        match self {
            TokenKind::Number(text) => format!("the number `{text}`"),
            TokenKind::Unit(text) => format!("the unit `{text}`"),
            TokenKind::Name(text) if KEYWORDS.contains(&text.as_str()) => format!("the word `{text}`"),
            TokenKind::Name(text) => format!("the name `{text}`"),
            TokenKind::Text(_) => "words in quotes".to_owned(),
            TokenKind::Reference(_) => "a reference after `@`".to_owned(),
            TokenKind::Raised(text) => format!("the raised `{text}`"),
            TokenKind::Mark(mark) => format!("`{mark}`"),
            TokenKind::Unreadable => "a character without a meaning".to_owned(),
            TokenKind::LineBreak => "the end of the line".to_owned(),
            TokenKind::End => "the end of the statement".to_owned(),
        }
    }
}

/// Words that cannot be names of symbols.
pub const KEYWORDS: &[&str] = &[
    "among",
    "and",
    "cases",
    "data",
    "figures",
    "for",
    "gives",
    "giving",
    "in",
    "is",
    "no",
    "not",
    "on",
    "or",
    "otherwise",
    "require",
    "solving",
    "table",
    "takes",
    "to",
    "use",
    "when",
    "with",
    "within",
    "yes",
];
