//! Clauses and data in memory: those shipped in the binary and those of a package, which go first.
//!
//! 1. [`Library`] holds clauses by path and parses each once, when it is first used;
//! 2. [`data`] reads data files (TOML) into named values with their sources.
//!
//! Nothing here reads a disk: a package hands its own clauses and data in as text.

mod data;
#[cfg(test)]
mod tests;

pub use data::{DataEntry, DataFile, read_data};

use crate::diagnostic::Diagnostic;
use crate::syntax::{Sheet, read_sheet};
use crate::text::SourceFile;
use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};

include!(concat!(env!("OUT_DIR"), "/shipped.rs"));

/// Where a clause comes from.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub enum Origin {
    /// The library in the binary.
    Shipped,
    /// The package's folder `clauses/`.
    Package,
    /// The package's folder `clauses/`, in the place of one that is shipped.
    Override,
}

/// One clause.
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

/// Clauses by path.
#[derive(Clone, Debug)]
pub struct Library {
    clauses: BTreeMap<String, Arc<Clause>>,
    modes: OnceLock<Arc<[Mode]>>,
}

impl Library {
    /// The clauses in the binary.
    pub fn shipped() -> Self {
        let clauses = SHIPPED
            .iter()
            .map(|(path, text)| {
                let source = SourceFile::new(format!("{path}.md"), *text);
                ((*path).to_owned(), Clause::new((*path).to_owned(), Origin::Shipped, source))
            })
            .collect();
        Self { clauses, modes: OnceLock::new() }
    }

    /// Adds a package's clause; it goes before one that is shipped under the same path.
    pub fn add(&mut self, path: &str, source: Arc<SourceFile>) {
        let origin = match self.clauses.get(path).map(|clause| clause.origin) {
            Some(Origin::Shipped | Origin::Override) => Origin::Override,
            _ => Origin::Package,
        };
        self.clauses.insert(path.to_owned(), Clause::new(path.to_owned(), origin, source));
        self.modes = OnceLock::new();
    }

    /// Every failure mode that a clause shows, each once, in the order of the standards' clauses.
    pub fn modes(&self) -> &Arc<[Mode]> {
        self.modes.get_or_init(|| {
            let mut modes: Vec<Mode> = Vec::new();
            for clause in self.clauses.values() {
                let front = &clause.sheet().0.document.front;
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

/// The place of a clause such as `7.2.1.10` or `C.5` in its standard: annexes come last.
fn place_of(clause: &str) -> Vec<u32> {
    let first = clause.split([',', '(', ' ']).next().unwrap_or("");
    let part = |part: &str| match part.parse() {
        Ok(number) => number,
        Err(_) => part.chars().next().map_or(0, |letter| 10_000 + u32::from(letter)),
    };
    first.split('.').map(part).collect()
}
