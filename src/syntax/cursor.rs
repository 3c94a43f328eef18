//! A cursor over the tokens of one statement, which stays silent after the first mistake.
//!
//! `parse_` may find nothing, `expect_` must find, `take_` takes what is there, `at_` only looks.

use super::lexer::StatementTokens;
use super::token::{KEYWORDS, Token, TokenKind};
use super::tree::Name;
use crate::diagnostic::{Code, Diagnostic};
use crate::text::{SourceFile, Span, Spanned};
use std::sync::Arc;

/// A cursor over the tokens of one statement; after the first mistake it stays silent.
pub(super) struct Parser<'a> {
    pub(super) tokens: StatementTokens,
    at: usize,
    pub(super) source: &'a Arc<SourceFile>,
    pub(super) findings: Vec<Diagnostic>,
    pub(super) failed: bool,
    pub(super) depth: usize,
    /// Whether line ends are passed over; not so in tables and cases, where they separate rows.
    pub(super) joins_lines: bool,
}

impl<'a> Parser<'a> {
    pub(super) fn new(tokens: StatementTokens, source: &'a Arc<SourceFile>) -> Self {
        Self { tokens, at: 0, source, findings: Vec::new(), failed: false, depth: 0, joins_lines: true }
    }

    pub(super) fn index(&self, ahead: usize) -> usize {
        let mut at = self.at;
        let mut left = ahead;
        loop {
            while self.joins_lines && self.tokens.get(at).is_some_and(|t| t.kind == TokenKind::LineBreak) {
                at += 1;
            }
            if left == 0 {
                return at.min(self.tokens.len() - 1);
            }
            left -= 1;
            at += 1;
        }
    }

    pub(super) fn peek(&self) -> &Token {
        &self.tokens[self.index(0)]
    }

    pub(super) fn next(&mut self) -> Token {
        let at = self.index(0);
        self.at = (at + 1).min(self.tokens.len() - 1);
        self.tokens[at].clone()
    }

    pub(super) fn at_mark(&self, mark: &str) -> bool {
        matches!(self.peek().kind, TokenKind::Mark(m) if m == mark)
    }

    pub(super) fn at_word(&self, word: &str) -> bool {
        matches!(&self.peek().kind, TokenKind::Name(name) if name == word)
    }

    pub(super) fn word_after_next(&self, word: &str) -> bool {
        matches!(&self.tokens[self.index(1)].kind, TokenKind::Name(name) if name == word)
    }

    pub(super) fn text_after_next(&self) -> bool {
        matches!(self.tokens[self.index(1)].kind, TokenKind::Text(_))
    }

    pub(super) fn take_mark(&mut self, mark: &str) -> bool {
        let there = self.at_mark(mark);
        if there {
            self.next();
        }
        there
    }

    pub(super) fn take_word(&mut self, word: &str) -> bool {
        let there = self.at_word(word);
        if there {
            self.next();
        }
        there
    }

    pub(super) fn fail(&mut self, finding: Diagnostic) {
        // What stumbles over a character without a meaning was told by the lexer.
        if !self.failed && self.peek().kind != TokenKind::Unreadable {
            self.findings.push(finding);
        }
        self.failed = true;
    }

    pub(super) fn skip_statement(&mut self) {
        self.at = self.tokens.len() - 1;
    }

    pub(super) fn expected(&mut self, what: &str) {
        let token = self.peek().clone();
        let found = token.kind.describe();
        let mut finding =
            Diagnostic::error(Code::Syntax, self.source, token.span, format!("expected {what}, found {found}"))
                .here(format!("expected {what}"));
        match token.kind {
            TokenKind::Mark("=") => {
                finding = finding.help("`=` defines a symbol; to compare, write `is`, `<=` or `>=`");
            }
            TokenKind::Mark("<=" | ">=" | "<" | ">") => {
                finding = finding.help("a check stands in a `verify` block, a condition of validity behind `require`");
            }
            TokenKind::Number(_) if what == "a unit" => finding = finding.help(NO_UNIT),
            TokenKind::Name(word) if what.contains("the name") && KEYWORDS.contains(&word.as_str()) => {
                finding = finding.help(format!("`{word}` is a word of the language: choose another name"));
            }
            _ => {}
        }
        self.fail(finding);
    }

    pub(super) fn expect_mark(&mut self, mark: &'static str) -> Span {
        if self.at_mark(mark) {
            return self.next().span;
        }
        self.expected(&format!("`{mark}`"));
        self.peek().span
    }

    pub(super) fn expect_name(&mut self, what: &str) -> Option<Name> {
        let token = self.peek().clone();
        match token.kind {
            TokenKind::Name(name) if !KEYWORDS.contains(&name.as_str()) => {
                self.next();
                Some(Spanned::new(name, token.span))
            }
            _ => {
                self.expected(what);
                None
            }
        }
    }

