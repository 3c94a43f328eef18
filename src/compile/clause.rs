//! A used clause: compiled in place, in a scope of its own, so that its working is shown with this use's numbers.

use super::expression::Reading;
use super::{Compiler, Frame, LineId, ScopePart, Symbol, Value, Work};
use crate::diagnostic::{Code, nearest};
use crate::document::SheetKind;
use crate::library::Clause;
use crate::syntax::{Binding, Expression, ExpressionKind, KindText, Name, Sheet, Statement, StatementKind, Use};
use std::sync::Arc;

/// Clauses within clauses deeper than this are refused.
const DEPTH_LIMIT: usize = 16;

/// One `takes` statement.
struct Take<'a> {
    statement: &'a Arc<Statement>,
    name: &'a Name,
    kind: &'a KindText,
}

impl Compiler<'_> {
    pub(super) fn use_clause(&mut self, frame: &mut Frame, statement: &Arc<Statement>, used: &Use) {
        let Some(clause) = self.find_clause(frame, used) else {
            self.poison(frame, used);
            return;
        };
        let (sheet, findings) = clause.sheet();
        self.findings.extend(findings.iter().cloned());
        self.rests_on.insert(format!("clause {}", clause.path), clause.source.clone());
        if sheet.document.front.kind != SheetKind::Clause {
            let message = format!("`{}` is not a clause", used.path.node);
            let finding = frame.error(Code::UnknownClause, used.path.span, message);
            self.report(finding.help("its front matter needs `kind = \"clause\"`"));
            self.poison(frame, used);
            return;
        }

        let path = self.scope_path(frame, &used.path.node);
        let scope = self.scope(path, Some(frame.scope), Some(clause.clone()), sheet);
        let line = self.line(frame, statement, Work::Use(scope), Value::Unknown, Reading::default());
        let line = self.add_line(line);
        self.scope_mut(frame.scope).parts.push(ScopePart::Use(line, scope));

        let mut inner = Frame::new(scope, sheet, Some((frame.source.clone(), used.path.span)));
        self.clause_stack.push(clause.path.clone());
        self.bind_all(frame, &mut inner, used, sheet);
        self.parts(&mut inner, sheet);
        self.clause_stack.pop();
        self.take_results(frame, &inner, used, line);
    }

    fn find_clause(&mut self, frame: &Frame, used: &Use) -> Option<Arc<Clause>> {
        let path = &used.path.node;
        let Some(clause) = self.sources.clause(path) else {
            let paths = self.sources.clause_paths();
            let last = |path: &str| path.rsplit('/').next().unwrap_or(path).to_owned();
            let near = nearest(path, paths.iter().map(String::as_str))
                .map(str::to_owned)
                .or_else(|| paths.iter().find(|other| last(other) == last(path)).cloned());
            let finding = frame.error(Code::UnknownClause, used.path.span, format!("there is no clause `{path}`"));
            let finding = match near {
                Some(near) => finding.help(format!("did you mean `{near}`?")),
                None => finding.help("`soleplate clauses` lists them all"),
            };
            self.report(finding);
            return None;
        };
        if self.clause_stack.contains(&clause.path) || self.clause_stack.len() >= DEPTH_LIMIT {
            let mut chain = self.clause_stack.clone();
            chain.push(clause.path.clone());
            let message = format!("the clause `{}` uses itself", clause.path);
            let finding = frame
                .error(Code::ClauseCycle, used.path.span, message)
                .note(format!("the way round is {}", chain.join(" → ")));
            self.report(finding);
            return None;
        }
        Some(clause)
    }

    /// The names that a failed use would have brought in, so that their uses are not reported as well.
    fn poison(&mut self, frame: &mut Frame, used: &Use) {
        for (_, alias) in &used.gives {
            let symbol = Symbol { value: Value::Unknown, line: None, source: frame.source.clone(), span: alias.span };
            self.define(frame, &alias.node, alias.span, symbol);
        }
    }

    /// `concrete-edge`, `concrete-edge-2`, … below the path of the using scope.
    fn scope_path(&self, frame: &Frame, clause: &str) -> String {
        let slug = clause.rsplit('/').next().unwrap_or(clause);
        let above = &self.notes.scope(frame.scope).path;
        let base = if above.is_empty() { slug.to_owned() } else { format!("{above}.{slug}") };
        let is_taken = |path: &str| self.notes.scopes.iter().any(|scope| scope.path == path);
        if !is_taken(&base) {
            return base;
        }
        let mut number = 2;
        loop {
            let path = format!("{base}-{number}");
            if !is_taken(&path) {
                return path;
            }
            number += 1;
        }
    }

    fn bind_all(&mut self, frame: &Frame, inner: &mut Frame, used: &Use, sheet: &Sheet) {
        let takes: Vec<Take<'_>> = sheet
            .statements()
            .filter_map(|statement| match &statement.kind {
                StatementKind::Takes { name, kind } => Some(Take { statement, name, kind }),
                _ => None,
            })
            .collect();
        for binding in &used.with {
            if !takes.iter().any(|take| take.name.node == binding.name.node) {
                let message = format!("`{}` takes no `{}`", used.path.node, binding.name.node);
                let names: Vec<&str> = takes.iter().map(|take| take.name.node.as_str()).collect();
                let finding = frame
                    .error(Code::UnboundTake, binding.name.span, message)
                    .note(format!("it takes {}", names.join(", ")))
                    .suggest(&binding.name.node, names);
                self.report(finding);
            }
        }
        let mut lines = Vec::with_capacity(takes.len());
        for take in &takes {
            if let Some(line) = self.bind(frame, inner, used, take) {
                lines.push(line);
            }
        }
        if !lines.is_empty() {
            self.scope_mut(inner.scope).parts.push(ScopePart::Lines(crate::document::BlockKind::Clause, lines));
        }
    }

    /// The value of one thing taken: what `with` says, or the symbol of the same name.
    fn bind(&mut self, frame: &Frame, inner: &mut Frame, used: &Use, take: &Take<'_>) -> Option<LineId> {
        let name = &take.name.node;
        let suffix = &take.statement.suffix;
        let kind = self.kind(inner, take.kind, suffix.among.as_ref());
        let expression = match used.with.iter().find(|binding| binding.name.node == *name) {
            Some(Binding { value, .. }) => value.clone(),
            None => Expression::new(ExpressionKind::Name(name.clone()), used.path.span),
        };
        let is_bound = used.with.iter().any(|binding| binding.name.node == *name) || frame.symbols.contains_key(name);
        let value = if !is_bound {
            let mut finding = frame
                .error(
                    Code::UnboundTake,
                    used.path.span,
                    format!("`{}` takes `{name}`, {}, which is not bound", used.path.node, kind.describe()),
                )
                .also(&inner.source, take.name.span, "taken here");
            if let Some(place) = frame.places.get(name) {
                finding = finding.also(&frame.source, *place, "a symbol of this name is defined below");
            }
            self.report(finding.help(format!("define `{name}`, or write `with {name} = …`")))
        } else {
            let mut reading = Reading {
                words: match &kind {
                    super::Kind::Word(set) => Some(set.clone()),
                    _ => None,
                },
                ..Reading::default()
            };
            let value = self.infer(frame, &mut reading, &expression);
            let value = match self.conform(frame, value, &kind, expression.span, name) {
                Ok(value) => value,
                Err(mut finding) => {
                    let is_bare = finding.code == Code::MissingUnit && self.is_bare_number(frame, &expression);
                    if let (true, super::Kind::Number(wanted)) = (is_bare, &kind) {
                        finding = self.where_a_unit_is_missing(frame, finding, &expression, *wanted);
                    } else if let Some(symbol) = expression.as_name().and_then(|name| frame.symbols.get(name)) {
                        finding = finding.also(&symbol.source, symbol.span, "defined here");
                    }
                    self.report(finding.also(&inner.source, take.name.span, "the clause takes it here"))
                }
            };
            let value = self.shown_in_clause(value);
            let limits = self.limits(inner, &mut Reading::default(), suffix, &value);
            let mut line = self.line(inner, take.statement, Work::Takes(Arc::new(expression)), value.clone(), reading);
            line.symbol = Some(name.clone());
            line.limits = limits;
            let id = self.add_line(line);
            let symbol = Symbol { value, line: Some(id), source: inner.source.clone(), span: take.name.span };
            self.define(inner, name, take.name.span, symbol);
            return Some(id);
        };
        let symbol = Symbol { value, line: None, source: inner.source.clone(), span: take.name.span };
        self.define(inner, name, take.name.span, symbol);
        None
    }

    /// A value computed in `with` has no unit of its own yet.
    fn shown_in_clause(&self, value: Value) -> Value {
        let dimension = match &value {
            Value::Number(number) if number.shown.is_none() => number.dimension,
            Value::List(list) => match (&list.element, list.items.first()) {
                (super::Kind::Number(dimension), Some(Value::Number(first))) if first.shown.is_none() => *dimension,
                _ => return value,
            },
            _ => return value,
        };
        let unit = self.settings.display.choose(dimension);
        value.shown_as(&Arc::new(super::Shown { unit, digits: None, figures: None }))
    }

    fn take_results(&mut self, frame: &mut Frame, inner: &Frame, used: &Use, line: LineId) {
        for name in &inner.gives {
            if !inner.symbols.contains_key(&name.node) {
                let message = format!("the clause says it gives `{}`, but nothing in it defines that", name.node);
                let finding = inner.error(Code::UnknownSymbol, name.span, message).suggest(&name.node, inner.names());
                self.report(finding);
            }
        }
        for (name, alias) in &used.gives {
            let is_given = inner.gives.iter().any(|given| given.node == name.node);
            let found = if is_given { inner.symbols.get(&name.node).cloned() } else { None };
            if !is_given {
                let names: Vec<&str> = inner.gives.iter().map(|given| given.node.as_str()).collect();
                let message = format!("`{}` gives no `{}`", used.path.node, name.node);
                let finding = frame
                    .error(Code::UnknownSymbol, name.span, message)
                    .note(format!("it gives {}", names.join(", ")))
                    .suggest(&name.node, names);
                self.report(finding);
            }
            let (value, from) = found.map_or((Value::Unknown, Some(line)), |symbol| (symbol.value, symbol.line));
            let symbol = Symbol { value, line: from, source: frame.source.clone(), span: alias.span };
            self.define(frame, &alias.node, alias.span, symbol);
        }
    }
}
