//! Conditions of validity whose failure is a mistake in a given: `require … on anchors`.
//!
//! A sheet outside the scope of a clause is *not valid*, and its page says so.
//! A value that cannot be, such as two anchors in one place, is an error instead, told at the line that gives it.

use super::{Fault, State, Trace};
use crate::compile::{Line, LineId, Mention, Value, Work};
use crate::diagnostic::{Code, Diagnostic};
use crate::quantity::{Unit, print_number};
use crate::syntax::{ExpressionKind, StatementKind, print_expression};

impl Trace {
    /// Mistakes in what the sheet starts from.
    ///
    /// Conditions on the same values are one mistake, and so is one on values of which another already blames a part.
    pub fn mistakes(&self) -> Vec<Diagnostic> {
        let mut mistakes: Vec<(Vec<LineId>, Diagnostic)> = Vec::new();
        for id in &self.order {
            let line = self.compiled.notes.line(*id);
            let Work::Require { mistaken, .. } = &line.work else { continue };
            if mistaken.is_empty() || self.state(*id) != State::NotValid(Fault::RequirementFails) {
                continue;
            }
            let values: Vec<LineId> = mistaken.iter().map(|value| self.origin_of(*value)).collect();
            mistakes.push((values.clone(), self.mistake(line, &values)));
        }
        // The sort is stable: among equals the first on the page stays.
        mistakes.sort_by_key(|(values, _)| values.len());
        let mut told: Vec<(Vec<LineId>, Diagnostic)> = Vec::new();
        for (values, finding) in mistakes {
            if !told.iter().any(|(part, _)| part.iter().all(|value| values.contains(value))) {
                told.push((values, finding));
            }
        }
        told.into_iter().map(|(_, finding)| finding).collect()
    }

    /// The line in which a value was written, however many clauses have passed it on.
    pub fn origin_of(&self, mut id: LineId) -> LineId {
        loop {
            let line = self.compiled.notes.line(id);
            let passed_from = match &line.work {
                // Of `anchor.h_ef` the file is named first, then its value.
                Work::Takes(binding) if matches!(binding.kind, ExpressionKind::Name(_) | ExpressionKind::Field(..)) => {
                    line.mentions.last().and_then(|mention| mention.line).filter(|from| *from < id)
                }
                _ => None,
            };
            match passed_from {
                Some(from) => id = from,
                None => return id,
            }
        }
    }

    /// A number that a formula names, with the name of its line.
    fn in_words(&self, mention: &Mention) -> Option<String> {
        let (Value::Number(number), Some(line)) = (&mention.value, mention.line) else { return None };
        let name = self.compiled.notes.line(line).symbol.as_ref()?;
        let unit = number.shown.as_ref().map_or_else(Unit::one, |shown| shown.unit.clone());
        let value = print_number(unit.from_si(self.register(number.register)), self.compiled.figures).to_text();
        let space = if unit.is_one() { "" } else { " " };
        Some(format!("`{name}` = {value}{space}{unit}"))
    }

    fn mistake(&self, required: &Line, values: &[LineId]) -> Diagnostic {
        let condition = match &required.statement.kind {
            StatementKind::Require { condition, .. } => print_expression(condition),
            _ => String::new(),
        };
        let lines: Vec<&Line> = values.iter().map(|value| self.compiled.notes.line(*value)).collect();
        let names: Vec<String> =
            lines.iter().filter_map(|line| line.symbol.as_ref().map(|name| format!("`{name}`"))).collect();
        let cannot = if names.len() > 1 { "cannot all be so" } else { "cannot be so" };
        let colon = if required.description.is_empty() { "" } else { ": required is " };
        let message = format!("{} {cannot}{colon}{}", names.join(" and "), required.description);
        let mut finding = Diagnostic::error(Code::MistakenValue, &lines[0].source, lines[0].statement.span, message);
        for line in &lines[1..] {
            finding = finding.also(&line.source, line.statement.span, "or here");
        }
        let found: Vec<String> = required.mentions.iter().filter_map(|mention| self.in_words(mention)).collect();
        // Tables and lists stand in the sheet as they are.
        if found.len() == required.mentions.len() && !found.is_empty() {
            finding = finding.note(format!("found are {}", found.join(", ")));
        }
        finding
            .also(&required.source, required.statement.span, format!("`{condition}` does not hold"))
            .help(format!("mend {}", names.join(" or ")))
    }
}
