//! What a clause takes in one use, bound to values of the scope that uses it.

use super::expression::Reading;
use super::{Compiler, Frame, Kind, LineId, ScopePart, Symbol, Value, Work};
use crate::diagnostic::{Code, Diagnostic, nearest};
use crate::document::BlockKind;
use crate::syntax::{Binding, Expression, ExpressionKind, KindText, Name, Sheet, Statement, StatementKind, Use};
use crate::text::{Span, Spanned};
use std::sync::Arc;

/// One `takes` statement.
struct Take<'a> {
    statement: &'a Arc<Statement>,
    name: &'a Name,
    kind: &'a KindText,
    default: Option<&'a Expression>,
}

impl Compiler<'_> {
    /// Everything that the clause takes.
    pub(super) fn bind_all(&mut self, frame: &Frame, inner: &mut Frame, used: &Use, sheet: &Sheet) {
        let takes: Vec<Take<'_>> = sheet
            .statements()
            .filter_map(|statement| match &statement.kind {
                StatementKind::Takes { name, kind, default } => {
                    Some(Take { statement, name, kind, default: default.as_ref() })
                }
                _ => None,
            })
            .collect();
        // A misspelt name is told of once, and not as a missing one as well.
        let mut meant: Vec<&str> = Vec::new();
        let named = used.with.iter().map(|binding| &binding.name);
        for named in named.chain(used.solving.iter().map(|solving| &solving.name)) {
            let is_unreadable = sheet.statements().any(|statement| {
                matches!(&statement.kind, StatementKind::Unreadable(names) if names.iter().any(|name| name.node == named.node))
            });
            if is_unreadable {
                continue;
            }
            if !takes.iter().any(|take| take.name.node == named.node) {
                let message = format!("`{}` takes no `{}`", used.path.node, named.node);
                let names: Vec<&str> = takes.iter().map(|take| take.name.node.as_str()).collect();
                meant.extend(nearest(&named.node, names.iter().copied()));
                let finding = frame
                    .error(Code::UnboundTake, named.span, message)
                    .note(format!("it takes {}", names.join(", ")))
                    .suggest(&named.node, names);
                self.report(finding);
            }
        }
        let mut lines = Vec::with_capacity(takes.len());
        let mut missing = Vec::new();
        for take in &takes {
            match self.bind(frame, inner, used, take) {
                Ok(line) => lines.push(line),
                Err(_) if meant.contains(&take.name.node.as_str()) => {}
                Err(kind) => missing.push((take, kind)),
            }
        }
        if !missing.is_empty() {
            let finding = missing_takes(frame, inner, used, &missing);
            self.report(finding);
        }
        // What is but passed on stands together; what is bound to something else follows.
        lines.sort_by_key(|id| {
            let line = self.notes.line(*id);
            let same = matches!(&line.work, Work::Takes(binding) if binding.as_name() == line.symbol.as_deref());
            line.is_default || !same
        });
        if !lines.is_empty() {
            self.scope_mut(inner.scope).parts.push(ScopePart::Lines(BlockKind::Clause, lines));
        }
    }

    /// What stands for something taken: what `with` says, a value of the data file after `from`, or the symbol of the
    /// same name; nothing where there is none.
    fn bound(&self, frame: &Frame, used: &Use, name: &str) -> Option<Expression> {
        if let Some(Binding { value, .. }) = used.with.iter().find(|binding| binding.name.node == *name) {
            return Some(value.clone());
        }
        let span = used.path.span;
        for from in &used.from {
            let has = match frame.symbols.get(&from.node).map(|symbol| &symbol.value) {
                Some(Value::Data(data)) => data.file.values.contains_key(name),
                Some(Value::Row(row)) => row.fields.iter().any(|(field, _)| field == name),
                _ => false,
            };
            if has {
                // The file itself stands nowhere on its own, so that what is shown in its place is the value.
                let file = Expression::new(ExpressionKind::Name(from.node.clone()), Span { end: span.start, ..span });
                let field = Spanned { node: name.to_owned(), span };
                return Some(Expression::new(ExpressionKind::Field(Box::new(file), field), span));
            }
        }
        let name = name.to_owned();
        frame.symbols.contains_key(&name).then(|| Expression::new(ExpressionKind::Name(name), span))
    }

    /// The value of one thing taken; its kind where nothing binds it.
    fn bind(&mut self, frame: &Frame, inner: &mut Frame, used: &Use, take: &Take<'_>) -> Result<LineId, Kind> {
        let name = &take.name.node;
        let suffix = &take.statement.suffix;
        let kind = self.kind(inner, take.kind, suffix.among.as_ref());
        if let Some(solving) = used.solving.as_ref().filter(|solving| solving.name.node == *name) {
            return Ok(self.solved(frame, inner, take.statement, (take.name, &kind), solving));
        }
        let bound = self.bound(frame, used, name);
        let is_default = bound.is_none();
        let Some(expression) = bound.or_else(|| take.default.cloned()) else {
            let symbol =
                Symbol { value: Value::Unknown, line: None, source: inner.source.clone(), span: take.name.span };
            self.define(inner, name, take.name.span, symbol);
            return Err(kind);
        };
        let mut reading = Reading {
            words: match &kind {
                Kind::Word(set) => Some(set.clone()),
                _ => None,
            },
            ..Reading::default()
        };
        // A default stands in the clause and knows what was taken before it.
        let outer = if is_default { &*inner } else { frame };
        let value = self.infer(outer, &mut reading, &expression);
        let value = match self.conform(outer, value, &kind, expression.span, name) {
            Ok(value) => value,
            Err(mut finding) => {
                let is_bare = finding.code == Code::MissingUnit && self.is_bare_number(outer, &expression);
                if let (true, Kind::Number(wanted)) = (is_bare, &kind) {
                    finding = self.where_a_unit_is_missing(outer, finding, &expression, *wanted);
                    // The mistake is where the value was given, not where it is used.
                    if finding.labels.len() > 1 {
                        finding.labels.swap(0, 1);
                    }
                } else if let Some(symbol) = expression.as_name().and_then(|name| outer.symbols.get(name)) {
                    finding = finding.also(&symbol.source, symbol.span, "defined here");
                }
                self.report(finding.also(&inner.source, take.name.span, "the clause takes it here"))
            }
        };
        let value = self.filled(outer, inner, used, take, &expression, value);
        let value = self.shown_in_clause(value);
        let limits = self.limits(inner, &mut Reading::default(), suffix, &value);
        let mut line = self.line(inner, take.statement, Work::Takes(Arc::new(expression)), value.clone(), reading);
        line.symbol = Some(name.clone());
        line.limits = limits;
        line.is_default = is_default;
        if !is_default {
            line.state(&inner.stated, !frame.is_clause);
        }
        let id = self.add_line(line);
        let symbol = Symbol { value, line: Some(id), source: inner.source.clone(), span: take.name.span };
        self.define(inner, name, take.name.span, symbol);
        Ok(id)
    }

    /// A list or table without anything where the clause needs something is a mistake of whoever gives it.
    fn filled(
        &mut self,
        outer: &Frame,
        inner: &Frame,
        used: &Use,
        take: &Take<'_>,
        expression: &Expression,
        value: Value,
    ) -> Value {
        let (is_table, count) = match &value {
            Value::Table(table) => (true, table.labels.len()),
            Value::List(list) => (false, list.items.len()),
            _ => return value,
        };
        if count > 0 || !matches!(take.kind, KindText::Filled(_)) || self.is_alone {
            return value;
        }
        let (is_empty, part, help) = match is_table {
            true => ("has no row", "row", "write a row for each, its label first: `A1: 0, 60`"),
            false => ("is empty", "element", "write what belongs in it, with commas between: `[…, …]`"),
        };
        let what = if is_table { "table" } else { "list" };
        let name = expression.as_name().unwrap_or(&take.name.node);
        let given = expression.as_name().and_then(|name| outer.symbols.get(name));
        let (source, span) = given.map_or((&outer.source, expression.span), |given| (&given.source, given.span));
        let message = format!("the {what} `{name}` {is_empty}, and `{}` needs at least one", used.path.node);
        let finding = Diagnostic::error(Code::KindMismatch, source, span, message)
            .here(format!("no {part} here"))
            .also(&outer.source, used.path.span, "the clause is used here")
            .also(&inner.source, take.name.span, "the clause takes it here")
            .help(help);
        self.report_once(format!("no {part} {} {}", source.name, span.start), finding)
    }

    /// A value computed in `with` has no unit of its own yet.
    pub(super) fn shown_in_clause(&self, value: Value) -> Value {
        let dimension = match &value {
            Value::Number(number) if number.shown.is_none() => number.dimension,
            Value::List(list) => match (&list.element, list.items.first()) {
                (Kind::Number(dimension), Some(Value::Number(first))) if first.shown.is_none() => *dimension,
                _ => return value,
            },
            _ => return value,
        };
        let unit = self.settings.display.choose(dimension);
        value.shown_as(&Arc::new(super::Shown { unit, digits: None, figures: None }))
    }
}

