//! Polygons, and plates cut along a line, against areas and moments that are known.

use super::{Plan, check, check_place, in_mm, rectangle, regular};
use crate::numerics::base_plate::contact::{Axes, Cut, cut, moments};
use crate::numerics::base_plate::twofold::Twofold;
use crate::numerics::base_plate::{NEAR, NoState, Place, Ring};
use crate::numerics::polygon::{contains, distance, hull, is_flat, meeting, signed_area, without_repeats};

fn places(corners: &[(f64, f64)]) -> Vec<Place> {
    corners.iter().map(|(x, y)| [*x, *y]).collect()
}

/// A plate like a comb with two teeth downwards, 4 wide and 4.5 high about the middle, anticlockwise; area 12.
fn comb() -> Vec<Place> {
    let (low, root, top) = (-2.25, 0.75, 2.25);
    places(&[(-2.0, low), (-1.0, low), (-1.0, root), (1.0, root), (1.0, low), (2.0, low), (2.0, top), (-2.0, top)])
}

#[test]
fn area_has_the_sign_of_the_sense() {
    let mut corners = comb();
    check("area", signed_area(&corners), 12.0, 1e-15);
    corners.reverse();
    check("area", signed_area(&corners), -12.0, 1e-15);
    assert_eq!(signed_area(&[]), 0.0);
}

#[test]
fn places_are_inside_or_outside() {
    let comb = comb();
    let cases = [(-1.5, -1.75, true), (0.0, -1.25, false), (0.0, 1.25, true), (1.5, 0.75, true), (2.5, 0.75, false)];
    for (x, y, is_inside) in cases {
        assert_eq!(contains(&comb, [x, y]), is_inside, "{x}, {y}");
    }
    check("distance", distance(&comb, [0.0, -1.25]), 1.0, 1e-15);
    check("distance", distance(&comb, [5.0, 6.25]), 5.0, 1e-15);
}

#[test]
fn the_hull_bridges_what_is_hollow() {
    let expected = places(&[(-2.0, -2.25), (2.0, -2.25), (2.0, 2.25), (-2.0, 2.25)]);
    assert_eq!(hull(&comb()), expected);
}

