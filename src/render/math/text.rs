//! A formula's tree as plain text, for those who hear a page and for those who search it.

use super::node::{Kind, Node, binding};
use super::sign::{Brackets, Fence};
use super::write::has_space;
use crate::quantity::Unit;
use std::fmt::Write;

/// Writes plain text.
pub(super) fn text(out: &mut String, node: &Node<'_>) {
    match &node.kind {
        Kind::Symbol(symbol, _) => symbol.write_text(out),
        Kind::Quantity(number, unit) => {
            let _ = write!(out, "{number}");
            if let Some(unit) = unit {
                unit_text(out, unit);
            }
        }
        Kind::Unit(unit) => unit_text(out, unit),
        Kind::Word(word) => out.push_str(word),
        Kind::Function(name) => out.push_str(&name.replace('_', " ")),
        Kind::Sign(sign) => out.push_str(sign.text()),
        Kind::Fence(fence, ..) => out.push_str(match fence {
            Fence::Open(Brackets::Round) => "(",
            Fence::Close(Brackets::Round) => ")",
            Fence::Open(Brackets::Bars) | Fence::Close(Brackets::Bars) => "|",
        }),
        Kind::Row(parts) => parts.iter().for_each(|part| text(out, part)),
        Kind::Sum(terms) => {
            for (at, (is_subtracted, term)) in terms.iter().enumerate() {
                if at > 0 {
                    out.push_str(if *is_subtracted { " − " } else { " + " });
                }
                text(out, term);
            }
        }
        Kind::Product(factors) => {
            for (at, factor) in factors.iter().enumerate() {
                if at > 0 {
                    out.push_str(" · ");
                }
                text(out, factor);
            }
        }
        Kind::Chain(_, parts) => {
            for (sign, part) in parts {
                if let Some(sign) = sign {
                    out.push_str(sign.text());
                }
                text(out, part);
            }
        }
        Kind::Negative(inner) => {
            out.push('−');
            text(out, inner);
        }
        Kind::Not(inner) => {
            out.push_str("not ");
            text(out, inner);
        }
        Kind::Group(brackets, inner) => {
            out.push_str(if *brackets == Brackets::Round { "(" } else { "|" });
            text(out, inner);
            out.push_str(if *brackets == Brackets::Round { ")" } else { "|" });
        }
        Kind::BigSum(inner) => {
            out.push_str("sum ");
            text(out, inner);
        }
        Kind::Call(name, arguments) => {
            out.push_str(&name.replace('_', " "));
            match arguments.as_slice() {
                [only @ Node { kind: Kind::List(..), .. }] => text(out, only),
                _ => items_text(out, arguments),
            }
        }
        Kind::List(items, unit) => {
            items_text(out, items);
            if let Some(unit) = unit {
                unit_text(out, unit);
            }
        }
        Kind::Index(of, index) => {
            text(out, of);
            let _ = write!(out, "_{index}");
        }
        Kind::Fraction(parts) => {
            text_at_least(out, &parts[0], binding::PRODUCT);
            out.push_str(" / ");
            match parts[1].kind {
                Kind::Fraction(_) => text_at_least(out, &parts[1], u8::MAX),
                _ => text_at_least(out, &parts[1], binding::QUANTITY),
            }
        }
        Kind::Root(inner) => {
            out.push('√');
            text_at_least(out, inner, binding::ATOM);
        }
        Kind::Power(parts) => {
            text(out, &parts[0]);
            out.push('^');
            text_at_least(out, &parts[1], binding::ATOM);
        }
        Kind::Stack(rows) => rows.iter().for_each(|row| text(out, row)),
    }
}

fn text_at_least(out: &mut String, node: &Node<'_>, power: u8) {
    let is_open = match node.kind {
        Kind::Row(_) | Kind::Stack(_) => true,
        _ => node.binding() < power,
    };
    if is_open {
        out.push('(');
    }
    text(out, node);
    if is_open {
        out.push(')');
    }
}

fn items_text(out: &mut String, items: &[Node<'_>]) {
    out.push('(');
    for (at, item) in items.iter().enumerate() {
        if at > 0 {
            out.push_str(", ");
        }
        text(out, item);
    }
    out.push(')');
}

/// The unit behind a number, with the space that belongs there.
pub(super) fn unit_text(out: &mut String, unit: &Unit) {
    if unit.is_one() {
        return;
    }
    if has_space(unit) {
        out.push('\u{202f}');
    }
    let _ = write!(out, "{unit}");
}
