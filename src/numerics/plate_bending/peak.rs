//! The largest principal moment outside a band along column and anchors.
//!
//! Under a point force and at the ends and corners of a wall the moments of a thin plate grow without limit; a real one is
//! as thick as the place where they do. Nearer than one thickness the theory of thin plates tells nothing of the steel.
//! The band is as wide as the plate is thick, and its rim counts as outside.
//! As moments fall away from column and anchors the largest one is nearly always found on the rim: therefore the rim is
//! followed itself. With points inside cells alone, the distance of the nearest of them from the rim would decide, which
//! changes with the mesh and by leaps with the thickness.

use super::mesh::Mesh;
use super::problem::Problem;
use super::recover::Surface;
use crate::numerics::polygon::{Point, Segment, at_share, length, way};

/// Places along each side of a cell, its ends included.
const LOOKS: usize = 5;

/// Places on each length of a cell, and of the thickness, along the rim.
const ON_RIM: f64 = 4.0;

/// A point that rounding has left inside the rim by less than this part of the thickness is on it.
const ROUNDING: f64 = 1e-9;

/// A moment must exceed the largest one so far by this part of it, so that of equal ones in a symmetric plate the same place
/// is found on every machine.
const MORE: f64 = 1e-7;

/// A principal moment, N m for each metre, and where it is.
#[derive(Debug, Clone, Copy)]
pub(super) struct Peak {
    pub(super) moment: f64,
    pub(super) at: Point,
}

/// The principal moment of the greatest size; none where the band covers the plate.
pub(super) fn largest_moment(problem: &Problem, surface: &Surface) -> Option<Peak> {
    let mesh = &surface.mesh;
    let mut best: Option<Peak> = None;
    let mut look = |cell: usize, at: Point| {
        let moment = problem.rigidity * surface.principal_moment(&mesh.cells[cell], at, problem.poisson);
        if best.is_none_or(|best| moment.abs() > (1.0 + MORE) * best.moment.abs()) && is_outside(problem, at) {
            best = Some(Peak { moment, at });
        }
    };
    for (index, cell) in mesh.cells.iter().enumerate() {
        let part = |place: usize| place as f64 / (LOOKS - 1) as f64;
        let points = (0..LOOKS * LOOKS).map(|place| cell.point([part(place % LOOKS), part(place / LOOKS)]));
        points
            .filter(|point| cell.cut.is_none() || problem.region.contains(*point))
            .for_each(|point| look(index, point));
    }
    for point in rim(problem, mesh).filter(|point| problem.region.contains(*point)) {
        mesh.touching(point).for_each(|cell| look(cell, point));
    }
    best
}

fn is_outside(problem: &Problem, point: Point) -> bool {
    let nearest = problem.anchors.iter().map(|anchor| length([anchor.at, point])).fold(f64::INFINITY, f64::min);
    nearest.min(problem.footprint.distance(point)) >= (1.0 - ROUNDING) * problem.thickness
}

/// Points one thickness from each wall, side of a filled area and anchor; of some the next one may be nearer.
fn rim(problem: &Problem, mesh: &Mesh) -> impl Iterator<Item = Point> {
    let radius = problem.thickness;
    let spacing = mesh.step.min(radius) / ON_RIM;
    let anchors = problem.anchors.iter().map(|anchor| [anchor.at; 2]);
    problem.footprint.sides().chain(anchors).flat_map(move |segment| around(segment, radius, spacing))
}

/// Points at a distance from a segment, on its two parallels and about its ends.
fn around(segment: Segment, radius: f64, spacing: f64) -> impl Iterator<Item = Point> {
    let long = length(segment);
    let count = |length: f64| (length / spacing).ceil().max(1.0) as usize;
    let along = if long > 0.0 { way(segment).map(|part| part / long) } else { [1.0, 0.0] };
    let straight = count(long);
    let parallels = (0..=straight).flat_map(move |index| {
        let on = at_share(segment, index as f64 / straight as f64);
        [radius, -radius].map(|away| [on[0] - away * along[1], on[1] + away * along[0]])
    });
    let turns = count(core::f64::consts::TAU * radius);
    let circles = segment.into_iter().flat_map(move |end| {
        (0..turns).map(move |index| {
            let angle = core::f64::consts::TAU * index as f64 / turns as f64;
            [end[0] + radius * libm::cos(angle), end[1] + radius * libm::sin(angle)]
        })
    });
    parallels.chain(circles)
}
