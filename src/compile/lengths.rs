//! Lists that should be equally long and are not: told once, at the values of the sheet that have those lengths.

use super::{Compiler, Frame, ScopeId, Value, Work};
use crate::diagnostic::{Code, Diagnostic};
use crate::text::Span;

impl Compiler<'_> {
    /// Two lists of different lengths meet. Everything that is computed from the same values stumbles over the same
    /// pair, so that one finding stands for all.
    pub(super) fn unequal(
        &mut self,
        frame: &Frame,
        (left, at_left): (usize, Span),
        (right, at_right): (usize, Span),
    ) -> Value {
        let (fewer, more) = (left.min(right), left.max(right));
        let message = format!("a list of {left} meets a list of {right}");
        let mut finding = frame.error(Code::KindMismatch, at_left, message).here(elements(left));
        if at_right != at_left {
            finding = finding.also(&frame.source, at_right, elements(right));
        }
        if frame.used_at.is_some() {
            finding = self.givens_of_length(finding, [fewer, more]);
        }
        let finding = finding.help("lists that are computed with one another have equal lengths");
        self.report_once(format!("lists of {fewer} and {more}"), finding)
    }

    /// Adds where the sheet gives tables and lists of these lengths.
    fn givens_of_length(&self, mut finding: Diagnostic, lengths: [usize; 2]) -> Diagnostic {
        for line in self.notes.lines.iter().filter(|line| line.scope == ScopeId(0)) {
            let (length, what) = match &line.value {
                Value::List(list) => (list.items.len(), "element"),
                Value::Table(table) => (table.labels.len(), "row"),
                _ => continue,
            };
            if matches!(line.work, Work::Given) && lengths.contains(&length) {
                let text = match length {
                    0 => format!("no {what} here"),
                    1 => format!("one {what} here"),
                    _ => format!("{length} {what}s here"),
                };
                let start = line.statement.span.start as usize;
                let name = line.symbol.as_ref().map_or(0, String::len);
                finding = finding.also(&line.source, Span::new(start, start + name), text);
            }
        }
        finding
    }
}

fn elements(count: usize) -> String {
    format!("a list of {count}")
}
