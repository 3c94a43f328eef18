//! Expressions: kind, dimension and steps.

use super::{Compiler, Frame, List, Mention, Number, Row, Shown, Symbol, Value, Word};
use super::{Kind, LineId};
use crate::diagnostic::{Code, nearest};
use crate::function;
use crate::program::{Binary, Register, Unary};
use crate::quantity::{Dimension, Exponent, Unit, read_number};
use crate::syntax::{BinaryOperator, Expression, ExpressionKind, UnaryOperator, print_expression};
use crate::text::{Span, Spanned};
use std::sync::Arc;

/// How an expression is to be read, and what was found in it.
#[derive(Default)]
pub(super) struct Reading {
    /// Every value that it names.
    pub mentions: Vec<Mention>,
    /// Names that are bare numbers in a unit.
    pub bare: Vec<(String, Unit)>,
    /// Words that may stand in it.
    pub words: Option<Arc<[String]>>,
    /// Whether numbers are inputs of the program rather than constants of a formula.
    pub inputs: bool,
}

impl Compiler<'_> {
    /// The value of an expression; mistakes are reported and leave [`Value::Unknown`].
    pub(super) fn infer(&mut self, frame: &Frame, reading: &mut Reading, expression: &Expression) -> Value {
        let span = expression.span;
        match &expression.kind {
            ExpressionKind::Number(digits, unit) => self.literal(frame, reading, digits, unit.as_ref(), span, false),
            ExpressionKind::Truth(truth) => {
                let register = self.fixed(reading, f64::from(u8::from(*truth)));
                Value::Truth(register)
            }
            ExpressionKind::Name(name) => self.name(frame, reading, name, span),
            ExpressionKind::Field(of, field) => {
                let of = self.infer_quietly(frame, reading, of);
                let value = self.field(frame, &of, field);
                self.mention(reading, span, &value)
            }
            ExpressionKind::Index(of, index) => {
                let of = self.infer_quietly(frame, reading, of);
                let value = self.element(frame, of, index);
                self.mention(reading, span, &value)
            }
            ExpressionKind::List(items) => {
                let values: Vec<Value> = items.iter().map(|item| self.infer(frame, reading, item)).collect();
                let first = values.iter().map(Value::kind).find(|kind| *kind != Kind::Unknown);
                for (item, value) in items.iter().zip(&values) {
                    let kind = first.clone().unwrap_or(Kind::Unknown);
                    if !kind.accepts(&value.kind()) {
                        let message =
                            format!("this element is {}, the first is {}", value.kind().describe(), kind.describe());
                        let finding = frame.error(Code::KindMismatch, item.span, message);
                        return self.report(finding.help("all elements of a list are of one kind"));
                    }
                }
                Value::list(values)
            }
            ExpressionKind::Unary(operator, operand) => self.unary(frame, reading, *operator, operand),
            ExpressionKind::Binary(operator, left, right) => self.binary(frame, reading, *operator, left, right, span),
            ExpressionKind::Call(name, arguments) => self.call(frame, reading, name, arguments, span),
            ExpressionKind::Unreadable => Value::Unknown,
        }
    }

    /// The base of a field or element: only the whole chain is a mention, unless the chain fails.
    fn infer_quietly(&mut self, frame: &Frame, reading: &mut Reading, of: &Expression) -> Value {
        let before = reading.mentions.len();
        let value = self.infer(frame, reading, of);
        // What the base names is still what the line rests on, shown by its link and not in the substitution.
        for mention in reading.mentions.iter_mut().skip(before) {
            mention.value = Value::Unknown;
        }
        value
    }

    fn mention(&mut self, reading: &mut Reading, span: Span, value: &Value) -> Value {
        let line = self.line_of(value);
        reading.mentions.push(Mention { span, value: value.clone(), line, bare: None });
        value.clone()
    }

    /// The line of a data file's value, so that its symbol leads there.
    fn line_of(&self, value: &Value) -> Option<LineId> {
        let registers = value.registers();
        self.data_lines
            .values()
            .copied()
            .find(|line| !registers.is_empty() && self.notes.line(*line).value.registers() == registers)
    }

    pub(super) fn fixed(&mut self, reading: &Reading, value: f64) -> Register {
        if reading.inputs {
            self.inputs.push(value);
            return self.builder.input();
        }
        self.builder.constant(value)
    }

    /// A number with or without a unit.
    pub(super) fn literal(
        &mut self,
        frame: &Frame,
        reading: &Reading,
        digits: &str,
        unit: Option<&Spanned<String>>,
        span: Span,
        is_negative: bool,
    ) -> Value {
        let unit = match unit {
            None => Unit::one(),
            Some(text) => match self.unit(frame, text) {
                Some(unit) => unit,
                None => return Value::Unknown,
            },
        };
        let value = if unit.is_one() { read_number(digits) } else { unit.literal_to_si(digits) };
        let Some(value) = value.filter(|value| value.is_finite()) else {
            let finding = frame.error(Code::BadNumber, span, format!("`{digits}` is too large to be computed with"));
            return self.report(finding.help("numbers go up to about 1e308 in SI units"));
        };
        let sign = if is_negative { "−" } else { "" };
        let register = self.fixed(reading, if is_negative { -value } else { value });
        Value::Number(Number {
            register,
            dimension: unit.dimension(),
            shown: Some(Arc::new(Shown { unit, digits: Some(format!("{sign}{digits}")), figures: None })),
        })
    }

    /// A unit of the table; an unknown one is reported.
    pub(super) fn unit(&mut self, frame: &Frame, text: &Spanned<String>) -> Option<Unit> {
        match Unit::parse(&text.node) {
            Ok(unit) => Some(unit),
            Err(error) => {
                let start = text.span.start as usize;
                let span = Span::new(start + error.range.start, start + error.range.end);
                let span = if span.start == span.end { text.span } else { span };
                let mut finding = frame.error(Code::UnknownUnit, span, error.message());
                let wrong = text.node.get(error.range.clone()).unwrap_or("");
                if frame.symbols.contains_key(wrong) {
                    finding = finding
                        .help(format!("`{wrong}` is a symbol: write spaces around `*` or `/` to compute with it"));
                }
                self.report(finding);
                None
            }
        }
    }

    fn name(&mut self, frame: &Frame, reading: &mut Reading, name: &str, span: Span) -> Value {
        if name == "pi" || name == "π" {
            return Value::plain(self.builder.constant(std::f64::consts::PI));
        }
        if let Some(Symbol { value, line, .. }) = frame.symbols.get(name).cloned() {
            let bare = reading.bare.iter().find(|(bare, _)| bare == name).map(|(_, unit)| unit.clone());
            reading.mentions.push(Mention { span, value: value.clone(), line, bare: bare.clone() });
            return match bare {
                Some(unit) => self.bare(frame, value, &unit, name, span),
                None => value,
            };
        }
        if let Some(set) = reading.words.clone() {
            return self.word(frame, reading, name, span, &set);
        }
        let finding = match frame.places.get(name) {
            Some(place) if place.start >= span.start => frame
                .error(Code::UsedBeforeDefinition, span, format!("`{name}` is used before its definition"))
                .also(&frame.source, *place, "it is defined here")
                .help("move the definition above this line"),
            // Defined above, but in a statement that could not be read: said there.
            Some(_) => return Value::Unknown,
            None => {
                let finding = frame
                    .error(Code::UnknownSymbol, span, format!("nothing defines `{name}`"))
                    .here("not a symbol of this sheet");
                match nearest(name, frame.names()) {
                    Some(near) => finding.help(format!("did you mean `{near}`?")),
                    None if function::find(name).is_some() => {
                        finding.help(format!("`{name}` is a function: write `{name}(…)`"))
                    }
                    None => finding.help("define it in a `given` or `derive` block above this line"),
                }
            }
        };
        self.report(finding)
    }

    /// The place of a word in its set.
    fn word(&mut self, frame: &Frame, reading: &Reading, name: &str, span: Span, set: &Arc<[String]>) -> Value {
        match set.iter().position(|word| word == name) {
            Some(place) => Value::Word(Word { register: self.fixed(reading, place as f64), set: set.clone() }),
            None => {
                let finding = frame
                    .error(Code::UnknownWord, span, format!("`{name}` is not among the words to choose from"))
                    .note(format!("the words are {}", set.join(", ")))
                    .suggest(name, set.iter().map(String::as_str));
                self.report(finding)
            }
        }
    }

    /// A quantity as a bare number in a unit.
    fn bare(&mut self, frame: &Frame, value: Value, unit: &Unit, name: &str, span: Span) -> Value {
        match value {
            Value::Number(number) => {
                if number.dimension != unit.dimension() {
                    let finding = frame.error(
                        Code::UnitMismatch,
                        span,
                        format!("`{name}` is {}, so it cannot be a number in {unit}", number.dimension.describe()),
                    );
                    return self.report(finding);
                }
                let (up, down) = unit.scale();
                let mut register = number.register;
                for (operation, factor) in [(Binary::Multiply, down), (Binary::Divide, up)] {
                    if factor != 1.0 {
                        let factor = self.builder.constant(factor);
                        register = self.builder.binary(operation, register, factor);
                    }
                }
                Value::plain(register)
            }
            Value::List(list) => {
                let items = list.items.into_iter().map(|item| self.bare(frame, item, unit, name, span)).collect();
                Value::list(items)
            }
            Value::Unknown => Value::Unknown,
            other => {
                let finding = frame.error(
                    Code::KindMismatch,
                    span,
                    format!("`{name}` is {}, so it cannot be a number in {unit}", other.kind().describe()),
                );
                self.report(finding)
            }
        }
    }

    fn field(&mut self, frame: &Frame, of: &Value, field: &Spanned<String>) -> Value {
        let name = field.node.as_str();
        let (found, candidates, what) = match of {
            Value::Unknown => return Value::Unknown,
            Value::Table(table) => {
                if let Some((_, list)) = table.columns.iter().find(|(column, _)| column == name) {
                    return Value::List(list.clone());
                }
                let row = table.labels.iter().position(|label| label == name);
                if let Some(row) = row {
                    let fields = table
                        .columns
                        .iter()
                        .filter_map(|(column, list)| Some((column.clone(), list.items.get(row)?.clone())))
                        .collect();
                    return Value::Row(Arc::new(Row { label: name.to_owned(), fields }));
                }
                let columns = table.columns.iter().map(|(column, _)| column.clone());
                (None, columns.chain(table.labels.iter().cloned()).collect::<Vec<_>>(), "column or row")
            }
            Value::Row(row) => (
                row.fields.iter().find(|(column, _)| column == name).map(|(_, value)| value.clone()),
                row.fields.iter().map(|(column, _)| column.clone()).collect(),
                "value",
            ),
            Value::Data(data) => return self.data_value(frame, data, field),
            other => {
                let message = format!("this is {}, which has no parts", other.kind().describe());
                let finding = frame.error(Code::UnknownField, field.span, message);
                return self.report(finding);
            }
        };
        found.unwrap_or_else(|| {
            let finding = frame
                .error(Code::UnknownField, field.span, format!("there is no {what} `{name}`"))
                .note(format!("there are {}", candidates.join(", ")))
                .suggest(name, candidates.iter().map(String::as_str));
            self.report(finding)
        })
    }

    fn element(&mut self, frame: &Frame, of: Value, index: &Spanned<usize>) -> Value {
        match of {
            Value::List(list) => match list.items.get(index.node - 1) {
                Some(item) => item.clone(),
                None => {
                    let message = format!("there is no element {}: the list has {}", index.node, list.items.len());
                    let finding = frame.error(Code::UnknownField, index.span, message);
                    self.report(finding.help("elements are counted from 1"))
                }
            },
            Value::Unknown => Value::Unknown,
            other => {
                let message = format!("this is {}, not a list", other.kind().describe());
                let finding = frame.error(Code::KindMismatch, index.span, message);
                self.report(finding)
            }
        }
    }

    fn unary(&mut self, frame: &Frame, reading: &mut Reading, operator: UnaryOperator, operand: &Expression) -> Value {
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
                compiler.report(finding)
            }
        })
    }

    /// Applies a function to a value, or to each element of a list.
    pub(super) fn each(&mut self, value: Value, apply: &mut dyn FnMut(&mut Self, Value) -> Value) -> Value {
        match value {
            Value::List(list) => {
                let empty = list.items.is_empty();
                let items: Vec<Value> = list.items.into_iter().map(|item| apply(self, item)).collect();
                if empty {
                    return Value::List(List { items, element: list.element });
                }
                Value::list(items)
            }
            single => apply(self, single),
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
                if a.items.len() != b.items.len() {
                    let message = format!("a list of {} meets a list of {}", a.items.len(), b.items.len());
                    let finding = frame.error(Code::KindMismatch, left_span.to(right_span), message);
                    return self.report(finding.help("lists that are computed with one another have equal lengths"));
                }
                let element = a.element.clone();
                let items: Vec<Value> = a.items.into_iter().zip(b.items).map(|(x, y)| apply(self, x, y)).collect();
                if items.is_empty() {
                    return Value::List(List { items, element });
                }
                Value::list(items)
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

    fn binary(
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
        // A word to compare with is looked up in the set of the left side.
        let outer = reading.words.clone();
        if let (BinaryOperator::Is | BinaryOperator::IsNot, Value::Word(word)) = (operator, &left_value) {
            reading.words = Some(word.set.clone());
        }
        let right_value = self.infer(frame, reading, right);
        reading.words = outer;
        self.pairwise(frame, (left_value, left.span), (right_value, right.span), &mut |compiler, a, b| {
            compiler.combine(frame, operator, (a, left), (b, right), span)
        })
    }

    /// Two single values under an operator.
    fn combine(
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

    fn equal(&mut self, operator: BinaryOperator, x: Register, y: Register) -> Value {
        let equal = self.builder.binary(Binary::Equal, x, y);
        Value::Truth(if operator == BinaryOperator::Is { equal } else { self.builder.unary(Unary::Not, equal) })
    }

    fn dimensions_differ(
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

    fn power(&mut self, frame: &Frame, reading: &mut Reading, base: &Expression, exponent: &Expression) -> Value {
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
                        compiler.report(finding)
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