#[test]
fn corners_that_repeat_are_dropped_and_flat_polygons_found() {
    let twice = places(&[(0.0, 0.0), (0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (1.0, 1.0 + 1e-12), (0.0, 1e-10)]);
    assert_eq!(without_repeats(twice, NEAR).len(), 3);
    assert!(is_flat(&places(&[(0.0, 0.0), (1.0, 1.0), (3.0, 3.0), (2.0, 2.0)]), NEAR));
    assert!(is_flat(&[], NEAR));
    assert!(!is_flat(&places(&[(0.0, 0.0), (1.0, 1.0), (1.0, 1.001)]), NEAR));
}

#[test]
fn edges_that_meet_are_found() {
    let meets = |corners: &[(f64, f64)]| meeting(&[places(corners)], NEAR).is_some();
    assert!(!meets(&[(0.0, 0.0), (1.0, 0.0), (0.0, 1.0)]));
    // A bow tie, a corner on another edge, an edge back upon itself, and one upon the other way round.
    assert!(meets(&[(0.0, 0.0), (1.0, 1.0), (1.0, 0.0), (0.0, 1.0)]));
    assert!(meets(&[(0.0, 0.0), (2.0, 0.0), (2.0, 2.0), (1.0, 0.0), (0.0, 2.0)]));
    assert!(meets(&[(0.0, 0.0), (2.0, 0.0), (1.0, 0.0), (1.0, 1.0)]));
    assert!(meets(&[(0.0, 0.0), (1.0, 0.0), (2.0, 0.0), (0.5, 0.0), (0.0, 1.0)]));
    // Five corners of a star, joined every other one.
    let star: Vec<(f64, f64)> = (0..5).map(|corner| regular(0.0, 0.0, 1.0, 5)[corner * 2 % 5]).collect();
    assert!(meets(&star));
    assert_eq!(meeting(&[comb(), comb()], NEAR), Some((0, 1)));
}

/// The parts of a plate below a plane and above it make up the whole, and each part is what its polygons are.
#[track_caller]
fn check_cut(rings: &[Vec<Place>], [a, b, c]: [f64; 3]) -> Cut {
    let (below, above) = (Axes::of([a, b, c]), Axes::of([-a, -b, -c]));
    let area: f64 = rings.iter().map(|ring| signed_area(ring)).sum();
    let parts = [moments(rings, &below).area, moments(rings, &above).area];
    check("both parts", parts[0] + parts[1], area, 1e-12);
    let cut = cut(rings, &below);
    check("polygons", cut.polygons.iter().map(|polygon| signed_area(polygon)).sum(), parts[0], 1e-12);
    cut
}

#[test]
fn a_comb_is_cut_into_its_teeth() {
    let cut = check_cut(&[comb()], [0.25, 0.0, 1.0]);
    assert_eq!(cut.polygons.len(), 2);
    assert_eq!(cut.zero_line.len(), 2);
    check("teeth", cut.polygons.iter().map(|polygon| signed_area(polygon)).sum(), 4.0, 1e-12);
    // The rest of it is one piece.
    let cut = check_cut(&[comb()], [-0.25, 0.0, -1.0]);
    assert_eq!((cut.polygons.len(), cut.zero_line.len()), (1, 2));
}

#[test]
fn a_line_along_an_edge_or_through_a_corner_cuts_cleanly() {
    // Along the edge between the teeth: from below the teeth alone, from above all but them.
    assert_eq!(check_cut(&[comb()], [-0.75, 0.0, 1.0]).polygons.len(), 2);
    assert_eq!(check_cut(&[comb()], [0.75, 0.0, -1.0]).polygons.len(), 1);
    let square = places(&rectangle(2.0, 2.0));
    let cut = check_cut(core::slice::from_ref(&square), [0.0, 1.0, 1.0]);
    assert_eq!((cut.polygons.len(), cut.polygons[0].len(), cut.zero_line.len()), (1, 3, 1));
    assert!(check_cut(&[square], [1.0, 1.0, 0.0]).polygons.is_empty());
}

#[test]
fn a_hole_on_the_line_parts_the_line_and_joins_the_outline() {
    let hole = |x: f64| {
        let mut hole = places(&regular(x, 0.0, 0.2, 6));
        hole.reverse();
        hole
    };
    let rings = [places(&rectangle(2.0, 2.0)), hole(0.0), hole(-0.6), hole(0.6)];
    let cut = check_cut(&rings, [0.0, 1.0, 0.0]);
    // The outline with half a hole, and a whole hole; the hole to the right is not below.
    assert_eq!((cut.polygons.len(), cut.zero_line.len()), (2, 2));
    let cut = check_cut(&rings, [0.0, 1e-3, 1.0]);
    assert_eq!((cut.polygons.len(), cut.zero_line.len()), (1, 4));
}

#[test]
fn moments_of_a_cut_triangle_are_those_of_the_formulas() {
    // Below x + y = 1 the unit square is a right triangle: A = 1/2, S = 1/6, I_xx = 1/12, I_xy = 1/24 about its corner.
    let rings = [places(&[(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)])];
    let axes = Axes::of([-1.0, 1.0, 1.0]);
    let root = 2.0_f64.sqrt();
    let matrix = moments(&rings, &axes).matrix();
    // n = (x + y - 1)/√2, t = (y - x)/√2.
    let (s, i, j) = (1.0 / 6.0, 1.0 / 12.0, 1.0 / 24.0);
    let expected = [
        [0.5, (2.0 * s - 0.5) / root, 0.0],
        [(2.0 * s - 0.5) / root, (2.0 * i + 2.0 * j - 4.0 * s + 0.5) / 2.0, 0.0],
        [0.0, 0.0, (2.0 * i - 2.0 * j) / 2.0],
    ];
    for (row, expected) in matrix.iter().zip(expected) {
        super::check_all("moments", row, &expected, 1e-15);
    }
}

#[test]
fn a_bearing_area_of_several_pieces_is_told_as_such() {
    // A comb 400 mm wide is pressed on its teeth alone.
    let comb = comb().iter().map(|corner| (corner[0] * 100.0, corner[1] * 100.0)).collect();
    let plate = Plan::of(comb, &[(0.0, 200.0, 250_000.0)], 150.0);
    let state = plate.state([-20.0, 10.0, 0.0]).unwrap();
    let contact = state.contact.unwrap();
    assert_eq!((contact.polygons.len(), state.neutral_axis.len()), (2, 2));
    check("symmetry", in_mm(contact.point).0, 0.0, 1e-9);
    let [left, right] = [state.neutral_axis[0], state.neutral_axis[1]].map(|piece| piece.map(in_mm));
    check("a tooth is 100 mm wide", (left[0].0 - left[1].0).abs(), 100.0, 1e-9);
    check("level", left[0].1, right[0].1, 1e-9);
}

#[test]
fn a_plate_may_lie_anywhere() {
    let anchors = [(-110.0, -90.0, 2e5), (110.0, -90.0, 2e5), (110.0, 90.0, 2e5), (-110.0, 90.0, 2e5)];
    let here = Plan::of(rectangle(300.0, 250.0), &anchors, 150.0);
    let mut there = here.clone();
    there.outline.iter_mut().for_each(|corner| *corner = (corner.0 + 1e4, corner.1 - 2e4));
    there.anchors.iter_mut().for_each(|anchor| *anchor = (anchor.0 + 1e4, anchor.1 - 2e4, anchor.2));
    // N acts where the plate is.
    let [here, there] =
        [here.state([30.0, 9.0, 11.0]), there.state([30.0, 9.0 - 600.0, 11.0 + 300.0])].map(Result::unwrap);
    super::check_all("forces", &super::forces(&there), &super::forces(&here), 1e-8);
    let (x, y) = in_mm(here.contact.unwrap().point);
    check_place("compression", there.contact.unwrap().point, (x + 1e4, y - 2e4), 1e-6);
}

#[test]
fn the_sense_of_the_corners_does_not_matter() {
    let anchors = [(-110.0, 0.0, 2e5), (110.0, 0.0, 2e5)];
    let plan = Plan { holes: vec![rectangle(60.0, 60.0)], ..Plan::of(rectangle(300.0, 250.0), &anchors, 150.0) };
    let mut turned = plan.clone();
    turned.outline.reverse();
    turned.holes[0].reverse();
    let [one, other] = [plan, turned].map(|plan| plan.state([-30.0, 5.0, 7.0]).unwrap());
    super::check_all("forces", &super::forces(&one), &super::forces(&other), 1e-12);
}

#[test]
fn a_repeated_corner_closes_no_edge() {
    let mut closed = Plan::of(rectangle(300.0, 250.0), &[(0.0, 0.0, 2e5)], 150.0);
    closed.outline.push(closed.outline[0]);
    assert!(closed.state([10.0, 1.0, 1.0]).is_ok());
    closed.outline.truncate(2);
    assert_eq!(closed.state([10.0, 1.0, 1.0]), Err(NoState::ZeroArea(Ring::Outline)));
}

#[test]
fn a_rise_keeps_the_digits_that_cancel() {
    let far = Twofold::of([1e10, -1e10, 0.0]).plus([2e-7, 0.0, 0.0], 0.5);
    assert_eq!(far.rise([1.0, 0.0]), 1e-7);
    // What 0.1 times 0.1 loses, by fractions.
    let product = Twofold::of([-0.1 * 0.1, 0.1, 0.0]);
    assert_eq!(product.rise([0.1, 5.0]), -8.326672684688674e-19);
    let across = Twofold::of([-0.1 * 0.1, 0.0, 0.1]);
    assert_eq!(across.rise([5.0, 0.1]), -8.326672684688674e-19);
}

/// Load, anchor and bed in one line: the anchor stands a hundredth of the way from the edge, and the load pulls far behind
/// it, so that the bed pushes between the anchor and the edge with many times the load.
#[test]
fn an_anchor_beside_the_edge_holds_what_pries_the_plate_off_over_it() {
    let plate = Plan::of(rectangle(400.0, 400.0), &[(197.0, 0.0, 2e5)], 150.0);
    let state = plate.state([10.0, 0.0, -1.0]).unwrap();
    let contact = state.contact.as_ref().unwrap();
    let (force, push) = (super::forces(&state)[0], contact.force.get::<uom::si::force::kilonewton>());
    check("balance", force - push, 10.0, 1e-8);
    let arm = in_mm(contact.point).0;
    check("moment", force * 197.0 - push * arm, -1e3, 1e-6);
    assert!((197.0..200.0).contains(&arm) && force > 1000.0, "{force} kN, arm {arm} mm");
}
