//! Another calculation of the package, made again with some of its givens replaced: as built, or with another anchor.
//!
//! It is compiled in place, in a scope of its own, as a clause is; a given that `with` names takes the value from there.
//! Beside it the calculation is compiled as it stands, so that every ratio can be told with what it was.

use super::expression::Reading;
use super::{
    Compiled, Compiler, DataProblem, Frame, Kind, LineId, Notes, ScopeId, Symbol, Value, Work, compile_within,
};
use crate::diagnostic::{Code, Diagnostic, any_error};
use crate::document::{BlockKind, SheetKind};
use crate::library::Clause;
use crate::syntax::{Expression, Name, Sheet, Statement, StatementKind, Use};
use std::collections::HashMap;
use std::sync::Arc;

/// A calculation of the package that is made again with other values.
#[derive(Clone, Debug)]
pub struct Recalculation {
    /// Its path in the package.
    pub path: String,
    /// The calculation as it stands.
    pub before: Arc<Compiled>,
    /// The givens that are replaced, in the order of `with`.
    pub replaced: Vec<String>,
}

/// A value in the place of a given.
#[derive(Clone)]
pub(super) struct Replacement {
    /// As written in `with`.
    expression: Expression,
    value: Value,
    reading: Reading,
}

/// Whether a path leads to a calculation of the package, as one with an ending does.
pub(super) fn is_calculation(used: &Use) -> bool {
    used.path.node.ends_with(".md")
}

impl Compiler<'_> {
    /// A calculation used in the place of a clause; nothing where that cannot be.
    pub(super) fn find_calculation(
        &mut self,
        frame: &Frame,
        statement: &Statement,
        used: &Use,
    ) -> Option<(Arc<Clause>, Recalculation)> {
        let path = &used.path.node;
        if frame.is_clause || self.is_alone {
            let finding = frame.error(Code::MisplacedStatement, statement.span, "a clause cannot use a calculation");
            self.report(finding.help("use it in a sheet"));
            return None;
        }
        if !used.from.is_empty() || used.solving.is_some() {
            let span = used.from.first().map_or(used.path.span, |from| from.span);
            let message = "a calculation is used with `with` and `gives` alone";
            let finding = frame.error(Code::MisplacedStatement, span, message);
            self.report(finding.help("write `with NAME = VALUE` for each given that is replaced"));
            return None;
        }
        let sheet = match self.sources.calculation(path) {
            Ok(sheet) => sheet,
            Err(mut problem) => {
                // Nobody means the sheet that he is writing.
                if let DataProblem::Unreadable { near, .. } = &mut problem {
                    near.take_if(|near| self.calculations.contains(near));
                }
                self.unreadable(frame, &used.path, "the calculation", problem);
                return None;
            }
        };
        if self.calculations.contains(path) {
            let mut chain = self.calculations.clone();
            chain.push(path.clone());
            let finding =
                frame.error(Code::ClauseCycle, used.path.span, format!("the calculation `{path}` uses itself"));
            self.report(finding.note(format!("the way round is {}", chain.join(" → "))));
            return None;
        }
        let (read, findings) = sheet.sheet();
        if read.document.front.kind == SheetKind::Clause {
            let finding = frame.error(Code::UnknownClause, used.path.span, format!("`{path}` is a clause"));
            self.report(finding.help("use a clause by its name, without `.md`"));
            return None;
        }
        let mut within = self.calculations.clone();
        within.push(path.clone());
        let (before, more) = compile_within(read, self.sources, self.settings, within);
        let Some(before) = before.filter(|_| !any_error(findings)) else {
            let first = findings.iter().chain(&more).find(|finding| finding.is_error());
            let message = format!("the calculation `{path}` has errors of its own");
            let finding = frame.error(Code::Unreadable, used.path.span, message);
            let finding = match first.map(|first| (first, first.labels.first())) {
                Some((first, Some(place))) => finding.also(&place.source, place.span, first.message.clone()),
                Some((first, None)) => finding.note(first.message.clone()),
                None => finding,
            };
            self.report(finding.help("mend it first: only what stands can be made again"));
            return None;
        };
        self.rests_on.insert(format!("sheet {path}"), sheet.source.clone());
        self.rests_on.extend(before.rests_on.iter().map(|(name, source)| (name.clone(), source.clone())));
        let replaced = used.with.iter().map(|binding| binding.name.node.clone()).collect();
        Some((sheet, Recalculation { path: path.clone(), before: Arc::new(before), replaced }))
    }

    /// What `with` puts in the place of givens, by their names.
    pub(super) fn replacements(
        &mut self,
        frame: &Frame,
        used: &Use,
        sheet: &Sheet,
        before: &Notes,
    ) -> HashMap<String, Replacement> {
        let mut replacements = HashMap::new();
        for binding in &used.with {
            let name = &binding.name;
            let Some(kind) = given_kind(before, &name.node) else {
                let finding = no_such_given(frame, used, name, sheet, before);
                self.report(finding);
                continue;
            };
            let words = match &kind {
                Kind::Word(set) => Some(set.clone()),
                _ => None,
            };
            let mut reading = Reading { words, ..Reading::default() };
            let value = self.infer(frame, &mut reading, &binding.value);
            let value = match self.conform(frame, value, &kind, binding.value.span, &name.node) {
                Ok(value) => self.shown_in_clause(value),
                Err(finding) => {
                    let place = given_place(sheet, &name.node);
                    let finding = match place {
                        Some(span) => finding.also(&sheet.document.source, span, "it is given here"),
                        None => finding,
                    };
                    self.report(finding)
                }
            };
            let expression = binding.value.clone();
            if replacements.insert(name.node.clone(), Replacement { expression, value, reading }).is_some() {
                let finding = frame.error(Code::Redefined, name.span, format!("`{}` is replaced twice", name.node));
                self.report(finding.help("take one of them out"));
            }
        }
        replacements
    }

    /// A given whose value is replaced: the words of the calculation with the value of `with`.
    pub(super) fn replaced(
        &mut self,
        frame: &mut Frame,
        block: BlockKind,
        statement: &Arc<Statement>,
        name: &Name,
        replacement: Replacement,
    ) {
        let Replacement { expression, value, reading } = replacement;
        let limits = self.limits(frame, &mut Reading::default(), &statement.suffix, &value);
        let mut line = self.line(frame, statement, Work::Takes(Arc::new(expression)), value.clone(), reading);
        line.symbol = Some(name.node.clone());
        line.limits = limits;
        // The reference is that of the value that was replaced; this one's stands where it is given.
        line.origin = super::Origin::default();
        line.state(&frame.stated, true);
        let id = self.add_line(line);
        self.place(frame, block, id);
        let symbol = Symbol { value, line: Some(id), source: frame.source.clone(), span: name.span };
        self.define(frame, &name.node, name.span, symbol);
    }
}

