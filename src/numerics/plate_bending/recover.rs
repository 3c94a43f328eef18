//! Results off a solved mesh: forces, pressures, moments and fields.

use uom::si::area::square_meter;
use uom::si::f64::{Area, Force, Length, Pressure, Ratio};
use uom::si::force::newton;
use uom::si::length::meter;
use uom::si::pressure::pascal;
use uom::si::ratio::ratio;

use super::Place;
use super::element::Shape;
use super::footprint::{RIGID, Unknowns};
use super::mesh::{Cell, Mesh};
use super::problem::Problem;
use super::result::{Accuracy, BentPlate, ColumnMovement, Contact, Extreme, Fields, PeakMoment, Tension};
use super::sections::sections;
use super::solve::Solved;
use super::system::{Sense, Spring};
use crate::numerics::polygon::Point;
use crate::numerics::tension::Resultant;

/// Significant figures that are kept of the largest value of a kind.
const FIGURES: i32 = 9;

/// The bent surface of the plate.
#[derive(Debug)]
pub(super) struct Surface {
    pub(super) mesh: Mesh,
    /// The values at the nodes, four each.
    values: Vec<f64>,
}

impl Surface {
    /// The surface over a mesh for given unknowns.
    pub(super) fn new(mesh: Mesh, unknowns: &Unknowns, solution: &[f64]) -> Surface {
        let values = unknowns.values(solution);
        Surface { mesh, values }
    }

    /// The deflection at a point of the plate; none where no cell is.
    pub(super) fn deflection(&self, point: Point) -> Option<f64> {
        let cell = &self.mesh.cells[self.mesh.locate(point)?];
        Some(self.derivative(cell, &Shape::new(cell.size, cell.part(point)), 0, 0))
    }

    /// Moments m_x, m_y and m_xy of a plate of unit rigidity at a point of a cell.
    pub(super) fn moments(&self, cell: &Cell, point: Point, poisson: f64) -> [f64; 3] {
        let shape = Shape::new(cell.size, cell.part(point));
        let curvature = |by_x, by_y| self.derivative(cell, &shape, by_x, by_y);
        let (xx, yy, xy) = (curvature(2, 0), curvature(0, 2), curvature(1, 1));
        [-(xx + poisson * yy), -(yy + poisson * xx), -(1.0 - poisson) * xy]
    }

    /// The principal moment of the greater size of a plate of unit rigidity at a point of a cell.
    pub(super) fn principal_moment(&self, cell: &Cell, point: Point, poisson: f64) -> f64 {
        let [x, y, xy] = self.moments(cell, point, poisson);
        let (middle, radius) = ((x + y) / 2.0, libm::hypot((x - y) / 2.0, xy));
        if middle < 0.0 { middle - radius } else { middle + radius }
    }

    fn derivative(&self, cell: &Cell, shape: &Shape, by_x: usize, by_y: usize) -> f64 {
        let nodes = self.mesh.corners(cell);
        let factors = shape.derivative(by_x, by_y);
        factors.iter().enumerate().map(|(value, factor)| factor * self.values[4 * nodes[value / 4] + value % 4]).sum()
    }

    /// Points at which the deflection may be greatest or least, and the deflection there.
    fn landmarks(&self, problem: &Problem) -> Vec<(Point, f64)> {
        let mut is_used = vec![false; self.mesh.nodes()];
        self.mesh.cells.iter().flat_map(|cell| self.mesh.corners(cell)).for_each(|node| is_used[node] = true);
        let has_cuts = self.mesh.cells.iter().any(|cell| cell.cut.is_some());
        let nodes = (0..self.mesh.nodes())
            .filter(|node| is_used[*node])
            .map(|node| (self.mesh.place(node), self.values[4 * node]))
            // Only where an edge is oblique can a node of a cell lie outside.
            .filter(|(place, _)| !has_cuts || problem.region.contains(*place));
        let corners = problem.region.rings.iter().flatten();
        nodes.chain(corners.filter_map(|corner| Some((*corner, self.deflection(*corner)?)))).collect()
    }
}

/// The largest pressure and where it is.
pub(super) fn largest_pressure(problem: &Problem, solved: &Solved) -> (f64, Point) {
    let lowest = extreme(&solved.surface.landmarks(problem), |one, other| one < other);
    (problem.bed * (-lowest.1).max(0.0), lowest.0)
}

