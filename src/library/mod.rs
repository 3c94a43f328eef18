//! Clauses, families of product data and data in memory: those shipped in the binary, and those of a package, which go
//! first.
//!
//! 1. [`Library`] holds clauses and families by path and parses each once, when it is first used;
//! 2. [`data`] reads data files (TOML) into named values with their sources;
//! 3. [`family`] reads which values a kind of fastener has, and [`conform`] holds a data file against it;
//! 4. [`json_schema`] says the same to editors.
//!
//! Nothing here reads a disk: a package hands its own clauses, families and data in as text.

mod card;
mod conform;
mod data;
mod family;
mod json_schema;
#[cfg(test)]
mod tests;

pub use card::{Card, CardCondition, CardSection, CardText, CardValue, Form, Piece, Place, pieces};
pub use data::{DataEntry, DataFile, read_data};
pub use family::{Family, Field, FieldKind, Range, Schema};
pub use json_schema::json_schema;

use crate::diagnostic::Diagnostic;
use crate::document::read_front_matter;
use crate::syntax::{Sheet, read_sheet};
use crate::text::SourceFile;
use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

include!(concat!(env!("OUT_DIR"), "/shipped.rs"));

/// Where a clause or a family comes from.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub enum Origin {
    /// The library in the binary.
    Shipped,
    /// The package's folder `clauses/`.
    Package,
    /// The package's folder `clauses/`, in the place of one that is shipped.
    Override,
}

/// A sheet that others use: a clause, or a calculation that is made again.
#[derive(Debug)]
pub struct Clause {
    /// Its path, such as `en-1992-4/concrete-cone`.
    pub path: String,
    /// Where it comes from.
    pub origin: Origin,
    /// Its text.
    pub source: Arc<SourceFile>,
    read: OnceLock<(Sheet, Vec<Diagnostic>)>,
}

impl Clause {
    fn new(path: String, origin: Origin, source: Arc<SourceFile>) -> Arc<Self> {
        Arc::new(Self { path, origin, source, read: OnceLock::new() })
    }

    /// A calculation of a package, which another one uses by its path with the ending.
    pub fn calculation(path: &str, source: Arc<SourceFile>) -> Arc<Self> {
        Self::new(path.to_owned(), Origin::Package, source)
    }

    /// Its sheet, with what is wrong in it.
    pub fn sheet(&self) -> (&Sheet, &[Diagnostic]) {
        let (sheet, findings) = self.read.get_or_init(|| read_sheet(&self.source));
        (sheet, findings)
    }
}

/// A failure mode of a standard, as the clauses that show it name it.
#[derive(Clone, Debug, Eq, PartialEq)]
pub struct Mode {
    /// The standard.
    pub standard: String,
    /// Its clause.
    pub clause: String,
    /// The mode.
    pub name: String,
}

/// Clauses and families of product data by path.
#[derive(Clone, Debug)]
pub struct Library {
    clauses: BTreeMap<String, Arc<Clause>>,
    families: BTreeMap<String, Arc<Family>>,
    cards: BTreeMap<String, Arc<Card>>,
    /// Data in the place of what is in the binary.
    data: BTreeMap<String, Arc<SourceFile>>,
    modes: OnceLock<Arc<[Mode]>>,
}

impl Library {
    /// The clauses and families in the binary.
    pub fn shipped() -> Self {
        let clauses = SHIPPED
            .iter()
            .map(|(path, text)| {
                let source = SourceFile::new(format!("{path}.md"), *text);
                ((*path).to_owned(), Clause::new((*path).to_owned(), Origin::Shipped, source))
            })
            .collect();
        let families = SHIPPED_FAMILIES
            .iter()
            .map(|(path, text)| {
                let source = SourceFile::new(format!("{path}.toml"), *text);
                ((*path).to_owned(), Family::new(path, Origin::Shipped, source))
            })
            .collect();
        let cards = SHIPPED_CARDS
            .iter()
            .map(|(path, text)| {
                let source = SourceFile::new(format!("{path}.toml"), *text);
                ((*path).to_owned(), Card::new(path, Origin::Shipped, source))
            })
            .collect();
        Self { clauses, families, cards, data: BTreeMap::new(), modes: OnceLock::new() }
    }

    /// Adds a package's clause; it goes before one that is shipped under the same path.
    pub fn add(&mut self, path: &str, source: Arc<SourceFile>) {
        let origin = own(self.clauses.get(path).map(|clause| clause.origin));
        self.clauses.insert(path.to_owned(), Clause::new(path.to_owned(), origin, source));
        self.modes = OnceLock::new();
    }

    /// Adds a package's family of product data; it goes before one that is shipped under the same path.
    pub fn add_family(&mut self, path: &str, source: Arc<SourceFile>) {
        let origin = own(self.families.get(path).map(|family| family.origin));
        self.families.insert(path.to_owned(), Family::new(path, origin, source));
    }

