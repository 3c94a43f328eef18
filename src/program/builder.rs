//! Steps added one by one; equal steps are written once.

use super::{Binary, Call, Program, Register, Solve, Step, Unary};
use std::collections::HashMap;

/// Builds a program.
#[derive(Debug, Default)]
pub struct Builder {
    program: Program,
    written: HashMap<Key, Register>,
}

/// What makes two steps equal; calls are not merged.
#[derive(Debug, Eq, PartialEq, Hash)]
enum Key {
    Constant(u64),
    Unary(Unary, Register),
    Binary(Binary, Register, Register),
    Choose(Register, Register, Register),
}

impl Builder {
    /// The finished program.
    pub fn finish(self) -> Program {
        self.program
    }

    /// The steps so far.
    pub fn program(&self) -> &Program {
        &self.program
    }

    fn push(&mut self, step: Step) -> Register {
        let register = Register(u32::try_from(self.program.steps.len()).unwrap_or(u32::MAX));
        self.program.steps.push(step);
        register
    }

    fn once(&mut self, key: Key, step: Step) -> Register {
        if let Some(register) = self.written.get(&key) {
            return *register;
        }
        let register = self.push(step);
        self.written.insert(key, register);
        register
    }

    /// A further input.
    pub fn input(&mut self) -> Register {
        let index = self.program.inputs;
        self.program.inputs += 1;
        self.push(Step::Input(index))
    }

    /// A fixed number.
    pub fn constant(&mut self, value: f64) -> Register {
        self.once(Key::Constant(value.to_bits()), Step::Constant(value))
    }

    /// One operand.
    pub fn unary(&mut self, operation: Unary, a: Register) -> Register {
        self.once(Key::Unary(operation, a), Step::Unary(operation, a))
    }

    /// Two operands.
    pub fn binary(&mut self, operation: Binary, a: Register, b: Register) -> Register {
        self.once(Key::Binary(operation, a, b), Step::Binary(operation, a, b))
    }

    /// A choice.
    pub fn choose(&mut self, condition: Register, yes: Register, no: Register) -> Register {
        self.once(Key::Choose(condition, yes, no), Step::Choose(condition, yes, no))
    }

    /// A routine's results, in order.
    pub fn call(&mut self, call: Call) -> Vec<Register> {
        let results = call.results;
        if results == 0 {
            return Vec::new();
        }
        let first = self.push(Step::Call(Box::new(call)));
        let mut registers = vec![first];
        registers.extend((1..results).map(|_| self.push(Step::Result)));
        registers
    }

    /// A value looked for; what it is looked for by is said by [`Builder::solve_for`] once those steps are written.
    pub fn solve(&mut self, low: Register, high: Register, target: Register) -> Register {
        let nothing = Register(u32::try_from(self.program.steps.len()).unwrap_or(u32::MAX));
        self.push(Step::Solve(Box::new(Solve { low, high, target, result: nothing })))
    }

    /// Says which result has to come to the target of a value that is looked for.
    pub fn solve_for(&mut self, value: Register, result: Register) {
        if let Some(Step::Solve(solve)) = self.program.steps.get_mut(value.index()) {
            solve.result = result;
        }
    }

    /// A power with a constant exponent: the cheap and exact forms where there is one.
    pub fn power(&mut self, base: Register, exponent: f64) -> Register {
        let halves = exponent * 2.0;
        if halves.fract() != 0.0 || !(1.0..=8.0).contains(&halves) {
            let exponent = self.constant(exponent);
            return self.binary(Binary::Power, base, exponent);
        }
        let mut product = (halves % 2.0 != 0.0).then(|| self.unary(Unary::SquareRoot, base));
        let mut whole = exponent.trunc();
        while whole > 0.0 {
            product = Some(match product {
                None => base,
                Some(product) => self.binary(Binary::Multiply, base, product),
            });
            whole -= 1.0;
        }
        product.unwrap_or(base)
    }
}
