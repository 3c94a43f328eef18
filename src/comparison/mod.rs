//! What changed between two calculations, by meaning.
//!
//! 1. [`pair`](mod@pair) finds the line that each line has become, and [`order`] those that stand elsewhere;
//! 2. [`change`](mod@change) says what changed of a line: its digest decides, [`difference`](crate::render::difference) writes old and new;
//! 3. [`words`] looks at front matter, prose and clauses;
//! 4. [`sheets`] puts the calculations of two packages beside each other;
//! 5. [`page`] is what a page shows of it all.
//!
//! What only looks different (spaces, the spelling of units and operators, lines of a file) is no change.

mod change;
mod order;
mod page;
mod pair;
mod sheets;
#[cfg(test)]
mod tests;
mod words;

pub use change::{Kind, LineChange, LineSaid, Side};
pub use page::{clause_rows, page, page_of_one};
pub use sheets::{Beside, beside};
pub use words::{ClauseChange, FieldChange, ProseChange};

use crate::compile::LineId;
use crate::document::Document;
use crate::evaluate::Trace;
use crate::render::address::Addresses;
use crate::render::completeness::completeness;
use crate::render::wording::{Wording, ratio_text};
use crate::review::Part;
use serde::Serialize;
use std::collections::BTreeMap;

/// A calculation as it is compared: its document and its run.
#[derive(Copy, Clone, Debug)]
pub struct Calculation<'a> {
    /// Front matter and prose.
    pub document: &'a Document,
    /// The run.
    pub trace: &'a Trace,
}

/// What changed between two calculations.
#[derive(Clone, Debug, Serialize)]
pub struct Comparison {
    /// How the older one came out.
    pub old: Standing,
    /// How the newer one came out.
    pub new: Standing,
    /// Lines that say something else, the weightiest changes first, then in the order of the newer page.
    pub changes: Vec<LineChange>,
    /// Lines that are gone.
    pub removed: Vec<LineSaid>,
    /// Lines that are new.
    pub added: Vec<LineSaid>,
    /// Lines that stand in another place, as they are now.
    pub moved: Vec<LineSaid>,
    /// Failure modes that are answered in another way.
    pub modes: Vec<ModeChange>,
    /// Clauses that differ.
    pub clauses: Vec<ClauseChange>,
    /// Keys of the front matter that differ.
    pub front: Vec<FieldChange>,
    /// Prose that differs.
    pub prose: ProseChange,
}

/// How a calculation came out.
#[derive(Clone, Debug, Eq, PartialEq, Serialize)]
pub struct Standing {
    /// Identification number.
    pub number: String,
    /// Title.
    pub title: String,
    /// Revision.
    pub revision: String,
    /// Verdict.
    pub verdict: &'static str,
    /// The name of the governing check; empty where nothing is checked.
    pub governing: String,
    /// Its ratio as shown.
    pub ratio: String,
}

/// A failure mode that is answered in another way; *no answer* where its standard is not in use.
#[derive(Clone, Debug, Eq, PartialEq, Serialize)]
pub struct ModeChange {
    /// The standard.
    pub standard: String,
    /// The mode.
    pub mode: String,
    /// What the answer was.
    pub old: String,
    /// What it is.
    pub new: String,
}

impl Comparison {
    /// Whether both calculations say the same.
    pub fn is_equal(&self) -> bool {
        self.changes.is_empty()
            && self.removed.is_empty()
            && self.added.is_empty()
            && self.moved.is_empty()
            && self.modes.is_empty()
            && self.clauses.is_empty()
            && self.front.is_empty()
            && self.prose.is_empty()
    }

    /// The revision that both bear although they differ, where they are one calculation: whoever holds that revision
    /// cannot know which of them it is.
    pub fn kept_revision(&self) -> Option<&str> {
        let is_one = self.old.number == self.new.number && self.old.revision == self.new.revision;
        (is_one && !self.is_equal()).then_some(self.new.revision.as_str())
    }

