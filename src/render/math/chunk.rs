//! Where an equation may break: a formula cut into pieces that a browser puts on as many lines as it needs.

use super::node::{Kind, Node};
use super::sign::{Brackets, Fence, Sign};

/// What is no wider than this stays in one piece, in thousandths of an em.
pub(super) const SMALL: u32 = 8_000;
/// No piece should be wider than this: a narrow screen holds little more.
const WIDE: u32 = 14_000;
/// Pieces wider than this inside a fraction or root go on several rows.
const INSIDE: u32 = 13_500;

/// Pieces while they are cut.
#[derive(Default)]
pub(super) struct Flow<'a> {
    done: Vec<Node<'a>>,
    open: Vec<Node<'a>>,
}

impl<'a> Flow<'a> {
    /// Puts a part into the piece that is open.
    pub(super) fn push(&mut self, node: Node<'a>) {
        self.open.push(node);
    }

    fn open_width(&self) -> u32 {
        self.open.iter().map(|node| node.width).sum()
    }

    /// A line may break here.
    fn may_break(&mut self) {
        if !self.open.is_empty() {
            let open = std::mem::take(&mut self.open);
            self.done.push(Node::row(open));
        }
    }

    /// The pieces.
    pub(super) fn finish(mut self) -> Vec<Node<'a>> {
        self.may_break();
        self.done
    }

    /// Cuts what is wider than the limit before its outermost signs, and within those pieces what is still too wide.
    pub(super) fn set(&mut self, node: Node<'a>, limit: u32) {
        // A sign or bracket that the piece begins with counts as well.
        if node.width + self.open_width() <= limit {
            self.push(node);
            return;
        }
        match node.kind {
            Kind::Chain(power, parts) => {
                // A condition is cut before its words first, then before its relations.
                let limit = if power < super::node::binding::RELATION { limit.max(SMALL) } else { WIDE };
                for (sign, part) in parts {
                    if let Some(sign) = sign {
                        self.may_break();
                        self.push(Node::sign(sign));
                    }
                    self.set(part, limit);
                }
            }
            Kind::Sum(terms) => {
                for (at, (is_subtracted, term)) in terms.into_iter().enumerate() {
                    if at > 0 {
                        self.may_break();
                        self.push(Node::sign(if is_subtracted { Sign::Minus } else { Sign::Infix("+") }));
                    }
                    self.set(term, WIDE);
                }
            }
            Kind::Product(factors) => {
                for (at, factor) in factors.into_iter().enumerate() {
                    if at > 0 {
                        // Factors on two lines need a sign between them, and so do the others then.
                        self.may_break();
                        self.push(Node::sign(Sign::Dot));
                    }
                    self.set(factor, WIDE);
                }
            }
            Kind::Negative(inner) => {
                self.push(Node::sign(Sign::Negative));
                self.set(*inner, limit);
            }
            Kind::Not(inner) => {
                self.push(Node::sign(Sign::Not));
                self.set(*inner, limit);
            }
            Kind::BigSum(inner) => {
                self.push(Node::sign(Sign::Sum));
                self.set(*inner, limit);
            }
            Kind::Group(brackets, inner) => self.set_group(brackets, *inner, limit),
            Kind::Call(name, arguments) => {
                self.push(Node::function(name));
                match <[Node<'a>; 1]>::try_from(arguments) {
                    // A list has parentheses already.
                    Ok([only]) if matches!(only.kind, Kind::List(..)) => self.set(only, limit),
                    Ok(only) => self.set_items(only.into(), (node.above, node.below)),
                    Err(several) => self.set_items(several, (node.above, node.below)),
                }
            }
            Kind::List(items, unit) => {
                self.set_items(items, (node.above, node.below));
                if let Some(unit) = unit {
                    self.push(Node::unit(unit));
                }
            }
            Kind::Power(parts) => {
                let [base, exponent] = *parts;
                match base.kind {
                    Kind::Group(brackets, inner) => {
                        self.set_group(brackets, *inner, limit);
                        if let Some(close) = self.open.pop() {
                            self.push(Node::power(close, exponent));
                        }
                    }
                    _ => self.push(Node::power(base, exponent)),
                }
            }
            // Fractions and roots were given rows when they were made.
            kind => self.push(Node { kind, ..node }),
        }
    }

    fn set_group(&mut self, brackets: Brackets, inner: Node<'a>, limit: u32) {
        let (above, below) = (inner.above, inner.below);
        self.push(Node::fence(Fence::Open(brackets), above, below));
        self.set(inner, limit);
        self.push(Node::fence(Fence::Close(brackets), above, below));
    }

    /// Arguments of a function or values of a list.
    fn set_items(&mut self, items: Vec<Node<'a>>, (above, below): (u32, u32)) {
        self.push(Node::fence(Fence::Open(Brackets::Round), above, below));
        let before = self.open_width();
        if items.first().is_some_and(|first| before + first.width > WIDE) {
            self.may_break();
        }
        for (at, item) in items.into_iter().enumerate() {
            if at > 0 {
                self.push(Node::sign(Sign::Comma));
                self.may_break();
            }
            self.set(item, WIDE);
        }
        self.push(Node::fence(Fence::Close(Brackets::Round), above, below));
    }
}

/// Whether a piece asks for no space behind it: brackets stand close, and a comma brings its own space.
pub(super) fn joins_next(piece: &Node<'_>) -> bool {
    match &piece.kind {
        Kind::Row(parts) => parts.last().is_some_and(joins_next),
        Kind::Fence(Fence::Open(_), ..) | Kind::Sign(Sign::Comma) => true,
        _ => false,
    }
}

/// A part for the inside of a fraction or root: on several rows if it is too wide for one.
pub(super) fn fit(node: Node<'_>) -> Node<'_> {
    if node.width <= INSIDE {
        return node;
    }
    let mut flow = Flow::default();
    flow.set(node, SMALL);
    let mut rows = fill(flow.finish(), INSIDE);
    match rows.len() {
        1 => rows.remove(0),
        _ => Node::stack(rows),
    }
}

/// Joins pieces to rows as long as they fit.
fn fill(pieces: Vec<Node<'_>>, limit: u32) -> Vec<Node<'_>> {
    let mut rows: Vec<Vec<Node<'_>>> = Vec::new();
    let mut width = 0;
    for piece in pieces {
        match rows.last_mut() {
            Some(row) if width + piece.width <= limit => {
                width += piece.width;
                row.push(piece);
            }
            _ => {
                width = piece.width;
                rows.push(vec![piece]);
            }
        }
    }
    rows.into_iter().map(Node::row).collect()
}
