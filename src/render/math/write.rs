//! A formula's tree written as MathML.

use super::node::{Kind, Node, is_tall};
use super::sign::{Brackets, Fence, Sign};
use super::symbol::Symbol;
use crate::quantity::{Exponent, Printed, Unit};
use crate::render::markup::escape;
use std::fmt::Write;

/// Writes one formula as an element of its own.
pub(super) fn math(out: &mut String, node: &Node<'_>) {
    out.push_str("<math displaystyle=\"true\">");
    content(out, node, true);
    out.push_str("</math>");
}

/// A symbol that leads to an address.
///
/// Browsers follow an HTML link within `mtext`, but none that is an element or attribute of MathML;
/// the style sheet lets the inner formula keep the size of its place.
fn link(out: &mut String, address: &str, inner: impl FnOnce(&mut String)) {
    out.push_str("<mtext><a href=\"#");
    escape(out, address);
    out.push_str("\"><math>");
    inner(out);
    out.push_str("</math></a></mtext>");
}

/// Writes MathML; `leads` tells that nothing stands before it in its `math`.
pub(super) fn content(out: &mut String, node: &Node<'_>, leads: bool) {
    match &node.kind {
        Kind::Symbol(symbol, address) => symbol_content(out, symbol, *address, None),
        Kind::Quantity(number, unit) => {
            number_content(out, number);
            if let Some(unit) = unit {
                unit_content(out, unit);
            }
        }
        Kind::Unit(unit) => unit_content(out, unit),
        Kind::Word(word) => enclose(out, "mtext", |out| escape(out, word)),
        Kind::Function(name) => function(out, name),
        Kind::Sign(sign) => sign_content(out, *sign, leads),
        Kind::Fence(fence, above, below) => fence_content(out, *fence, *above, *below),
        Kind::Row(parts) => {
            for (at, part) in parts.iter().enumerate() {
                content(out, part, leads && at == 0);
            }
        }
        Kind::Sum(terms) => {
            for (at, (is_subtracted, term)) in terms.iter().enumerate() {
                if at > 0 {
                    let sign = if *is_subtracted { Sign::Minus } else { Sign::Infix("+") };
                    sign_content(out, sign, false);
                }
                content(out, term, leads && at == 0);
            }
        }
        Kind::Product(factors) => {
            for (at, factor) in factors.iter().enumerate() {
                if at > 0 {
                    sign_content(out, Sign::between(&factors[at - 1], factor), false);
                }
                content(out, factor, leads && at == 0);
            }
        }
        Kind::Chain(_, parts) => {
            for (at, (sign, part)) in parts.iter().enumerate() {
                if let Some(sign) = sign {
                    sign_content(out, *sign, false);
                }
                content(out, part, leads && at == 0);
            }
        }
        Kind::Negative(inner) => {
            sign_content(out, Sign::Negative, leads);
            content(out, inner, false);
        }
        Kind::Not(inner) => {
            sign_content(out, Sign::Not, leads);
            content(out, inner, false);
        }
        Kind::BigSum(inner) => {
            sign_content(out, Sign::Sum, leads);
            content(out, inner, false);
        }
        Kind::Group(brackets, inner) => bracketed(out, *brackets, inner.is_tall(), |out| content(out, inner, true)),
        Kind::Call(name, arguments) => {
            function(out, name);
            // A list has parentheses already.
            match arguments.as_slice() {
                [only @ Node { kind: Kind::List(..), .. }] => content(out, only, false),
                _ => bracketed(out, Brackets::Round, node.is_tall(), |out| items(out, arguments)),
            }
        }
        Kind::List(parts, unit) => {
            bracketed(out, Brackets::Round, node.is_tall(), |out| items(out, parts));
            if let Some(unit) = unit {
                unit_content(out, unit);
            }
        }
        Kind::Index(of, index) => enclose(out, "msub", |out| {
            single(out, of);
            enclose(out, "mn", |out| {
                let _ = write!(out, "{index}");
            });
        }),
        Kind::Fraction(parts) => enclose(out, "mfrac", |out| {
            single(out, &parts[0]);
            single(out, &parts[1]);
        }),
        Kind::Root(inner) => enclose(out, "msqrt", |out| content(out, inner, true)),
        Kind::Power(parts) => {
            let [base, exponent] = &**parts;
            match &base.kind {
                Kind::Symbol(symbol, address) => {
                    symbol_content(out, symbol, *address, Some(&|out| single(out, exponent)));
                }
                _ => enclose(out, "msup", |out| {
                    single(out, base);
                    single(out, exponent);
                }),
            }
        }
        Kind::Stack(rows) => enclose(out, "mtable", |out| {
            for (at, row) in rows.iter().enumerate() {
                enclose(out, "mtr", |out| enclose(out, "mtd", |out| content(out, row, at > 0)));
            }
        }),
    }
}

