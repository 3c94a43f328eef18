//! One edge under shear: rows, breakout bodies and side distances of hand cases.

use core::f64::consts::PI;

use uom::si::area::square_millimeter;
use uom::si::length::millimeter;

use super::*;

#[test]
fn edge_breakout_of_a_single_anchor() {
    let plan = Plan::of(&[(0.0, 0.0)], &[(LEFT, 80.0)]); // C36, C37
    check_area(plan.breakout(0, 80.0, 200.0), 28_800.0);
    let corner = Plan::of(&[(0.0, 0.0)], &[(LEFT, 150.0), (BELOW, 120.0)]); // C40
    check_area(corner.breakout(0, 150.0, 400.0), 77_625.0);
    check_sides(corner.sides(0, 225.0), [120.0, 225.0]);
}

#[test]
fn edge_breakout_of_a_pair() {
    let places = [(0.0, 0.0), (200.0, 0.0)];
    let thin = Plan::of(&places, &[(BELOW, 150.0)]); // C38
    check_area(thin.breakout(0, 150.0, 150.0), 97_500.0);
    check_length(row_spacing(thin.anchors(), angle(BELOW)), 200.0);
    check_sides(thin.sides(0, 225.0), [225.0, 225.0]);

    let corner = Plan::of(&places, &[(BELOW, 150.0), (LEFT, 120.0)]); // C39
    check_area(corner.breakout(0, 150.0, 150.0), 81_750.0);
    check_sides(corner.sides(0, 225.0), [225.0, 120.0]);

    let pair = Plan::of(&[(0.0, 0.0), (150.0, 0.0)], &[(BELOW, 120.0)]); // C43
    check_area(pair.breakout(0, 120.0, 300.0), 91_800.0);
    let pair = Plan::of(&[(0.0, 0.0), (150.0, 0.0)], &[(BELOW, 100.0)]); // P5
    check_area(pair.breakout(0, 100.0, 250.0), 67_500.0);
    check_area(pair.area(187.5), 150_937.5); // P5, cone
}

#[test]
fn each_edge_of_a_corner_has_its_own_row() {
    let plan = Plan::four(200.0, 150.0, &[(LEFT, 120.0), (BELOW, 140.0)]); // C41
    assert_eq!(plan.row(0).active, [true, false, true, false]);
    assert_eq!(plan.row(1).active, [true, true, false, false]);
    check_area(plan.breakout(0, 120.0, 300.0), 84_600.0);
    check_area(plan.breakout(1, 140.0, 300.0), 111_300.0);
    // psi_s,V 0.93333 and 0.87143 in C41 are those of c_2 = 140 and 120.
    check_sides(plan.sides(0, 180.0), [140.0, 180.0]);
    check_sides(plan.sides(1, 210.0), [210.0, 120.0]);
    check_length(row_spacing(plan.row(0).anchors(), angle(LEFT)), 150.0);
    check_length(smallest_spacing(plan.anchors(), mm(0.0)), 150.0);
}

#[test]
fn narrow_and_thin_members_have_a_reduced_edge_distance() {
    let edges = [(BELOW, 200.0), (LEFT, 150.0), (RIGHT, 200.0)];
    let plan = Plan::of(&[(0.0, 0.0), (100.0, 0.0)], &edges); // P3, C44
    let sides = plan.sides(0, 300.0);
    check_sides(sides, [100.0, 150.0]);
    let spacing = row_spacing(plan.anchors(), angle(BELOW)).get::<millimeter>();
    let reduced = (sides[0].max(sides[1]) / 1.5).max(120.0 / 1.5).max(spacing / 3.0);
    check_length(mm(reduced), 100.0);
    check_area(plan.breakout(0, reduced, 120.0), 42_000.0);
}

#[test]
fn a_skew_neighbour_edge_cuts_the_face_at_the_nearer_end() {
    // The face is at y = -100, the line at c_1 inside it at y = 0; the skew edge passes through (200, 0).
    // Leaning outwards below, it meets the line inside first; leaning inwards, the face.
    let spread = 100.0 / libm::tan(PI / 3.0);
    for (normal, cut) in [(PI / 6.0, 200.0), (-PI / 6.0, 200.0 - spread)] {
        let edges = [(BELOW, 100.0), (normal, 200.0 * libm::cos(PI / 6.0))];
        let plan = Plan::of(&[(100.0, 0.0)], &edges);
        let expected = 150.0 * (150.0 + (cut - 100.0));
        let area = plan.breakout(0, 100.0, 400.0).get::<square_millimeter>();
        assert!((area - expected).abs() <= 1e-9 * expected, "{area} mm2, expected {expected} mm2");
        check_sides(plan.sides(0, 150.0), [100.0 * libm::cos(PI / 6.0), 150.0]);
    }
}

#[test]
fn a_chamfer_at_45_degrees_is_a_side_edge_and_the_opposite_edge_is_not() {
    let chamfer = (-PI / 4.0, 50.0);
    let plan = Plan::of(&[(0.0, 0.0)], &[(BELOW, 100.0), chamfer, (ABOVE, 40.0)]);
    check_sides(plan.sides(0, 150.0), [50.0, 150.0]);
    let tapered = Plan::of(&[(0.0, 0.0)], &[(BELOW, 100.0), (PI / 3.0, 50.0)]);
    check_sides(tapered.sides(0, 150.0), [150.0, 150.0]);
}
