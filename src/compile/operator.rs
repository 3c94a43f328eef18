//! Operators: what they ask of kinds and dimensions, element by element over lists.

use super::expression::Reading;
use super::{Compiler, Frame, Kind, List, Value, Word};
use crate::diagnostic::Code;
use crate::program::{Binary, Register, Unary};
use crate::quantity::{Dimension, Exponent, read_number};
use crate::syntax::{BinaryOperator, Expression, ExpressionKind, UnaryOperator, print_expression};
use crate::text::Span;

impl Compiler<'_> {
    pub(super) fn unary(
        &mut self,
        frame: &Frame,
        reading: &mut Reading,
        operator: UnaryOperator,
        operand: &Expression,
    ) -> Value {
        if let (UnaryOperator::Minus, ExpressionKind::Number(digits, unit)) = (operator, &operand.kind) {
            return self.literal(frame, reading, digits, unit.as_ref(), operand.span, true);
        }
        let value = self.infer(frame, reading, operand);
        self.each(value, &mut |compiler, value| match (operator, value) {
            (_, Value::Unknown) => Value::Unknown,
            (UnaryOperator::Minus, Value::Number(number)) => {
                let register = compiler.builder.unary(Unary::Negate, number.register);
                Value::number(register, number.dimension)
            }
            (UnaryOperator::Not, Value::Truth(register)) => Value::Truth(compiler.builder.unary(Unary::Not, register)),
            (operator, value) => {
                let (sign, wanted) = match operator {
                    UnaryOperator::Minus => ("-", "a number"),
                    UnaryOperator::Not => ("not", "yes or no"),
                };
                let message = format!("`{sign}` needs {wanted}, this is {}", value.kind().describe());
                let finding = frame.error(Code::KindMismatch, operand.span, message);
                compiler.report(match operator {
                    UnaryOperator::Minus => finding.help("leave the sign out"),
                    UnaryOperator::Not => finding.help("`not` stands before a condition, such as `not (a <= b)`"),
                })
            }
        })
    }

    /// Applies a function to a value, or to each element of a list.
    pub(super) fn each(&mut self, value: Value, apply: &mut dyn FnMut(&mut Self, Value) -> Value) -> Value {
        match value {
            Value::List(list) => {
                if list.items.is_empty() {
                    let sample = self.sample(&list.element);
                    let element = apply(self, sample).kind();
                    return Value::List(List { items: Vec::new(), element });
                }
                Value::list(list.items.into_iter().map(|item| apply(self, item)).collect())
            }
            single => apply(self, single),
        }
    }

    /// A value of a kind, for finding what an operation on an empty list makes of it.
    pub(super) fn sample(&mut self, kind: &Kind) -> Value {
        let register = self.builder.constant(0.0);
        match kind {
            Kind::Number(dimension) => Value::number(register, *dimension),
            Kind::Truth => Value::Truth(register),
            Kind::Word(set) => Value::Word(Word { register, set: set.clone() }),
            _ => Value::Unknown,
        }
    }

    /// Applies a function to two values, element by element where one of them is a list.
    pub(super) fn pairwise(
        &mut self,
        frame: &Frame,
        (left, left_span): (Value, Span),
        (right, right_span): (Value, Span),
        apply: &mut dyn FnMut(&mut Self, Value, Value) -> Value,
    ) -> Value {
        match (left, right) {
            (Value::List(a), Value::List(b)) => {
                if a.items.len() != b.items.len() && !self.is_alone {
                    return self.unequal(frame, (a.items.len(), left_span), (b.items.len(), right_span));
                }
                if a.items.is_empty() {
                    let (x, y) = (self.sample(&a.element), self.sample(&b.element));
                    let element = apply(self, x, y).kind();
                    return Value::List(List { items: Vec::new(), element });
                }
                Value::list(a.items.into_iter().zip(b.items).map(|(x, y)| apply(self, x, y)).collect())
            }
            (Value::List(a), single) => {
                self.each(Value::List(a), &mut |compiler, item| apply(compiler, item, single.clone()))
            }
            (single, Value::List(b)) => {
                self.each(Value::List(b), &mut |compiler, item| apply(compiler, single.clone(), item))
            }
            (left, right) => apply(self, left, right),
        }
    }

    pub(super) fn binary(
        &mut self,
        frame: &Frame,
        reading: &mut Reading,
        operator: BinaryOperator,
        left: &Expression,
        right: &Expression,
        span: Span,
    ) -> Value {
        if operator == BinaryOperator::Power {
            return self.power(frame, reading, left, right);
        }
        let left_value = self.infer(frame, reading, left);
        // A word to compare with is looked up in the set of the left side; without one it may still be a word.
        let outer = reading.words.clone();
        if let BinaryOperator::Is | BinaryOperator::IsNot = operator {
            match &left_value {
                Value::Word(word) => reading.words = Some(word.set.clone()),
                Value::Unknown if right.as_name().is_some() => return Value::Unknown,
                _ => {}
            }
        }
        let right_value = self.infer(frame, reading, right);
        reading.words = outer;
        self.pairwise(frame, (left_value, left.span), (right_value, right.span), &mut |compiler, a, b| {
            compiler.combine(frame, operator, (a, left), (b, right), span)
        })
    }

    /// Two single values under an operator.
    pub(super) fn combine(
        &mut self,
        frame: &Frame,
        operator: BinaryOperator,
        (a, left): (Value, &Expression),
        (b, right): (Value, &Expression),
        span: Span,
    ) -> Value {
        use BinaryOperator as B;
        if a.is_unknown() || b.is_unknown() {
            return Value::Unknown;
        }
        match (operator, &a, &b) {
            (B::Plus | B::Minus, Value::Number(x), Value::Number(y)) if x.dimension == y.dimension => {
                let operation = if operator == B::Plus { Binary::Add } else { Binary::Subtract };
                let register = self.builder.binary(operation, x.register, y.register);
                Value::number(register, x.dimension)
            }
            (B::Times, Value::Number(x), Value::Number(y)) => {
                let register = self.builder.binary(Binary::Multiply, x.register, y.register);
                Value::number(register, x.dimension.multiply(y.dimension))
            }
            (B::Over, Value::Number(x), Value::Number(y)) => {
                let register = self.builder.binary(Binary::Divide, x.register, y.register);
                Value::number(register, x.dimension.divide(y.dimension))
            }
            (B::And | B::Or, Value::Truth(x), Value::Truth(y)) => {
                let operation = if operator == B::And { Binary::And } else { Binary::Or };
                Value::Truth(self.builder.binary(operation, *x, *y))
            }
            (B::Is | B::IsNot, Value::Truth(x), Value::Truth(y)) => self.equal(operator, *x, *y),
            (B::Is | B::IsNot, Value::Word(x), Value::Word(y)) if x.set == y.set => {
                self.equal(operator, x.register, y.register)
            }
            (B::Is | B::IsNot, Value::Number(x), Value::Number(y)) if x.dimension == y.dimension => {
                self.equal(operator, x.register, y.register)
            }
            (B::LessOrEqual | B::GreaterOrEqual | B::Less | B::Greater, Value::Number(x), Value::Number(y))
                if x.dimension == y.dimension =>
            {
                let (operation, x, y) = match operator {
                    B::LessOrEqual => (Binary::LessOrEqual, x, y),
                    B::GreaterOrEqual => (Binary::LessOrEqual, y, x),
                    B::Less => (Binary::Less, x, y),
                    _ => (Binary::Less, y, x),
                };
                Value::Truth(self.builder.binary(operation, x.register, y.register))
            }
            (_, Value::Number(x), Value::Number(y)) if operator != B::And && operator != B::Or => {
                self.dimensions_differ(frame, operator, (x.dimension, left), (y.dimension, right), span)
            }
            _ => {
                let wanted = match operator {
                    B::And | B::Or => "yes or no on both sides",
                    B::Is | B::IsNot => "two values of one kind",
                    _ => "numbers on both sides",
                };
                let message = format!(
                    "`{}` needs {wanted}, found {} and {}",
                    operator.text(),
                    a.kind().describe(),
                    b.kind().describe()
                );
                let finding = frame.error(Code::KindMismatch, left.span, message).here(a.kind().describe()).also(
                    &frame.source,
                    right.span,
                    b.kind().describe(),
                );
                self.report(finding)
            }
        }
    }

    pub(super) fn equal(&mut self, operator: BinaryOperator, x: Register, y: Register) -> Value {
        let equal = self.builder.binary(Binary::Equal, x, y);
        Value::Truth(if operator == BinaryOperator::Is { equal } else { self.builder.unary(Unary::Not, equal) })
    }

    pub(super) fn dimensions_differ(
        &mut self,
        frame: &Frame,
        operator: BinaryOperator,
        (x, left): (Dimension, &Expression),
        (y, right): (Dimension, &Expression),
        span: Span,
    ) -> Value {
        let (a, b) = (named(x, left), named(y, right));
        let message = match operator {
            BinaryOperator::Plus => format!("cannot add {b} to {a}"),
            BinaryOperator::Minus => format!("cannot subtract {b} from {a}"),
            _ => format!("cannot compare {a} with {b}"),
        };
        let is_bare = |dimension: Dimension, other: Dimension, side: &Expression| {
            dimension.is_none() && !other.is_none() && self.is_bare_number(frame, side)
        };
        let missing = if is_bare(x, y, left) {
            Some((left, y))
        } else if is_bare(y, x, right) {
            Some((right, x))
        } else {
            None
        };
        let code = if missing.is_some() { Code::MissingUnit } else { Code::UnitMismatch };
        let mut finding =
            frame.error(code, left.span, message).here(x.describe()).also(&frame.source, right.span, y.describe());
        if let Some((side, wanted)) = missing {
            finding = self.where_a_unit_is_missing(frame, finding, side, wanted);
        } else if span.start != span.end && (x.is_none() || y.is_none()) {
            finding =
                finding.help("an empirical formula says `giving UNIT with X in UNIT`; otherwise units have to agree");
        }
        self.report(finding)
    }

    /// Whether an expression is a number, or a symbol given as one, without a unit.
    pub(super) fn is_bare_number(&self, frame: &Frame, expression: &Expression) -> bool {
        match &expression.kind {
            ExpressionKind::Number(_, unit) => unit.is_none(),
            ExpressionKind::Name(name) => frame.symbols.get(name).is_some_and(|symbol| {
                symbol.line.is_some_and(|line| matches!(self.notes.line(line).work, super::Work::Given))
                    && matches!(&symbol.value, Value::Number(number) if number.dimension.is_none())
            }),
            _ => false,
        }
    }

    pub(super) fn where_a_unit_is_missing(
        &self,
        frame: &Frame,
        finding: crate::diagnostic::Diagnostic,
        side: &Expression,
        wanted: Dimension,
    ) -> crate::diagnostic::Diagnostic {
        let unit = self.settings.display.choose(wanted);
        match side.as_name().and_then(|name| frame.symbols.get(name)) {
            Some(symbol) => finding
                .also(&symbol.source, symbol.span, "given here without a unit")
                .help(format!("give it a unit, such as {unit}")),
            None => finding.help(format!("write `{} {unit}`", print_expression(side))),
        }
    }

    pub(super) fn power(
        &mut self,
        frame: &Frame,
        reading: &mut Reading,
        base: &Expression,
        exponent: &Expression,
    ) -> Value {
        let base_value = self.infer(frame, reading, base);
        let constant = constant_number(exponent);
        let exponent_value = match constant {
            // The exponent of a list or quantity is a number of the formula, not a quantity.
            Some(_) => Value::Unknown,
            None => self.infer(frame, reading, exponent),
        };
        if constant.is_none() && exponent_value.is_unknown() {
            return Value::Unknown;
        }
        self.pairwise(
            frame,
            (base_value, base.span),
            (exponent_value, exponent.span),
            &mut |compiler, base_value, exponent_value| {
                let Value::Number(number) = base_value else {
                    if base_value.is_unknown() {
                        return Value::Unknown;
                    }
                    let message = format!("a power needs a number, this is {}", base_value.kind().describe());
                    let finding = frame.error(Code::KindMismatch, base.span, message);
                    return compiler.report(finding);
                };
                if let Some(constant) = constant {
                    let dimension = if number.dimension.is_none() {
                        Some(Dimension::NONE)
                    } else {
                        Exponent::from_f64(constant).map(|exponent| number.dimension.power(exponent))
                    };
                    let Some(dimension) = dimension else {
                        let message = format!(
                            "{constant} is not a simple fraction, and the base is {}",
                            number.dimension.describe()
                        );
                        let finding = frame
                            .error(Code::BadExponent, exponent.span, message)
                            .help("write the exponent as a fraction, such as `^(2/3)`");
                        return compiler.report(finding);
                    };
                    return Value::number(compiler.builder.power(number.register, constant), dimension);
                }
                match exponent_value {
                    Value::Number(exponent_number)
                        if exponent_number.dimension.is_none() && number.dimension.is_none() =>
                    {
                        let register =
                            compiler.builder.binary(Binary::Power, number.register, exponent_number.register);
                        Value::plain(register)
                    }
                    Value::Number(exponent_number) => {
                        let (place, message) = if exponent_number.dimension.is_none() {
                            let what = number.dimension.describe();
                            (
                                base.span,
                                format!("the exponent is computed, so the base must be a plain number; it is {what}"),
                            )
                        } else {
                            let what = exponent_number.dimension.describe();
                            (exponent.span, format!("an exponent is a plain number, this is {what}"))
                        };
                        let finding = frame.error(Code::BadExponent, place, message);
                        compiler.report(match exponent_number.dimension.is_none() {
                            true => finding.help("write the exponent as a number, or divide the base by a quantity"),
                            false => finding.help("divide the exponent by a quantity of its dimension"),
                        })
                    }
                    Value::Unknown => Value::Unknown,
                    other => {
                        let message = format!("an exponent is a plain number, this is {}", other.kind().describe());
                        let finding = frame.error(Code::BadExponent, exponent.span, message);
                        compiler.report(finding)
                    }
                }
            },
        )
    }
}

/// "a length (mm) (`h_ef`)" where the expression is short enough to quote.
pub(super) fn named(dimension: Dimension, expression: &Expression) -> String {
    let text = print_expression(expression);
    if text.chars().count() <= 32 { format!("{} (`{text}`)", dimension.describe()) } else { dimension.describe() }
}

/// The value of an exponent written with numbers only.
fn constant_number(expression: &Expression) -> Option<f64> {
    match &expression.kind {
        ExpressionKind::Number(digits, None) => read_number(digits).filter(|value| value.is_finite()),
        ExpressionKind::Unary(UnaryOperator::Minus, operand) => constant_number(operand).map(|value| -value),
        ExpressionKind::Binary(operator, left, right) => {
            let (a, b) = (constant_number(left)?, constant_number(right)?);
            let value = match operator {
                BinaryOperator::Plus => a + b,
                BinaryOperator::Minus => a - b,
                BinaryOperator::Times => a * b,
                BinaryOperator::Over => a / b,
                _ => return None,
            };
            value.is_finite().then_some(value)
        }
        _ => None,
    }
}
