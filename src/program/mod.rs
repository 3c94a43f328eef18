//! The flat program that a checked sheet becomes: operations over `f64` in coherent SI units.
//!
//! Every step writes one register, once (single assignment), and reads registers before its own.
//! The program holds no names, no units and no places: one run of it fills a trace, and the same steps can run over
//! columns of cases. What tells its story (lines, formulas, units) stands beside it in `compile::Notes`.
//!
//! No number that is not finite leaves a step: it becomes NaN, which passes through every later step
//! (minimum, maximum, comparisons and choices included), so that no check can pass on it.

mod builder;
mod run;
mod solve;
#[cfg(test)]
mod tests;

pub use builder::Builder;
pub use run::{EQUAL_WITHIN, Run, run};

use std::fmt;

/// The number of a register.
#[derive(Copy, Clone, Debug, Eq, PartialEq, Ord, PartialOrd, Hash)]
pub struct Register(pub u32);

impl Register {
    /// As an index.
    pub fn index(self) -> usize {
        self.0 as usize
    }
}

/// Steps in the order of their registers.
#[derive(Clone, Debug, Default)]
pub struct Program {
    /// Step `n` writes register `n`.
    pub steps: Vec<Step>,
    /// How many inputs it reads.
    pub inputs: u32,
}

/// One step.
#[derive(Clone, Debug, PartialEq)]
pub enum Step {
    /// A fixed number.
    Constant(f64),
    /// The value of an input.
    Input(u32),
    /// One operand.
    Unary(Unary, Register),
    /// Two operands.
    Binary(Binary, Register, Register),
    /// The second where the first is yes, else the third.
    Choose(Register, Register, Register),
    /// A routine of several values; its first result is this register, further ones follow.
    Call(Box<Call>),
    /// A further result of the call before it.
    Result,
    /// The value for which the steps behind it give a result; those steps then run with it.
    Solve(Box<Solve>),
}

/// A value looked for between two limits.
#[derive(Clone, Debug, PartialEq)]
pub struct Solve {
    /// The least value.
    pub low: Register,
    /// The greatest.
    pub high: Register,
    /// What the result has to come to.
    pub target: Register,
    /// The result, among the steps that depend on the value.
    pub result: Register,
}

/// A call of a routine.
#[derive(Clone, Debug, PartialEq)]
pub struct Call {
    /// What is called.
    pub routine: Routine,
    /// One list of registers an argument.
    pub arguments: Vec<Vec<Register>>,
    /// How many values it gives.
    pub results: usize,
}

/// A Rust function over lists of SI values, which fills the results or says why there are none.
#[derive(Copy, Clone)]
pub struct Routine {
    /// Its name in the language.
    pub name: &'static str,
    /// The function.
    pub function: RoutineFunction,
}

/// Takes one list an argument and fills the results, or says why it cannot.
pub type RoutineFunction = fn(&[Vec<f64>], &mut [f64]) -> Result<(), String>;

impl fmt::Debug for Routine {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name)
    }
}

impl PartialEq for Routine {
    fn eq(&self, other: &Self) -> bool {
        self.name == other.name
    }
}

/// Operations on one value; yes is 1, no is 0.
#[derive(Copy, Clone, Debug, Eq, PartialEq, Hash)]
#[expect(missing_docs, reason = "the names say it")]
pub enum Unary {
    Negate,
    Not,
    SquareRoot,
    Absolute,
    Exponential,
    NaturalLogarithm,
    CommonLogarithm,
    Sine,
    Cosine,
    Tangent,
    ArcSine,
    ArcCosine,
    ArcTangent,
    Floor,
    Ceiling,
    Round,
}

/// Operations on two values.
#[derive(Copy, Clone, Debug, Eq, PartialEq, Hash)]
#[expect(missing_docs, reason = "the names say it")]
pub enum Binary {
    Add,
    Subtract,
    Multiply,
    Divide,
    Power,
    Minimum,
    Maximum,
    LessOrEqual,
    Less,
    Equal,
    And,
    Or,
    ArcTangent2,
}
