//! Cards: pages for the site whose words stand in a TOML file, and whose numbers come from a calculation.
//!
//! `{T_inst}` in any of the words is a value of the sheet that uses the card, or of the data that the sheet names; where
//! there is none the card says that it is open, and nobody guesses.

use super::Origin;
use crate::diagnostic::{Code, Diagnostic};
use crate::document::broken_toml;
use crate::text::SourceFile;
use serde::Deserialize;
use std::sync::{Arc, OnceLock};

/// One card.
#[derive(Debug)]
pub struct Card {
    /// Its path, such as `en-1992-4/expansion-anchor`.
    pub path: String,
    /// Where it comes from.
    pub origin: Origin,
    /// Its text.
    pub source: Arc<SourceFile>,
    read: OnceLock<(CardText, Vec<Diagnostic>)>,
}

/// What a card says.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CardText {
    /// What it is.
    pub title: String,
    /// What its words were taken from.
    pub basis: String,
    /// Whether it shows where the fasteners stand.
    #[serde(default)]
    pub plan: bool,
    /// The table whose rows the plan marks among the fasteners, such as those to be tested.
    #[serde(default)]
    pub marked: Option<String>,
    /// The word that stands beside what is marked.
    #[serde(default)]
    pub mark: Option<String>,
    /// What stands in large type.
    #[serde(default)]
    pub values: Vec<CardValue>,
    /// What stands below, in order.
    #[serde(default)]
    pub sections: Vec<CardSection>,
}

/// A value in large type.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CardValue {
    /// What it is.
    pub label: String,
    /// The value: words with symbols in braces.
    pub text: String,
}

/// A list with a heading.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CardSection {
    /// The heading.
    pub title: String,
    /// Whether its items are done one after the other.
    #[serde(default)]
    pub numbered: bool,
    /// Whether it warns.
    #[serde(default)]
    pub warning: bool,
    /// Whether each item has a line to sign on.
    #[serde(default)]
    pub signed: bool,
    /// The items: words with symbols in braces.
    pub items: Vec<String>,
}

/// A piece of a card's words.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub enum Piece<'a> {
    /// Words as they are.
    Words(&'a str),
    /// The symbol of a value.
    Symbol(&'a str),
}

impl Card {
    pub(super) fn new(path: &str, origin: Origin, source: Arc<SourceFile>) -> Arc<Self> {
        Arc::new(Self { path: path.to_owned(), origin, source, read: OnceLock::new() })
    }

    /// What it says, with what is wrong in it.
    pub fn text(&self) -> (&CardText, &[Diagnostic]) {
        let (text, findings) = self.read.get_or_init(|| match toml::from_str(&self.source.text) {
            Ok(text) => (text, Vec::new()),
            Err(error) => (CardText::default(), vec![broken_toml(Code::BadData, &self.source, 0, "this card", &error)]),
        });
        (text, findings)
    }
}

impl CardText {
    /// The symbols that its words name, each once, in their order.
    pub fn symbols(&self) -> Vec<&str> {
        let marked = self.marked.as_deref().map(Piece::Symbol);
        let values = self.values.iter().map(|value| value.text.as_str());
        let items = self.sections.iter().flat_map(|section| section.items.iter().map(String::as_str));
        let mut symbols: Vec<&str> = Vec::new();
        for piece in values.chain(items).flat_map(pieces).chain(marked) {
            if let Piece::Symbol(symbol) = piece
                && !symbols.contains(&symbol)
            {
                symbols.push(symbol);
            }
        }
        symbols
    }
}

/// Words and symbols in turn; a brace that is not closed is part of the words.
pub fn pieces(text: &str) -> Vec<Piece<'_>> {
    let mut pieces = Vec::new();
    let mut rest = text;
    while let Some(open) = rest.find('{') {
        let Some(length) = rest[open..].find('}') else { break };
        if open > 0 {
            pieces.push(Piece::Words(&rest[..open]));
        }
        pieces.push(Piece::Symbol(rest[open + 1..open + length].trim()));
        rest = &rest[open + length + 1..];
    }
    if !rest.is_empty() {
        pieces.push(Piece::Words(rest));
    }
    pieces
}
