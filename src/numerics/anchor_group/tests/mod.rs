//! Tests of the whole module; the hand cases were computed independently, and keep the numbers they had there.
//!
//! Here are the plan that the cases are written with, the checks, and what cannot be computed.

mod areas;
mod edges;
mod properties;

use core::f64::consts::{FRAC_PI_2, PI};

use uom::si::angle::radian;
use uom::si::area::square_millimeter;
use uom::si::f64::{Angle, Area, Length};
use uom::si::length::millimeter;

use crate::numerics::anchor_group::*;

const LEFT: f64 = PI;
const RIGHT: f64 = 0.0;
const BELOW: f64 = -FRAC_PI_2;
const ABOVE: f64 = FRAC_PI_2;

fn mm(value: f64) -> Length {
    Length::new::<millimeter>(value)
}

fn angle(value: f64) -> Angle {
    Angle::new::<radian>(value)
}

/// A group of anchors and the edges of its member, lengths in mm and angles in rad.
#[derive(Clone)]
struct Plan {
    x: Vec<Length>,
    y: Vec<Length>,
    active: Vec<bool>,
    normal: Vec<Angle>,
    distance: Vec<Length>,
}

impl Plan {
    fn of(places: &[(f64, f64)], edges: &[(f64, f64)]) -> Plan {
        Plan {
            x: places.iter().map(|place| mm(place.0)).collect(),
            y: places.iter().map(|place| mm(place.1)).collect(),
            active: vec![true; places.len()],
            normal: edges.iter().map(|edge| angle(edge.0)).collect(),
            distance: edges.iter().map(|edge| mm(edge.1)).collect(),
        }
    }

    /// Four anchors, the lower left one at the origin.
    fn four(spacing_x: f64, spacing_y: f64, edges: &[(f64, f64)]) -> Plan {
        let places = [(0.0, 0.0), (spacing_x, 0.0), (0.0, spacing_y), (spacing_x, spacing_y)];
        Plan::of(&places, edges)
    }

    fn with_active(mut self, active: &[bool]) -> Plan {
        self.active = active.to_vec();
        self
    }

    fn anchors(&self) -> Anchors<'_> {
        Anchors { x: &self.x, y: &self.y, active: &self.active }
    }

    fn edges(&self) -> Edges<'_> {
        Edges { normal: &self.normal, distance: &self.distance }
    }

    fn area(&self, half_side: f64) -> Area {
        projected_area(self.anchors(), mm(half_side), self.edges())
    }

    /// The same plan with only the front row of edge `index` active.
    fn row(&self, index: usize) -> Plan {
        let row = front_row(self.anchors(), self.normal[index], self.distance[index]);
        self.clone().with_active(&row)
    }

    /// A_c,V at edge `index` for the plan's front row.
    fn breakout(&self, index: usize, edge_distance: f64, depth_limit: f64) -> Area {
        let (row, depth) = (self.row(index), mm(depth_limit));
        let (normal, distance) = (self.normal[index], self.distance[index]);
        edge_breakout_area(row.anchors(), mm(edge_distance), depth, normal, distance, self.edges())
    }

    /// c_2 to the left and right of the front row of edge `index`, mm.
    fn sides(&self, index: usize, limit: f64) -> [f64; 2] {
        let row = self.row(index);
        let sides = side_distances(row.anchors(), self.normal[index], self.edges(), mm(limit));
        sides.map(|side| side.get::<millimeter>())
    }
}

#[track_caller]
fn check_area(area: Area, expected: f64) {
    let area = area.get::<square_millimeter>();
    assert!((area - expected).abs() <= 1e-12 * expected, "{area} mm2, expected {expected} mm2");
}

#[track_caller]
fn check_length(length: Length, expected: f64) {
    let length = length.get::<millimeter>();
    assert!((length - expected).abs() <= 1e-9, "{length} mm, expected {expected} mm");
}

#[track_caller]
fn check_lengths(lengths: &[Length], expected: &[f64]) {
    assert_eq!(lengths.len(), expected.len());
    lengths.iter().zip(expected).for_each(|(length, expected)| check_length(*length, *expected));
}

#[track_caller]
fn check_sides(sides: [f64; 2], expected: [f64; 2]) {
    sides.iter().zip(expected).for_each(|(side, expected)| check_length(mm(*side), expected));
}

#[test]
fn what_cannot_be_computed_is_not_a_number() {
    let none = Plan::of(&[], &[(LEFT, 100.0)]);
    let idle = Plan::of(&[(0.0, 0.0)], &[(LEFT, 100.0)]).with_active(&[false]);
    let wild = Plan::of(&[(f64::INFINITY, 0.0)], &[(LEFT, 100.0)]);
    let skew = Plan::of(&[(0.0, 0.0)], &[(f64::NAN, 100.0)]);
    let far = Plan::of(&[(0.0, 0.0)], &[(LEFT, f64::INFINITY)]);
    for plan in [&none, &idle, &wild, &skew, &far] {
        assert!(plan.area(100.0).is_nan());
        assert!(projected_area_single(plan.anchors(), 0, mm(100.0), plan.edges()).is_nan());
        assert!(plan.breakout(0, 100.0, 100.0).is_nan());
        assert!(edge_distances(plan.anchors(), plan.edges())[0].is_nan());
    }
    for plan in [&none, &idle, &wild] {
        assert!(plan.row(0).active.iter().all(|active| !active));
        assert!(plan.sides(0, 100.0).iter().all(|side| side.is_nan()));
        assert!(largest_spacing(plan.anchors()).is_nan());
        assert!(row_spacing(plan.anchors(), angle(LEFT)).is_nan());
    }
    check_length(smallest_spacing(none.anchors(), mm(1.0)), 1.0);
    check_length(smallest_spacing(idle.anchors(), mm(1.0)), 1.0);
    assert!(smallest_spacing(wild.anchors(), mm(1.0)).is_nan());

    let sound = Plan::of(&[(0.0, 0.0)], &[(LEFT, 100.0)]);
    for size in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e200] {
        assert!(sound.area(size).is_nan());
        assert!(sound.breakout(0, size, size).is_nan());
    }
    let uneven = Anchors { x: &sound.x, y: &[], active: &sound.active };
    assert!(projected_area(uneven, mm(100.0), sound.edges()).is_nan());
    assert!(smallest_spacing(uneven, mm(1.0)).is_nan());
}