/// The kind of a given of a calculation itself.
fn given_kind(notes: &Notes, name: &str) -> Option<Kind> {
    given_line(notes, name).map(|id| notes.line(id).value.kind())
}

/// The line of a given of a calculation itself.
pub(super) fn given_line(notes: &Notes, name: &str) -> Option<LineId> {
    let at = notes.lines.iter().position(|line| {
        line.scope == ScopeId(0) && matches!(line.work, Work::Given) && line.symbol.as_deref() == Some(name)
    })?;
    Some(LineId(at as u32))
}

fn given_place(sheet: &Sheet, name: &str) -> Option<crate::text::Span> {
    sheet.statements().find_map(|statement| match &statement.kind {
        StatementKind::Define { name: own, .. } if own.node == name => Some(own.span),
        _ => None,
    })
}

fn no_such_given(frame: &Frame, used: &Use, name: &Name, sheet: &Sheet, before: &Notes) -> Diagnostic {
    let path = &used.path.node;
    let givens = before.lines.iter().filter(|line| line.scope == ScopeId(0) && matches!(line.work, Work::Given));
    let names: Vec<&str> = givens.filter_map(|line| line.symbol.as_deref()).collect();
    match given_place(sheet, &name.node) {
        Some(span) => frame
            .error(Code::UnboundTake, name.span, format!("`{}` is computed in `{path}`, not given", name.node))
            .also(&sheet.document.source, span, "computed here")
            .help("replace the givens that it follows from"),
        None => frame
            .error(Code::UnboundTake, name.span, format!("`{path}` is given no `{}`", name.node))
            .note(format!("it is given {}", names.join(", ")))
            .suggest(&name.node, names),
    }
}
