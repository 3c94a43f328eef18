//! One mesh after the other, until the result settles.

use uom::si::f64::{Length, Ratio};
use uom::si::length::meter;
use uom::si::ratio::ratio;

use super::contact::{Equilibrium, find_equilibrium, spring_forces};
use super::footprint::{hold, own_stiffness};
use super::mesh::Mesh;
use super::peak::{Peak, largest_moment};
use super::problem::Problem;
use super::recover::{Surface, largest_pressure};
use super::sections::section_moments;
use super::system::{Medium, System};
use super::{Accuracy, Change, PlateError, Settings};

/// Cells along the longer side of the plate in the first mesh.
const FIRST_CELLS: f64 = 16.0;

/// Before the first mesh one with cells longer by this factor finds roughly where contact is.
///
/// It counts as no mesh, since nothing is read off it; but on the first mesh few iterations are left.
const COARSER: f64 = 3.0;

/// A moment on a length below this part of all forces, and one in a section below this part of them times the diagonal,
/// need not settle: a plate that is pressed evenly has hardly any.
const NO_MOMENT: f64 = 1e-3;

/// A problem solved on one mesh.
#[derive(Debug)]
pub(super) struct Solved {
    pub(super) surface: Surface,
    pub(super) system: System,
    pub(super) equilibrium: Equilibrium,
    /// The largest principal moment, N.
    pub(super) peak: Option<Peak>,
}

impl Solved {
    /// The force of each spring along w: the anchors in their order, then the bed.
    pub(super) fn forces(&self) -> impl Iterator<Item = f64> {
        spring_forces(&self.system.springs, &self.equilibrium.deflections)
    }
}

/// The solution on the mesh on which the result has settled.
pub(super) fn refine(problem: &Problem, settings: &Settings) -> Result<(Solved, Accuracy), PlateError> {
    let [low, high] = problem.region.bounds();
    let mut step = match settings.element {
        Some(element) if element.get::<meter>().is_finite() && element.get::<meter>() > 0.0 => element.get::<meter>(),
        Some(_) => return Err(PlateError::NotPositive { what: "size of the elements" }),
        None => (high[0] - low[0]).max(high[1] - low[1]) / FIRST_CELLS,
    };
    let mut solved: Option<Solved> = None;
    let (mut meshes, mut iterations, mut change) = (0, 0, None::<Change>);
    loop {
        let unknowns = unknowns_at(problem, step);
        let Some(last) = solved.take() else {
            if unknowns > settings.unknowns {
                return Err(PlateError::TooManyUnknowns { unknowns, limit: settings.unknowns });
            }
            let coarse = solve_on(problem, COARSER * step, None, settings.iterations)?;
            let first = solve_on(problem, step, Some(&coarse.surface), settings.iterations)?;
            (meshes, iterations) = (1, coarse.equilibrium.iterations + first.equilibrium.iterations);
            solved = Some(first);
            continue;
        };
        let are_forces_settled = change.is_some_and(|change| change.forces <= settings.settled_forces);
        let are_moments_settled = change.is_some_and(|change| change.moments <= settings.settled_moments);
        step /= 2.0;
        let is_finest = meshes >= settings.meshes || unknowns_at(problem, step) > settings.unknowns;
        if settings.meshes <= 1 || (are_forces_settled && (are_moments_settled || is_finest)) {
            let accuracy = Accuracy {
                element: Length::new::<meter>(last.surface.mesh.step),
                unknowns: last.system.count,
                meshes,
                change,
                iterations,
            };
            return Ok((last, accuracy));
        }
        if is_finest {
            let change = change.map(|change| change.forces);
            return Err(PlateError::RefinementLimit { meshes, unknowns: last.system.count, change });
        }
        let next = solve_on(problem, step, Some(&last.surface), settings.iterations)?;
        meshes += 1;
        iterations += next.equilibrium.iterations;
        change = Some(change_between(problem, &last, &next));
        solved = Some(next);
    }
}

/// The greatest number of unknowns that a mesh with this step can have, far from exact but for large numbers.
fn unknowns_at(problem: &Problem, step: f64) -> usize {
    let [low, high] = problem.region.bounds();
    let cells = (high[0] - low[0]) / step * ((high[1] - low[1]) / step);
    // The conversion saturates.
    (4.0 * cells) as usize
}

/// The solution on one mesh; the last one, where there is one, tells which springs act at first.
fn solve_on(problem: &Problem, step: f64, last: Option<&Surface>, limit: usize) -> Result<Solved, PlateError> {
    let mesh = Mesh::new(problem, step);
    let (unknowns, tethers) = hold(&mesh, problem);
    let medium = Medium { rigidity: problem.rigidity, poisson: problem.poisson, bed: problem.bed };
    let own = own_stiffness(&problem.footprint, problem.rigidity, problem.tolerance);
    let system = System::new(&mesh, &unknowns, &medium, &problem.anchors, &tethers, own);
    let acting = system.springs.iter().map(|spring| match last.and_then(|last| last.deflection(spring.at)) {
        Some(deflection) => spring.acts(deflection),
        None => true,
    });
    let acting = acting.collect();
    let equilibrium = find_equilibrium(&system, &load(&system, problem), acting, limit)?;
    let surface = Surface::new(mesh, &unknowns, &equilibrium.unknowns);
    let peak = largest_moment(problem, &surface);
    Ok(Solved { surface, system, equilibrium, peak })
}

/// The actions of the column on the rigid body's unknowns, which come first.
fn load(system: &System, problem: &Problem) -> Vec<f64> {
    let mut load = vec![0.0; system.count];
    load.iter_mut().zip(problem.actions).for_each(|(entry, action)| *entry = action);
    load
}

fn change_between(problem: &Problem, one: &Solved, other: &Solved) -> Change {
    Change {
        forces: Ratio::new::<ratio>(change_of_forces(problem, one, other)),
        moments: Ratio::new::<ratio>(change_of_moments(problem, one, other)),
    }
}

fn change_of_forces(problem: &Problem, one: &Solved, other: &Solved) -> f64 {
    let forces = |solved: &Solved| solved.forces().take(problem.anchors.len()).collect::<Vec<f64>>();
    let (before, after) = (forces(one), forces(other));
    let largest = after.iter().copied().fold(0.0, f64::max);
    if largest > 0.0 {
        return largest_change(&before, &after) / largest;
    }
    let [before, after] = [one, other].map(|solved| largest_pressure(problem, solved).0);
    if after > 0.0 { (before - after).abs() / after } else { 0.0 }
}

/// The greater change of the largest principal moment and of the moments in sections, each kind by its largest.
fn change_of_moments(problem: &Problem, one: &Solved, other: &Solved) -> f64 {
    let all: f64 = other.forces().map(f64::abs).sum();
    let part = |change: f64, largest: f64, least: f64| if least > 0.0 { change / largest.max(least) } else { 0.0 };
    let [before, after] = [one, other].map(|solved| solved.peak.map_or(0.0, |peak| peak.moment.abs()));
    let peak = part((before - after).abs(), after, NO_MOMENT * all);
    let [before, after] = [one, other].map(|solved| section_moments(problem, solved));
    let largest = after.iter().fold(0.0, |largest: f64, moment| largest.max(moment.abs()));
    peak.max(part(largest_change(&before, &after), largest, NO_MOMENT * all * problem.diagonal()))
}

fn largest_change(before: &[f64], after: &[f64]) -> f64 {
    before.iter().zip(after).map(|(before, after)| (before - after).abs()).fold(0.0, f64::max)
}
