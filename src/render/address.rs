//! Addresses of lines on a page: stable names where there is a symbol, so that links survive inserted lines.
//!
//! A line of the sheet has the name of its symbol; one of a clause has the clause's name before it, with a number
//! where a clause is used more than once: `cone-factors-2.psi_s_N`.

use crate::compile::{Line, LineId, Scope, ScopeId, Work};
use crate::evaluate::Trace;
use std::collections::HashMap;
use std::fmt::Write;

/// The address of every line and scope.
#[derive(Clone, Debug)]
pub struct Addresses {
    lines: Vec<String>,
    scopes: Vec<String>,
}

impl Addresses {
    /// Addresses for all lines of a trace.
    pub fn new(trace: &Trace) -> Self {
        let notes = &trace.compiled.notes;
        let clauses: Vec<&str> = notes.scopes.iter().map(clause_name).collect();
        let scopes: Vec<String> = (0..clauses.len())
            .map(|at| match clauses[..at].iter().filter(|earlier| **earlier == clauses[at]).count() {
                0 => format!("clause-{}", clauses[at]),
                earlier => format!("clause-{}-{}", clauses[at], earlier + 1),
            })
            .collect();
        let mut lines = vec![String::new(); notes.lines.len()];
        let mut taken: HashMap<String, u32> = HashMap::with_capacity(notes.lines.len());
        for id in &trace.order {
            let line = notes.line(*id);
            let mut name = String::with_capacity(32);
            if line.scope != ScopeId(0) {
                name.push_str(&scopes[line.scope.0 as usize]["clause-".len()..]);
                name.push('.');
            }
            write_name(&mut name, trace, line);
            let address = &mut lines[id.0 as usize];
            address.push_str(&name);
            let count = taken.entry(name).or_insert(0);
            *count += 1;
            if *count > 1 {
                let _ = write!(address, "-{count}");
            }
        }
        Self { lines, scopes }
    }

    /// No address for any line, where the page that they stand on is another one.
    pub fn none() -> Self {
        Self { lines: Vec::new(), scopes: Vec::new() }
    }

    /// The address of a line, without `#`.
    pub fn line(&self, id: LineId) -> &str {
        self.lines.get(id.0 as usize).map_or("", String::as_str)
    }

    /// The address of a clause's working, without `#`.
    pub fn scope(&self, id: ScopeId) -> &str {
        self.scopes.get(id.0 as usize).map_or("", String::as_str)
    }
}

/// The last part of the path of a clause, or of a calculation that is made again; nothing for the sheet.
fn clause_name(scope: &Scope) -> &str {
    let clause = scope.clause.as_ref().map(|clause| clause.path.as_str());
    let path = clause.or(scope.recalculation.as_ref().and_then(|made| made.path.strip_suffix(".md")));
    path.and_then(|path| path.rsplit('/').next()).unwrap_or("")
}

fn write_name(name: &mut String, trace: &Trace, line: &Line) {
    match (&line.work, &line.symbol) {
        // Values of two data files may have one name.
        (Work::FromData(file), Some(symbol)) => {
            name.push_str(trace.compiled.notes.line(*file).symbol.as_deref().unwrap_or("data"));
            name.push('.');
            name.push_str(symbol);
        }
        (_, Some(symbol)) => name.push_str(symbol),
        (Work::Use(used), None) => {
            name.push_str("use-");
            name.push_str(clause_name(trace.compiled.notes.scope(*used)));
        }
        (Work::Check(_), None) => name.push_str("check"),
        (Work::Require { .. }, None) => name.push_str("require"),
        (Work::Figure, None) => name.push_str("figure"),
        (_, None) => name.push_str("line"),
    }
}
