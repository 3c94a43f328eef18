//! Which line of the newer calculation a line of the older one has become.
//!
//! Scope by scope from the sheet down: lines with a symbol go by their name. Lines without one (checks, conditions,
//! uses of clauses) go to the line of their kind that says the most of the same; those left over are gone or new.
//! The working of a clause is looked at where its use was found again.

use super::order::out_of_order;
use crate::compile::{LineId, Notes, ScopeId, ScopePart, Value, Work};
use crate::document::BlockKind;
use crate::evaluate::Trace;
use crate::review::{LineDigest, Part, digest};
use std::collections::BTreeMap;

/// The lines of two calculations, put beside each other.
#[derive(Debug, Default)]
pub(super) struct Pairs {
    /// Old and new line, in the order of the new calculation.
    pub both: Vec<(LineId, LineId)>,
    /// Lines that are gone; of the use of a clause its line alone.
    pub removed: Vec<LineId>,
    /// Lines that are new; of the use of a clause its line alone.
    pub added: Vec<LineId>,
    /// Lines that stand in another place among their neighbours.
    pub moved: Vec<(LineId, LineId)>,
}

/// Puts the lines of two calculations beside each other.
pub(super) fn pair(old: &Trace, new: &Trace) -> Pairs {
    let mut pairs = Pairs::default();
    if !old.compiled.notes.scopes.is_empty() && !new.compiled.notes.scopes.is_empty() {
        scopes(old, new, ScopeId(0), ScopeId(0), &mut pairs);
    }
    let place = |trace: &Trace| -> BTreeMap<LineId, usize> {
        trace.order.iter().enumerate().map(|(at, id)| (*id, at)).collect()
    };
    let (in_old, in_new) = (place(old), place(new));
    pairs.both.sort_by_key(|(_, id)| in_new.get(id).copied());
    pairs.moved.sort_by_key(|(_, id)| in_new.get(id).copied());
    pairs.removed.sort_by_key(|id| in_old.get(id).copied());
    pairs.added.sort_by_key(|id| in_new.get(id).copied());
    pairs
}

fn scopes(old: &Trace, new: &Trace, of_old: ScopeId, of_new: ScopeId, pairs: &mut Pairs) {
    let (lines, others) = (direct(old, of_old), direct(new, of_new));
    let mut matching = Matching { taken: vec![None; lines.len()], free: vec![true; others.len()] };
    for round in ROUNDS {
        matching.round(&lines, &others, round);
    }
    let mut places = Vec::new();
    for (line, taken) in lines.iter().zip(&matching.taken) {
        match taken {
            None => pairs.removed.push(line.id),
            Some(at) => {
                let other = &others[*at];
                places.push((*at, line.id, other.id));
                pairs.both.push((line.id, other.id));
                let used = |trace: &Trace, id: LineId| match trace.compiled.notes.line(id).work {
                    Work::Use(scope) => Some(scope),
                    _ => None,
                };
                if let (Some(inner), Some(other)) = (used(old, line.id), used(new, other.id)) {
                    scopes(old, new, inner, other, pairs);
                }
            }
        }
    }
    let order: Vec<usize> = places.iter().map(|(at, ..)| *at).collect();
    pairs.moved.extend(out_of_order(&order).into_iter().map(|at| (places[at].1, places[at].2)));
    pairs.added.extend(others.iter().zip(&matching.free).filter(|(_, free)| **free).map(|(line, _)| line.id));
}

/// A line with what it can be known again by.
struct Candidate {
    id: LineId,
    /// Its symbol; nothing for a line without one.
    name: Option<String>,
    /// What it is, and for the use of a clause which.
    kind: String,
    /// The row that the use of a clause takes.
    row: Option<String>,
    has_words: bool,
    digest: LineDigest,
}

