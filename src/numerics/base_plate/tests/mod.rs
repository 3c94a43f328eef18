//! Tests of the whole module.
//!
//! Here are the plate that cases are written with, and the checks.

mod closed_forms;
mod geometry;
mod properties;
mod references;
mod refusals;

use uom::si::f64::{Force, Length, Pressure, Torque};
use uom::si::force::{kilonewton, newton};
use uom::si::length::millimeter;
use uom::si::pressure::megapascal;
use uom::si::torque::kilonewton_meter;

use crate::numerics::base_plate::*;

fn mm(value: f64) -> Length {
    Length::new::<millimeter>(value)
}

fn kn(value: f64) -> Force {
    Force::new::<kilonewton>(value)
}

fn knm(value: f64) -> Torque {
    Torque::new::<kilonewton_meter>(value)
}

fn point(place: (f64, f64)) -> Point {
    Point { x: mm(place.0), y: mm(place.1) }
}

fn in_mm(point: Point) -> (f64, f64) {
    (point.x.get::<millimeter>(), point.y.get::<millimeter>())
}

/// A plate with its anchors: mm, N/mm for an anchor, N/mm³ for the bed.
#[derive(Debug, Clone, Default)]
struct Plan {
    outline: Vec<(f64, f64)>,
    holes: Vec<Vec<(f64, f64)>>,
    clearance_holes: Vec<Vec<(f64, f64)>>,
    anchors: Vec<(f64, f64, f64)>,
    bed: f64,
}

/// Corners of a rectangle about the origin, anticlockwise from the lower left.
fn rectangle(width: f64, height: f64) -> Vec<(f64, f64)> {
    let (x, y) = (width / 2.0, height / 2.0);
    vec![(-x, -y), (x, -y), (x, y), (-x, y)]
}

/// A regular polygon about a place.
fn regular(x: f64, y: f64, radius: f64, corners: usize) -> Vec<(f64, f64)> {
    let angle = |corner: usize| core::f64::consts::TAU * corner as f64 / corners as f64;
    (0..corners).map(|corner| (x + radius * libm::cos(angle(corner)), y + radius * libm::sin(angle(corner)))).collect()
}

impl Plan {
    fn of(outline: Vec<(f64, f64)>, anchors: &[(f64, f64, f64)], bed: f64) -> Plan {
        Plan { outline, anchors: anchors.to_vec(), bed, ..Plan::default() }
    }

    /// The state under N in kN, M_x and M_y in kNm.
    fn state(&self, [n, m_x, m_y]: [f64; 3]) -> Result<RigidState, NoState> {
        let points = |corners: &[(f64, f64)]| corners.iter().map(|corner| point(*corner)).collect::<Vec<Point>>();
        let rings = |rings: &[Vec<(f64, f64)>]| rings.iter().map(|ring| points(ring)).collect::<Vec<Vec<Point>>>();
        let (corners, holes, clearance_holes) =
            (points(&self.outline), rings(&self.holes), rings(&self.clearance_holes));
        let outline = Outline { points: &corners, holes: &holes, clearance_holes: &clearance_holes };
        let x: Vec<Length> = self.anchors.iter().map(|anchor| mm(anchor.0)).collect();
        let y: Vec<Length> = self.anchors.iter().map(|anchor| mm(anchor.1)).collect();
        let stiffness: Vec<SpringStiffness> =
            self.anchors.iter().map(|anchor| Force::new::<newton>(anchor.2) / mm(1.0)).collect();
        let anchors = Anchors { x: &x, y: &y, stiffness: &stiffness };
        let bed = Pressure::new::<megapascal>(self.bed) / mm(1.0);
        rigid_plate(outline, anchors, bed, Loads { n: kn(n), m_x: knm(m_x), m_y: knm(m_y) })
    }
}

/// Anchor forces, kN.
fn forces(state: &RigidState) -> Vec<f64> {
    state.anchor_forces.iter().map(|force| force.get::<kilonewton>()).collect()
}

#[track_caller]
fn check(what: &str, value: f64, expected: f64, tolerance: f64) {
    assert!((value - expected).abs() <= tolerance, "{what}: {value}, expected {expected} within {tolerance}");
}

#[track_caller]
fn check_place(what: &str, place: Point, expected: (f64, f64), tolerance: f64) {
    let (x, y) = in_mm(place);
    check(&format!("{what}, x"), x, expected.0, tolerance);
    check(&format!("{what}, y"), y, expected.1, tolerance);
}

#[track_caller]
fn check_all(what: &str, values: &[f64], expected: &[f64], tolerance: f64) {
    assert_eq!(values.len(), expected.len());
    for (index, (value, expected)) in values.iter().zip(expected).enumerate() {
        check(&format!("{what} {}", index + 1), *value, *expected, tolerance);
    }
}
