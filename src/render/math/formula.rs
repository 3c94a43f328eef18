//! From an expression to what is set: with symbols, each of which leads to its definition, or with their values.

use super::node::{Kind, Node, binding};
use super::quantity::value_node;
use super::sign::{Brackets, Sign};
use super::symbol::Symbol;
use crate::compile::{Line, LineId, Mention, Value};
use crate::evaluate::Trace;
use crate::quantity::{Unit, print_as_typed};
use crate::render::address::Addresses;
use crate::syntax::{BinaryOperator, Expression, ExpressionKind, UnaryOperator, print_expression};
use crate::text::Span;
use std::borrow::Cow;

/// Where the formulas of a line find what their symbols stand for.
#[derive(Copy, Clone)]
pub(super) struct Formula<'a> {
    trace: &'a Trace,
    line: &'a Line,
    addresses: &'a Addresses,
}

/// What stands in place of a symbol.
#[derive(Copy, Clone, Eq, PartialEq)]
enum Show {
    Symbols,
    Values,
}

impl<'a> Formula<'a> {
    /// Formulas of a line.
    pub(super) fn new(trace: &'a Trace, line: LineId, addresses: &'a Addresses) -> Self {
        Self { trace, line: trace.compiled.notes.line(line), addresses }
    }

    /// An expression with its symbols.
    pub(super) fn symbols(&self, expression: &'a Expression) -> Node<'a> {
        self.node(expression, Show::Symbols, true)
    }

    /// An expression with the values of its symbols.
    pub(super) fn values(&self, expression: &'a Expression) -> Node<'a> {
        self.node(expression, Show::Values, true)
    }

    /// Whether an expression has a symbol whose value can be put in its place.
    pub(super) fn has_symbols(&self, expression: &Expression) -> bool {
        let span = expression.span;
        let is_within = |at: Span| span.start <= at.start && at.end <= span.end;
        self.line.mentions.iter().any(|mention| is_within(mention.span) && !mention.value.is_unknown())
    }

    /// The address of what a whole expression names, if it is a name.
    pub(super) fn address(&self, expression: &Expression) -> Option<&'a str> {
        let address = self.addresses.line(self.mention(expression.span)?.line?);
        (!address.is_empty()).then_some(address)
    }

    /// The value that stands at a place; what merely leads to it comes second.
    fn mention(&self, span: Span) -> Option<&'a Mention> {
        let mut here = self.line.mentions.iter().filter(|mention| mention.span == span);
        let first = here.next()?;
        if first.value.is_unknown() {
            return Some(here.find(|mention| !mention.value.is_unknown()).unwrap_or(first));
        }
        Some(first)
    }

