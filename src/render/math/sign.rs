//! Signs and brackets: what stands between the parts of a formula, and how much room it takes.

use super::advance::upright;
use super::node::{Kind, Node, THIN};

/// A sign between parts.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub(super) enum Sign {
    /// `=`, `≤` and their like, and `+`.
    Infix(&'static str),
    /// A minus that subtracts.
    Minus,
    /// A minus that makes negative.
    Negative,
    /// The dot of a product.
    Dot,
    /// A product that is only read.
    Invisible,
    /// The same with a thin space, behind a number and before a function.
    Thin,
    /// A comma and a space.
    Comma,
    /// `and`, `or`, `is`, `is not`.
    Word(&'static str),
    /// `not`.
    Not,
    /// `∑`.
    Sum,
}

/// A single bracket.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub(super) enum Fence {
    /// The first of two.
    Open(Brackets),
    /// The second of two.
    Close(Brackets),
}

/// Which brackets.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub(super) enum Brackets {
    /// ( )
    Round,
    /// | |
    Bars,
}

impl Sign {
    /// Its width with the space around it.
    pub(super) fn width(self) -> u32 {
        match self {
            Sign::Infix(_) => 1220,
            Sign::Minus => 1110,
            Sign::Negative => 660,
            Sign::Dot => 720,
            Sign::Invisible => 80,
            Sign::Thin => THIN,
            Sign::Comma => 420,
            Sign::Word(word) => upright(word) + 500,
            Sign::Not => 1750,
            Sign::Sum => 1150,
        }
    }

    /// How two factors stand side by side: a dot wherever a number could be misread without it.
    pub(super) fn between(left: &Node<'_>, right: &Node<'_>) -> Self {
        let is_number = |node: &Node<'_>| match &node.kind {
            Kind::Quantity(..) => true,
            Kind::Power(parts) => matches!(parts[0].kind, Kind::Quantity(..)),
            _ => false,
        };
        let is_open = |node: &Node<'_>| match &node.kind {
            Kind::Quantity(_, unit) => unit.is_none(),
            Kind::Power(_) | Kind::Fraction(_) | Kind::Root(_) | Kind::Call(..) => true,
            Kind::Group(..) => true,
            Kind::Symbol(symbol, _) => symbol.is_italic(),
            _ => false,
        };
        // Several upright letters would run into their neighbour.
        let has_words = |node: &Node<'_>| match &node.kind {
            Kind::Symbol(symbol, _) => !symbol.is_italic(),
            Kind::Power(parts) => matches!(&parts[0].kind, Kind::Symbol(symbol, _) if !symbol.is_italic()),
            _ => false,
        };
        if right.starts_with_number() || !is_open(left) || !is_open(right) || has_words(left) || has_words(right) {
            return Sign::Dot;
        }
        match (&left.kind, &right.kind) {
            (_, Kind::Fraction(parts)) if is_number(left) && parts.iter().any(Node::starts_with_number) => Sign::Dot,
            (Kind::Fraction(parts), Kind::Fraction(others))
                if parts.iter().chain(others.iter()).any(Node::starts_with_number) =>
            {
                Sign::Dot
            }
            // A letter before a parenthesis reads as a function.
            (Kind::Symbol(..) | Kind::Power(_), Kind::Group(..)) if !is_number(left) => Sign::Dot,
            (_, Kind::Call(..)) | (Kind::Call(..), _) => Sign::Thin,
            _ if is_number(left) => Sign::Thin,
            _ => Sign::Invisible,
        }
    }

    /// As plain text, with the space around it.
    pub(super) fn text(self) -> &'static str {
        match self {
            Sign::Infix("+") => " + ",
            Sign::Infix("=") => " = ",
            Sign::Infix("≤") => " ≤ ",
            Sign::Infix("≥") => " ≥ ",
            Sign::Infix("<") => " < ",
            Sign::Infix(">") => " > ",
            Sign::Infix(other) => other,
            Sign::Minus => " − ",
            Sign::Negative => "−",
            Sign::Dot | Sign::Invisible | Sign::Thin => " · ",
            Sign::Comma => ", ",
            Sign::Word("and") => " and ",
            Sign::Word("or") => " or ",
            Sign::Word("is") => " is ",
            Sign::Word("is not") => " is not ",
            Sign::Word(other) => other,
            Sign::Not => "not ",
            Sign::Sum => "sum ",
        }
    }
}
