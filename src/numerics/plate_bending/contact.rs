//! The iteration on contact and anchors: which springs act, and what the plate does then.
//!
//! The springs make the potential energy convex and piecewise quadratic in the unknowns.
//! Newton's method with the stiffness of the springs that act, and a search along each step for the lowest energy, finds
//! the minimum from any start: the energy falls at every step, and there are finitely many sets of acting springs.
//! It ends when a full step leaves the set as it was, so that the result is exact for that set, or when a step would gain
//! no more energy than rounding hides.

use super::PlateError;
use super::cholesky::Cholesky;
use super::system::{Spring, System};
use crate::numerics::polygon::Point;

/// A step is the last when it gains less than this part of the work of the load.
const NO_GAIN: f64 = 1e-18;

/// The slope of the energy left at the end of a search, as part of that at its start.
const FLAT: f64 = 1e-3;

/// Where the acting springs leave the plate free to move as a rigid body, the others help with this part of theirs.
///
/// They do so in the matrix only, so that the result is not changed by it.
const HELP: f64 = 1e-6;

/// Springs hold the plate against rigid movement when their stiffness against the softest one exceeds this part.
const HELD: f64 = 1e-10;

/// Steps with the last factor and exact forces, which take away what rounding has left of the residual.
///
/// One leaves about the square of the first error, and the second what that step itself was rounded by.
const POLISHES: usize = 2;

/// Steps of the search along one direction.
const SEARCHES: usize = 40;

/// Equilibrium of the unknowns.
#[derive(Debug, Clone)]
pub(super) struct Equilibrium {
    pub(super) unknowns: Vec<f64>,
    /// The deflection at each spring.
    pub(super) deflections: Vec<f64>,
    pub(super) iterations: usize,
    /// Whether the springs that act would hold the plate against every rigid movement.
    pub(super) is_held: bool,
}

/// Finds the equilibrium under a load over the unknowns, starting with the springs that `acting` names.
pub(super) fn find_equilibrium(
    system: &System,
    load: &[f64],
    mut acting: Vec<bool>,
    limit: usize,
) -> Result<Equilibrium, PlateError> {
    let mut cholesky = Cholesky::analyse(system.pattern.clone()).map_err(|_| PlateError::Singular)?;
    let mut unknowns = vec![0.0; system.count];
    let mut deflections = vec![0.0; system.springs.len()];
    let (mut matrix, mut assembled) = (system.plate.clone(), vec![0.0; system.springs.len()]);
    let mut is_start = true;
    for iteration in 1..=limit {
        let is_held = holds(system, &acting);
        let rest = if is_held { 0.0 } else { HELP };
        let parts: Vec<f64> = acting.iter().map(|acts| if *acts { 1.0 } else { rest }).collect();
        system.change_springs(&mut matrix, &assembled, &parts);
        assembled = parts;
        cholesky.factorise(&matrix).map_err(|_| PlateError::Singular)?;
        let residual = residual_of(system, cholesky.pattern(), load, &unknowns, &deflections);
        let mut step = residual.clone();
        cholesky.solve(&mut step);
        let change = system.deflections(&step);
        let gain = product(&residual, &step);
        let reach = if is_start { 1.0 } else { search(system, cholesky.pattern(), gain, &step, &deflections, &change) };
        unknowns.iter_mut().zip(&step).for_each(|(unknown, step)| *unknown += reach * step);
        deflections = system.deflections(&unknowns);
        let now: Vec<bool> = system.springs.iter().zip(&deflections).map(|(spring, w)| spring.acts(*w)).collect();
        let is_settled = now == acting && reach == 1.0 && is_held;
        let is_flat = !is_start && gain <= NO_GAIN * product(load, &unknowns).abs();
        acting = now;
        is_start = false;
        if is_settled || is_flat {
            for _ in 0..POLISHES {
                let mut step = left_of(load, system.exact_forces(&unknowns), system, &deflections);
                cholesky.solve(&mut step);
                unknowns.iter_mut().zip(&step).for_each(|(unknown, step)| *unknown += step);
                deflections = system.deflections(&unknowns);
            }
            let is_held = holds(system, &acting);
            return Ok(Equilibrium { unknowns, deflections, iterations: iteration, is_held });
        }
    }
    Err(PlateError::IterationLimit { iterations: limit })
}

