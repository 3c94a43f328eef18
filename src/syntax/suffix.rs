//! What may stand behind any statement.

use super::cursor::Parser;
use super::token::TokenKind;
use super::tree::*;
use crate::diagnostic::{Code, Diagnostic};
use crate::text::{Span, Spanned};

impl Parser<'_> {
    /// Takes all suffixes that come next; whether there was one.
    pub(super) fn suffix(&mut self, suffix: &mut Suffix, is_check: bool) -> bool {
        let mut any = false;
        while !self.failed {
            let place = self.peek().span;
            let twice = match self.peek().kind.clone() {
                TokenKind::Text(words) => {
                    self.next();
                    suffix.description.replace(Spanned::new(words, place)).is_some()
                }
                TokenKind::Reference(words) => {
                    self.next();
                    let reference = self.reference(&words, place);
                    suffix.reference.replace(reference).is_some()
                }
                TokenKind::Name(word) => match word.as_str() {
                    "in" => {
                        self.next();
                        let Some(unit) = self.expect_unit() else { return any };
                        suffix.unit.replace(unit).is_some()
                    }
                    "to" => {
                        self.next();
                        let Some(figures) = self.figures() else { return any };
                        suffix.figures.replace(figures).is_some()
                    }
                    "within" => {
                        self.next();
                        let low = self.expect_expression();
                        if !self.take_word("to") {
                            self.expected("`to` and the upper limit");
                        }
                        let high = self.expect_expression();
                        suffix.within.replace((low, high)).is_some()
                    }
                    "among" => {
                        self.next();
                        let mut words = Vec::new();
                        while let Some(word) = self.expect_name("a word to choose from") {
                            words.push(word);
                            if !self.take_mark(",") {
                                break;
                            }
                        }
                        suffix.among.replace(words).is_some()
                    }
                    "giving" => {
                        self.next();
                        let Some(giving) = self.giving() else { return any };
                        suffix.giving.replace(giving).is_some()
                    }
                    "when" if is_check => {
                        self.next();
                        let condition = self.expect_expression();
                        if !self.take_word("otherwise") {
                            self.expected("`otherwise` and the reason in quotes");
                        }
                        let Some(reason) = self.parse_text() else {
                            self.expected("the reason in quotes");
                            return any;
                        };
                        // Each condition has its own reason.
                        suffix.applies.push(Applies { condition, reason });
                        false
                    }
                    _ => return any,
                },
                _ => return any,
            };
            any = true;
            if twice {
                let finding =
                    Diagnostic::error(Code::Syntax, self.source, place, "this part stands twice on one statement");
                self.fail(finding.help("leave one of the two out"));
            }
        }
        any
    }

    pub(super) fn figures(&mut self) -> Option<Spanned<usize>> {
        let token = self.peek().clone();
        let count = match &token.kind {
            TokenKind::Number(digits) => digits.parse::<usize>().ok().filter(|n| (1..=15).contains(n)),
            _ => None,
        };
        let Some(count) = count else {
            self.expected("a number of figures from 1 to 15");
            return None;
        };
        self.next();
        if !self.take_word("figures") && !self.take_word("figure") {
            self.expected("`figures`");
        }
        Some(Spanned::new(count, token.span))
    }

    pub(super) fn giving(&mut self) -> Option<Giving> {
        let unit = self.expect_unit()?;
        let mut with = Vec::new();
        if self.take_word("with") {
            loop {
                let name = self.expect_name("the name of a quantity in the formula")?;
                if !self.take_word("in") {
                    self.expected("`in` and a unit");
                }
                with.push((name, self.expect_unit()?));
                // `…, in mm` cannot follow: a comma always leads to the next quantity.
                if !self.take_mark(",") {
                    break;
                }
            }
        } else {
            self.expected("`with` and the quantities that are bare numbers in the formula");
        }
        Some(Giving { unit, with })
    }

    /// Splits a mark in brackets off the end of a reference.
    pub(super) fn reference(&mut self, words: &str, span: Span) -> Reference {
        let mut text = words.to_owned();
        let mut mark = None;
        if let Some(open) = words.rfind('[')
            && let Some(inside) = words[open + 1..].strip_suffix(']')
        {
            let (name, reason) = inside.split_once(':').unwrap_or((inside, ""));
            match MarkKind::ALL.into_iter().find(|kind| kind.words() == name.trim()) {
                Some(kind) => {
                    mark = Some(Mark { kind, reason: reason.trim().to_owned() });
                    text = words[..open].trim_end().to_owned();
                }
                None => {
                    let known: Vec<String> = MarkKind::ALL.iter().map(|kind| format!("`[{}]`", kind.words())).collect();
                    let length = u32::try_from(words.len() - open).unwrap_or(0);
                    let place = Span { start: span.end.saturating_sub(length), ..span };
                    let finding = Diagnostic::error(
                        Code::Syntax,
                        self.source,
                        place,
                        format!("`[{inside}]` is not a mark of a source"),
                    )
                    .help(format!("marks are {}", known.join(", ")));
                    self.fail(finding);
                }
            }
        }
        Reference { text, mark, span }
    }
}
