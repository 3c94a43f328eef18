//! Runs a compiled sheet and says of every line whether its value can be used, and of every check how it came out.
//!
//! A [`Trace`] holds the registers of one run beside the notes; rendering only reads it.
//! Whatever is no number, or lies outside a limit of validity, makes its line *not valid*, and with it every line
//! that rests on it and, for a failed `require`, every line of its sheet or clause.

mod mistakes;
#[cfg(test)]
mod tests;

use crate::compile::{Check, Compiled, Line, LineId, Notes, ScopeId, Value, Work};
use crate::program::{Register, Run, run};
use std::collections::BTreeMap;

/// One run of a sheet.
#[derive(Clone, Debug)]
pub struct Trace {
    /// What was run.
    pub compiled: Compiled,
    /// The value of every register.
    pub registers: Vec<f64>,
    /// Why a routine gave no values, by the first of its registers.
    pub reasons: Vec<(Register, String)>,
    /// For each line whether its value can be used.
    pub states: Vec<State>,
    /// The lines in the order in which they are shown.
    pub order: Vec<LineId>,
    /// For each line its number on the page, from 1; 0 for a figure.
    pub numbers: Vec<u32>,
    /// Calculations that are made again with other values, as they stand, by the scope in which they are made again.
    pub before: BTreeMap<ScopeId, Trace>,
}

/// Whether a line's value can be used.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub enum State {
    /// It can.
    Sound,
    /// It cannot.
    NotValid(Fault),
}

/// Why a line's value cannot be used.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub enum Fault {
    /// The value is no finite number: a division by zero, a root of a negative, an overflow.
    NoNumber,
    /// The value lies outside its limits of validity.
    OutsideLimits,
    /// The condition does not hold.
    RequirementFails,
    /// It rests on a line that is not valid.
    RestsOn(LineId),
    /// A condition of validity of its sheet or clause does not hold.
    ScopeFails(LineId),
}

/// How a check came out; four results, never mixed.
#[derive(Copy, Clone, Debug, Eq, PartialEq, Ord, PartialOrd)]
pub enum Verdict {
    /// A value that it rests on cannot be used.
    NotValid,
    /// The demand is larger than the resistance.
    NotSatisfied,
    /// It holds.
    Satisfied,
    /// It does not concern this case.
    NotApplicable,
}

impl Verdict {
    /// As shown.
    pub fn words(self) -> &'static str {
        match self {
            Verdict::NotValid => "not valid",
            Verdict::NotSatisfied => "not satisfied",
            Verdict::Satisfied => "satisfied",
            Verdict::NotApplicable => "not applicable",
        }
    }
}

/// Runs a sheet on the values that it gives.
pub fn evaluate(compiled: Compiled) -> Trace {
    let Run { registers, reasons } = run(&compiled.program, &compiled.inputs);
    let states = states(&compiled.notes, &registers);
    let order = compiled.notes.order();
    let mut numbers = vec![0; compiled.notes.lines.len()];
    let mut number = 0;
    for line in &order {
        if !matches!(compiled.notes.line(*line).work, Work::Figure) {
            number += 1;
            numbers[line.0 as usize] = number;
        }
    }
    let scopes = compiled.notes.scopes.iter().enumerate();
    let before = scopes.filter_map(|(at, scope)| {
        let recalculation = scope.recalculation.as_ref()?;
        Some((ScopeId(at as u32), evaluate(Compiled::clone(&recalculation.before))))
    });
    let before = before.collect();
    Trace { compiled, registers, reasons, states, order, numbers, before }
}

fn states(notes: &Notes, registers: &[f64]) -> Vec<State> {
    let value = |register: Register| registers.get(register.index()).copied().unwrap_or(f64::NAN);
    let mut states: Vec<State> = notes.lines.iter().map(|line| own_state(line, &value)).collect();

    // A value that is no number since one that it rests on cannot be used is not at fault itself. This is looked at
    // before whole scopes fail: a requirement that is no number would blame lines that blame it, and nobody would be at fault.
    let mut without_scopes = states.clone();
    for (at, line) in notes.lines.iter().enumerate() {
        if matches!(without_scopes[at], State::Sound | State::NotValid(Fault::NoNumber))
            && let Some(on) = rests_on(line, at, &without_scopes)
        {
            without_scopes[at] = State::NotValid(Fault::RestsOn(on));
            if states[at] != State::Sound {
                states[at] = without_scopes[at];
            }
        }
    }

    // A failed requirement concerns every line of its scope and of the scopes within.
    let mut failed: Vec<Option<LineId>> = vec![None; notes.scopes.len()];
    for (at, line) in notes.lines.iter().enumerate() {
        if matches!(line.work, Work::Require { .. }) && states[at] != State::Sound {
            failed[line.scope.0 as usize].get_or_insert(LineId(at as u32));
        }
    }
    for (at, scope) in notes.scopes.iter().enumerate() {
        // Scopes stand behind the scope that holds them.
        if let Some(parent) = scope.parent
            && failed[at].is_none()
        {
            failed[at] = failed[parent.0 as usize];
        }
    }
    for (at, line) in notes.lines.iter().enumerate() {
        if states[at] == State::Sound
            && let Some(requirement) = failed[line.scope.0 as usize]
        {
            states[at] = State::NotValid(Fault::ScopeFails(requirement));
        }
    }

    for (at, line) in notes.lines.iter().enumerate() {
        if states[at] == State::Sound
            && let Some(on) = rests_on(line, at, &states)
        {
            states[at] = State::NotValid(Fault::RestsOn(on));
        }
    }
    states
}

