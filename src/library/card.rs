//! Cards: pages for the site whose words stand in a TOML file, and whose numbers come from a calculation.
//!
//! `{T_inst}` in any of the words is a value of the sheet that uses the card, or of the data that the sheet names; where
//! there is none the card says that it is open, and nobody guesses. [`Form`] says what else can stand in braces, and a
//! question mark, `{h_ELV?}`, leaves the whole item away where there is no value.

use super::Origin;
use crate::diagnostic::{Code, Diagnostic};
use crate::document::broken_toml;
use crate::text::SourceFile;
use serde::Deserialize;
use std::collections::BTreeMap;
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
    /// Whether its values are those of records after `from`, and no others: nobody gives a count by hand.
    #[serde(default)]
    pub from_records: bool,
    /// The families of product data that it is for; any where it names none.
    #[serde(default)]
    pub families: Vec<String>,
    /// What has to be zero for the card to be of use.
    #[serde(default)]
    pub for_use: Vec<CardCondition>,
    /// What symbols are called where they are open, beside the labels of `values`.
    #[serde(default)]
    pub names: BTreeMap<String, String>,
    /// What stands in large type.
    #[serde(default)]
    pub values: Vec<CardValue>,
    /// What stands below, in order.
    #[serde(default)]
    pub sections: Vec<CardSection>,
}

/// A count that has to be zero.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CardCondition {
    /// Its symbol.
    pub zero: String,
    /// What is said where it is not: words with symbols in braces.
    pub text: String,
}

/// A value in large type.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CardValue {
    /// What it is.
    pub label: String,
    /// The value: words with symbols in braces.
    pub text: String,
    /// What has to be known beside it, in smaller type behind the label.
    #[serde(default)]
    pub note: String,
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
    /// What is written on each of these lines, where it is more than initials and time.
    #[serde(default)]
    pub fields: Vec<String>,
    /// The items: words with symbols in braces.
    pub items: Vec<String>,
}

/// A piece of a card's words.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub enum Piece<'a> {
    /// Words as they are.
    Words(&'a str),
    /// The symbol of a value.
    Symbol(Place<'a>),
}

/// Where a value stands in a card's words.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub struct Place<'a> {
    /// Its symbol.
    pub symbol: &'a str,
    /// What of it is meant.
    pub form: Form<'a>,
    /// Whether the item is left away where there is none.
    pub is_optional: bool,
}

/// What of a symbol stands in a place.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub enum Form<'a> {
    /// Its value: `{T_inst}`.
    Value,
    /// Its value, unless that is zero, which is as good as none: `{t_grout:some?}`.
    Some,
    /// The words of its line: `{f_ck:words}`.
    Words,
    /// How many rows a table has: `{tested:count}`.
    Count,
    /// A row of a table; the item stands once for each: `{tested:each}`.
    Each,
    /// The least and the greatest value that a tolerance allows: `{T_inst±T_tol}`.
    Between(&'a str),
    /// The greatest value that a tolerance allows: `{T_inst+T_tol}`.
    AtMost(&'a str),
}

impl<'a> Place<'a> {
    fn new(text: &'a str) -> Self {
        let text = text.trim();
        let (text, is_optional) = text.strip_suffix('?').map_or((text, false), |text| (text.trim(), true));
        let (symbol, form) = match text.split_once([':', '±', '+']) {
            Some((symbol, rest)) => {
                let form = match (text[symbol.len()..].chars().next(), rest.trim()) {
                    (Some('±'), tolerance) => Some(Form::Between(tolerance)),
                    (Some('+'), tolerance) => Some(Form::AtMost(tolerance)),
                    (_, "some") => Some(Form::Some),
                    (_, "words") => Some(Form::Words),
                    (_, "count") => Some(Form::Count),
                    (_, "each") => Some(Form::Each),
                    _ => None,
                };
                // What no form is called stays part of the symbol, which nothing then fills.
                form.map_or((text, Form::Value), |form| (symbol, form))
            }
            None => (text, Form::Value),
        };
        Self { symbol: symbol.trim(), form, is_optional }
    }

    /// The symbols whose values it needs.
    pub fn symbols(self) -> impl Iterator<Item = &'a str> {
        std::iter::once(self.symbol).chain(self.tolerance())
    }

    /// The symbol of its tolerance.
    pub fn tolerance(self) -> Option<&'a str> {
        match self.form {
            Form::Between(tolerance) | Form::AtMost(tolerance) => Some(tolerance),
            Form::Value | Form::Some | Form::Words | Form::Count | Form::Each => None,
        }
    }
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
        let mut symbols: Vec<&str> = Vec::new();
        let named = self.places().flat_map(Place::symbols);
        for symbol in named.chain(self.for_use.iter().map(|condition| condition.zero.as_str())) {
            if !symbols.contains(&symbol) {
                symbols.push(symbol);
            }
        }
        symbols
    }

    /// Every place for a value.
    pub fn places(&self) -> impl Iterator<Item = Place<'_>> {
        let marked = self.marked.as_deref().map(Place::new);
        let values = self.values.iter().flat_map(|value| [value.text.as_str(), value.note.as_str()]);
        let items = self.sections.iter().flat_map(|section| section.items.iter().map(String::as_str));
        let conditions = self.for_use.iter().map(|condition| condition.text.as_str());
        let pieces = values.chain(items).chain(conditions).flat_map(pieces);
        let places = pieces.filter_map(|piece| match piece {
            Piece::Symbol(place) => Some(place),
            Piece::Words(_) => None,
        });
        places.chain(marked)
    }

    /// Whether the card cannot do without the value of a symbol.
    pub fn needs(&self, symbol: &str) -> bool {
        self.for_use.iter().any(|condition| condition.zero == symbol)
            || self.places().any(|place| place.symbols().any(|name| name == symbol) && !place.is_optional)
    }

    /// What a symbol is called where it is open: by its name, else by the label beside it; nothing where it has neither.
    pub fn name_of(&self, symbol: &str) -> Option<&str> {
        let is_in = |text: &str| {
            pieces(text)
                .into_iter()
                .any(|piece| matches!(piece, Piece::Symbol(place) if place.symbols().any(|name| name == symbol)))
        };
        let label = self.values.iter().find(|value| is_in(&value.text)).map(|value| value.label.as_str());
        self.names.get(symbol).map(String::as_str).or(label)
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
        pieces.push(Piece::Symbol(Place::new(&rest[open + 1..open + length])));
        rest = &rest[open + length + 1..];
    }
    if !rest.is_empty() {
        pieces.push(Piece::Words(rest));
    }
    pieces
}