/// Writes it as exactly one element.
fn single(out: &mut String, node: &Node<'_>) {
    let is_single = match &node.kind {
        Kind::Quantity(number, unit) => unit.is_none() && number.exponent.is_none(),
        Kind::Symbol(..)
        | Kind::Word(_)
        | Kind::Group(..)
        | Kind::Fraction(_)
        | Kind::Root(_)
        | Kind::Power(_)
        | Kind::Index(..)
        | Kind::Stack(_) => true,
        _ => false,
    };
    if is_single {
        content(out, node, true);
    } else {
        enclose(out, "mrow", |out| content(out, node, true));
    }
}

fn enclose(out: &mut String, tag: &str, inner: impl FnOnce(&mut String)) {
    out.push('<');
    out.push_str(tag);
    out.push('>');
    inner(out);
    out.push_str("</");
    out.push_str(tag);
    out.push('>');
}

fn symbol_content(
    out: &mut String,
    symbol: &Symbol<'_>,
    address: Option<&str>,
    exponent: Option<&dyn Fn(&mut String)>,
) {
    match address {
        Some(address) => link(out, address, |out| symbol.write(out, exponent)),
        None => symbol.write(out, exponent),
    }
}

fn number_content(out: &mut String, number: &Printed) {
    out.push_str("<mn>");
    out.push_str(&number.text);
    out.push_str("</mn>");
    if let Some(exponent) = number.exponent {
        out.push_str("<mo>×</mo><msup><mn>10</mn><mn>");
        push_exponent(out, exponent);
        out.push_str("</mn></msup>");
    }
}

/// A whole number with a true minus sign.
pub(super) fn push_exponent(out: &mut String, exponent: i32) {
    if exponent < 0 {
        out.push('−');
    }
    let _ = write!(out, "{}", exponent.unsigned_abs());
}

/// ISO 80000-1: a space before every unit but the degree sign.
pub(super) fn has_space(unit: &Unit) -> bool {
    unit.factors().next().is_none_or(|(symbol, _)| symbol != "°")
}

fn unit_content(out: &mut String, unit: &Unit) {
    if unit.is_one() {
        return;
    }
    if has_space(unit) {
        out.push_str("<mspace width=\"0.1667em\"/>");
    }
    let is_whole = unit.factors().all(|(_, exponent)| exponent.is_integer());
    if is_whole {
        enclose(out, "mtext", |out| escape(out, &unit.to_string()));
        return;
    }
    // There is no character for a power such as 0.5.
    for (at, (symbol, exponent)) in unit.factors().enumerate() {
        if at > 0 {
            out.push_str("<mo lspace=\"0\" rspace=\"0\">·</mo>");
        }
        let factor = |out: &mut String| enclose(out, "mtext", |out| escape(out, symbol));
        if exponent == Exponent::ONE {
            factor(out);
        } else {
            enclose(out, "msup", |out| {
                factor(out);
                enclose(out, "mn", |out| {
                    let _ = write!(out, "{exponent}");
                });
            });
        }
    }
}

