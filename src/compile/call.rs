//! Calls of built-in functions, by their signatures.

use super::expression::Reading;
use super::operator::named;
use super::{Compiler, Frame, Kind, List, Value};
use crate::diagnostic::{Code, Diagnostic, nearest};
use crate::function::{self, DimensionRule, Signature};
use crate::program::{Binary, Register, Unary};
use crate::quantity::{Dimension, Exponent};
use crate::syntax::{Expression, Name};
use crate::text::Span;

impl Compiler<'_> {
    /// The value of a call.
    pub(super) fn call(
        &mut self,
        frame: &Frame,
        reading: &mut Reading,
        name: &Name,
        arguments: &[Expression],
        span: Span,
    ) -> Value {
        let values: Vec<Value> = arguments.iter().map(|argument| self.infer(frame, reading, argument)).collect();
        let Some(function) = function::find(&name.node) else {
            let finding =
                frame.error(Code::UnknownFunction, name.span, format!("there is no function `{}`", name.node));
            let finding = match nearest(&name.node, function::all().map(|function| function.name)) {
                Some(near) => finding.help(format!("did you mean `{near}`?")),
                None if frame.symbols.contains_key(&name.node) => {
                    finding.help(format!("`{}` is a symbol: a product is written with `*`", name.node))
                }
                None => finding,
            };
            return self.report(finding);
        };
        let wanted = match function.signature {
            Signature::Elementwise(..) | Signature::Sum | Signature::Mean | Signature::Count => Some(1),
            Signature::CountWhere | Signature::Join(_) => Some(1),
            Signature::Quotient(_) | Signature::Pairs | Signature::Labels(_) => Some(2),
            Signature::Either | Signature::RandomSample => Some(3),
            Signature::Routine(typed) => Some(typed.parameters.len()),
            Signature::Extreme(_) => None,
        };
        if wanted.is_some_and(|wanted| wanted != values.len()) || values.is_empty() {
            let message = format!("`{}` has {} arguments here", function.name, values.len());
            let finding = frame.error(Code::UnknownFunction, span, message);
            return self.report(finding.help(format!("write `{}`", function.usage)));
        }
        if values.iter().any(Value::is_unknown) {
            return Value::Unknown;
        }
        let mut given = arguments.iter().zip(values);
        match &function.signature {
            Signature::Extreme(operation) => self.extreme(frame, *operation, given.collect(), span),
            Signature::Routine(typed) => self.routine(frame, function, typed, given.collect()),
            Signature::Either => match (given.next(), given.next(), given.next()) {
                (Some(condition), Some(yes), Some(no)) => self.either(frame, condition, yes, no),
                _ => Value::Unknown,
            },
            Signature::Pairs => match (given.next(), given.next()) {
                (Some(outer), Some(inner)) => self.pairs(frame, outer, inner),
                _ => Value::Unknown,
            },
            Signature::Labels(rule) => match (given.next(), given.next()) {
                (Some(rows), Some(others)) => self.by_labels(frame, *rule, rows, others),
                _ => Value::Unknown,
            },
            Signature::RandomSample => match (given.next(), given.next(), given.next()) {
                (Some(rows), Some(n), Some(seed)) => self.random_sample(frame, span, rows, n, seed),
                _ => Value::Unknown,
            },
            Signature::Quotient(operation) => match (given.next(), given.next()) {
                (Some((a, x)), Some((b, y))) => {
                    self.pairwise(frame, (x, a.span), (y, b.span), &mut |compiler, x, y| {
                        compiler.quotient(frame, *operation, (a, x), (b, y))
                    })
                }
                _ => Value::Unknown,
            },
            Signature::Elementwise(operation, rule) => match given.next() {
                Some((argument, value)) => self.each(value, &mut |compiler, value| {
                    compiler.elementwise(frame, *operation, *rule, argument, value)
                }),
                None => Value::Unknown,
            },
            signature => match given.next() {
                Some((_, Value::Table(table))) if matches!(signature, Signature::Count) && !self.is_alone => {
                    Value::plain(self.builder.constant(table.labels.len() as f64))
                }
                Some((argument, Value::List(list))) => self.over_list(frame, signature, argument, list),
                Some((argument, value)) => {
                    let message = format!("`{}` needs a list, this is {}", function.name, value.kind().describe());
                    let finding = frame.error(Code::KindMismatch, argument.span, message);
                    self.report(finding.help("write a list, `[a, b]`, or use the value as it is"))
                }
                None => Value::Unknown,
            },
        }
    }

    fn elementwise(
        &mut self,
        frame: &Frame,
        operation: Unary,
        rule: DimensionRule,
        argument: &Expression,
        value: Value,
    ) -> Value {
        let Value::Number(number) = value else {
            if value.is_unknown() {
                return value;
            }
            let message = format!("a number is needed, this is {}", value.kind().describe());
            let finding = frame.error(Code::KindMismatch, argument.span, message);
            return self.report(finding);
        };
        let dimension = match rule {
            DimensionRule::Kept => number.dimension,
            DimensionRule::Root => number.dimension.power(Exponent::new(1, 2)),
            DimensionRule::Plain if number.dimension.is_none() => Dimension::NONE,
            DimensionRule::Plain => {
                let message = format!("a plain number is needed, this is {}", named(number.dimension, argument));
                let finding = frame
                    .error(Code::UnitMismatch, argument.span, message)
                    .help("divide by a quantity of the same dimension, or say `giving UNIT with X in UNIT`");
                return self.report(finding);
            }
        };
        Value::number(self.builder.unary(operation, number.register), dimension)
    }

    fn quotient(
        &mut self,
        frame: &Frame,
        operation: Binary,
        (a, x): (&Expression, Value),
        (b, y): (&Expression, Value),
    ) -> Value {
        match (&x, &y) {
            (Value::Number(p), Value::Number(q)) if p.dimension == q.dimension => {
                Value::plain(self.builder.binary(operation, p.register, q.register))
            }
            _ => {
                let message = "both arguments must be numbers of one dimension";
                let finding = frame.error(Code::UnitMismatch, a.span, message).here(x.kind().describe()).also(
                    &frame.source,
                    b.span,
                    y.kind().describe(),
                );
                self.report(finding.help("give both of them a unit of the same dimension, or neither"))
            }
        }
    }

    fn extreme(&mut self, frame: &Frame, operation: Binary, given: Vec<(&Expression, Value)>, span: Span) -> Value {
        let mut best: Option<(Register, Dimension, &Expression)> = None;
        let mut nothing = None;
        for (argument, value) in given {
            if let Value::List(List { items, element: Kind::Number(dimension) }) = &value
                && items.is_empty()
            {
                nothing = Some(*dimension);
            }
            let items = match value {
                Value::List(list) => list.items,
                single => vec![single],
            };
            for item in items {
                let Value::Number(number) = item else {
                    let message = format!("numbers are needed, this is {}", item.kind().describe());
                    let finding = frame.error(Code::KindMismatch, argument.span, message);
                    return self.report(finding);
                };
                best = Some(match best {
                    None => (number.register, number.dimension, argument),
                    Some((register, dimension, first)) if dimension == number.dimension => {
                        (self.builder.binary(operation, register, number.register), dimension, first)
                    }
                    Some((_, dimension, first)) => {
                        let message = format!(
                            "cannot compare {} with {}",
                            named(dimension, first),
                            named(number.dimension, argument)
                        );
                        let is_bare = (dimension.is_none() && self.is_bare_number(frame, first))
                            .then_some((first, number.dimension));
                        let is_bare = is_bare.or((number.dimension.is_none() && self.is_bare_number(frame, argument))
                            .then_some((argument, dimension)));
                        let code = if is_bare.is_some() { Code::MissingUnit } else { Code::UnitMismatch };
                        let mut finding = frame
                            .error(code, argument.span, message)
                            .here(number.dimension.describe())
                            .also(&frame.source, first.span, dimension.describe());
                        if let Some((side, wanted)) = is_bare {
                            finding = self.where_a_unit_is_missing(frame, finding, side, wanted);
                        }
                        return self.report(finding);
                    }
                });
            }
        }
        match (best, nothing) {
            (Some((register, dimension, _)), _) => Value::number(register, dimension),
            // The least of none is no number; whoever needs one requires at least one row, and says of what.
            (None, Some(dimension)) => Value::number(self.builder.constant(f64::NAN), dimension),
            (None, None) => {
                let finding =
                    frame.error(Code::KindMismatch, span, "there is nothing to choose from: every list is empty");
                self.report(finding)
            }
        }
    }

    /// Sum, mean, count and joins.
    fn over_list(&mut self, frame: &Frame, signature: &Signature, argument: &Expression, list: List) -> Value {
        let count = list.items.len() as f64;
        if matches!(signature, Signature::Count) {
            return Value::plain(self.builder.constant(count));
        }
        let wants_truth = matches!(signature, Signature::CountWhere | Signature::Join(_));
        let mut dimension = match list.element {
            Kind::Number(dimension) if !wants_truth => dimension,
            _ => Dimension::NONE,
        };
        let mut registers = Vec::with_capacity(list.items.len());
        for item in &list.items {
            match item {
                Value::Truth(register) if wants_truth => registers.push(*register),
                Value::Number(number) if !wants_truth => {
                    dimension = number.dimension;
                    registers.push(number.register);
                }
                other => {
                    let wanted = if wants_truth { "a list of yes/no" } else { "a list of numbers" };
                    let message = format!("{wanted} is needed, its elements are {}", other.kind().describe());
                    let finding = frame.error(Code::KindMismatch, argument.span, message);
                    return self.report(finding);
                }
            }
        }
        let (operation, empty) = match signature {
            Signature::Join(Binary::And) => (Binary::And, 1.0),
            Signature::Join(operation) => (*operation, 0.0),
            _ => (Binary::Add, 0.0),
        };
        let mut total: Option<Register> = None;
        for register in registers {
            total = Some(match total {
                None => register,
                Some(total) => self.builder.binary(operation, total, register),
            });
        }
        let total = total.unwrap_or_else(|| self.builder.constant(empty));
        match signature {
            Signature::Join(_) => Value::Truth(total),
            Signature::Mean => {
                let count = self.builder.constant(count);
                Value::number(self.builder.binary(Binary::Divide, total, count), dimension)
            }
            _ => Value::number(total, dimension),
        }
    }

    fn either(
        &mut self,
        frame: &Frame,
        (condition, decides): (&Expression, Value),
        (yes, a): (&Expression, Value),
        (no, b): (&Expression, Value),
    ) -> Value {
        let lists =
            [(condition, &decides), (yes, &a), (no, &b)].into_iter().filter_map(|(argument, value)| match value {
                Value::List(list) => Some((list.items.len(), argument.span)),
                _ => None,
            });
        let lists: Vec<(usize, Span)> = lists.collect();
        let item = |value: &Value, at: usize| match value {
            Value::List(list) => list.items.get(at).cloned().unwrap_or(Value::Unknown),
            single => single.clone(),
        };
        if let Some((first, other)) =
            lists.first().zip(lists.iter().find(|list| Some(list.0) != lists.first().map(|first| first.0)))
            && !self.is_alone
        {
            return self.unequal(frame, *first, *other);
        }
        match lists.first() {
            None => self.choose(frame, (condition, &decides), (yes, &a), (no, &b)),
            Some((0, _)) => {
                let mut sample = |value: &Value| match value {
                    Value::List(list) => self.sample(&list.element),
                    single => single.clone(),
                };
                let (decides, a, b) = (sample(&decides), sample(&a), sample(&b));
                let element = self.choose(frame, (condition, &decides), (yes, &a), (no, &b)).kind();
                Value::List(List { items: Vec::new(), element })
            }
            Some((length, _)) => {
                let length = *length;
                let items = (0..length)
                    .map(|at| {
                        let (decides, a, b) = (item(&decides, at), item(&a, at), item(&b, at));
                        self.choose(frame, (condition, &decides), (yes, &a), (no, &b))
                    })
                    .collect();
                Value::list(items)
            }
        }
    }

    /// One of two values of one kind.
    pub(super) fn choose(
        &mut self,
        frame: &Frame,
        (condition, decides): (&Expression, &Value),
        (yes, a): (&Expression, &Value),
        (no, b): (&Expression, &Value),
    ) -> Value {
        let Value::Truth(decides) = decides else {
            if decides.is_unknown() {
                return Value::Unknown;
            }
            return self.report(no_condition(frame, condition, &decides.kind()));
        };
        match (a, b) {
            (Value::Unknown, _) | (_, Value::Unknown) => Value::Unknown,
            (Value::Number(x), Value::Number(y)) if x.dimension == y.dimension => {
                let register = self.builder.choose(*decides, x.register, y.register);
                Value::number(register, x.dimension)
            }
            (Value::Truth(x), Value::Truth(y)) => Value::Truth(self.builder.choose(*decides, *x, *y)),
            (Value::Word(x), Value::Word(y)) if x.set == y.set => {
                let register = self.builder.choose(*decides, x.register, y.register);
                Value::Word(super::Word { register, set: x.set.clone() })
            }
            (Value::List(x), Value::List(y)) if x.items.len() == y.items.len() || self.is_alone => {
                let decides = Value::Truth(*decides);
                let items = x
                    .items
                    .iter()
                    .zip(&y.items)
                    .map(|(x, y)| self.choose(frame, (condition, &decides), (yes, x), (no, y)))
                    .collect();
                Value::list(items)
            }
            (a, b) => {
                let finding = frame
                    .error(Code::UnitMismatch, no.span, "the values to choose from are of different kinds")
                    .here(b.kind().describe())
                    .also(&frame.source, yes.span, a.kind().describe());
                self.report(finding)
            }
        }
    }
}

/// What is said of a value that stands where a condition should.
pub(super) fn no_condition(frame: &Frame, condition: &Expression, kind: &Kind) -> Diagnostic {
    let message = format!("a condition is yes or no, this is {}", kind.describe());
    let finding = frame.error(Code::KindMismatch, condition.span, message);
    finding.help(match kind {
        Kind::List(_) => "write `all(…)` or `any(…)`",
        Kind::Word(_) => "compare it with one of its words: `… is …`",
        _ => "compare it with something: `… <= …`",
    })
}
