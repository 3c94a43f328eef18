//! A used clause: compiled in place, in a scope of its own, so that its working is shown with this use's numbers.

use super::alone::no_clause;
use super::calculation::is_calculation;
use super::expression::Reading;
use super::{Compiler, Frame, Idle, Kind, LineId, List, Recalculation, ScopePart, Symbol, Value, Work};
use crate::diagnostic::{Code, any_error, nearest};
use crate::document::SheetKind;
use crate::library::{Clause, DataFile};
use crate::quantity::Dimension;
use crate::syntax::{Expression, ExpressionKind, Name, Statement, Use, print_expression};
use crate::text::Spanned;
use std::sync::Arc;

/// Clauses within clauses deeper than this are refused.
const DEPTH_LIMIT: usize = 16;

impl Compiler<'_> {
    pub(super) fn use_clause(&mut self, frame: &mut Frame, statement: &Arc<Statement>, used: &Use) {
        if is_calculation(used) {
            self.use_calculation(frame, statement, used);
            return;
        }
        let Some(clause) = self.find_clause(frame, used) else {
            self.poison(frame, used);
            return;
        };
        let (sheet, findings) = clause.sheet();
        self.findings.extend(findings.iter().cloned());
        self.rests_on.insert(format!("clause {}", clause.path), clause.source.clone());
        if sheet.document.front.kind != SheetKind::Clause && any_error(findings) {
            self.poison(frame, used);
            return;
        }
        if sheet.document.front.kind != SheetKind::Clause {
            self.report(no_clause(&clause).also(&frame.source, used.path.span, "the clause is used here"));
            self.poison(frame, used);
            return;
        }

        if !self.is_from_sound(frame, used, &sheet.document.front.families) {
            self.poison(frame, used);
            return;
        }
        self.use_sheet(frame, statement, used, &clause, None);
    }

    fn use_calculation(&mut self, frame: &mut Frame, statement: &Arc<Statement>, used: &Use) {
        match self.find_calculation(frame, statement, used) {
            Some((sheet, recalculation)) => {
                self.use_sheet(frame, statement, used, &sheet, Some(&Arc::new(recalculation)));
            }
            None => self.poison(frame, used),
        }
    }

    /// Every use of a clause or calculation, and what it brings into the sheet.
    fn use_sheet(
        &mut self,
        frame: &mut Frame,
        statement: &Arc<Statement>,
        used: &Use,
        sheet: &Arc<Clause>,
        recalculation: Option<&Arc<Recalculation>>,
    ) {
        let again = (sheet, recalculation);
        let results = match &used.each {
            None => self.use_once(frame, statement, used, again, None),
            Some((name, of)) => {
                let Some(all) = self.use_for_each(frame, statement, used, again, name, of) else {
                    self.poison(frame, used);
                    return;
                };
                gathered(all, used.gives.len())
            }
        };
        for ((_, alias), (value, line)) in used.gives.iter().zip(results) {
            let symbol = Symbol { value, line, source: frame.source.clone(), span: alias.span };
            self.define(frame, &alias.node, alias.span, symbol);
        }
    }

    /// Whether what stands after `from` holds values; a mistake there would make all that is taken look unbound.
    ///
    /// A clause for certain families of product data is used with no other: a number that is missing would be invented.
    fn is_from_sound(&mut self, frame: &Frame, used: &Use, families: &[String]) -> bool {
        let mut is_sound = true;
        let mut others: Vec<(&Name, Arc<DataFile>, Spanned<String>)> = Vec::new();
        let mut is_of_family = families.is_empty();
        for from in &used.from {
            // The name of each row stands for a row only within the uses.
            if used.each.as_ref().is_some_and(|(each, _)| each.node == from.node) {
                continue;
            }
            let name = Expression::new(ExpressionKind::Name(from.node.clone()), from.span);
            match self.infer(frame, &mut Reading::default(), &name) {
                Value::Data(data) => match &data.file.family {
                    Some(family) if families.contains(&family.node) => is_of_family = true,
                    Some(family) => others.push((from, data.file.clone(), family.clone())),
                    None => {}
                },
                Value::Row(_) => {}
                Value::Unknown => is_sound = false,
                other => {
                    let message = format!("`{}` is {}, not a data file or a row", from.node, other.kind().describe());
                    let finding = frame.error(Code::KindMismatch, from.span, message);
                    self.report(finding.help("name a single value in `with`"));
                    is_sound = false;
                }
            }
        }
        if let Some((from, file, family)) = others.first().filter(|_| !is_of_family) {
            let (wanted, clause) = (families.join("` or `"), &used.path.node);
            let message = format!("`{}` is of the family `{}`, `{clause}` is for `{wanted}`", from.node, family.node);
            let finding =
                frame.error(Code::WrongFamily, from.span, message).also(&file.source, family.span, "the family");
            self.report(finding.help("use the clause for this family, or choose another data file"));
            return false;
        }
        is_sound
    }

    /// One use: its line, its scope with all that it takes and computes, and its results in the order asked for.
    fn use_once(
        &mut self,
        frame: &Frame,
        statement: &Arc<Statement>,
        used: &Use,
        (clause, recalculation): Used<'_>,
        label: Option<&str>,
    ) -> Vec<Outcome> {
        let (sheet, findings) = clause.sheet();
        let is_sound = !any_error(findings);
        let path = self.scope_path(frame, &used.path.node);
        let scope = self.scope(path, Some(frame.scope), recalculation.is_none().then(|| clause.clone()), sheet);
        self.scope_mut(scope).recalculation = recalculation.cloned();
        let mut line = self.line(frame, statement, Work::Use(scope), Value::Unknown, Reading::default());
        if let Some(label) = label {
            let words = std::mem::take(&mut line.description);
            line.description = if words.is_empty() { label.to_owned() } else { format!("{words}: {label}") };
        }
        let mut inner = Frame::new(scope, sheet, Some((frame.source.clone(), used.path.span)));
        inner.stated = line.origin.clone();
        let line = self.add_line(line);
        self.scope_mut(frame.scope).parts.push(ScopePart::Use(line, scope));

        if let Some(recalculation) = recalculation {
            inner.is_clause = false;
            inner.replaced = self.replacements(frame, used, sheet, &recalculation.before.notes);
            self.calculations.push(recalculation.path.clone());
            self.parts(&mut inner, sheet);
            self.calculations.pop();
        } else {
            self.clause_stack.push(clause.path.clone());
            self.bind_all(frame, &mut inner, used, sheet);
            self.parts(&mut inner, sheet);
            self.clause_stack.pop();
        }
        if let Some(solving) = &used.solving {
            self.solve_for(frame, &inner, used, solving);
        }
        self.results(frame, &inner, used, line, is_sound)
    }

    /// A use for each row of a table or element of a list, which has a name within the use.
    fn use_for_each(
        &mut self,
        frame: &mut Frame,
        statement: &Arc<Statement>,
        used: &Use,
        again: Used<'_>,
        name: &Name,
        of: &Expression,
    ) -> Option<Vec<Vec<Outcome>>> {
        let mut reading = Reading::default();
        let rows: Vec<(String, Value)> = match self.infer(frame, &mut reading, of) {
            Value::Table(table) => {
                let rows = (0..table.labels.len()).map(|at| (table.labels[at].clone(), Value::Row(table.row(at))));
                rows.collect()
            }
            Value::List(list) => {
                (1..).map(|number: usize| number.to_string()).zip(list.items.iter().cloned()).collect()
            }
            Value::Unknown => return None,
            other => {
                let message = format!("`for each` goes through a table or a list, this is {}", other.kind().describe());
                let finding = frame.error(Code::KindMismatch, of.span, message);
                self.report(finding);
                return None;
            }
        };
        if let Some(first) = frame.symbols.get(&name.node) {
            let finding = frame
                .error(Code::Redefined, name.span, format!("`{}` is the name of something else", name.node))
                .also(&first.source, first.span, "defined here")
                .help("choose another name for each row");
            self.report(finding);
            return None;
        }
        if rows.is_empty() {
            let reason = format!("{} has no row", print_expression(of));
            let idle = Idle { clause: again.0.clone(), reason };
            self.scope_mut(frame.scope).parts.push(ScopePart::Idle(Arc::new(idle)));
        }
        let line = reading.mentions.last().and_then(|mention| mention.line);
        let mut all = Vec::with_capacity(rows.len());
        for (label, value) in rows {
            let symbol = Symbol { value, line, source: frame.source.clone(), span: name.span };
            frame.symbols.insert(name.node.clone(), symbol);
            all.push(self.use_once(frame, statement, used, again, Some(&label)));
        }
        frame.symbols.remove(&name.node);
        Some(all)
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
        let slug = slug.strip_suffix(".md").unwrap_or(slug);
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

    /// Says so where a clause gives what nothing in it defines.
    pub(super) fn refuse_empty_gives(&mut self, inner: &Frame) {
        for name in &inner.gives {
            if !inner.symbols.contains_key(&name.node) {
                let message = format!("the clause says it gives `{}`, but nothing in it defines that", name.node);
                let finding = inner.error(Code::UnknownSymbol, name.span, message).suggest(&name.node, inner.names());
                self.report(finding.help(format!("define `{}` in the clause, or leave the line out", name.node)));
            }
        }
    }

    /// What the sheet asks for of what the clause gives.
    fn results(&mut self, frame: &Frame, inner: &Frame, used: &Use, line: LineId, is_sound: bool) -> Vec<Outcome> {
        self.refuse_empty_gives(inner);
        let mut results = Vec::with_capacity(used.gives.len());
        for (name, _) in &used.gives {
            // What was looked for is a result of this use.
            let is_found = used.solving.as_ref().is_some_and(|solving| solving.name.node == name.node);
            // Of a calculation whatever it says may be brought in.
            let is_given =
                is_found || inner.is_recalculation() || inner.gives.iter().any(|given| given.node == name.node);
            let found = if is_given { inner.symbols.get(&name.node).cloned() } else { None };
            let is_missing = !is_given || inner.is_recalculation() && found.is_none();
            if is_missing && is_sound {
                let names: Vec<&str> = match inner.is_recalculation() {
                    true => inner.names(),
                    false => inner.gives.iter().map(|given| given.node.as_str()).collect(),
                };
                let message = format!("`{}` gives no `{}`", used.path.node, name.node);
                let finding = frame
                    .error(Code::UnknownSymbol, name.span, message)
                    .note(format!("it gives {}", names.join(", ")))
                    .suggest(&name.node, names);
                self.report(finding);
            }
            results.push(found.map_or((Value::Unknown, Some(line)), |symbol| (symbol.value, symbol.line)));
        }
        results
    }
}

/// A clause, or a calculation that is made again.
type Used<'a> = (&'a Arc<Clause>, Option<&'a Arc<Recalculation>>);

/// A result of a clause and the line that defines it.
type Outcome = (Value, Option<LineId>);

/// The results of several uses, each as a list; plain numbers where there was no use.
fn gathered(all: Vec<Vec<Outcome>>, count: usize) -> Vec<Outcome> {
    (0..count)
        .map(|at| {
            let (mut items, mut line) = (Vec::with_capacity(all.len()), None);
            for results in &all {
                let (value, from) = &results[at];
                items.push(value.clone());
                line = *from;
            }
            if items.iter().any(Value::is_unknown) {
                return (Value::Unknown, line);
            }
            let element = items.first().map_or(Kind::Number(Dimension::NONE), Value::kind);
            (Value::List(List { items, element }), line)
        })
        .collect()
}
