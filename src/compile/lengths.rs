//! Lists of unequal lengths that meet in a formula: the mistake is where they were given, not where they meet.

use super::{Compiler, Frame, LineId, Value, Work};
use crate::diagnostic::{Code, Diagnostic, Label};
use crate::text::{SourceFile, Span};
use std::sync::Arc;

/// A list in a formula: where it stands, and how long it is.
pub(super) type Length = (Span, usize);

/// What was given to a clause or to a calculation that is made again, at the outermost place that names it.
struct Given {
    source: Arc<SourceFile>,
    span: Span,
    line: LineId,
}

impl Compiler<'_> {
    /// Reports two lists that cannot be computed with one another.
    ///
    /// In a clause, or in a calculation that is made again, the place is that of the sheet which gave it the lists, and is told once however often they meet.
    pub(super) fn lengths_differ(&mut self, frame: &Frame, one: Length, other: Length) -> Value {
        let message = format!("a list of {} meets a list of {}", one.1, other.1);
        let list = |length: usize| format!("a list of {length}");
        let here = frame.error(Code::KindMismatch, one.0, message).here(list(one.1));
        let finding = here.also(&frame.source, other.0, list(other.1));
        let finding = finding.help("lists that are computed with one another have equal lengths");
        let given = [one, other].map(|(span, length)| self.given(frame, span).map(|given| (given, length)));
        let [first, second] = given;
        if first.is_none() && second.is_none() {
            return self.report(finding);
        }
        let sides: Vec<(Given, usize)> = [first, second].into_iter().flatten().collect();
        let mut labels: Vec<Label> = sides.iter().map(|(given, length)| self.label(given, *length)).collect();
        labels.dedup();
        let key = format!("{:?}", labels.iter().map(|label| (&label.source.name, label.span)).collect::<Vec<_>>());
        let both = sides.len() == 2;
        let places = finding.labels.iter().filter(|label| label.source == frame.source);
        labels.extend(places.take(if both { 1 } else { 2 }).map(|label| match both {
            true => Label { text: "they are computed with one another here".to_owned(), ..label.clone() },
            false => label.clone(),
        }));
        let finding = self.missing_rows(&sides).into_iter().fold(finding, Diagnostic::note);
        self.report_once(format!("lengths {key}"), Diagnostic { labels, ..finding })
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