/// The first landmark that exceeds all others in the sense of `exceeds`.
fn extreme(landmarks: &[(Point, f64)], exceeds: impl Fn(f64, f64) -> bool) -> (Point, f64) {
    let mut landmarks = landmarks.iter().copied();
    let first = landmarks.next().unwrap_or(([0.0; 2], 0.0));
    landmarks.fold(first, |best, next| if exceeds(next.1, best.1) { next } else { best })
}

/// All results of a solved mesh.
pub(super) fn read_off(problem: &Problem, solved: &Solved, accuracy: Accuracy, samples: usize) -> BentPlate {
    let forces: Vec<(&Spring, f64)> = solved.system.springs.iter().zip(solved.forces()).collect();
    let anchors: Vec<f64> = forces.iter().filter(|(spring, _)| spring.sense == Sense::Pulls).map(|(_, f)| *f).collect();
    let contact = contact(problem, solved, &forces);
    let force = Rounding::to(anchors.iter().copied().fold(contact.force.get::<newton>(), f64::max));
    let landmarks = solved.surface.landmarks(problem);
    let [highest, lowest] =
        [extreme(&landmarks, |one, other| one > other), extreme(&landmarks, |one, other| one < other)];
    let deflection = Rounding::to(highest.1.abs().max(lowest.1.abs()));
    let extreme = |(at, w): (Point, f64)| Extreme { deflection: metres(deflection.round(w)), at: place(at) };
    let mut rigid = [0.0; RIGID];
    rigid.iter_mut().zip(&solved.equilibrium.unknowns).for_each(|(one, unknown)| *one = *unknown);
    let slope = Rounding::to(deflection.largest / problem.diagonal());
    BentPlate {
        anchor_forces: anchors.iter().map(|value| Force::new::<newton>(force.round(*value))).collect(),
        tension: tension(problem, &anchors, &force),
        contact,
        column: ColumnMovement {
            deflection: metres(deflection.round(rigid[0])),
            slope_x: Ratio::new::<ratio>(slope.round(rigid[1])),
            slope_y: Ratio::new::<ratio>(slope.round(rigid[2])),
        },
        highest: extreme(highest),
        lowest: extreme(lowest),
        largest_moment: solved.peak.map(|peak| PeakMoment {
            moment: Force::new::<newton>(Rounding::to(peak.moment.abs()).round(peak.moment)),
            at: place(peak.at),
        }),
        sections: sections(problem, solved),
        fields: (samples >= 2).then(|| fields(problem, &solved.surface, samples)),
        residual: Ratio::new::<ratio>(residual(problem, &forces)),
        is_held: solved.equilibrium.is_held,
        accuracy,
    }
}

/// The resultant of the anchors in tension; rounding leaves of a slack one less than a step of `rounding`.
fn tension(problem: &Problem, forces: &[f64], rounding: &Rounding) -> Option<Tension> {
    let places = problem.anchors.iter().map(|anchor| anchor.at);
    let tensions: Vec<(Point, f64)> = places.zip(forces.iter().map(|force| rounding.round(*force))).collect();
    let resultant = Resultant::of(&tensions, 0.0)?;
    let length = Rounding::to(problem.diagonal());
    let [eccentricity_x, eccentricity_y] = resultant.eccentricities().map(|distance| metres(length.round(distance)));
    Some(Tension {
        force: Force::new::<newton>(rounding.round(resultant.force)),
        point: place(resultant.point.map(|coordinate| length.round(coordinate))),
        eccentricity_x,
        eccentricity_y,
    })
}

fn contact(problem: &Problem, solved: &Solved, forces: &[(&Spring, f64)]) -> Contact {
    let bed = || forces.iter().filter(|(spring, force)| spring.sense == Sense::Pushes && *force < 0.0);
    let force: f64 = bed().map(|(_, force)| -force).sum();
    let area: f64 = bed().map(|(spring, _)| spring.area).sum();
    let length = Rounding::to(problem.diagonal());
    let centre = |axis: usize| length.round(bed().map(|(spring, part)| -part * spring.at[axis]).sum::<f64>() / force);
    let (pressure, at) = largest_pressure(problem, solved);
    Contact {
        force: Force::new::<newton>(Rounding::to(force).round(force)),
        centre: (force > 0.0).then(|| place([centre(0), centre(1)])),
        largest_pressure: Pressure::new::<pascal>(Rounding::to(pressure).round(pressure)),
        at: (pressure > 0.0).then(|| place(at)),
        area: Area::new::<square_meter>(Rounding::to(area).round(area)),
    }
}

