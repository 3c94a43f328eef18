//! A trace in a few lines for the terminal: what governs, what is not valid, what is not satisfied.

use super::drawing::Drawing;
use super::terminal::plain;
use crate::compile::{Line, ScopeId, Work};
use crate::evaluate::{Trace, Verdict};
use crate::render::address::Addresses;
use crate::render::wording::{Wording, ratio_text};
use crate::syntax::{StatementKind, print_expression};
use std::cmp::Ordering;

/// The check that governs a sheet.
#[derive(Clone, Debug)]
pub(super) struct Governing {
    /// What is checked.
    pub description: String,
    /// Demand over resistance.
    pub ratio: f64,
}

/// What is said of one trace.
pub(super) struct Summary<'a> {
    wording: Wording<'a>,
}

impl<'a> Summary<'a> {
    /// The summary of a trace.
    pub fn new(trace: &'a Trace, addresses: &'a Addresses) -> Self {
        Self { wording: Wording::new(trace, addresses) }
    }

    /// What is not valid first, then what is not satisfied, then the largest ratio.
    pub fn governing(&self) -> Option<Governing> {
        let trace = self.wording.trace;
        let checks = trace.checks().map(|(id, check)| (trace.verdict(id, check), trace.register(check.ratio), id));
        let applying = checks.filter(|(verdict, ..)| *verdict != Verdict::NotApplicable);
        let first = applying.min_by(|a, b| a.0.cmp(&b.0).then(b.1.partial_cmp(&a.1).unwrap_or(Ordering::Equal)))?;
        let (_, ratio, id) = first;
        // Nothing follows from the ratios of a sheet that is not valid.
        let ratio = if trace.verdict_of_sheet() == Verdict::NotValid { f64::NAN } else { ratio };
        Some(Governing { description: plain(&self.name(self.wording.line(id))), ratio })
    }

    /// Lines that are not valid and checks that are not satisfied, each with the line of the sheet that leads to it.
    pub fn remarks(&self, drawing: &Drawing<'_>) -> Vec<String> {
        let trace = self.wording.trace;
        let faults = trace.faults().map(|(id, _)| {
            let line = self.wording.line(id);
            format!("{}{}: {}", self.place(line, drawing), self.name(line), self.wording.reason(id))
        });
        let failing = trace.checks().filter(|(id, check)| trace.verdict(*id, check) == Verdict::NotSatisfied);
        let checks = failing.map(|(id, check)| {
            let line = self.wording.line(id);
            let ratio = ratio_text(trace.register(check.ratio));
            format!("{}{} is not satisfied, ratio {ratio}", self.place(line, drawing), self.name(line))
        });
        // A narrow no-break space is only in the way of those who search.
        faults.chain(checks).map(|remark| plain(&remark.replace('\u{202f}', " "))).collect()
    }

    /// File and line in the sheet, and the clause where the line stands in one.
    fn place(&self, line: &Line, drawing: &Drawing<'_>) -> String {
        let notes = &self.wording.trace.compiled.notes;
        let (mut at, mut scope) = (line, line.scope);
        while let (Some(parent), Some(user)) = (notes.scope(scope).parent, self.wording.used_by(scope)) {
            (at, scope) = (self.wording.line(user), parent);
        }
        let number = at.source.position(at.statement.span.start).line;
        let place = format!("{}:{number}: ", drawing.name(&at.source));
        match line.scope {
            ScopeId(0) => place,
            inner => format!("{place}{}: ", notes.scope(inner).document.front.title),
        }
    }

    /// What a line is of: its words, its symbol, or its formula where it has neither.
    fn name(&self, line: &Line) -> String {
        match (&line.work, &line.statement.kind, &line.symbol) {
            (Work::Check(_), StatementKind::Verify(condition), _) if line.description.is_empty() => {
                print_expression(condition)
            }
            (Work::Check(_), ..) => self.wording.check_name(line),
            (_, _, Some(symbol)) => format!("`{symbol}`"),
            (_, StatementKind::Require { condition, .. }, _) if line.description.is_empty() => {
                format!("`{}`", print_expression(condition))
            }
            _ if line.description.is_empty() => "this line".to_owned(),
            _ => line.description.clone(),
        }
    }
}