    /// `is_large` tells that fractions have their full size, which they lose within one another.
    fn node(&self, expression: &'a Expression, show: Show, is_large: bool) -> Node<'a> {
        if show == Show::Values
            && let Some(mention) = self.mention(expression.span)
            && let Some(node) = value_node(self.trace, &mention.value, mention.bare.as_ref())
        {
            return node;
        }
        match &expression.kind {
            ExpressionKind::Number(digits, unit) => literal(digits, unit.as_ref().map(|unit| unit.node.as_str())),
            ExpressionKind::Truth(true) => Node::word("yes"),
            ExpressionKind::Truth(false) => Node::word("no"),
            ExpressionKind::Name(name) => match self.mention(expression.span) {
                Some(_) => Node::symbol(Symbol::new(name), self.address(expression)),
                None if name == "pi" || name == "π" => Node::word("π"),
                None => Node::word(name.as_str()),
            },
            ExpressionKind::Field(..) | ExpressionKind::Index(..) => self.part(expression, show, is_large),
            ExpressionKind::List(items) => {
                Node::list(items.iter().map(|item| self.node(item, show, is_large)).collect(), None)
            }
            ExpressionKind::Unary(UnaryOperator::Minus, operand) => Node::negative(self.node(operand, show, is_large)),
            ExpressionKind::Unary(UnaryOperator::Not, operand) => Node::not(self.node(operand, show, is_large)),
            ExpressionKind::Binary(operator, left, right) => self.binary(*operator, (left, right), show, is_large),
            ExpressionKind::Call(name, arguments) => self.call(&name.node, arguments, show, is_large),
            // A sheet with one is never run.
            ExpressionKind::Unreadable => Node::word("?"),
        }
    }

    /// A column, a row, a value of either, or an element of a list.
    fn part(&self, expression: &'a Expression, show: Show, is_large: bool) -> Node<'a> {
        match self.part_symbol(expression) {
            Some(symbol) => Node::symbol(symbol, self.address_of_part(expression)),
            None => match &expression.kind {
                ExpressionKind::Index(of, index) => Node::index(self.node(of, show, is_large), index.node),
                ExpressionKind::Field(_, field) => Node::symbol(Symbol::new(&field.node), None),
                _ => Node::word("?"),
            },
        }
    }

    fn part_symbol(&self, expression: &'a Expression) -> Option<Symbol<'a>> {
        match &expression.kind {
            ExpressionKind::Name(name) => Some(Symbol::new(name)),
            ExpressionKind::Field(of, field) => {
                let mut symbol = Symbol::new(&field.node);
                if let Some(holder) = self.row_label(of).map(Cow::Borrowed).or_else(|| self.table_name(of)) {
                    if !symbol.subscript.is_empty() {
                        symbol.subscript.push('\u{202f}');
                    }
                    symbol.subscript.push('(');
                    symbol.subscript.push_str(&holder.replace('_', "\u{a0}"));
                    symbol.subscript.push(')');
                }
                Some(symbol)
            }
            ExpressionKind::Index(of, index) => {
                let mut symbol = self.part_symbol(of)?;
                if !symbol.subscript.is_empty() {
                    symbol.subscript.push(',');
                }
                symbol.subscript.push_str(&index.node.to_string());
                Some(symbol)
            }
            _ => None,
        }
    }

    /// The address of a part, or of what it is a part of.
    fn address_of_part(&self, expression: &'a Expression) -> Option<&'a str> {
        self.address(expression).or_else(|| match &expression.kind {
            ExpressionKind::Field(of, _) | ExpressionKind::Index(of, _) => self.address_of_part(of),
            _ => None,
        })
    }

    /// What the line holds that an expression names.
    fn defined(&self, expression: &Expression) -> Option<&'a Value> {
        let line = self.mention(expression.span)?.line?;
        Some(&self.trace.compiled.notes.line(line).value)
    }

    /// What stands for the table that an expression names or computes: columns of two tables may bear one name.
    fn table_name(&self, expression: &'a Expression) -> Option<Cow<'a, str>> {
        match &expression.kind {
            ExpressionKind::Name(name) => {
                matches!(self.defined(expression)?, Value::Table(_)).then(|| name.as_str().into())
            }
            ExpressionKind::Call(..) => Some(print_expression(expression).into()),
            _ => None,
        }
    }

    /// The label of the row that an expression names, if it names one.
    fn row_label(&self, expression: &'a Expression) -> Option<&'a str> {
        match &expression.kind {
            ExpressionKind::Name(name) => match self.defined(expression)? {
                // What came of records is told by a sentence; their name is shorter.
                Value::Row(_) if self.names_records(expression) => Some(name),
                Value::Row(row) => Some(row.label.as_str()).filter(|label| !label.is_empty()),
                _ => None,
            },
            ExpressionKind::Field(of, label) => match self.defined(of)? {
                Value::Table(table) if table.labels.contains(&label.node) => Some(&label.node),
                _ => None,
            },
            _ => None,
        }
    }

    fn names_records(&self, expression: &Expression) -> bool {
        let line = self.mention(expression.span).and_then(|mention| mention.line);
        line.is_some_and(|line| self.trace.compiled.notes.records_of(line).is_some())
    }

    fn binary(
        &self,
        operator: BinaryOperator,
        (left, right): (&'a Expression, &'a Expression),
        show: Show,
        is_large: bool,
    ) -> Node<'a> {
        use BinaryOperator as B;
        let both = |is_large: bool| (self.node(left, show, is_large), self.node(right, show, is_large));
        match operator {
            B::Plus | B::Minus => {
                let (left, right) = both(is_large);
                Node::sum(left, operator == B::Minus, right)
            }
            B::Times => {
                let (left, right) = both(is_large);
                Node::product(left, right)
            }
            B::Over => {
                let (left, right) = both(false);
                Node::fraction(left, right, is_large)
            }
            B::Power => Node::power(self.node(left, show, is_large), self.node(right, show, false)),
            B::Or => {
                let (left, right) = both(is_large);
                Node::chain(left, Sign::Word("or"), right, binding::OR)
            }
            B::And => {
                let (left, right) = both(is_large);
                Node::chain(left, Sign::Word("and"), right, binding::AND)
            }
            B::LessOrEqual | B::GreaterOrEqual | B::Less | B::Greater | B::Is | B::IsNot => {
                let (left, right) = both(is_large);
                Node::chain(left, relation(operator), right, binding::RELATION)
            }
        }
    }

    fn call(&self, name: &'a str, arguments: &'a [Expression], show: Show, is_large: bool) -> Node<'a> {
        let node = |argument: &'a Expression| self.node(argument, show, is_large);
        match (name, arguments) {
            ("sqrt", [of]) => Node::root(node(of)),
            ("abs", [of]) => node(of).enclosed(Brackets::Bars),
            ("exp", [of]) => Node::power(Node::word("e"), self.node(of, show, false)),
            ("sum", [of]) => Node::big_sum(node(of)),
            _ => Node::call(name, arguments.iter().map(node).collect()),
        }
    }
}

/// The sign of a comparison.
pub(super) fn relation(operator: BinaryOperator) -> Sign {
    match operator {
        BinaryOperator::LessOrEqual => Sign::Infix("≤"),
        BinaryOperator::GreaterOrEqual => Sign::Infix("≥"),
        BinaryOperator::Less => Sign::Infix("<"),
        BinaryOperator::Greater => Sign::Infix(">"),
        BinaryOperator::Is => Sign::Word("is"),
        BinaryOperator::IsNot => Sign::Word("is not"),
        other => Sign::Infix(other.text()),
    }
}

/// A number as typed.
fn literal<'a>(digits: &str, unit: Option<&str>) -> Node<'a> {
    let unit = unit.and_then(|text| Unit::parse(text).ok()).filter(|unit| !unit.is_one()).map(Cow::Owned);
    match print_as_typed(digits) {
        Some(printed) => Node::quantity(printed, unit),
        None => Node::word(digits.to_owned()),
    }
}

/// Whether it is a symbol and nothing more, so that its value would only repeat the result.
pub(super) fn is_lone_symbol(node: &Node<'_>) -> bool {
    matches!(node.kind, Kind::Symbol(..))
}
