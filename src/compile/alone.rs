//! A clause by itself: what is wrong in it whoever uses it.
//!
//! What it takes stands for any value of its kind. How long a list is and which rows a table has only its uses say, so
//! that nothing is found fault with on that account.

use super::expression::Reading;
use super::{
    ANY_ROW, Compiler, Frame, Kind, List, Row, Settings, Sources, Symbol, Table, Value, Word, remove_repeated,
};
use crate::diagnostic::{Code, Diagnostic, any_error};
use crate::document::SheetKind;
use crate::library::Clause;
use crate::syntax::{Expression, StatementKind};
use crate::text::Span;
use std::sync::Arc;

/// Compiles a clause without a use and returns what is wrong in it.
pub fn check_clause(clause: &Clause, sources: &dyn Sources, settings: &Settings) -> Vec<Diagnostic> {
    let (sheet, found) = clause.sheet();
    let mut compiler = Compiler::new(sources, settings);
    compiler.findings.extend(found.iter().cloned());
    if sheet.document.front.kind != SheetKind::Clause {
        if !any_error(found) {
            compiler.report(no_clause(clause));
        }
        return compiler.findings;
    }
    compiler.is_alone = true;
    compiler.clause_stack.push(clause.path.clone());
    let scope = compiler.scope(String::new(), None, None, sheet);
    let mut frame = Frame::new(scope, sheet, None);
    frame.is_clause = true;
    for statement in sheet.statements() {
        let StatementKind::Takes { name, kind, default } = &statement.kind else { continue };
        let kind = compiler.kind(&frame, kind, statement.suffix.among.as_ref());
        let value = compiler.any_of(&kind);
        if let Some(default) = default {
            compiler.check_default(&frame, default, &kind, &name.node);
        }
        compiler.limits(&frame, &mut Reading::default(), &statement.suffix, &value);
        let symbol = Symbol { value, line: None, source: frame.source.clone(), span: name.span };
        compiler.define(&mut frame, &name.node, name.span, symbol);
    }
    compiler.parts(&mut frame, sheet);
    compiler.refuse_empty_gives(&frame);
    let mut findings = compiler.findings;
    remove_repeated(&mut findings);
    findings
}

/// What is said of a sheet that lies where clauses do.
pub(super) fn no_clause(clause: &Clause) -> Diagnostic {
    let message = "this file lies among the clauses but is none";
    Diagnostic::error(Code::UnknownClause, &clause.source, Span::new(0, 3), message)
        .help("write `kind = \"clause\"` in its front matter, or move it out of `clauses/`")
}

impl Compiler<'_> {
    /// Whether a default is of the kind that is taken.
    fn check_default(&mut self, frame: &Frame, default: &Expression, kind: &Kind, name: &str) {
        let words = match kind {
            Kind::Word(set) => Some(set.clone()),
            _ => None,
        };
        let value = self.infer(frame, &mut Reading { words, ..Reading::default() }, default);
        if let Err(finding) = self.conform(frame, value, kind, default.span, name) {
            self.report(finding);
        }
    }

    /// Any value of a kind.
    fn any_of(&mut self, kind: &Kind) -> Value {
        match kind {
            Kind::Number(dimension) => Value::number(self.builder.input(), *dimension),
            Kind::Truth => Value::Truth(self.builder.input()),
            Kind::Word(set) => Value::Word(Word { register: self.builder.input(), set: set.clone() }),
            Kind::List(element) => match self.any_of(element) {
                Value::Unknown => Value::Unknown,
                item => Value::List(List { items: vec![item], element: (**element).clone() }),
            },
            Kind::Table(columns) => {
                let mut filled = Vec::with_capacity(columns.len());
                for (name, kind) in columns {
                    filled.push((name.clone(), List { items: vec![self.any_of(kind)], element: kind.clone() }));
                }
                Value::Table(Arc::new(Table { columns: filled, labels: vec![ANY_ROW.to_owned()] }))
            }
            Kind::Row(fields) => {
                let fields = fields.iter().map(|(name, kind)| (name.clone(), self.any_of(kind))).collect();
                Value::Row(Arc::new(Row { label: ANY_ROW.to_owned(), fields }))
            }
            // Which values a file holds only a use says.
            Kind::Data | Kind::Unknown => Value::Unknown,
        }
    }
}
