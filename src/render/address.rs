//! Addresses of lines on a page: stable names where there is a symbol, so that links survive inserted lines.

use crate::compile::{LineId, ScopeId, Work};
use crate::evaluate::Trace;
use std::collections::BTreeMap;

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
        let mut lines = vec![String::new(); notes.lines.len()];
        let mut taken: BTreeMap<String, u32> = BTreeMap::new();
        for id in &trace.order {
            let line = notes.line(*id);
            let scope = &notes.scope(line.scope).path;
            let name = match (&line.work, &line.symbol) {
                // Values of two data files may have one name.
                (Work::FromData(file), Some(symbol)) => {
                    let file = notes.line(*file).symbol.as_deref().unwrap_or("data");
                    format!("{file}.{symbol}")
                }
                (_, Some(symbol)) => symbol.clone(),
                (Work::Use(used), None) => format!("use-{}", notes.scope(*used).path.rsplit('.').next().unwrap_or("")),
                (Work::Check(_), None) => "check".to_owned(),
                (Work::Require { .. }, None) => "require".to_owned(),
                (Work::Figure, None) => "figure".to_owned(),
                (_, None) => "line".to_owned(),
            };
            let name = if scope.is_empty() { name } else { format!("{scope}.{name}") };
            let count = taken.entry(name.clone()).or_insert(0);
            *count += 1;
            lines[id.0 as usize] = if *count == 1 { name } else { format!("{name}-{count}") };
        }
        let scopes = notes.scopes.iter().map(|scope| format!("clause-{}", scope.path)).collect();
        Self { lines, scopes }
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
