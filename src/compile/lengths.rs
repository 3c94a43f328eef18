//! Lists that should be equally long and are not: told once, where the sheet gives them to a clause, with the values of
//! the sheet that have those lengths.

use super::{Compiler, Frame, LineId, ScopeId, Value, Work};
use crate::diagnostic::{Code, Diagnostic, Label};
use crate::text::{SourceFile, Span};
use std::sync::Arc;

/// What was given to a clause or to a calculation that is made again, at the outermost place that names it.
struct Given {
    source: Arc<SourceFile>,
    span: Span,
    line: LineId,
}

impl Compiler<'_> {
    /// Two lists of different lengths meet. Everything that is computed from the same values stumbles over the same
    /// pair, so that one finding stands for all. Its place is that of the `with` by which the sheet gave them, if it did.
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
        let given = [(at_left, left), (at_right, right)].map(|(at, length)| Some((self.given(frame, at)?, length)));
        let given: Vec<(Given, usize)> = given.into_iter().flatten().collect();
        if !given.is_empty() {
            finding = self.at_with(frame, finding, &given);
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

    /// The finding at the places of `with`, with that where the lists meet behind them.
    fn at_with(&self, frame: &Frame, finding: Diagnostic, given: &[(Given, usize)]) -> Diagnostic {
        let mut labels: Vec<Label> = given.iter().map(|(given, length)| self.label(given, *length)).collect();
        labels.dedup();
        let both = given.len() == 2;
        let places = finding.labels.iter().filter(|label| label.source == frame.source);
        labels.extend(places.take(if both { 1 } else { 2 }).map(|label| match both {
            true => Label { text: "they are computed with one another here".to_owned(), ..label.clone() },
            false => label.clone(),
        }));
        let finding = self.missing_rows(given).into_iter().fold(finding, Diagnostic::note);
        Diagnostic { labels, ..finding }
    }

    fn label(&self, given: &Given, length: usize) -> Label {
        let symbol = self.notes.line(given.line).symbol.as_deref().unwrap_or_default();
        Label { source: given.source.clone(), span: given.span, text: format!("`{symbol}`, of {length}") }
    }

    /// Which rows one of two tables lacks.
    fn missing_rows(&self, sides: &[(Given, usize)]) -> Option<String> {
        let [(one, _), (other, _)] = sides else { return None };
        let lines = [one, other].map(|given| self.notes.line(given.line));
        let [Value::Table(first), Value::Table(second)] = lines.map(|line| &line.value) else { return None };
        let lacks = |at: usize, own: &[String], all: &[String]| {
            let lacking = all.iter().filter(|label| !own.contains(label)).map(|label| format!("`{label}`"));
            let lacking: Vec<String> = lacking.collect();
            let symbol = lines[at].symbol.as_deref().unwrap_or_default();
            (!lacking.is_empty()).then(|| format!("`{symbol}` has no row {}", lacking.join(", ")))
        };
        let told = [lacks(0, &first.labels, &second.labels), lacks(1, &second.labels, &first.labels)];
        let told: Vec<String> = told.into_iter().flatten().collect();
        (!told.is_empty()).then(|| told.join(", "))
    }

    /// Where the first list that a part of a formula names was given to this use; nothing where none was.
    fn given(&self, frame: &Frame, span: Span) -> Option<Given> {
        // The sheet itself was given nothing.
        frame.used_at.as_ref()?;
        let text = frame.source.text.get(span.start as usize..span.end as usize)?;
        let names = text.split(|c: char| !c.is_alphanumeric() && c != '_');
        let lines = names.filter_map(|name| frame.symbols.get(name)?.line);
        lines.filter_map(|line| self.outermost(line)).next()
    }

    /// Follows a line to what it takes, and that from clause to clause.
    fn outermost(&self, line: LineId) -> Option<Given> {
        let own = self.notes.line(line);
        let holds_many = matches!(own.value, Value::List(_) | Value::Table(_));
        let named = || own.mentions.iter().filter_map(|mention| mention.line);
        if !holds_many || own.is_default {
            return None;
        }
        let Work::Takes(bound) = &own.work else { return named().find_map(|line| self.outermost(line)) };
        let outer = self.notes.scope(self.notes.scope(own.scope).parent?);
        let further = named().filter(|_| outer.parent.is_some()).find_map(|line| self.outermost(line));
        further.or_else(|| Some(Given { source: outer.document.source.clone(), span: bound.span, line }))
    }
}

fn elements(count: usize) -> String {
    format!("a list of {count}")
}
