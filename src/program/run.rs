//! One case through a program.

use super::solve::solve;
use super::{Binary, Program, Register, Step, Unary};

/// Values that differ by less than this part of the larger one compare as equal, so that 640/800 is 0.8.
pub const EQUAL_WITHIN: f64 = 1e-9;

/// What one run left.
#[derive(Clone, Debug, Default)]
pub struct Run {
    /// The value of every register.
    pub registers: Vec<f64>,
    /// Why a routine gave no values, by its first register; in the order of the steps.
    pub reasons: Vec<(Register, String)>,
}

/// Runs a program on one set of inputs.
///
/// An input that is missing counts as NaN.
pub fn run(program: &Program, inputs: &[f64]) -> Run {
    let mut run = Run { registers: Vec::with_capacity(program.steps.len()), reasons: Vec::new() };
    run_to(program, inputs, program.steps.len(), &mut run);
    run
}

/// Runs the steps from the first whose register is not filled to the one before `end`.
pub(super) fn run_to(program: &Program, inputs: &[f64], end: usize, run: &mut Run) {
    for step in program.steps.iter().take(end).skip(run.registers.len()) {
        let registers = &mut run.registers;
        let value = match step {
            Step::Constant(value) => *value,
            Step::Input(index) => inputs.get(*index as usize).copied().unwrap_or(f64::NAN),
            Step::Unary(operation, a) => unary(*operation, registers[a.index()]),
            Step::Binary(operation, a, b) => binary(*operation, registers[a.index()], registers[b.index()]),
            Step::Choose(condition, yes, no) => {
                let condition = registers[condition.index()];
                if condition.is_nan() {
                    f64::NAN
                } else if condition != 0.0 {
                    registers[yes.index()]
                } else {
                    registers[no.index()]
                }
            }
            Step::Call(call) => {
                let arguments: Vec<Vec<f64>> = call
                    .arguments
                    .iter()
                    .map(|list| list.iter().map(|register| registers[register.index()]).collect())
                    .collect();
                let mut results = vec![f64::NAN; call.results];
                if arguments.iter().flatten().all(|value| !value.is_nan())
                    && let Err(reason) = (call.routine.function)(&arguments, &mut results)
                {
                    results.fill(f64::NAN);
                    run.reasons.push((Register(registers.len() as u32), reason));
                }
                registers.extend(results.into_iter().map(finite));
                continue;
            }
            // Written by its call already.
            Step::Result => continue,
            Step::Solve(wanted) => solve(program, inputs, wanted, run),
        };
        run.registers.push(finite(value));
    }
}

fn finite(value: f64) -> f64 {
    if value.is_finite() { value } else { f64::NAN }
}

fn truth(value: bool) -> f64 {
    f64::from(u8::from(value))
}

/// One operand; powers, logarithms and angles come from one portable implementation.
pub(super) fn unary(operation: Unary, a: f64) -> f64 {
    if a.is_nan() {
        return f64::NAN;
    }
    match operation {
        Unary::Negate => -a,
        Unary::Not => truth(a == 0.0),
        Unary::SquareRoot => a.sqrt(),
        Unary::Absolute => a.abs(),
        Unary::Exponential => libm::exp(a),
        Unary::NaturalLogarithm => libm::log(a),
        Unary::CommonLogarithm => libm::log10(a),
        Unary::Sine => libm::sin(a),
        Unary::Cosine => libm::cos(a),
        Unary::Tangent => libm::tan(a),
        Unary::ArcSine => libm::asin(a),
        Unary::ArcCosine => libm::acos(a),
        Unary::ArcTangent => libm::atan(a),
        Unary::Floor => a.floor(),
        Unary::Ceiling => a.ceil(),
        Unary::Round => a.round(),
    }
}

/// Two operands.
pub(super) fn binary(operation: Binary, a: f64, b: f64) -> f64 {
    if a.is_nan() || b.is_nan() {
        return f64::NAN;
    }
    let is_equal = || (a - b).abs() <= EQUAL_WITHIN * a.abs().max(b.abs());
    match operation {
        Binary::Add => a + b,
        Binary::Subtract => a - b,
        Binary::Multiply => a * b,
        Binary::Divide => a / b,
        Binary::Power => libm::pow(a, b),
        Binary::Minimum => a.min(b),
        Binary::Maximum => a.max(b),
        Binary::LessOrEqual => truth(a <= b || is_equal()),
        Binary::Less => truth(a < b && !is_equal()),
        Binary::Equal => truth(is_equal()),
        Binary::And => truth(a != 0.0 && b != 0.0),
        Binary::Or => truth(a != 0.0 || b != 0.0),
        Binary::ArcTangent2 => libm::atan2(a, b),
    }
}
