//! A value looked for between two limits, by halving the interval that holds it.
//!
//! Halving needs nothing of what depends on the value but that it is continuous, and it always ends; it needs a
//! sign that changes, so that it finds no value where the result comes near the target without reaching it.

use super::run::{Run, run_to};
use super::{Program, Solve};

/// The halvings after which no two numbers lie between the limits, whatever they are.
const HALVINGS: usize = 1100;

/// The value; NaN where the result lies on one side of the target at both limits, or is no number.
///
/// `run` is at the step of the value, and is left as it was.
pub(super) fn solve(program: &Program, inputs: &[f64], wanted: &Solve, run: &mut Run) -> f64 {
    let (at, reasons) = (run.registers.len(), run.reasons.len());
    let (mut low, mut high) = (run.registers[wanted.low.index()], run.registers[wanted.high.index()]);
    let target = run.registers[wanted.target.index()];
    let mut excess = |value: f64| {
        run.registers.push(value);
        run_to(program, inputs, wanted.result.index() + 1, run);
        let result = run.registers.get(wanted.result.index()).copied().unwrap_or(f64::NAN);
        run.registers.truncate(at);
        // What a value that was only tried led to is not told.
        run.reasons.truncate(reasons);
        result - target
    };
    if low.is_nan() || high.is_nan() || low > high {
        return f64::NAN;
    }
    let (at_low, at_high) = (excess(low), excess(high));
    if at_low == 0.0 {
        return low;
    }
    if at_high == 0.0 {
        return high;
    }
    if at_low.is_nan() || at_high.is_nan() || (at_low > 0.0) == (at_high > 0.0) {
        return f64::NAN;
    }
    for _ in 0..HALVINGS {
        let middle = low + (high - low) / 2.0;
        if middle <= low || middle >= high {
            break;
        }
        let at_middle = excess(middle);
        if at_middle.is_nan() {
            return f64::NAN;
        }
        if (at_middle > 0.0) == (at_low > 0.0) { low = middle } else { high = middle }
    }
    // Of the two neighbours that are left, the one whose result comes nearer.
    if excess(low).abs() <= excess(high).abs() { low } else { high }
}
