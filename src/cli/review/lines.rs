//! From what was typed to lines: a number, a range of numbers, an address, or the address of a clause's working.

use crate::cli::exit::Failure;
use crate::compile::{LineId, ScopeId, Work};
use crate::diagnostic::nearest;
use crate::evaluate::Trace;
use crate::render::address::Addresses;
use crate::review::{Action, LineReview, Marks, Tick, state};

/// The lines that were named, each once; of ranges and clauses those that the action concerns.
pub(super) fn lines(
    trace: &Trace,
    marks: &Marks,
    action: Action,
    named: &[String],
    who: &str,
) -> Result<Vec<LineId>, Failure> {
    let addresses = Addresses::new(trace);
    let review = state(trace, marks);
    let mut found = Vec::new();
    for name in named {
        let many = match one(trace, &addresses, name)? {
            Named::Line(line) => vec![line],
            Named::Many(mut many) => {
                many.retain(|line| concerns(review.line(*line), action, who));
                many
            }
        };
        if many.is_empty() {
            return Err(Failure::usage(format!("in `{name}` there is no line {}", wanting(action))));
        }
        found.extend(many.into_iter().filter(|line| !found.contains(line)).collect::<Vec<_>>());
    }
    Ok(found)
}

enum Named {
    Line(LineId),
    Many(Vec<LineId>),
}

fn one(trace: &Trace, addresses: &Addresses, name: &str) -> Result<Named, Failure> {
    let name = name.trim_start_matches('#');
    let notes = &trace.compiled.notes;
    let shown = || trace.order.iter().copied().filter(|id| !matches!(notes.line(*id).work, Work::Figure));
    let last = shown().count() as u32;
    let no_line = |number: u32| {
        Failure::usage(format!("there is no line {number}")).help(format!("lines are numbered from 1 to {last}"))
    };
    if let Ok(number) = name.parse::<u32>() {
        let line = shown().find(|id| trace.number(*id) == number);
        return line.map(Named::Line).ok_or_else(|| no_line(number));
    }
    if let Some((Ok(first), Ok(end))) = name.split_once('-').map(|(a, b)| (a.parse::<u32>(), b.parse::<u32>())) {
        for number in [first, end] {
            if !(1..=last).contains(&number) {
                return Err(no_line(number));
            }
        }
        return Ok(Named::Many(shown().filter(|id| (first..=end).contains(&trace.number(*id))).collect()));
    }
    if let Some(line) = shown().find(|id| addresses.line(*id) == name) {
        return Ok(Named::Line(line));
    }
    let scopes = || (1..notes.scopes.len() as u32).map(ScopeId);
    if let Some(scope) = scopes().find(|scope| addresses.scope(*scope) == name) {
        return Ok(Named::Many(shown().filter(|id| is_within(trace, notes.line(*id).scope, scope)).collect()));
    }
    let names = shown().map(|id| addresses.line(id)).chain(scopes().map(|scope| addresses.scope(scope)));
    let failure = Failure::usage(format!("there is no line `{name}`"));
    Err(match nearest(name, names) {
        Some(near) => failure.help(format!("did you mean `{near}`?")),
        None => failure.help("`soleplate review SHEET` lists lines with their numbers and addresses"),
    })
}

fn is_within(trace: &Trace, mut scope: ScopeId, of: ScopeId) -> bool {
    while scope != of {
        match trace.compiled.notes.scope(scope).parent {
            Some(parent) => scope = parent,
            None => return false,
        }
    }
    true
}

/// Whether an action that names many lines means this one.
fn concerns(line: &LineReview, action: Action, who: &str) -> bool {
    match action {
        Action::Tick => line.needs_tick,
        Action::Untick => matches!(&line.tick, Tick::Holds(ticks) if ticks.iter().any(|tick| tick.who == who)),
        Action::Accept => line.inherited.is_some(),
        Action::Close | Action::Answer => line.open_thread().is_some(),
        Action::Query => true,
    }
}

fn wanting(action: Action) -> &'static str {
    match action {
        Action::Tick => "that needs a tick",
        Action::Untick => "with a tick of this name that holds",
        Action::Accept => "with an inherited value that is not confirmed",
        Action::Close | Action::Answer => "with a query that is not closed",
        Action::Query => "to ask about",
    }
}
