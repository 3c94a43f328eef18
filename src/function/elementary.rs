//! Functions of one number: roots, logarithms, angles, rounding.

use super::{DimensionRule, Function, Signature};
use crate::program::{Binary, Unary};

const fn elementwise(
    name: &'static str,
    usage: &'static str,
    summary: &'static str,
    operation: Unary,
    rule: DimensionRule,
    examples: &'static [(&'static str, &'static str)],
) -> Function {
    Function { name, usage, summary, signature: Signature::Elementwise(operation, rule), examples }
}

/// The family.
pub(super) const FUNCTIONS: &[Function] = &[
    elementwise(
        "sqrt",
        "sqrt(x)",
        "the square root; the dimension's exponents are halved",
        Unary::SquareRoot,
        DimensionRule::Root,
        &[("sqrt(16 mm²)", "4 mm"), ("sqrt(2)", "1.41")],
    ),
    elementwise(
        "abs",
        "abs(x)",
        "the size without the sign",
        Unary::Absolute,
        DimensionRule::Kept,
        &[("abs(-3 kN)", "3 kN"), ("abs([-1, 2])", "[1, 2]")],
    ),
    elementwise(
        "exp",
        "exp(x)",
        "e to the power x, of a plain number",
        Unary::Exponential,
        DimensionRule::Plain,
        &[("exp(0)", "1"), ("exp(1)", "2.72")],
    ),
    elementwise(
        "ln",
        "ln(x)",
        "the natural logarithm of a plain number",
        Unary::NaturalLogarithm,
        DimensionRule::Plain,
        &[("ln(1)", "0"), ("ln(10)", "2.30")],
    ),
    elementwise(
        "log10",
        "log10(x)",
        "the logarithm to base ten of a plain number",
        Unary::CommonLogarithm,
        DimensionRule::Plain,
        &[("log10(1000)", "3"), ("log10(2)", "0.301")],
    ),
    elementwise(
        "sin",
        "sin(a)",
        "the sine of an angle",
        Unary::Sine,
        DimensionRule::Plain,
        &[("sin(30 °)", "0.5"), ("sin(0 °)", "0")],
    ),
    elementwise(
        "cos",
        "cos(a)",
        "the cosine of an angle",
        Unary::Cosine,
        DimensionRule::Plain,
        &[("cos(60 °)", "0.5"), ("cos(0 °)", "1")],
    ),
    elementwise(
        "tan",
        "tan(a)",
        "the tangent of an angle",
        Unary::Tangent,
        DimensionRule::Plain,
        &[("tan(45 °)", "1"), ("tan(0 °)", "0")],
    ),
    elementwise(
        "asin",
        "asin(x)",
        "the angle whose sine is x",
        Unary::ArcSine,
        DimensionRule::Plain,
        &[("asin(1) in °", "90 °"), ("asin(0) in °", "0 °")],
    ),
    elementwise(
        "acos",
        "acos(x)",
        "the angle whose cosine is x",
        Unary::ArcCosine,
        DimensionRule::Plain,
        &[("acos(0) in °", "90 °"), ("acos(1) in °", "0 °")],
    ),
    elementwise(
        "atan",
        "atan(x)",
        "the angle whose tangent is x",
        Unary::ArcTangent,
        DimensionRule::Plain,
        &[("atan(1) in °", "45 °"), ("atan(0) in °", "0 °")],
    ),
    Function {
        name: "atan2",
        usage: "atan2(y, x)",
        summary: "the angle from the x direction to the direction of (x, y); both of one dimension",
        signature: Signature::Quotient(Binary::ArcTangent2),
        examples: &[("atan2(1 kN, 0 kN) in °", "90 °"), ("atan2(1 mm, 1 mm) in °", "45 °")],
    },
    elementwise(
        "floor",
        "floor(x)",
        "the largest whole number not above a plain number",
        Unary::Floor,
        DimensionRule::Plain,
        &[("floor(2.7)", "2"), ("floor(-2.1)", "-3")],
    ),
    elementwise(
        "ceil",
        "ceil(x)",
        "the smallest whole number not below a plain number",
        Unary::Ceiling,
        DimensionRule::Plain,
        &[("ceil(2.1)", "3"), ("ceil(3)", "3")],
    ),
    elementwise(
        "round",
        "round(x)",
        "the nearest whole number, halves away from zero",
        Unary::Round,
        DimensionRule::Plain,
        &[("round(2.5)", "3"), ("round(2.4)", "2")],
    ),
];