/// What is missing for equilibrium about the middle of the plate, as part of all forces.
fn residual(problem: &Problem, forces: &[(&Spring, f64)]) -> f64 {
    let [low, high] = problem.region.bounds();
    let (middle, arm) = ([(low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0], problem.diagonal());
    let [normal, about_y, about_x] = problem.actions;
    let reference = problem.footprint.reference;
    let mut missing = [
        normal,
        (about_y + normal * (reference[0] - middle[0])) / arm,
        (about_x + normal * (reference[1] - middle[1])) / arm,
    ];
    let mut total = missing.iter().map(|part| part.abs()).sum::<f64>();
    for (spring, force) in forces {
        missing[0] -= force;
        missing[1] -= force * (spring.at[0] - middle[0]) / arm;
        missing[2] -= force * (spring.at[1] - middle[1]) / arm;
        total += force.abs();
    }
    let worst = missing.iter().map(|part| part.abs()).fold(0.0, f64::max);
    if total > 0.0 { worst / total } else { 0.0 }
}

fn fields(problem: &Problem, surface: &Surface, samples: usize) -> Fields {
    let [low, high] = problem.region.bounds();
    let coordinates = |axis: usize| -> Vec<f64> {
        let part = |index: usize| index as f64 / (samples - 1) as f64;
        (0..samples).map(|index| low[axis] + part(index) * (high[axis] - low[axis])).collect()
    };
    let (x, y) = (coordinates(0), coordinates(1));
    let points = y.iter().flat_map(|y| x.iter().map(move |x| [*x, *y]));
    let sample = |point: Point| -> [f64; 6] {
        let cell = problem.region.contains(point).then(|| surface.mesh.locate(point)).flatten();
        let Some(cell) = cell.map(|cell| &surface.mesh.cells[cell]) else { return [f64::NAN; 6] };
        let w = surface.deflection(point).unwrap_or(f64::NAN);
        let [x, y, xy] = surface.moments(cell, point, problem.poisson).map(|moment| problem.rigidity * moment);
        let comparison = (x * x - x * y + y * y + 3.0 * xy * xy).max(0.0).sqrt();
        let stress = 6.0 * comparison / (problem.thickness * problem.thickness);
        [w, x, y, xy, stress, problem.bed * (-w).max(0.0)]
    };
    let rows: Vec<[f64; 6]> = points.map(sample).collect();
    let largest = |kinds: core::ops::Range<usize>| {
        let values = rows.iter().flat_map(|row| &row[kinds.clone()]).filter(|value| !value.is_nan());
        Rounding::to(values.fold(0.0, |largest: f64, value| largest.max(value.abs())))
    };
    let (deflection, moment, stress, pressure) = (largest(0..1), largest(1..4), largest(4..5), largest(5..6));
    let moments = |kind: usize| rows.iter().map(|row| Force::new::<newton>(moment.round(row[kind]))).collect();
    let pascals = |rounding: &Rounding, kind: usize| -> Vec<Pressure> {
        rows.iter().map(|row| Pressure::new::<pascal>(rounding.round(row[kind]))).collect()
    };
    Fields {
        x: x.into_iter().map(metres).collect(),
        y: y.into_iter().map(metres).collect(),
        deflection: rows.iter().map(|row| metres(deflection.round(row[0]))).collect(),
        moment_x: moments(1),
        moment_y: moments(2),
        moment_xy: moments(3),
        stress: pascals(&stress, 4),
        pressure: pascals(&pressure, 5),
    }
}

fn metres(value: f64) -> Length {
    Length::new::<meter>(value)
}

fn place([x, y]: Point) -> Place {
    Place { x: metres(x), y: metres(y) }
}

/// Rounding of all values of a kind by the largest of them.
///
/// The factorisation adds up in an order, and with fused or separate rounding, that depends on the machine; what is left of
/// that after so many figures is nothing.
#[derive(Debug, Clone, Copy)]
pub(super) struct Rounding {
    pub(super) largest: f64,
    pub(super) figures: i32,
}

impl Rounding {
    pub(super) fn to(largest: f64) -> Rounding {
        Rounding { largest, figures: FIGURES }
    }

    pub(super) fn round(&self, value: f64) -> f64 {
        if self.largest <= 0.0 || !value.is_finite() {
            return 0.0 + value;
        }
        let digits = self.figures - 1 - libm::log10(self.largest).floor() as i32;
        // A power of ten with a positive exponent is exact where one with a negative exponent is not.
        let power = libm::pow(10.0, f64::from(digits.abs()));
        // An empty sum is minus zero, and so is what is rounded to nothing from below.
        0.0 + if digits >= 0 { (value * power).round() / power } else { (value / power).round() * power }
    }
}
