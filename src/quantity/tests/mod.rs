//! Tests of quantities: one file a subject, and the properties that hold for any input.

mod dimensions;
mod numbers;
mod properties;
mod table;
mod units;

use super::Unit;

#[track_caller]
fn unit(text: &str) -> Unit {
    Unit::parse(text).unwrap_or_else(|error| panic!("{text}: {error}"))
}

fn factor(unit: &Unit) -> f64 {
    let (numerator, denominator) = unit.scale();
    numerator / denominator
}

fn relative_difference(a: f64, b: f64) -> f64 {
    ((a - b) / b).abs()
}