/// The first line in front of this one that it names and that cannot be used.
fn rests_on(line: &Line, at: usize, states: &[State]) -> Option<LineId> {
    let mut named = line.mentions.iter().filter_map(|mention| mention.line);
    named.find(|on| (on.0 as usize) < at && states[on.0 as usize] != State::Sound)
}

fn own_state(line: &Line, value: &dyn Fn(Register) -> f64) -> State {
    let is_bad = |registers: Vec<Register>| registers.into_iter().any(|register| value(register).is_nan());
    match &line.work {
        Work::Require { holds, .. } => match value(*holds) {
            holds if holds.is_nan() => State::NotValid(Fault::NoNumber),
            0.0 => State::NotValid(Fault::RequirementFails),
            _ => State::Sound,
        },
        // How a check came out is its verdict; it can be wrong only by what it compares.
        Work::Check(check) if unmet(check, value).is_some() => State::Sound,
        Work::Check(check) => {
            let compared = [check.demand.registers(), check.resistance.registers(), vec![check.holds]].concat();
            match is_bad(compared) {
                true => State::NotValid(Fault::NoNumber),
                false => State::Sound,
            }
        }
        _ if is_bad(line.value.registers()) => State::NotValid(Fault::NoNumber),
        _ => match &line.limits {
            Some(limits) if value(limits.holds) != 1.0 => State::NotValid(Fault::OutsideLimits),
            _ => State::Sound,
        },
    }
}

fn unmet(check: &Check, value: &dyn Fn(Register) -> f64) -> Option<usize> {
    check.applies.iter().position(|applies| value(*applies) == 0.0)
}

impl Trace {
    /// The value of a register.
    pub fn register(&self, register: Register) -> f64 {
        self.registers.get(register.index()).copied().unwrap_or(f64::NAN)
    }

    /// Whether a line's value can be used.
    pub fn state(&self, line: LineId) -> State {
        self.states[line.0 as usize]
    }

    /// A line's number on the page.
    pub fn number(&self, line: LineId) -> u32 {
        self.numbers[line.0 as usize]
    }

    /// How a check came out.
    pub fn verdict(&self, line: LineId, check: &Check) -> Verdict {
        if self.state(line) != State::Sound {
            return Verdict::NotValid;
        }
        if self.unmet(check).is_some() {
            return Verdict::NotApplicable;
        }
        if check.applies.iter().any(|applies| self.register(*applies).is_nan()) {
            return Verdict::NotValid;
        }
        if self.register(check.holds) == 1.0 { Verdict::Satisfied } else { Verdict::NotSatisfied }
    }

    /// The first condition that keeps a check from applying.
    pub fn unmet(&self, check: &Check) -> Option<usize> {
        unmet(check, &|register| self.register(register))
    }

    /// Every check in the order of the page.
    pub fn checks(&self) -> impl Iterator<Item = (LineId, &Check)> {
        self.order.iter().filter_map(|id| match &self.compiled.notes.line(*id).work {
            Work::Check(check) => Some((*id, check)),
            _ => None,
        })
    }

    /// Lines that are not valid by themselves, not merely by resting on others.
    pub fn faults(&self) -> impl Iterator<Item = (LineId, Fault)> + '_ {
        self.order.iter().filter_map(|id| match self.state(*id) {
            State::NotValid(fault @ (Fault::NoNumber | Fault::OutsideLimits | Fault::RequirementFails)) => {
                Some((*id, fault))
            }
            _ => None,
        })
    }

    /// How the sheet came out as a whole: the worst of its checks, and *not valid* where any line is.
    ///
    /// A sheet without a check is satisfied: nothing in it was asked.
    pub fn verdict_of_sheet(&self) -> Verdict {
        self.verdict_within(ScopeId(0))
    }

    /// How a clause or calculation in use came out, by its own lines and those of what it uses.
    pub fn verdict_within(&self, scope: ScopeId) -> Verdict {
        let notes = &self.compiled.notes;
        let is_within = |line: LineId| notes.is_within(notes.line(line).scope, scope);
        if self.order.iter().any(|line| self.state(*line) != State::Sound && is_within(*line)) {
            return Verdict::NotValid;
        }
        self.checks()
            .filter(|(line, _)| is_within(*line))
            .map(|(line, check)| self.verdict(line, check))
            .filter(|verdict| *verdict != Verdict::NotApplicable)
            .min()
            .unwrap_or(Verdict::Satisfied)
    }

    /// Why the routine behind a value gave nothing.
    pub fn routine_reason(&self, value: &Value) -> Option<&str> {
        let registers = value.registers();
        let (_, reason) = self.reasons.iter().find(|(register, _)| registers.contains(register))?;
        Some(reason)
    }

    /// The numbers that a value stands for.
    pub fn numbers_of(&self, value: &Value) -> Vec<f64> {
        value.registers().into_iter().map(|register| self.register(register)).collect()
    }
}
