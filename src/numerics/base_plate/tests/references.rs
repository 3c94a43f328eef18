//! Cases computed by other programs (`tests/references/rigid_plate.toml`), to the last digit given there.

use serde::Deserialize;
use uom::si::angle::radian;
use uom::si::area::square_millimeter;
use uom::si::force::kilonewton;
use uom::si::length::millimeter;
use uom::si::pressure::megapascal;

use super::{Plan, check, check_all, check_place, forces, in_mm, rectangle, regular};
use crate::numerics::base_plate::RigidState;

/// Modulus of steel, MPa.
const STEEL: f64 = 210_000.0;

#[derive(Deserialize)]
struct Reference {
    case: Vec<Case>,
}

#[derive(Deserialize)]
struct Case {
    id: String,
    outline: Vec<(f64, f64)>,
    hole: Option<Vec<(f64, f64)>>,
    #[serde(default)]
    circles: Vec<(f64, f64, f64)>,
    #[serde(default)]
    clearance_circles: Vec<(f64, f64, f64)>,
    e_c: f64,
    loads: [f64; 3],
    anchors: Vec<(f64, f64, f64, f64)>,
    plane: [f64; 3],
    neutral_axis: Option<[(f64, f64); 2]>,
    contact_area: f64,
    compression: Option<(f64, f64, f64)>,
    largest_pressure: Option<(f64, f64, f64)>,
    tension: Option<(f64, f64, f64)>,
    centroid: Option<(f64, f64)>,
    eccentricity: Option<(f64, f64)>,
}

fn cases() -> Vec<Case> {
    let text = include_str!("../../../../tests/references/rigid_plate.toml");
    let reference: Reference = toml::from_str(text).unwrap();
    assert_eq!(reference.case.len(), 30);
    reference.case
}

/// A polygon of 360 corners with the area of a circle.
fn circle(&(x, y, diameter): &(f64, f64, f64)) -> Vec<(f64, f64)> {
    let step = core::f64::consts::TAU / 360.0;
    regular(x, y, diameter / 2.0 * (step / libm::sin(step)).sqrt(), 360)
}

impl Case {
    /// Strains as rises over one length, mm.
    fn plan(&self, length: f64) -> Plan {
        Plan {
            outline: self.outline.clone(),
            holes: self.hole.iter().cloned().chain(self.circles.iter().map(circle)).collect(),
            clearance_holes: self.clearance_circles.iter().map(circle).collect(),
            anchors: self.anchors.iter().map(|(x, y, area, _)| (*x, *y, STEEL * area / length)).collect(),
            bed: self.e_c / length,
        }
    }

    fn check_plane(&self, state: &RigidState) {
        let [a, b, c] = self.plane;
        // Seven digits, of the largest rise on the plate.
        let largest = a.abs() + 250.0 * (b.abs() + c.abs());
        check(&self.id, state.plane.a.get::<millimeter>(), a, 1e-6 * largest);
        check(&self.id, state.plane.b.get::<radian>(), b, 1e-6 * largest / 250.0);
        check(&self.id, state.plane.c.get::<radian>(), c, 1e-6 * largest / 250.0);
    }

    fn check_tension(&self, state: &RigidState) {
        let expected: Vec<f64> = self.anchors.iter().map(|anchor| anchor.3).collect();
        check_all(&self.id, &forces(state), &expected, 6e-5);
        let (Some(tension), Some((force, x, y))) = (&state.tension, self.tension) else {
            assert!(state.tension.is_none() && self.tension.is_none(), "{}", self.id);
            return;
        };
        assert!(tension.anchors.iter().zip(&expected).all(|(is_tensioned, force)| *is_tensioned == (*force > 0.0)));
        check(&self.id, tension.force.get::<kilonewton>(), force, 6e-5);
        check_place(&self.id, tension.point, (x, y), 6e-4);
        check_place(&self.id, tension.centroid, self.centroid.unwrap(), 6e-4);
        let (x, y) = self.eccentricity.unwrap();
        check(&self.id, tension.eccentricity_x.get::<millimeter>(), x, 6e-4);
        check(&self.id, tension.eccentricity_y.get::<millimeter>(), y, 6e-4);
    }

    fn check_contact(&self, state: &RigidState) {
        let (Some(contact), Some((force, x, y))) = (&state.contact, self.compression) else {
            assert!(state.contact.is_none() && self.compression.is_none() && self.contact_area == 0.0, "{}", self.id);
            return;
        };
        check(&self.id, contact.area.get::<square_millimeter>(), self.contact_area, 0.06);
        check(&self.id, contact.force.get::<kilonewton>(), force, 6e-5);
        check_place(&self.id, contact.point, (x, y), 6e-4);
        let (pressure, x, y) = self.largest_pressure.unwrap();
        check(&self.id, contact.largest_pressure.get::<megapascal>(), pressure, 6e-5);
        // Two corners may have the same pressure; then the reference names either.
        let (at_x, at_y) = in_mm(contact.largest_pressure_point);
        let rise = |x: f64, y: f64| self.plane[0] + self.plane[1] * x + self.plane[2] * y;
        check(&self.id, rise(at_x, at_y), rise(x, y), 1e-6 * rise(x, y).abs());
    }

