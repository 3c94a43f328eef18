//! Expressions: kind, dimension and steps.

use super::{ANY_ROW, Compiler, Frame, Mention, Number, Shown, Symbol, Value, Word};
use super::{Kind, LineId};
use crate::diagnostic::{Code, nearest};
use crate::function;
use crate::program::{Binary, Register};
use crate::quantity::{Unit, read_number};
use crate::syntax::{Expression, ExpressionKind};
use crate::text::{Span, Spanned};
use std::sync::Arc;

/// How an expression is to be read, and what was found in it.
#[derive(Clone, Default)]
pub(super) struct Reading {
    /// Every value that it names.
    pub mentions: Vec<Mention>,
    /// Names that are bare numbers in a unit, which is none where it could not be read.
    pub bare: Vec<(String, Option<Unit>)>,
    /// Words that may stand in it.
    pub words: Option<Arc<[String]>>,
    /// Whether numbers are inputs of the program rather than constants of a formula.
    pub inputs: bool,
    /// Whether it stands in a data file.
    pub is_data: bool,
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
                let known = values.iter().position(|value| !value.is_unknown()).and_then(|at| items.get(at));
                for (item, value) in items.iter().zip(&values) {
                    let kind = first.clone().unwrap_or(Kind::Unknown);
                    if !kind.accepts(&value.kind()) {
                        let message =
                            format!("this element is {}, the first is {}", value.kind().describe(), kind.describe());
                        let mut finding = frame.error(Code::KindMismatch, item.span, message);
                        if let Some(known) = known {
                            finding = finding.also(&frame.source, known.span, "the first");
                        }
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
        // A data file's value has a line of its own; a part of anything else leads to the whole.
        let whole = reading.mentions.iter().rev().find(|mention| mention.span.start == span.start);
        let line = self.line_of(value).or(whole.and_then(|mention| mention.line));
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
                let finding = frame.error(Code::UnknownUnit, span, error.problem(&text.node));
                let wrong = text.node.get(error.range.clone()).unwrap_or("");
                let advice = match error.advice() {
                    _ if frame.symbols.contains_key(wrong) => {
                        format!("`{wrong}` is a symbol: write `*` or `/` with spaces around it to compute with it")
                    }
                    Some(advice) => advice,
                    None => "units are written like `mm`, `kN`, `N/mm²` or `kN·m`; a product of symbols takes `*`"
                        .to_owned(),
                };
                self.report(finding.help(advice));
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
            reading.mentions.push(Mention { span, value: value.clone(), line, bare: bare.clone().flatten() });
            return match bare {
                Some(Some(unit)) => self.bare(frame, value, &unit, name, span),
                Some(None) => Value::Unknown,
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
        self.report_once(format!("{name} of scope {}", frame.scope.0), finding)
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
                if let Some(row) = table.labels.iter().position(|label| label == name) {
                    return Value::Row(table.row(row));
                }
                if table.labels.iter().any(|label| label == ANY_ROW) {
                    return Value::Unknown;
                }
                let columns = table.columns.iter().map(|(column, _)| column.clone());
                (None, columns.chain(table.labels.iter().cloned()).collect::<Vec<_>>(), "column or row")
            }
            Value::Row(row) if row.label == ANY_ROW && !row.fields.iter().any(|(column, _)| column == name) => {
                return Value::Unknown;
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
                .note(format!("there are {}", candidates.join(", ")));
            // `tools.TW-07` reads as a difference.
            let begun = |label: &&String| label.strip_prefix(name).is_some_and(|rest| rest.starts_with('-'));
            let finding = match candidates.iter().find(begun) {
                Some(label) => finding.help(format!("a label with a hyphen stands in quotes: `.\"{label}\"`")),
                None => finding.suggest(name, candidates.iter().map(String::as_str)),
            };
            self.report(finding)
        })
    }

    fn element(&mut self, frame: &Frame, of: Value, index: &Spanned<usize>) -> Value {
        match of {
            Value::List(list) => match list.items.get(index.node - 1) {
                Some(item) => item.clone(),
                None if self.is_alone => list.items.first().cloned().unwrap_or(Value::Unknown),
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
}
