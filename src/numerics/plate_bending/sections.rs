//! Sections through the whole plate along the faces of the column: their moments, by statics alone, and their lengths.

use uom::si::f64::{Length, Torque};
use uom::si::length::meter;
use uom::si::torque::newton_meter;

use super::problem::Problem;
use super::recover::Rounding;
use super::result::{Face, Section};
use super::solve::Solved;
use crate::numerics::polygon::{clip, moments};

/// A section: its face, the axis across it, where on it, and on which side of it the column is not.
type Cut = (Face, usize, f64, f64);

/// Along the four sides of the rectangle about the footprint.
fn cuts(problem: &Problem) -> [Cut; 4] {
    let [low, high] = problem.footprint.bounds();
    [
        (Face::Right, 0, high[0], 1.0),
        (Face::Left, 0, low[0], -1.0),
        (Face::Top, 1, high[1], 1.0),
        (Face::Bottom, 1, low[1], -1.0),
    ]
}

/// The moment of all forces beyond each section about it, N m.
pub(super) fn section_moments(problem: &Problem, solved: &Solved) -> [f64; 4] {
    cuts(problem).map(|(_, axis, position, sign)| {
        let springs = solved.system.springs.iter().zip(solved.forces());
        springs.map(|(spring, force)| force * (sign * (spring.at[axis] - position)).max(0.0)).sum()
    })
}

/// The four sections.
pub(super) fn sections(problem: &Problem, solved: &Solved) -> [Section; 4] {
    let (cuts, moments) = (cuts(problem), section_moments(problem, solved));
    let scale = Rounding::to(moments.iter().fold(0.0, |largest: f64, moment| largest.max(moment.abs())));
    core::array::from_fn(|index| {
        let (face, axis, position, sign) = cuts[index];
        Section {
            face,
            position: Length::new::<meter>(position),
            moment: Torque::new::<newton_meter>(scale.round(moments[index])),
            width: Length::new::<meter>(width(problem, axis, position, sign)),
        }
    })
}

/// The length of a section through the plate just beyond its position; where the plate ends there, just before it.
fn width(problem: &Problem, axis: usize, position: f64, sign: f64) -> f64 {
    let strip = 10.0 * problem.tolerance;
    let beside = |sign: f64| {
        let [mut low, mut high] = problem.region.bounds();
        let edges = [position, position + sign * strip];
        (low[axis], high[axis]) = (edges[0].min(edges[1]), edges[0].max(edges[1]));
        let area: f64 = problem.region.rings.iter().map(|ring| moments(&clip(ring, low, high))[0]).sum();
        // The strip is thin, but its area as exact as its thickness: 1e-7 of the diagonal leaves nine figures.
        Rounding { largest: problem.diagonal(), figures: 6 }.round(area / strip)
    };
    let beyond = beside(sign);
    if beyond > 0.0 { beyond } else { beside(-sign) }
}