/// The lines of a scope itself, in their order.
fn direct(trace: &Trace, scope: ScopeId) -> Vec<Candidate> {
    let notes = &trace.compiled.notes;
    let mut ids = Vec::new();
    for part in &notes.scope(scope).parts {
        match part {
            ScopePart::Lines(_, lines) => ids.extend(lines),
            ScopePart::Use(line, _) => ids.push(*line),
            ScopePart::Figure(at) => ids.push(notes.figures[*at].line),
            ScopePart::Prose(_) | ScopePart::Idle(_) | ScopePart::Card(_) => {}
        }
    }
    ids.into_iter().map(|id| candidate(trace, id)).collect()
}

fn candidate(trace: &Trace, id: LineId) -> Candidate {
    let notes = &trace.compiled.notes;
    let line = notes.line(id);
    let name = match (&line.work, &line.symbol) {
        // Values of two data files may have one name.
        (Work::FromData(file), Some(symbol)) => {
            Some(format!("{}.{symbol}", notes.line(*file).symbol.as_deref().unwrap_or_default()))
        }
        (_, symbol) => symbol.clone(),
    };
    let (kind, row) = match &line.work {
        Work::Use(used) => {
            let path = notes.scope(*used).clause.as_ref().map_or("", |clause| clause.path.as_str());
            (format!("use {path}"), row_taken(notes, *used))
        }
        Work::Check(_) => ("check".to_owned(), None),
        Work::Require { .. } => ("require".to_owned(), None),
        Work::Figure => ("figure".to_owned(), None),
        Work::Given | Work::FromData(_) | Work::Takes(_) | Work::Solved(_) | Work::Derive | Work::Cases(_) => {
            ("value".to_owned(), None)
        }
    };
    Candidate { id, name, kind, row, has_words: !line.description.is_empty(), digest: digest(trace, id) }
}

/// The label of the row that a use of a clause takes.
fn row_taken(notes: &Notes, scope: ScopeId) -> Option<String> {
    let parts = notes.scope(scope).parts.iter();
    let mut taken = parts.filter_map(|part| match part {
        ScopePart::Lines(BlockKind::Clause, lines) => Some(lines),
        _ => None,
    });
    taken.next()?.iter().find_map(|id| match &notes.line(*id).value {
        Value::Row(row) => Some(row.label.clone()),
        _ => None,
    })
}

/// Whether a line is the other one, by one of the signs.
type Round = fn(&Candidate, &Candidate) -> bool;

/// Signs by which a line is known again, the surest first.
const ROUNDS: [Round; 7] = [
    |a, b| a.name.is_some() && a.name == b.name,
    |a, b| is_like(a, b) && a.digest == b.digest,
    |a, b| is_like(a, b) && keeps(a, b, Part::Formula) && keeps(a, b, Part::Description),
    |a, b| is_like(a, b) && keeps(a, b, Part::Formula),
    |a, b| is_like(a, b) && a.has_words && keeps(a, b, Part::Description),
    // The row's label may have been changed, or the way in which the clause is used.
    |a, b| a.kind.starts_with("use ") && a.kind == b.kind,
    // A symbol may have got another name.
    |a, b| a.name.is_some() && b.name.is_some() && a.kind == b.kind && a.has_words && keeps(a, b, Part::Description),
];

fn is_like(a: &Candidate, b: &Candidate) -> bool {
    a.name.is_none() && b.name.is_none() && a.kind == b.kind && a.row == b.row
}

fn keeps(a: &Candidate, b: &Candidate, part: Part) -> bool {
    !a.digest.differing(&b.digest).contains(&part)
}

struct Matching {
    /// For each old line the place of the new one.
    taken: Vec<Option<usize>>,
    /// For each new line whether no old one has taken it.
    free: Vec<bool>,
}

impl Matching {
    fn round(&mut self, lines: &[Candidate], others: &[Candidate], is_same: Round) {
        for (line, taken) in lines.iter().zip(&mut self.taken).filter(|(_, taken)| taken.is_none()) {
            let found = others.iter().zip(&self.free).position(|(other, free)| *free && is_same(line, other));
            if let Some(at) = found {
                self.free[at] = false;
                *taken = Some(at);
            }
        }
    }
}