/// All that a use leaves unbound, in one error with what to write.
fn missing_takes(frame: &Frame, inner: &Frame, used: &Use, missing: &[(&Take<'_>, Kind)]) -> Diagnostic {
    let clause = &used.path.node;
    let names: Vec<&str> = missing.iter().map(|(take, _)| take.name.node.as_str()).collect();
    let mut finding = match missing {
        [(take, kind)] => {
            let message = format!("`{clause}` takes `{}`, {}, which is not bound", take.name.node, kind.describe());
            let finding = frame.error(Code::UnboundTake, used.path.span, message);
            finding.also(&inner.source, take.name.span, "taken here")
        }
        _ => {
            let message = format!("`{clause}` takes {} values that are not bound", missing.len());
            let finding = frame.error(Code::UnboundTake, used.path.span, message);
            missing.iter().fold(finding, |finding, (take, kind)| {
                let words = take.statement.suffix.description.as_ref().map_or("", |words| words.node.as_str());
                let colon = if words.is_empty() { "" } else { ": " };
                finding.note(format!("`{}`, {}{colon}{words}", take.name.node, kind.describe()))
            })
        }
    };
    for name in &names {
        if let Some(place) = frame.places.get(*name) {
            finding = finding.also(&frame.source, *place, format!("`{name}` is defined below the use"));
        }
    }
    let mut rest = names.clone();
    for holder in frame.names() {
        if let Some(Symbol { value: Value::Data(data), .. }) = frame.symbols.get(holder) {
            let (held, others): (Vec<&str>, Vec<&str>) =
                rest.iter().partition(|name| data.file.values.contains_key(**name));
            if !held.is_empty() {
                finding = finding.help(format!("write `from {holder}`, which has {}", quoted(&held)));
            }
            rest = others;
        }
    }
    for name in &rest {
        // Of names of a letter or two any other is near.
        if let Some(near) = nearest(name, frame.names()).filter(|_| name.chars().count() > 2) {
            finding = finding.help(format!("for `{name}`, did you mean `{near}`? then write `with {name} = {near}`"));
        }
    }
    // What the family of a data file knows belongs into the file, all else into the sheet.
    let files = used.from.iter().filter_map(|from| match frame.symbols.get(&from.node).map(|symbol| &symbol.value) {
        Some(Value::Data(data)) => Some(&data.file),
        _ => None,
    });
    for file in files {
        let (known, others): (Vec<&str>, Vec<&str>) =
            rest.iter().partition(|name| file.known.iter().any(|known| known == **name));
        if !known.is_empty() {
            let name = &file.source.name;
            finding = finding.help(format!("add {} to the data file `{name}`, from its assessment", quoted(&known)));
        }
        rest = others;
    }
    if rest.is_empty() {
        return finding;
    }
    let with: Vec<String> = rest.iter().map(|name| format!("{name} = …")).collect();
    finding.help(format!("define {}, or write `with {}`", quoted(&rest), with.join(", ")))
}

fn quoted(names: &[&str]) -> String {
    names.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(", ")
}
