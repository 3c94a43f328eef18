//! Statements: one line each, and the symbols that they define.

use super::call::no_condition;
use super::expression::Reading;
use super::{Check, Compiler, Frame, Line, LineId, Origin, ScopePart, Shown, Symbol, Value, Work};
use crate::diagnostic::Code;
use crate::document::BlockKind;
use crate::program::Binary;
use crate::syntax::{BinaryOperator, Expression, ExpressionKind, Name, Sheet, SheetPart, Statement, StatementKind};
use std::sync::Arc;

impl Compiler<'_> {
    /// All parts of a sheet in order.
    pub(super) fn parts(&mut self, frame: &mut Frame, sheet: &Sheet) {
        for part in &sheet.parts {
            match part {
                SheetPart::Prose(index) => self.add_part(frame, ScopePart::Prose(*index)),
                SheetPart::Block(kind, statements) => {
                    for statement in statements {
                        self.statement(frame, *kind, statement);
                    }
                }
            }
        }
    }

    pub(super) fn add_part(&mut self, frame: &Frame, part: ScopePart) {
        self.scope_mut(frame.scope).parts.push(part);
    }

    /// Puts a line into the block that is being filled, or opens one.
    pub(super) fn place(&mut self, frame: &Frame, kind: BlockKind, line: LineId) {
        let parts = &mut self.scope_mut(frame.scope).parts;
        match parts.last_mut() {
            Some(ScopePart::Lines(last, lines)) if *last == kind => lines.push(line),
            _ => parts.push(ScopePart::Lines(kind, vec![line])),
        }
    }

    pub(super) fn statement(&mut self, frame: &mut Frame, block: BlockKind, statement: &Arc<Statement>) {
        match &statement.kind {
            StatementKind::Define { name, value } => self.definition(frame, block, statement, name, value),
            StatementKind::Require { condition, on } => self.requirement(frame, block, statement, condition, on),
            StatementKind::Verify(check) => self.check(frame, block, statement, check),
            // The cards of a calculation are for what it says; made again, it says something else.
            StatementKind::Use(_) if block == BlockKind::Card && frame.is_recalculation() => {}
            StatementKind::Use(used) if block == BlockKind::Card => self.card(frame, statement, used),
            StatementKind::Use(used) => self.use_clause(frame, statement, used),
            StatementKind::Figure { name, with } => self.figure(frame, statement, name, with),
            // What a clause takes is bound before its statements run; what it gives is looked up after them.
            StatementKind::Takes { name, .. } => {
                if !frame.is_clause {
                    let finding = frame.error(Code::MisplacedStatement, statement.span, "only a clause takes values");
                    self.report(
                        finding.help(
                            "write `kind = \"clause\"` in the front matter, or define the value in a `given` block",
                        ),
                    );
                    let symbol =
                        Symbol { value: Value::Unknown, line: None, source: frame.source.clone(), span: name.span };
                    self.define(frame, &name.node, name.span, symbol);
                }
            }
            StatementKind::Gives(name) => frame.gives.push(name.clone()),
            StatementKind::Unreadable(names) => {
                for name in names {
                    let symbol =
                        Symbol { value: Value::Unknown, line: None, source: frame.source.clone(), span: name.span };
                    self.define(frame, &name.node, name.span, symbol);
                }
            }
        }
    }

    /// A line with what every statement may carry.
    pub(super) fn line(
        &self,
        frame: &Frame,
        statement: &Arc<Statement>,
        work: Work,
        value: Value,
        reading: Reading,
    ) -> Line {
        let suffix = &statement.suffix;
        Line {
            scope: frame.scope,
            symbol: None,
            work,
            statement: statement.clone(),
            source: frame.source.clone(),
            value,
            mentions: reading.mentions,
            limits: None,
            origin: suffix.reference.as_ref().map_or_else(Origin::default, |reference| Origin {
                text: reference.text.clone(),
                mark: reference.mark.clone(),
            }),
            is_default: false,
            is_stated: false,
            description: suffix.description.as_ref().map_or_else(String::new, |words| words.node.clone()),
        }
    }

    pub(super) fn requirement(
        &mut self,
        frame: &mut Frame,
        block: BlockKind,
        statement: &Arc<Statement>,
        condition: &Expression,
        on: &[Name],
    ) {
        let mut mistaken = Vec::with_capacity(on.len());
        for name in on {
            let mut named = Reading::default();
            self.infer(frame, &mut named, &Expression::new(ExpressionKind::Name(name.node.clone()), name.span));
            mistaken.extend(named.mentions.iter().filter_map(|mention| mention.line));
        }
        let mut reading = Reading::default();
        let value = self.infer(frame, &mut reading, condition);
        let holds = match &value {
            Value::Truth(register) => *register,
            Value::Unknown => return,
            other => {
                self.report(no_condition(frame, condition, &other.kind()));
                return;
            }
        };
        let line = self.line(frame, statement, Work::Require { holds, mistaken }, value, reading);
        let id = self.add_line(line);
        self.place(frame, block, id);
    }

    pub(super) fn check(
        &mut self,
        frame: &mut Frame,
        block: BlockKind,
        statement: &Arc<Statement>,
        check: &Expression,
    ) {
        let mut reading = Reading::default();
        let holds = self.infer(frame, &mut reading, check);
        let ExpressionKind::Binary(operator, left, right) = &check.kind else {
            return;
        };
        let (left_value, right_value) = {
            // The same steps again, found by the builder; only the values of the two sides are wanted.
            let mut sides = Reading::default();
            let before = self.findings.len();
            let values = (self.infer(frame, &mut sides, left), self.infer(frame, &mut sides, right));
            self.findings.truncate(before);
            values
        };
        let holds = match holds {
            Value::Truth(register) => register,
            Value::Unknown => return,
            _ => {
                let finding = frame
                    .error(Code::KindMismatch, check.span, "a check compares two numbers, not lists")
                    .help("write `max(…)` on the side of the demand, or `min(…)` on that of the resistance");
                self.report(finding);
                return;
            }
        };
        let demand_first = matches!(operator, BinaryOperator::LessOrEqual | BinaryOperator::Less);
        let (demand, resistance) = if demand_first { (left_value, right_value) } else { (right_value, left_value) };
        let (Value::Number(x), Value::Number(y)) = (&demand, &resistance) else {
            return;
        };
        let ratio = self.builder.binary(Binary::Divide, x.register, y.register);
        let mut applies = Vec::with_capacity(statement.suffix.applies.len());
        for condition in statement.suffix.applies.iter().map(|applies| &applies.condition) {
            match self.infer(frame, &mut reading, condition) {
                Value::Truth(register) => applies.push(register),
                Value::Unknown => return,
                other => {
                    self.report(no_condition(frame, condition, &other.kind()));
                    return;
                }
            }
        }
        let show = |value: Value, compiler: &Self| match &value {
            Value::Number(number) if number.shown.is_none() => {
                let unit = compiler.settings.display.choose(number.dimension);
                value.shown_as(&Arc::new(Shown { unit, digits: None, figures: None }))
            }
            _ => value,
        };
        let (demand, resistance) = (show(demand, self), show(resistance, self));
        let work = Work::Check(Check { demand, resistance, demand_first, holds, ratio, applies });
        let line = self.line(frame, statement, work, Value::Truth(holds), reading);
        let id = self.add_line(line);
        self.place(frame, block, id);
    }
}