    /// Whether a label in quotes is next, which a colon tells from a description.
    pub(super) fn at_quoted_label(&self) -> bool {
        let is_text = matches!(self.peek().kind, TokenKind::Text(_));
        is_text && matches!(self.tokens[self.index(1)].kind, TokenKind::Mark(":"))
    }

    /// The label of a row: a name, a number, or several of them with hyphens between, such as `TW-07`; in quotes also
    /// several labels with blanks between, as pairs of tables have them: `"B3 A7"`.
    ///
    /// A colon always follows, and nothing is subtracted from what no blank parts from it, so that nothing else can be meant.
    pub(super) fn expect_label(&mut self) -> Option<Name> {
        if self.at_quoted_label() {
            let label = self.parse_text()?;
            if label.node.split(' ').all(is_label) {
                return Some(label);
            }
            let message = format!("`{}` cannot be the label of a row", label.node);
            let finding = Diagnostic::error(Code::Syntax, self.source, label.span, message);
            self.fail(finding.help("in quotes a label holds several labels, with one blank between them: \"B3 A7\""));
            return None;
        }
        let mut span = self.peek().span;
        let is_part = |kind: &TokenKind| {
            matches!(kind, TokenKind::Name(_) | TokenKind::Number(_) | TokenKind::Unit(_) | TokenKind::Mark("-"))
        };
        let first = self.peek().kind.clone();
        let mut count = 0;
        while is_part(&self.peek().kind) && (count == 0 || self.peek().span.start == span.end) {
            span = span.to(self.next().span);
            count += 1;
        }
        let written = self.source.text.get(span.start as usize..span.end as usize).unwrap_or_default();
        match first {
            TokenKind::Number(digits) if count == 1 => Some(Spanned::new(digits, span)),
            TokenKind::Name(name) if count == 1 && !KEYWORDS.contains(&name.as_str()) => Some(Spanned::new(name, span)),
            TokenKind::Name(_) | TokenKind::Number(_) if count > 1 && is_label(written) => {
                Some(Spanned::new(written.to_owned(), span))
            }
            _ => {
                let message = match count {
                    0 => format!("expected the row's label, found {}", first.describe()),
                    _ => format!("`{written}` cannot be the label of a row"),
                };
                let finding =
                    Diagnostic::error(Code::Syntax, self.source, span, message).here("expected the row's label");
                self.fail(
                    finding.help("a label holds letters, digits and underscores, with single hyphens between them"),
                );
                None
            }
        }
    }

    pub(super) fn parse_unit(&mut self) -> Option<Spanned<String>> {
        let token = self.peek().clone();
        let TokenKind::Unit(text) = token.kind else { return None };
        self.next();
        Some(Spanned::new(text, token.span))
    }

    pub(super) fn expect_unit(&mut self) -> Option<Spanned<String>> {
        let unit = self.parse_unit();
        if unit.is_none() {
            self.expected("a unit");
        }
        unit
    }

    pub(super) fn parse_text(&mut self) -> Option<Spanned<String>> {
        let token = self.peek().clone();
        let TokenKind::Text(text) = token.kind else { return None };
        self.next();
        Some(Spanned::new(text, token.span))
    }

    pub(super) fn expect_end(&mut self) {
        if !self.failed && self.peek().kind != TokenKind::End {
            let token = self.peek().clone();
            let mut finding = Diagnostic::error(
                Code::Syntax,
                self.source,
                token.span,
                format!("{} does not belong here", token.kind.describe()),
            )
            .here("the statement could end before this");
            let before = self.source.text.get(..token.span.start as usize).unwrap_or_default();
            let is_behind_in = before.trim_end().ends_with(" in");
            match token.kind {
                TokenKind::Number(_) if is_behind_in => {
                    finding = finding.help(NO_UNIT);
                }
                TokenKind::Name(_) | TokenKind::Number(_) | TokenKind::Mark("(") => {
                    finding =
                        finding.help("a product is written with `*`, and each statement starts on a line of its own");
                }
                TokenKind::Mark(",") => {
                    finding = finding.help("the decimal sign is the point, as in `1.5`; a list stands in brackets");
                }
                _ => {}
            }
            self.fail(finding);
        }
    }

    pub(super) fn at_line_break(&self) -> bool {
        self.peek().kind == TokenKind::LineBreak
    }
}

/// What is said where a number stands in the place of a unit.
const NO_UNIT: &str = "a plain number has no unit: leave out `in` and what stands behind it";

/// Whether a text is one label: letters, digits and underscores, with single hyphens between them.
fn is_label(text: &str) -> bool {
    text.split('-').all(|part| !part.is_empty() && part.chars().all(|c| c.is_alphanumeric() || c == '_'))
}
