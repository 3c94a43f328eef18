//! A formula as a tree of what is set, every part with its estimated size.

use super::advance::{italic, upright};
use super::chunk::fit;
use super::sign::{Brackets, Fence, Sign};
use super::symbol::Symbol;
use crate::quantity::{Exponent, Printed, Unit};
use std::borrow::Cow;

/// A part of a formula with its estimated size in thousandths of its own em.
#[derive(Clone, Debug)]
pub(super) struct Node<'a> {
    /// What it is.
    pub(super) kind: Kind<'a>,
    /// Its width.
    pub(super) width: u32,
    /// Its height above the baseline.
    pub(super) above: u32,
    /// Its depth below the baseline.
    pub(super) below: u32,
}

/// What a part is.
#[derive(Clone, Debug)]
pub(super) enum Kind<'a> {
    /// A symbol; what stands behind its subscript, such as a row's label; the address that it leads to.
    Symbol(Box<Symbol<'a>>, Option<&'a str>),
    /// A number with its unit, if it has one.
    Quantity(Printed, Option<Cow<'a, Unit>>),
    /// A unit by itself, behind a list.
    Unit(Cow<'a, Unit>),
    /// Words, upright.
    Word(Cow<'a, str>),
    /// The name of a function, apart from its arguments.
    Function(&'a str),
    /// A sign between parts.
    Sign(Sign),
    /// A bracket that stands apart from its partner, as tall as what both enclose.
    Fence(Fence, u32, u32),
    /// Parts side by side.
    Row(Vec<Node<'a>>),
    /// Terms, each with whether it is subtracted.
    Sum(Vec<(bool, Node<'a>)>),
    /// Factors.
    Product(Vec<Node<'a>>),
    /// Sides of relations, or conditions joined by words; a sign before all but the first.
    Chain(u8, Vec<(Option<Sign>, Node<'a>)>),
    /// The negative of a part.
    Negative(Box<Node<'a>>),
    /// A condition denied.
    Not(Box<Node<'a>>),
    /// A part in parentheses or bars.
    Group(Brackets, Box<Node<'a>>),
    /// The sum over a list.
    BigSum(Box<Node<'a>>),
    /// A function.
    Call(&'a str, Vec<Node<'a>>),
    /// Values in parentheses, with the unit that they share.
    List(Vec<Node<'a>>, Option<Cow<'a, Unit>>),
    /// An element of what is no symbol.
    Index(Box<Node<'a>>, usize),
    /// A fraction.
    Fraction(Box<[Node<'a>; 2]>),
    /// A square root.
    Root(Box<Node<'a>>),
    /// A power.
    Power(Box<[Node<'a>; 2]>),
    /// Rows one below another, of what is too wide for one.
    Stack(Vec<Node<'a>>),
}

/// How strongly the outermost part of a node binds; parentheses go around what binds less than its place asks.
pub(super) mod binding {
    pub(in super::super) const OR: u8 = 1;
    pub(in super::super) const AND: u8 = 3;
    pub(in super::super) const NOT: u8 = 5;
    pub(in super::super) const RELATION: u8 = 6;
    pub(in super::super) const SUM: u8 = 8;
    pub(in super::super) const BIG_SUM: u8 = 9;
    pub(in super::super) const PRODUCT: u8 = 10;
    pub(in super::super) const NEGATIVE: u8 = 12;
    pub(in super::super) const QUANTITY: u8 = 14;
    pub(in super::super) const POWER: u8 = 15;
    pub(in super::super) const ATOM: u8 = 20;
}

const TEXT_ABOVE: u32 = 700;
const TEXT_BELOW: u32 = 220;
/// Size of scripts and of fractions within fractions, in per cent.
const SCRIPT: u32 = 71;
const FENCE_WIDTH: u32 = 430;
pub(super) const THIN: u32 = 167;

impl<'a> Node<'a> {
    /// A part of the height of a line of text.
    fn plain(kind: Kind<'a>, width: u32) -> Self {
        Self { kind, width, above: TEXT_ABOVE, below: TEXT_BELOW }
    }

    /// A symbol.
    pub(super) fn symbol(symbol: Symbol<'a>, address: Option<&'a str>) -> Self {
        let base = if symbol.is_italic() { italic(&symbol.base) } else { upright(&symbol.base) };
        let superscript = if symbol.has_superscript() { 500 } else { 0 };
        let scripts = upright(&symbol.subscript).max(superscript) * SCRIPT / 100;
        let has_subscript = !symbol.subscript.is_empty();
        Self {
            width: base + scripts + if scripts > 0 { 60 } else { 0 },
            above: TEXT_ABOVE + superscript / 2,
            below: TEXT_BELOW + if has_subscript { 130 } else { 0 },
            kind: Kind::Symbol(Box::new(symbol), address),
        }
    }

    /// A number with or without a unit.
    pub(super) fn quantity(number: Printed, unit: Option<Cow<'a, Unit>>) -> Self {
        let power = number.exponent.map_or(0, |exponent| 2300 + 360 * exponent.to_string().len() as u32);
        let width = upright(&number.text) + power + unit.as_deref().map_or(0, unit_width);
        Self { above: if power > 0 { 950 } else { TEXT_ABOVE }, ..Self::plain(Kind::Quantity(number, unit), width) }
    }

    /// Words.
    pub(super) fn word(word: impl Into<Cow<'a, str>>) -> Self {
        let word = word.into();
        let width = upright(&word);
        Self::plain(Kind::Word(word), width)
    }

    /// A sign.
    pub(super) fn sign(sign: Sign) -> Self {
        Self::plain(Kind::Sign(sign), sign.width())
    }

    /// A bracket without its partner, which is a node away.
    pub(super) fn fence(fence: Fence, above: u32, below: u32) -> Self {
        Self { kind: Kind::Fence(fence, above, below), width: FENCE_WIDTH, above, below }
    }

    /// Parts side by side.
    pub(super) fn row(mut parts: Vec<Node<'a>>) -> Self {
        if parts.len() == 1
            && let Some(only) = parts.pop()
        {
            return only;
        }
        let size = Size::beside(&parts);
        size.of(Kind::Row(parts), 0)
    }

    /// A sum; a first term that is a sum is joined.
    pub(super) fn sum(first: Node<'a>, is_subtracted: bool, second: Node<'a>) -> Self {
        let second = if second.starts_with_minus() { second.grouped() } else { second.at_least(binding::SUM + 1) };
        let mut terms = match first.kind {
            Kind::Sum(terms) => terms,
            _ => vec![(false, first.at_least(binding::SUM))],
        };
        terms.push((is_subtracted, second));
        let size = Size::beside(terms.iter().map(|(_, term)| term));
        let signs = (terms.len() as u32 - 1) * Sign::Minus.width();
        size.of(Kind::Sum(terms), signs)
    }

    /// A product; a first factor that is a product is joined.
    pub(super) fn product(first: Node<'a>, second: Node<'a>) -> Self {
        let second = if second.starts_with_minus() { second.grouped() } else { second.at_least(binding::PRODUCT + 1) };
        let mut factors = match first.kind {
            Kind::Product(factors) => factors,
            _ => vec![first.at_least(binding::PRODUCT)],
        };
        factors.push(second);
        let size = Size::beside(&factors);
        let signs = factors.windows(2).map(|pair| Sign::between(&pair[0], &pair[1]).width()).sum();
        size.of(Kind::Product(factors), signs)
    }

    /// Two sides of a relation, or two conditions; a first part of the same kind is joined where that is allowed.
    pub(super) fn chain(first: Node<'a>, sign: Sign, second: Node<'a>, power: u8) -> Self {
        let mut parts = match first.kind {
            Kind::Chain(of_first, parts) if of_first == power && power != binding::RELATION => parts,
            _ => vec![(None, first.at_least(power + u8::from(power == binding::RELATION)))],
        };
        parts.push((Some(sign), second.at_least(power + 1)));
        let size = Size::beside(parts.iter().map(|(_, part)| part));
        let signs = parts.iter().filter_map(|(sign, _)| *sign).map(Sign::width).sum();
        size.of(Kind::Chain(power, parts), signs)
    }

    /// The negative of a part.
    pub(super) fn negative(inner: Node<'a>) -> Self {
        let inner = if inner.starts_with_minus() { inner.grouped() } else { inner.at_least(binding::NEGATIVE) };
        let size = Size::beside([&inner]);
        size.of(Kind::Negative(Box::new(inner)), Sign::Negative.width())
    }

    /// A condition denied.
    pub(super) fn not(inner: Node<'a>) -> Self {
        let inner = inner.at_least(binding::NOT);
        let size = Size::beside([&inner]);
        size.of(Kind::Not(Box::new(inner)), Sign::Not.width())
    }

    /// The part in parentheses.
    pub(super) fn grouped(self) -> Self {
        self.enclosed(Brackets::Round)
    }

    /// The part in brackets.
    pub(super) fn enclosed(self, brackets: Brackets) -> Self {
        let size = Size::beside([&self]);
        size.of(Kind::Group(brackets, Box::new(self)), 2 * FENCE_WIDTH)
    }

    /// The part, in parentheses if it binds less than its place asks.
    pub(super) fn at_least(self, power: u8) -> Self {
        if self.binding() < power { self.grouped() } else { self }
    }

    /// The sum over a list.
    pub(super) fn big_sum(list: Node<'a>) -> Self {
        let list = match list.kind {
            Kind::List(..) => list,
            _ => list.at_least(binding::ATOM),
        };
        let size = Size::beside([&list]);
        size.of(Kind::BigSum(Box::new(list)), Sign::Sum.width())
    }

    /// The name of a function.
    pub(super) fn function(name: &'a str) -> Self {
        Self::plain(Kind::Function(name), upright(name))
    }

    /// A function of some arguments.
    pub(super) fn call(name: &'a str, arguments: Vec<Node<'a>>) -> Self {
        let size = Size::beside(&arguments);
        let commas = (arguments.len() as u32).saturating_sub(1) * Sign::Comma.width();
        let around = upright(name) + 2 * FENCE_WIDTH;
        size.of(Kind::Call(name, arguments), commas + around)
    }

    /// Values in parentheses.
    pub(super) fn list(items: Vec<Node<'a>>, unit: Option<Cow<'a, Unit>>) -> Self {
        let size = Size::beside(&items);
        let commas = (items.len() as u32).saturating_sub(1) * Sign::Comma.width();
        let around = 2 * FENCE_WIDTH + unit.as_deref().map_or(0, unit_width);
        size.of(Kind::List(items, unit), commas + around)
    }

    /// A unit behind a list.
    pub(super) fn unit(unit: Cow<'a, Unit>) -> Self {
        let width = unit_width(&unit);
        Self::plain(Kind::Unit(unit), width)
    }

    /// A fraction, which is smaller within another one; what is too wide gets several rows.
    pub(super) fn fraction(numerator: Node<'a>, denominator: Node<'a>, is_large: bool) -> Self {
        let (numerator, denominator) = (fit(numerator), fit(denominator));
        let scale = if is_large { 100 } else { SCRIPT };
        let width = numerator.width.max(denominator.width) * scale / 100 + 120;
        let height = |node: &Node<'_>| (node.above + node.below) * scale / 100;
        Self {
            width,
            above: 400 + height(&numerator),
            below: height(&denominator).saturating_sub(50),
            kind: Kind::Fraction(Box::new([numerator, denominator])),
        }
    }

    /// A square root.
    pub(super) fn root(inner: Node<'a>) -> Self {
        let inner = fit(inner);
        Self {
            width: inner.width + 750,
            above: inner.above + 150,
            below: inner.below + 50,
            kind: Kind::Root(Box::new(inner)),
        }
    }

    /// A power.
    pub(super) fn power(base: Node<'a>, exponent: Node<'a>) -> Self {
        let base = match &base.kind {
            Kind::Symbol(symbol, _) if symbol.has_superscript() => base.grouped(),
            _ => base.at_least(binding::POWER + 1),
        };
        let exponent_width = exponent.width * SCRIPT / 100;
        let width = match &base.kind {
            // The exponent stands above the subscript.
            Kind::Symbol(symbol, _) => {
                let subscript = upright(&symbol.subscript) * SCRIPT / 100;
                base.width - subscript + subscript.max(exponent_width) + 30
            }
            _ => base.width + exponent_width + 30,
        };
        Self {
            width,
            above: base.above.saturating_sub(200) + (exponent.above + exponent.below) * SCRIPT / 100,
            below: base.below,
            kind: Kind::Power(Box::new([base, exponent])),
        }
    }

    /// An element of what is no symbol.
    pub(super) fn index(of: Node<'a>, index: usize) -> Self {
        let of = of.at_least(binding::ATOM);
        let size = Size::beside([&of]);
        size.of(Kind::Index(Box::new(of), index), 400)
    }

    /// Rows one below another.
    pub(super) fn stack(rows: Vec<Node<'a>>) -> Self {
        let height: u32 = rows.iter().map(|row| row.above + row.below + 250).sum();
        Self {
            width: rows.iter().map(|row| row.width).max().unwrap_or(0),
            above: height / 2 + 250,
            below: (height / 2).saturating_sub(250),
            kind: Kind::Stack(rows),
        }
    }

    /// How strongly its outermost part binds.
    pub(super) fn binding(&self) -> u8 {
        match &self.kind {
            Kind::Sum(_) => binding::SUM,
            Kind::BigSum(_) => binding::BIG_SUM,
            Kind::Product(_) => binding::PRODUCT,
            Kind::Chain(power, _) => *power,
            Kind::Negative(_) => binding::NEGATIVE,
            Kind::Not(_) => binding::NOT,
            Kind::Quantity(number, _) if number.text.starts_with('−') => binding::NEGATIVE,
            Kind::Quantity(number, None) if number.exponent.is_none() => binding::ATOM,
            Kind::Quantity(..) | Kind::List(_, Some(_)) => binding::QUANTITY,
            Kind::Fraction(_) | Kind::Power(_) => binding::POWER,
            _ => binding::ATOM,
        }
    }

    /// Whether a minus would stand right behind another sign.
    pub(super) fn starts_with_minus(&self) -> bool {
        match &self.kind {
            Kind::Negative(_) => true,
            Kind::Quantity(number, _) => number.text.starts_with('−'),
            Kind::Product(factors) => factors.first().is_some_and(Node::starts_with_minus),
            _ => false,
        }
    }

    /// Whether a digit would stand right behind what comes before.
    pub(super) fn starts_with_number(&self) -> bool {
        match &self.kind {
            Kind::Quantity(..) => true,
            Kind::Product(parts) | Kind::Row(parts) => parts.first().is_some_and(Node::starts_with_number),
            Kind::Sum(terms) => terms.first().is_some_and(|(_, term)| term.starts_with_number()),
            Kind::Power(parts) => parts[0].starts_with_number(),
            Kind::Root(inner) | Kind::Group(_, inner) => inner.starts_with_number(),
            _ => false,
        }
    }

    /// Whether it is taller than a line of text, so that brackets around it have to grow.
    pub(super) fn is_tall(&self) -> bool {
        is_tall(self.above, self.below)
    }
}

/// Whether brackets have to grow around something.
pub(super) fn is_tall(above: u32, below: u32) -> bool {
    above > 1000 || below > 400
}

fn unit_width(unit: &Unit) -> u32 {
    // A separator and an exponent take about half a letter each.
    let factor = |(symbol, exponent): (&str, Exponent)| {
        upright(symbol) + 280 + if exponent.numerator().abs() == 1 { 0 } else { 300 }
    };
    THIN + unit.factors().map(factor).sum::<u32>()
}

struct Size {
    width: u32,
    above: u32,
    below: u32,
}

impl Size {
    fn beside<'n, 'a: 'n>(parts: impl IntoIterator<Item = &'n Node<'a>>) -> Self {
        let start = Self { width: 0, above: TEXT_ABOVE, below: TEXT_BELOW };
        parts.into_iter().fold(start, |size, part| Self {
            width: size.width + part.width,
            above: size.above.max(part.above),
            below: size.below.max(part.below),
        })
    }

    fn of<'a>(self, kind: Kind<'a>, more_width: u32) -> Node<'a> {
        Node { kind, width: self.width + more_width, above: self.above, below: self.below }
    }
}
