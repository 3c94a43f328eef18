//! A line in a few words, so that old and new can be shown after a change.

use crate::compile::{LineId, Value, Work};
use crate::evaluate::Trace;
use crate::render::json::formula_text;
use crate::render::math::quantity_text;
use crate::render::wording::ratio_text;
use crate::syntax::StatementKind;

/// Characters of a text; a table with more has its beginning kept.
const LIMIT: usize = 240;

/// Formula and result of a line: `N_Rk / gamma_M = 8.00 kN`, `N_Ed <= N_Rd: 4.00 kN, 8.00 kN, satisfied, ratio 0.50`.
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
            let branch = taken.map_or_else(String::new, |at| format!("case {} = ", at + 1));
            format!("{branch}{}", quantity(value))
        }
        (_, value) => {
            let result = quantity(value);
            let is_alone = matches!(line.statement.kind, StatementKind::Takes { .. }) && formula == result;
            if is_alone || formula.is_empty() { result } else { format!("{formula} = {result}") }
        }
    };
    shortened(&all)
}

/// In one line, with plain spaces, and not too long.
fn shortened(text: &str) -> String {
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    match text.char_indices().nth(LIMIT) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text,
    }
}