/// Load less the forces of the plate and of the springs that act, good enough to iterate on.
fn residual_of(
    system: &System,
    pattern: &super::cholesky::Pattern,
    load: &[f64],
    unknowns: &[f64],
    deflections: &[f64],
) -> Vec<f64> {
    let mut forces = vec![0.0; system.count];
    pattern.add_product(&system.plate, unknowns, &mut forces);
    left_of(load, forces, system, deflections)
}

/// Load less the forces of the plate given and of the springs that act.
fn left_of(load: &[f64], mut forces: Vec<f64>, system: &System, deflections: &[f64]) -> Vec<f64> {
    system.add_forces(spring_forces(&system.springs, deflections), &mut forces);
    load.iter().zip(&forces).map(|(load, force)| load - force).collect()
}

/// The force of each spring along w: positive for an anchor that pulls, negative for a bed that pushes.
pub(super) fn spring_forces(springs: &[Spring], deflections: &[f64]) -> impl Iterator<Item = f64> {
    springs.iter().zip(deflections).map(|(spring, w)| if spring.acts(*w) { spring.stiffness * w } else { 0.0 })
}

/// The part of a step at which the energy is lowest; the whole step where it falls to the end.
///
/// The slope of the energy along the step grows and is linear between the places where springs begin or cease to act.
fn search(
    system: &System,
    pattern: &super::cholesky::Pattern,
    gain: f64,
    step: &[f64],
    deflections: &[f64],
    change: &[f64],
) -> f64 {
    let mut bent = vec![0.0; system.count];
    pattern.add_product(&system.plate, step, &mut bent);
    let springs = |part: f64| -> f64 {
        let moved = (system.springs.iter().zip(deflections)).zip(change);
        moved
            .map(|((spring, w), change)| {
                let there = w + part * change;
                if spring.acts(there) { spring.stiffness * there * change } else { 0.0 }
            })
            .sum()
    };
    let start = springs(0.0);
    let plate = product(&bent, step);
    let slope = |part: f64| -gain + part * plate + springs(part) - start;
    let (mut low, mut high) = ([0.0, -gain], [1.0, slope(1.0)]);
    if high[1] <= FLAT * gain {
        return 1.0;
    }
    for _ in 0..SEARCHES {
        // A secant, kept away from the ends so that both close in.
        let secant = low[0] - low[1] * (high[0] - low[0]) / (high[1] - low[1]);
        let margin = 0.1 * (high[0] - low[0]);
        let part = secant.clamp(low[0] + margin, high[0] - margin);
        let here = slope(part);
        if here.abs() <= FLAT * gain {
            return part;
        }
        if here < 0.0 {
            low = [part, here];
        } else {
            high = [part, here];
        }
    }
    // The energy falls up to here for certain.
    if low[0] > 0.0 { low[0] } else { high[0] }
}

/// Whether the springs that act resist every rigid movement of the plate.
fn holds(system: &System, acting: &[bool]) -> bool {
    let places = || system.springs.iter().zip(acting).filter(|(_, acts)| **acts).map(|(spring, _)| spring);
    let total: f64 = places().map(|spring| spring.stiffness).sum();
    let mean = |axis: usize| places().map(|spring| spring.stiffness * spring.at[axis]).sum::<f64>() / total;
    let centre: Point = [mean(0), mean(1)];
    let second = |one: usize, other: usize| -> f64 {
        let arm = |spring: &Spring, axis: usize| spring.at[axis] - centre[axis];
        places().map(|spring| spring.stiffness * arm(spring, one) * arm(spring, other)).sum()
    };
    let [xx, yy, xy] = [second(0, 0), second(1, 1), second(0, 1)];
    // Held against both tilts, and against lifting, as the springs have a stiffness.
    total > 0.0 && (xx * yy - xy * xy) > HELD * (xx + yy) * (xx + yy)
}

fn product(one: &[f64], other: &[f64]) -> f64 {
    one.iter().zip(other).map(|(one, other)| one * other).sum()
}