fn sign_content(out: &mut String, sign: Sign, leads: bool) {
    match sign {
        // What comes before in the line is text with a space behind it.
        Sign::Infix(sign) if leads => {
            out.push_str("<mo form=\"infix\" lspace=\"0\">");
            escape(out, sign);
            out.push_str("</mo>");
        }
        Sign::Infix(sign) => enclose(out, "mo", |out| escape(out, sign)),
        Sign::Minus if leads => out.push_str("<mo form=\"infix\" lspace=\"0\">−</mo>"),
        Sign::Minus => out.push_str("<mo>−</mo>"),
        Sign::Negative => out.push_str("<mo form=\"prefix\">−</mo>"),
        Sign::Dot if leads => out.push_str("<mo form=\"infix\" lspace=\"0\">⋅</mo>"),
        Sign::Dot => out.push_str("<mo>⋅</mo>"),
        Sign::Invisible => out.push_str("<mo rspace=\"0.08em\">\u{2062}</mo>"),
        Sign::Thin => out.push_str("<mo rspace=\"0.1667em\">\u{2062}</mo>"),
        Sign::Comma => out.push_str("<mo>,</mo>"),
        // Spaces at the ends of `mtext` vanish unless they are no-break ones.
        Sign::Word(word) => {
            out.push_str(if leads { "<mtext>" } else { "<mtext>\u{a0}" });
            out.push_str(word);
            out.push_str("\u{a0}\u{200a}</mtext>");
        }
        Sign::Not => out.push_str("<mtext>not\u{a0}\u{200a}</mtext>"),
        Sign::Sum => out.push_str("<mo>∑</mo>"),
    }
}

fn bracketed(out: &mut String, brackets: Brackets, grows: bool, inner: impl FnOnce(&mut String)) {
    // A bracket that is as deep as it is high would hang far below a fraction whose numerator is the taller part.
    let stretch = if grows { " symmetric=\"false\"" } else { " stretchy=\"false\"" };
    let (open, close) = match brackets {
        Brackets::Round => ("(", ")"),
        Brackets::Bars => ("|", "|"),
    };
    let _ = write!(out, "<mrow><mo form=\"prefix\"{stretch}>{open}</mo>");
    inner(out);
    let _ = write!(out, "<mo form=\"postfix\"{stretch}>{close}</mo></mrow>");
}

/// A bracket whose partner is in another piece grows to an invisible strut.
fn fence_content(out: &mut String, fence: Fence, above: u32, below: u32) {
    let (form, sign) = match fence {
        Fence::Open(Brackets::Round) => ("prefix", "("),
        Fence::Close(Brackets::Round) => ("postfix", ")"),
        Fence::Open(Brackets::Bars) => ("prefix", "|"),
        Fence::Close(Brackets::Bars) => ("postfix", "|"),
    };
    if is_tall(above, below) {
        let em = |size: u32| f64::from(size / 10) / 100.0;
        // An empty `mi`, unlike a space, does not make the row one large operator.
        let _ = write!(
            out,
            "<mrow><mpadded width=\"0\" height=\"{}em\" depth=\"{}em\"><mi></mi></mpadded>\
             <mo form=\"{form}\">{sign}</mo></mrow>",
            em(above),
            em(below)
        );
    } else {
        let _ = write!(out, "<mo form=\"{form}\" stretchy=\"false\">{sign}</mo>");
    }
}

fn function(out: &mut String, name: &str) {
    out.push_str("<mi>");
    for (at, part) in name.split('_').enumerate() {
        if at > 0 {
            out.push('\u{a0}');
        }
        escape(out, part);
    }
    out.push_str("</mi><mo>\u{2061}</mo>");
}

fn items(out: &mut String, items: &[Node<'_>]) {
    for (at, item) in items.iter().enumerate() {
        if at > 0 {
            sign_content(out, Sign::Comma, false);
        }
        content(out, item, at == 0);
    }
}
