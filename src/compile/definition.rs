//! Definitions: a symbol and its value, by formula, by condition or given.

use super::conform::words;
use super::expression::Reading;
use super::operator::named;
use super::{Compiler, Data, Frame, Kind, Limits, Shown, Symbol, Value, Work};
use crate::diagnostic::Code;
use crate::document::BlockKind;
use crate::program::{Binary, Register, Unary};
use crate::syntax::{Branch, Definition, Expression, ExpressionKind, Giving, Name, Statement, Suffix};
use std::sync::Arc;

impl Compiler<'_> {
    pub(super) fn definition(
        &mut self,
        frame: &mut Frame,
        block: BlockKind,
        statement: &Arc<Statement>,
        name: &Name,
        definition: &Definition,
    ) {
        if let Some(replacement) = frame.replaced.get(&name.node).filter(|_| block == BlockKind::Given).cloned() {
            return self.replaced(frame, block, statement, name, replacement);
        }
        let suffix = &statement.suffix;
        let mut reading = Reading {
            inputs: block == BlockKind::Given,
            words: suffix.among.as_ref().map(|among| words(Some(among))),
            ..Reading::default()
        };
        let (mut data, mut as_installed) = (None, None);
        let (work, value) = match definition {
            Definition::Expression(expression) if block == BlockKind::Given => {
                (Work::Given, self.given_value(frame, &mut reading, expression))
            }
            Definition::Expression(expression) => {
                self.open_giving(frame, &mut reading, suffix.giving.as_ref());
                let value = self.infer(frame, &mut reading, expression);
                let value = self.close_giving(frame, suffix.giving.as_ref(), value, expression);
                (Work::Derive, value)
            }
            Definition::Cases(branches) => {
                self.open_giving(frame, &mut reading, suffix.giving.as_ref());
                let (taken, value) = self.cases(frame, &mut reading, branches);
                let value = match branches.first() {
                    Some(first) => self.close_giving(frame, suffix.giving.as_ref(), value, &first.value),
                    None => value,
                };
                (Work::Cases(taken), value)
            }
            Definition::Table(table) => (Work::Given, self.any_table(frame, &mut reading, statement, table)),
            Definition::Data(path) => {
                data = self.data_file(frame, path);
                (Work::Given, Value::Unknown)
            }
            Definition::Records(records) => {
                let judged = self.records(frame, &mut reading, statement, records);
                let value = judged.as_ref().map_or(Value::Unknown, |judged| judged.value.clone());
                as_installed = judged;
                (Work::Given, value)
            }
        };
        let is_given = block == BlockKind::Given;
        let value = self.show(frame, suffix, value, is_given);
        let limits = self.limits(frame, &mut reading, suffix, &value);
        let mut line = self.line(frame, statement, work, value.clone(), reading);
        line.symbol = Some(name.node.clone());
        line.limits = limits;
        let id = self.add_line(line);
        self.notes.records.extend(as_installed.map(|judged| judged.into_use(id)));
        let value = match data {
            Some(file) => {
                let value = Value::Data(Arc::new(Data { line: id, file }));
                self.notes.lines[id.0 as usize].value = value.clone();
                value
            }
            None => value,
        };
        self.place(frame, block, id);
        let symbol = Symbol { value, line: Some(id), source: frame.source.clone(), span: name.span };
        self.define(frame, &name.node, name.span, symbol);
    }

    /// A given is a value, not a formula.
    pub(super) fn given_value(&mut self, frame: &Frame, reading: &mut Reading, expression: &Expression) -> Value {
        if let Some(place) = first_operator(expression) {
            let finding = match reading.is_data {
                true => frame
                    .error(Code::MisplacedStatement, place.span, "an entry of a data file is a value, not a formula")
                    .help("write the value itself"),
                false => frame
                    .error(Code::MisplacedStatement, place.span, "a given is a value, not a formula")
                    .help("move this line to a `derive` block, or write the value itself"),
            };
            return self.report(finding);
        }
        if let (Some(name), None) = (expression.as_name(), &reading.words) {
            if ["nan", "inf", "infinity"].contains(&name.to_ascii_lowercase().as_str()) {
                let message = format!("`{name}` is no number that can be computed with");
                let finding = frame.error(Code::BadNumber, expression.span, message);
                return self.report(finding.help("write a finite number, or leave the line out"));
            }
            if reading.is_data {
                let message = format!("`{name}` is a word, and a data file holds none");
                let finding = frame.error(Code::UnknownWord, expression.span, message);
                return self
                    .report(finding.help("write a quantity, a number, `yes` or `no`; a word is given in the sheet"));
            }
            let message = format!("`{name}` is a word; say which words there are to choose from");
            let finding = frame
                .error(Code::UnknownWord, expression.span, message)
                .help(format!("write `{name} among {name}, …`"));
            return self.report(finding);
        }
        self.infer(frame, reading, expression)
    }

    pub(super) fn open_giving(&mut self, frame: &Frame, reading: &mut Reading, giving: Option<&Giving>) {
        for (name, unit) in giving.into_iter().flat_map(|giving| &giving.with) {
            if !frame.symbols.contains_key(&name.node) && !frame.places.contains_key(&name.node) {
                let finding = frame
                    .error(Code::UnknownSymbol, name.span, format!("nothing defines `{}`", name.node))
                    .here("not a symbol of this sheet")
                    .suggest(&name.node, frame.names());
                self.report_once(format!("{} of scope {}", name.node, frame.scope.0), finding);
            }
            let unit = self.unit(frame, unit);
            reading.bare.push((name.node.clone(), unit));
        }
    }

    /// The number that an empirical formula gives takes its unit again.
    pub(super) fn close_giving(
        &mut self,
        frame: &Frame,
        giving: Option<&Giving>,
        value: Value,
        formula: &Expression,
    ) -> Value {
        let Some(giving) = giving else { return value };
        let Some(unit) = self.unit(frame, &giving.unit) else {
            return Value::Unknown;
        };
        self.each(value, &mut |compiler, value| match value {
            Value::Number(number) if number.dimension.is_none() => {
                let mut register = number.register;
                let (up, down) = unit.scale();
                for (operation, factor) in [(Binary::Multiply, up), (Binary::Divide, down)] {
                    if factor != 1.0 {
                        let factor = compiler.builder.constant(factor);
                        register = compiler.builder.binary(operation, register, factor);
                    }
                }
                Value::number(register, unit.dimension())
            }
            Value::Unknown => Value::Unknown,
            Value::Number(number) => {
                let message = format!("the formula gives {}, not a bare number", named(number.dimension, formula));
                let finding = frame
                    .error(Code::UnitMismatch, formula.span, message)
                    .also(&frame.source, giving.unit.span, "its result takes this unit")
                    .help("name in `with … in …` every quantity of the formula that has a unit");
                compiler.report(finding)
            }
            other => {
                let message = format!("the formula gives {}, not a number", other.kind().describe());
                let finding = frame.error(Code::KindMismatch, formula.span, message);
                compiler.report(finding)
            }
        })
    }

    pub(super) fn cases(
        &mut self,
        frame: &Frame,
        reading: &mut Reading,
        branches: &[Branch],
    ) -> (Vec<Register>, Value) {
        let mut conditions = Vec::with_capacity(branches.len());
        let mut values = Vec::with_capacity(branches.len());
        for branch in branches {
            let words = reading.words.take();
            let condition =
                branch.condition.as_ref().map(|condition| (condition, self.infer(frame, reading, condition)));
            reading.words = words;
            values.push(self.infer(frame, reading, &branch.value));
            conditions.push(condition);
        }
        let mut result = values.last().cloned().unwrap_or(Value::Unknown);
        let otherwise = branches.last().map(|branch| &branch.value);
        for ((branch, condition), value) in branches.iter().zip(&conditions).zip(&values).rev() {
            if let (Some((expression, condition)), Some(otherwise)) = (condition, otherwise) {
                result = self.choose(frame, (expression, condition), (&branch.value, value), (otherwise, &result));
            }
        }
        // A branch is taken where its condition holds and none before it did.
        let mut open: Option<Register> = None;
        let mut taken = Vec::with_capacity(branches.len());
        for condition in conditions {
            let holds = match condition {
                Some((_, Value::Truth(holds))) => Some(holds),
                Some(_) => return (Vec::new(), Value::Unknown),
                None => None,
            };
            let here = match (open, holds) {
                (None, Some(holds)) => holds,
                (Some(open), Some(holds)) => self.builder.binary(Binary::And, open, holds),
                (Some(open), None) => open,
                (None, None) => self.builder.constant(1.0),
            };
            taken.push(here);
            if let Some(holds) = holds {
                let fails = self.builder.unary(Unary::Not, holds);
                open = Some(match open {
                    None => fails,
                    Some(open) => self.builder.binary(Binary::And, open, fails),
                });
            }
        }
        (taken, result)
    }

    /// How a line's value is shown: as said, as typed, or in the package's unit for the dimension.
    pub(super) fn show(&mut self, frame: &Frame, suffix: &Suffix, value: Value, is_given: bool) -> Value {
        let figures = suffix.figures.as_ref().map(|figures| figures.node);
        let dimension = match &value {
            Value::Number(number) => number.dimension,
            Value::List(list) => match &list.element {
                Kind::Number(dimension) => *dimension,
                _ => return self.refuse_unit(frame, suffix, value),
            },
            Value::Unknown => return value,
            _ => return self.refuse_unit(frame, suffix, value),
        };
        let unit = match &suffix.unit {
            Some(text) => match self.unit(frame, text) {
                Some(unit) if unit.dimension() == dimension => unit,
                Some(unit) => {
                    let message = format!("the value is {}, so it cannot be shown in {unit}", dimension.describe());
                    let better = self.settings.display.choose(dimension);
                    let finding = frame.error(Code::ShownUnit, text.span, message);
                    return self.report(match better.is_one() {
                        true => finding.help("leave the unit out"),
                        false => finding.help(format!("write `in {better}`, or another unit of that dimension")),
                    });
                }
                None => return value,
            },
            None if is_given && figures.is_none() => return value,
            None => self.settings.display.choose(dimension),
        };
        value.shown_as(&Arc::new(Shown { unit, digits: None, figures }))
    }

    pub(super) fn refuse_unit(&mut self, frame: &Frame, suffix: &Suffix, value: Value) -> Value {
        match &suffix.unit {
            None => value,
            Some(text) => {
                let message = format!("the value is {}, which has no unit", value.kind().describe());
                let finding = frame.error(Code::ShownUnit, text.span, message);
                self.report(finding.help("leave `in` and the unit out"))
            }
        }
    }

    /// `within A to B`.
    pub(super) fn limits(
        &mut self,
        frame: &Frame,
        reading: &mut Reading,
        suffix: &Suffix,
        value: &Value,
    ) -> Option<Limits> {
        let (low, high) = suffix.within.as_ref()?;
        let inputs = std::mem::take(&mut reading.inputs);
        let (low_value, high_value) = (self.infer(frame, reading, low), self.infer(frame, reading, high));
        reading.inputs = inputs;
        let mut holds: Option<Register> = None;
        let items = match value {
            Value::List(list) => list.items.clone(),
            single => vec![single.clone()],
        };
        for item in &items {
            let (Value::Number(low_number), Value::Number(high_number), Value::Number(number)) =
                (&low_value, &high_value, item)
            else {
                return None;
            };
            for (limit, text) in [(low_number, low), (high_number, high)] {
                if limit.dimension != number.dimension {
                    let message = format!(
                        "the value is {}, its limit is {}",
                        number.dimension.describe(),
                        limit.dimension.describe()
                    );
                    let code = if limit.dimension.is_none() { Code::MissingUnit } else { Code::UnitMismatch };
                    let finding = frame.error(code, text.span, message);
                    let unit = self.settings.display.choose(number.dimension);
                    self.report(match code {
                        Code::MissingUnit => self.where_a_unit_is_missing(frame, finding, text, number.dimension),
                        _ if number.dimension.is_none() => finding.help("write the limit as a plain number"),
                        _ => finding.help(format!("write the limit in {unit} or another unit of that dimension")),
                    });
                    return None;
                }
            }
            for (a, b) in [(low_number.register, number.register), (number.register, high_number.register)] {
                let holds_here = self.builder.binary(Binary::LessOrEqual, a, b);
                holds = Some(match holds {
                    None => holds_here,
                    Some(holds) => self.builder.binary(Binary::And, holds, holds_here),
                });
            }
        }
        Some(Limits { low: low_value, high: high_value, holds: holds? })
    }
}

/// The first part of an expression that computes.
fn first_operator(expression: &Expression) -> Option<&Expression> {
    match &expression.kind {
        ExpressionKind::Number(..) | ExpressionKind::Truth(_) | ExpressionKind::Unreadable => None,
        ExpressionKind::Unary(crate::syntax::UnaryOperator::Minus, operand) => match operand.kind {
            ExpressionKind::Number(..) => None,
            _ => Some(expression),
        },
        ExpressionKind::List(items) => items.iter().find_map(|item| first_operator(item)),
        ExpressionKind::Name(_) => None,
        _ => Some(expression),
    }
}