    /// Changes of one kind, and with the formulas those that also flipped something; the same words or formula in several uses of a clause once, with how many there are.
    pub fn of_kind(&self, kind: Kind) -> Vec<(&LineChange, usize)> {
        let mut all: Vec<(&LineChange, usize)> = Vec::new();
        let is_of_kind = |change: &&LineChange| {
            let has_formula = change.parts.contains(&Part::Formula.words()) && !change.is_input;
            change.kind == kind || (kind == Kind::Formula && change.kind == Kind::Flipped && has_formula)
        };
        for change in self.changes.iter().filter(is_of_kind) {
            let is_said_again = change.is_in_clause && matches!(kind, Kind::Formula | Kind::Words);
            let known = all.iter_mut().find(|(other, _)| is_said_again && other.says_the_same(change));
            match known {
                Some((_, count)) => *count += 1,
                None => all.push((change, 1)),
            }
        }
        all
    }

    /// Values that changed in the working of clauses, without those that were only passed on.
    pub fn results_in_clauses(&self) -> impl Iterator<Item = &LineChange> {
        self.changes.iter().filter(|change| change.kind == Kind::Result && change.is_in_clause && !change.is_passed_on)
    }
}

/// What changed between an older and a newer calculation.
pub fn compare(old: Calculation<'_>, new: Calculation<'_>) -> Comparison {
    let addresses = (Addresses::new(old.trace), Addresses::new(new.trace));
    let (before, after) = (Wording::new(old.trace, &addresses.0), Wording::new(new.trace, &addresses.1));
    let pairs = pair::pair(old.trace, new.trace);
    let mut changes: Vec<LineChange> =
        pairs.both.iter().filter_map(|lines| change::change(&before, &after, *lines)).collect();
    changes.sort_by_key(|change| change.kind);
    let said = |wording: &Wording<'_>, ids: &[LineId]| ids.iter().map(|id| change::said(wording, *id)).collect();
    let moved: Vec<LineId> = pairs.moved.iter().map(|(_, now)| *now).collect();
    Comparison {
        old: standing(old, &before),
        new: standing(new, &after),
        changes,
        removed: said(&before, &pairs.removed),
        added: said(&after, &pairs.added),
        moved: said(&after, &moved),
        modes: modes(&before, &after),
        clauses: words::clauses(old.trace, new.trace),
        front: words::fields(&old.document.front, &new.document.front),
        prose: words::prose(old.document, new.document),
    }
}

fn standing(calculation: Calculation<'_>, wording: &Wording<'_>) -> Standing {
    let front = &calculation.document.front;
    let trace = calculation.trace;
    let (governing, ratio) = match wording.governing() {
        Some((id, ratio)) => (change::name(wording, id), ratio_text(ratio)),
        None => (String::new(), String::new()),
    };
    Standing {
        number: front.number.clone(),
        title: front.title.clone(),
        revision: front.revision.clone(),
        verdict: trace.verdict_of_sheet().words(),
        governing,
        ratio,
    }
}

const NO_ANSWER: &str = "no answer";

/// The failure modes whose answers differ, in the order of the newer page, then those of standards no longer in use.
fn modes(old: &Wording<'_>, new: &Wording<'_>) -> Vec<ModeChange> {
    let answers = |wording: &Wording<'_>| -> Vec<((String, String), String)> {
        let tables = completeness(wording);
        let rows = tables.iter().flat_map(|table| table.rows.iter().map(|row| (table.standard.clone(), row)));
        rows.map(|(standard, row)| ((standard, row.mode.clone()), row.answer.clone())).collect()
    };
    let (old, new) = (answers(old), answers(new));
    let find =
        |list: &[((String, String), String)]| -> BTreeMap<(String, String), String> { list.iter().cloned().collect() };
    let (in_old, in_new) = (find(&old), find(&new));
    let gone = old.iter().filter(|(mode, _)| !in_new.contains_key(mode));
    new.iter()
        .chain(gone)
        .filter_map(|(mode, _)| {
            let answer =
                |of: &BTreeMap<(String, String), String>| of.get(mode).cloned().unwrap_or_else(|| NO_ANSWER.to_owned());
            let (old, new) = (answer(&in_old), answer(&in_new));
            (old != new).then(|| ModeChange { standard: mode.0.clone(), mode: mode.1.clone(), old, new })
        })
        .collect()
}
