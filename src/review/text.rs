//! A line in a few words with its reference, so that old and new can be shown after a change.

use crate::compile::{Line, LineId, Value, Work};
use crate::evaluate::Trace;
use crate::render::address::Addresses;
use crate::render::json::formula_text;
use crate::render::math::{equation_text, quantity_text, result_text};
use crate::render::wording::{ratio_text, reference_text};
use crate::syntax::{Branch, Definition, StatementKind, print_expression};

/// Characters of a text; a table with more has its beginning kept.
const LIMIT: usize = 240;

/// Formula, result and reference of a line: `N_Rk / gamma_M = 8.00 kN @ EN 1992-4, Table 7.1`,
/// `N_Ed <= N_Rd: 4.00 kN, 8.00 kN, satisfied, ratio 0.50`.
pub fn line_text(trace: &Trace, id: LineId) -> String {
    let line = trace.compiled.notes.line(id);
    let quantity = |value: &Value| quantity_text(trace, value);
    let formula = formula_text(line);
    let all = match (&line.work, &line.value) {
        (Work::Check(check), _) => {
            let verdict = trace.verdict(id, check).words();
            let ratio = ratio_text(trace.register(check.ratio));
            format!("{formula}: {}, {}, {verdict}, ratio {ratio}", quantity(&check.demand), quantity(&check.resistance))
        }
        (Work::Require { holds, .. }, _) => {
            let outcome = if trace.register(*holds) == 1.0 { "holds" } else { "does not hold" };
            format!("{formula}: {outcome}")
        }
        (Work::Use(_) | Work::Figure, _) => formula,
        (Work::Given, Value::Table(table)) => {
            let rows = table.labels.iter().enumerate().map(|(at, label)| {
                let cells = table.columns.iter().filter_map(|(_, list)| list.items.get(at)).map(quantity);
                format!("{label}: {}", cells.collect::<Vec<_>>().join(", "))
            });
            rows.collect::<Vec<_>>().join("; ")
        }
        (Work::Given | Work::FromData(_), value) => quantity(value),
        (Work::Cases(taken), value) => {
            let taken = taken.iter().position(|register| trace.register(*register) == 1.0);
            match taken.and_then(|at| Some((at + 1, branches_of(line)?.get(at)?))) {
                Some((number, branch)) => {
                    let condition = branch.condition.as_ref().map_or_else(
                        || "otherwise".to_owned(),
                        |condition| format!("when {}", print_expression(condition)),
                    );
                    format!("case {number}, {condition}: {} = {}", print_expression(&branch.value), quantity(value))
                }
                None => quantity(value),
            }
        }
        _ => {
            let result = result_text(trace, line);
            let is_alone = matches!(line.statement.kind, StatementKind::Takes { .. }) && formula == result;
            if is_alone || formula.is_empty() { result } else { format!("{formula} = {result}") }
        }
    };
    match reference_text(line) {
        reference if reference.is_empty() => shortened(&all),
        reference => format!("{}{REFERENCE}{}", shortened(&all), shortened(&reference)),
    }
}

/// A line as the page shows it, in one line of text: what is computed also with its numbers, a case with its condition.
pub fn worked_text(trace: &Trace, id: LineId, addresses: &Addresses) -> String {
    let line = trace.compiled.notes.line(id);
    match line.work {
        Work::Derive | Work::Cases(_) => {}
        _ => return line_text(trace, id),
    }
    match (equation_text(trace, id, addresses), reference_text(line)) {
        (worked, _) if worked.is_empty() => line_text(trace, id),
        (worked, reference) if reference.is_empty() => shortened(&worked),
        (worked, reference) => format!("{}{REFERENCE}{}", shortened(&worked), shortened(&reference)),
    }
}

/// What stands before the reference.
const REFERENCE: &str = " @ ";

/// Old and new text without what is the same in both: the reference where it stayed, all else where only that changed.
pub(super) fn contrasted(was: &str, now: &str) -> (String, String) {
    let split = |text: &str| match text.rsplit_once(REFERENCE) {
        Some((said, reference)) => (said.to_owned(), reference.to_owned()),
        None => (text.to_owned(), String::new()),
    };
    let ((old, old_reference), (new, new_reference)) = (split(was), split(now));
    let stated = |reference: String| if reference.is_empty() { "no reference".to_owned() } else { reference };
    match (old == new, old_reference == new_reference) {
        (true, true) => (String::new(), String::new()),
        (false, true) => (old, new),
        (true, false) => (stated(old_reference), stated(new_reference)),
        (false, false) => (was.to_owned(), now.to_owned()),
    }
}

fn branches_of(line: &Line) -> Option<&[Branch]> {
    match &line.statement.kind {
        StatementKind::Define { value: Definition::Cases(branches), .. } => Some(branches),
        _ => None,
    }
}

/// In one line, with plain spaces, and not too long.
fn shortened(text: &str) -> String {
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    match text.char_indices().nth(LIMIT) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text,
    }
}
