//! A clause used backwards: the value of something that it takes for which a result comes to a target.

use super::expression::Reading;
use super::{Compiler, Frame, Kind, LineId, Shown, Solved, Symbol, Value, Work};
use crate::diagnostic::Code;
use crate::syntax::{Expression, Name, Solving, Statement, Use};
use std::sync::Arc;

impl Compiler<'_> {
    /// The line of what is looked for, in the place of what would bind it.
    pub(super) fn solved(
        &mut self,
        frame: &Frame,
        inner: &mut Frame,
        statement: &Arc<Statement>,
        (name, kind): (&Name, &Kind),
        solving: &Solving,
    ) -> LineId {
        let mut reading = Reading::default();
        let mut number = |compiler: &mut Self, expression: &Expression, kind: Option<&Kind>, what: &str| {
            let value = compiler.infer(frame, &mut reading, expression);
            let value = match kind.map(|kind| compiler.conform(frame, value.clone(), kind, expression.span, what)) {
                Some(Err(finding)) => compiler.report(finding),
                _ => value,
            };
            match &value {
                Value::Number(number) if number.shown.is_none() => {
                    let unit = compiler.settings.display.choose(number.dimension);
                    value.shown_as(&Arc::new(Shown { unit, digits: None, figures: None }))
                }
                Value::Number(_) | Value::Unknown => value,
                other => {
                    let message = format!("`{what}` must be a number, not {}", other.kind().describe());
                    compiler.report(frame.error(Code::KindMismatch, expression.span, message))
                }
            }
        };
        // What is no number cannot be looked for, whatever its limits are.
        let limits_are = Some(kind).filter(|kind| matches!(kind, Kind::Number(_)));
        let low = number(self, &solving.low, limits_are, &name.node);
        let high = number(self, &solving.high, limits_are, &name.node);
        let target = number(self, &solving.target, None, &solving.result.node);
        let value = match (kind, &low, &high, &target) {
            (Kind::Number(dimension), Value::Number(low), Value::Number(high), Value::Number(target)) => {
                let register = self.builder.solve(low.register, high.register, target.register);
                let unit = self.settings.display.choose(*dimension);
                Value::number(register, *dimension).shown_as(&Arc::new(Shown { unit, digits: None, figures: None }))
            }
            (Kind::Number(_), ..) => Value::Unknown,
            (other, ..) => {
                let message = format!("only a number can be looked for; `{}` is {}", name.node, other.describe());
                self.report(frame.error(Code::KindMismatch, solving.name.span, message))
            }
        };
        let solved = Solved { low, high, result: solving.result.node.clone(), target, solving: solving.clone() };
        let mut line = self.line(inner, statement, Work::Solved(Box::new(solved)), value.clone(), reading);
        line.symbol = Some(name.node.clone());
        line.limits = self.limits(inner, &mut Reading::default(), &statement.suffix, &value);
        let id = self.add_line(line);
        let symbol = Symbol { value, line: Some(id), source: inner.source.clone(), span: name.span };
        self.define(inner, &name.node, name.span, symbol);
        id
    }

    /// Ties what is looked for to the result, once the clause is compiled.
    pub(super) fn solve_for(&mut self, frame: &Frame, inner: &Frame, used: &Use, solving: &Solving) {
        let Some(Symbol { line: Some(line), value: Value::Number(looked_for), .. }) =
            inner.symbols.get(&solving.name.node)
        else {
            return;
        };
        let (line, value) = (*line, looked_for.register);
        let Work::Solved(solved) = &self.notes.line(line).work else { return };
        let target = solved.target.clone();
        let wanted = &solving.result;
        let names: Vec<&str> = inner.gives.iter().map(|given| given.node.as_str()).collect();
        if !names.contains(&wanted.node.as_str()) {
            let message = format!("`{}` gives no `{}`", used.path.node, wanted.node);
            let finding = frame.error(Code::UnknownSymbol, wanted.span, message);
            let finding = finding.note(format!("it gives {}", names.join(", "))).suggest(&wanted.node, names);
            self.report(finding);
            return;
        }
        let result = inner.symbols.get(&wanted.node).map(|symbol| symbol.value.clone());
        match (result, target) {
            (Some(Value::Number(result)), Value::Number(target)) if result.dimension == target.dimension => {
                self.builder.solve_for(value, result.register);
            }
            (Some(Value::Number(result)), Value::Number(target)) => {
                let (wants, has) = (result.dimension.describe(), target.dimension.describe());
                let message = format!("`{}` is {wants}, what it has to come to is {has}", wanted.node);
                let code = if target.dimension.is_none() { Code::MissingUnit } else { Code::UnitMismatch };
                self.report(frame.error(code, solving.target.span, message));
            }
            (Some(Value::Unknown) | None, _) | (_, Value::Unknown) => {}
            (Some(other), _) => {
                let message = format!("`{}` must be a number, not {}", wanted.node, other.kind().describe());
                self.report(frame.error(Code::KindMismatch, wanted.span, message));
            }
        }
    }
}