    /// The reference gives the ends on the outline; a hole in between parts the line.
    fn check_neutral_axis(&self, state: &RigidState) {
        let Some(expected) = self.neutral_axis else {
            assert!(state.neutral_axis.is_empty(), "{}", self.id);
            return;
        };
        let pieces = if self.hole.is_some() { 2 } else { 1 };
        assert_eq!(state.neutral_axis.len(), pieces, "{}", self.id);
        let mut ends = [state.neutral_axis[0][0], state.neutral_axis[pieces - 1][1]];
        let distance = |(x, y): (f64, f64), (to_x, to_y): (f64, f64)| (x - to_x).abs() + (y - to_y).abs();
        if distance(in_mm(ends[0]), expected[0]) > distance(in_mm(ends[0]), expected[1]) {
            ends.reverse();
        }
        check_place(&self.id, ends[0], expected[0], 6e-4);
        check_place(&self.id, ends[1], expected[1], 6e-4);
    }
}

#[test]
fn each_state_is_that_of_the_reference() {
    for case in cases() {
        let state = case.plan(1.0).state(case.loads).unwrap();
        case.check_tension(&state);
        case.check_contact(&state);
        case.check_neutral_axis(&state);
        case.check_plane(&state);
        assert!(state.iterations <= 10, "{}: {} iterations", case.id, state.iterations);
    }
}

#[test]
fn the_length_that_makes_strains_rises_changes_no_force() {
    for case in cases() {
        let [short, long] = [1.0, 250.0].map(|length| case.plan(length).state(case.loads).unwrap());
        check_all(&case.id, &forces(&short), &forces(&long), 1e-9);
        check(&case.id, long.plane.a.get::<millimeter>(), 250.0 * short.plane.a.get::<millimeter>(), 1e-9);
    }
}

/// Springs and a bed in their own units, for plates that other tests bend: forces and plane computed independently by
/// exact polygon clipping. P4 to P8 have a bed of 150 N/mm³.
#[test]
fn springs_and_bed_may_be_given_as_such() {
    let four = |x: f64, y: f64, stiffness: f64| [(-x, -y), (x, -y), (x, y), (-x, y)].map(|(x, y)| (x, y, stiffness));

    let axial = Plan::of(rectangle(300.0, 300.0), &four(110.0, 110.0, 274_750.0), 150.0);
    let state = axial.state([120.0, 0.0, 0.0]).unwrap();
    check_all("P2", &forces(&state), &[30.0; 4], 1e-9);
    check("P2, a", state.plane.a.get::<millimeter>(), 1.091902e-01, 1e-7);

    let biaxial = axial.state([0.0, 10.0, 10.0]).unwrap();
    check_all("P5", &forces(&biaxial), &[0.0, 12.0761, 34.9980, 12.0761], 6e-5);
    check("P5, pressure", biaxial.contact.unwrap().largest_pressure.get::<megapascal>(), 10.4718, 6e-5);
    check("P5, a", biaxial.plane.a.get::<millimeter>(), 4.395321e-02, 1e-7);
    check("P5, b", biaxial.plane.b.get::<radian>(), 3.792183e-04, 1e-9);

    let moment = Plan::of(rectangle(400.0, 300.0), &four(160.0, 110.0, 343_000.0), 150.0);
    let moment = moment.state([-200.0, 0.0, 60.0]).unwrap();
    check_all("P4", &forces(&moment), &[0.0, 47.3377, 47.3377, 0.0], 6e-5);
    check("P4, pressure", moment.contact.unwrap().largest_pressure.get::<megapascal>(), 13.7017, 6e-5);

    let pressed = Plan::of(rectangle(360.0, 300.0), &four(140.0, 75.0, 411_833.3), 150.0);
    let pressed = pressed.state([-150.0, 0.0, 50.0]).unwrap();
    check_all("P6", &forces(&pressed), &[0.0, 53.2476, 53.2476, 0.0], 1e-4);
    check("P6, pressure", pressed.contact.unwrap().largest_pressure.get::<megapascal>(), 13.1967, 6e-5);

    let rows = [-170.0, 170.0].map(|x| [-120.0, 0.0, 120.0].map(|y| (x, y, 343_000.0))).concat();
    let pulled = Plan::of(rectangle(420.0, 320.0), &rows, 150.0).state([60.0, 12.0, 30.0]).unwrap();
    check_all("P8", &forces(&pulled), &[0.0, 0.0, 11.4977, 27.1157, 39.9762, 52.8366], 6e-5);
    check("P8, pressure", pulled.contact.unwrap().largest_pressure.get::<megapascal>(), 10.2216, 6e-5);
}