    /// Puts another text in the place of one in the binary, as another version of this program ships it: a clause or a
    /// family by its path with the ending, data behind `data `, a card behind `card `.
    pub fn replace_shipped(&mut self, name: &str, source: Arc<SourceFile>) {
        if let Some(path) = name.strip_suffix(".md") {
            self.clauses.insert(path.to_owned(), Clause::new(path.to_owned(), Origin::Shipped, source));
            self.modes = OnceLock::new();
        } else if let Some(path) = name.strip_prefix("data ") {
            self.data.insert(path.to_owned(), source);
        } else if let Some(path) = name.strip_prefix("card ") {
            self.cards.insert(path.to_owned(), Card::new(path, Origin::Shipped, source));
        } else if let Some(path) = name.strip_suffix(".toml") {
            self.families.insert(path.to_owned(), Family::new(path, Origin::Shipped, source));
        }
    }

    /// The data of a public standard, by a path such as `en-10365/heb-200`.
    pub fn data(&self, path: &str) -> Option<Arc<SourceFile>> {
        self.data.get(path).cloned().or_else(|| Self::shipped_data(path))
    }

    /// The data of a public standard in the binary, by a path such as `en-10365/heb-200`.
    pub fn shipped_data(path: &str) -> Option<Arc<SourceFile>> {
        let (path, text) = SHIPPED_DATA.iter().find(|(shipped, _)| *shipped == path)?;
        Some(SourceFile::new(format!("{path}.toml"), *text))
    }

    /// The paths of all data of public standards in the binary, in order.
    pub fn shipped_data_paths() -> impl Iterator<Item = &'static str> {
        SHIPPED_DATA.iter().map(|(path, _)| *path)
    }

    /// Adds a package's card; it goes before one that is shipped under the same path.
    pub fn add_card(&mut self, path: &str, source: Arc<SourceFile>) {
        let origin = own(self.cards.get(path).map(|card| card.origin));
        self.cards.insert(path.to_owned(), Card::new(path, origin, source));
    }

    /// The card of a path, such as `en-1992-4/expansion-anchor`.
    pub fn card(&self, path: &str) -> Option<&Arc<Card>> {
        self.cards.get(path)
    }

    /// All cards in the order of their paths.
    pub fn cards(&self) -> impl Iterator<Item = &Arc<Card>> {
        self.cards.values()
    }

    /// The family of a path.
    pub fn family(&self, path: &str) -> Option<&Arc<Family>> {
        self.families.get(path)
    }

    /// All families in the order of their paths.
    pub fn families(&self) -> impl Iterator<Item = &Arc<Family>> {
        self.families.values()
    }

    /// Every failure mode that a clause shows, each once, in the order of the standards' clauses.
    pub fn modes(&self) -> &Arc<[Mode]> {
        self.modes.get_or_init(|| {
            let mut modes: Vec<Mode> = Vec::new();
            // Most clauses of the library are never used by a package: only what they show is read of them here.
            for clause in self.clauses.values().filter(|clause| clause.source.text.contains("shows")) {
                let front = read_front_matter(&clause.source);
                for name in &front.shows {
                    if !modes.iter().any(|mode| mode.standard == front.standard && mode.name == *name) {
                        let (standard, clause) = (front.standard.clone(), front.clause.clone());
                        modes.push(Mode { standard, clause, name: name.clone() });
                    }
                }
            }
            modes.sort_by_cached_key(|mode| (mode.standard.clone(), place_of(&mode.clause), mode.name.clone()));
            modes.into()
        })
    }

    /// Adds a clause whose file cannot be read, so that its users are told why.
    pub fn add_unreadable(&mut self, path: &str, source: Arc<SourceFile>, finding: Diagnostic) {
        self.add(path, source.clone());
        if let Some(clause) = self.clauses.get(path) {
            let (sheet, _) = read_sheet(&source);
            // Nothing has read it yet.
            let _ = clause.read.set((sheet, vec![finding]));
        }
    }

    /// The clause of a path.
    pub fn clause(&self, path: &str) -> Option<&Arc<Clause>> {
        self.clauses.get(path)
    }

    /// All clauses in the order of their paths.
    pub fn clauses(&self) -> impl Iterator<Item = &Arc<Clause>> {
        self.clauses.values()
    }
}

/// Where something of a package comes from, by what stands in its place already.
fn own(before: Option<Origin>) -> Origin {
    match before {
        Some(Origin::Shipped | Origin::Override) => Origin::Override,
        Some(Origin::Package) | None => Origin::Package,
    }
}

/// The place of a clause such as `7.2.1.10` or `C.5` in its standard: annexes come last.
fn place_of(clause: &str) -> Vec<u32> {
    let first = clause.split([',', '(', ' ']).next().unwrap_or("");
    let part = |part: &str| match part.parse() {
        Ok(number) => number,
        Err(_) => part.chars().next().map_or(0, |letter| 10_000 + u32::from(letter)),
    };
    first.split('.').map(part).collect()
}
