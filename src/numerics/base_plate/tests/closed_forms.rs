//! States that formulas give: the text books' formulas for full contact, no contact and a rectangular zone in contact.

use uom::si::area::square_millimeter;
use uom::si::f64::Length;
use uom::si::force::{kilonewton, newton};
use uom::si::length::millimeter;
use uom::si::pressure::megapascal;

use super::{Plan, check, check_all, check_place, forces, in_mm, rectangle};

/// Stiffness of an anchor and of the bed in most tests here, N/mm and N/mm³.
const SPRING: f64 = 250_000.0;
const BED: f64 = 150.0;

#[test]
fn full_contact_has_the_stress_of_a_section() {
    // sigma = N/A + M_y x/I_y + M_x y/I_x; here 300e3/120e3 + 10e6/8e6 + 6e6/6e6 = 2.5 + 1.25 + 1.0 MPa.
    let plate = Plan::of(rectangle(400.0, 300.0), &[(160.0, 110.0, SPRING)], BED);
    let contact = plate.state([-300.0, 6.0, 10.0]).unwrap().contact.unwrap();
    check("pressure", contact.largest_pressure.get::<megapascal>(), 4.75, 1e-12);
    assert_eq!(in_mm(contact.largest_pressure_point), (-200.0, -150.0));

    // A frame: I = (400⁴ - 200⁴)/12 = 2.0e9 mm⁴, A = 120e3 mm²; 300e3/120e3 + 10e6 · 200/2.0e9 = 3.5 MPa.
    let mut frame = Plan::of(rectangle(400.0, 400.0), &[], BED);
    frame.holes = vec![rectangle(200.0, 200.0)];
    let state = frame.state([-300.0, 0.0, 10.0]).unwrap();
    let contact = state.contact.unwrap();
    check("pressure of the frame", contact.largest_pressure.get::<megapascal>(), 3.5, 1e-12);
    check("area of the frame", contact.area.get::<square_millimeter>(), 120e3, 1e-9);
    assert_eq!(contact.polygons.len(), 2);
    assert!(state.neutral_axis.is_empty());
}

#[test]
fn no_contact_has_the_forces_of_a_group_of_bolts() {
    // F = N/n + M_y x/sum x² + M_x y/sum y²: 25 + 3e6 · 110/48.4e3 and 2e6 · 90/32.4e3, in kN.
    let places = [(-110.0, -90.0), (110.0, -90.0), (110.0, 90.0), (-110.0, 90.0)];
    let plate = Plan::of(rectangle(300.0, 300.0), &places.map(|(x, y)| (x, y, SPRING)), BED);
    let state = plate.state([100.0, 2.0, 3.0]).unwrap();
    let expected = places.map(|(x, y)| 25.0 + 3e3 * x / 48.4e3 + 2e3 * y / 32.4e3);
    check_all("bolts", &forces(&state), &expected, 1e-11);
    assert!(state.contact.is_none() && state.neutral_axis.is_empty());
    // The resultant passes where the load does: M_y/N and M_x/N.
    check_place("resultant", state.tension.unwrap().point, (30.0, 20.0), 1e-9);
}

#[test]
fn stiffer_anchors_take_more_of_a_plain_tension() {
    let plate = Plan::of(rectangle(300.0, 300.0), &[(-100.0, 0.0, SPRING), (100.0, 0.0, 3.0 * SPRING)], BED);
    // N through the centroid of the stiffnesses, x = 50 mm.
    let state = plate.state([80.0, 0.0, 4.0]).unwrap();
    check_all("springs", &forces(&state), &[20.0, 60.0], 1e-11);
    check("rise", state.plane.a.get::<millimeter>(), 0.08, 1e-12);
}

/// One row of anchors in tension at distance d from the compressed edge, on a plate of width B and depth H: with the
/// compression N_c at distance l from the row, z³ + 3 (l - d) z² + 6 n A_s (l/B) (z - d) = 0.
fn check_cubic(rows: &[(f64, f64, f64)], depth: f64, width: f64, row: f64, [n, moment]: [f64; 2]) {
    let plate = Plan::of(rectangle(depth, width), rows, BED);
    let state = plate.state([n, 0.0, moment]).unwrap();
    let contact = state.contact.unwrap();
    let z = contact.area.get::<square_millimeter>() / width;
    let d = row + depth / 2.0;
    let l = moment * 1e3 / -n + row;
    let ratio: f64 = rows.iter().filter(|anchor| anchor.0 == row).map(|anchor| anchor.2).sum::<f64>() / BED;
    let cubic = z * z * z + 3.0 * (l - d) * z * z + 6.0 * ratio * (l / width) * (z - d);
    check("cubic", cubic / (d * d * d), 0.0, 1e-12);
    let pressure = 2.0 * -n * 1e3 * l / (width * z * (d - z / 3.0));
    check("pressure", contact.largest_pressure.get::<megapascal>(), pressure, 1e-9);
    let tension = -n * (l - d + z / 3.0) / (d - z / 3.0);
    check("tension", state.tension.unwrap().force.get::<kilonewton>(), tension, 1e-9);
    let axis = state.neutral_axis[0].map(in_mm);
    check("neutral axis", axis[0].0, z - depth / 2.0, 1e-9);
    check("neutral axis", axis[1].0, z - depth / 2.0, 1e-9);
    check("length of the axis", (axis[1].1 - axis[0].1).abs(), width, 1e-9);
}

#[test]
fn one_row_in_tension_follows_the_cubic() {
    let two = [(-160.0, -110.0), (160.0, -110.0), (160.0, 110.0), (-160.0, 110.0)].map(|(x, y)| (x, y, SPRING));
    check_cubic(&two, 400.0, 300.0, 160.0, [-200.0, 60.0]);
    check_cubic(&two, 400.0, 300.0, 160.0, [-20.0, 60.0]);
    check_cubic(&[(-290.0, 0.0, 9e5), (290.0, 0.0, 9e5)], 700.0, 500.0, 290.0, [-90.0, 189.0]);
}

#[test]
fn anchors_in_one_line_hold_a_moment_about_it_by_the_edge_of_the_plate() {
    check_cubic(&[(0.0, -50.0, SPRING), (0.0, 50.0, SPRING)], 200.0, 160.0, 0.0, [-1.0, 3.0]);
    // Tension with a moment across the line: C = T - N, and the moment is C times its arm from the line.
    let plate = Plan::of(rectangle(200.0, 160.0), &[(0.0, -50.0, SPRING), (0.0, 50.0, SPRING)], BED);
    let state = plate.state([20.0, 0.0, 3.0]).unwrap();
    let (contact, tension) = (state.contact.unwrap(), state.tension.unwrap());
    let compression = contact.force.get::<kilonewton>();
    check("balance", tension.force.get::<kilonewton>() - compression, 20.0, 1e-9);
    check("moment", compression * -in_mm(contact.point).0, 3e3, 1e-6);
    // The zone is as deep as its resultant is three times as far from the edge.
    let depth = contact.area.get::<square_millimeter>() / 160.0;
    check("resultant of a triangle", in_mm(contact.point).0, depth / 3.0 - 100.0, 1e-9);
}

/// Without anchors, at a distance u from the edge a rectangle is in contact over 3 u, with the pressure 2 N/(3 u B).
#[test]
fn without_anchors_the_zone_follows_the_resultant() {
    let plate = Plan::of(rectangle(400.0, 300.0), &[], BED);
    for from_edge in [120.0, 60.0, 5.0, 0.1, 0.003] {
        let state = plate.state([-90.0, 0.0, 90.0 * (0.2 - from_edge / 1e3)]).unwrap();
        let contact = state.contact.unwrap();
        let area = 3.0 * from_edge * 300.0;
        // An ulp of the moment moves the resultant by 3e-14 mm.
        check("area", contact.area.get::<square_millimeter>() / area, 1.0, 1e-13 * 400.0 / from_edge);
        let pressure = 2.0 * 90e3 / area;
        check("pressure", contact.largest_pressure.get::<megapascal>() / pressure, 1.0, 1e-12 * 400.0 / from_edge);
    }
}

/// At u from both edges of a corner a triangle with legs of 4 u is in contact, with the pressure 3 N/(8 u²).
#[test]
fn a_resultant_near_a_corner_leaves_a_triangle_in_contact() {
    let plate = Plan::of(rectangle(300.0, 300.0), &[], BED);
    for from_edge in [70.0, 20.0, 0.5, 0.01] {
        let moment = 90.0 * (0.15 - from_edge / 1e3);
        let contact = plate.state([-90.0, moment, moment]).unwrap().contact.unwrap();
        let area = 8.0 * from_edge * from_edge;
        check("area", contact.area.get::<square_millimeter>() / area, 1.0, 1e-13 * 300.0 / from_edge);
        let pressure = 3.0 * 90e3 / area;
        check("pressure", contact.largest_pressure.get::<megapascal>() / pressure, 1.0, 1e-12 * 300.0 / from_edge);
        assert_eq!(contact.polygons.len(), 1);
        assert_eq!(contact.polygons[0].len(), 3);
    }
}

#[test]
fn a_plate_without_a_load_rests() {
    let plate = Plan::of(rectangle(300.0, 300.0), &[(0.0, 0.0, SPRING)], BED);
    let state = plate.state([0.0; 3]).unwrap();
    assert!(state.contact.is_none() && state.tension.is_none() && state.neutral_axis.is_empty());
    assert_eq!(state.anchor_forces[0].get::<newton>(), 0.0);
    assert_eq!(state.plane.a, Length::new::<millimeter>(0.0));
}

/// A plane w = t (x + 60 mm) chosen first: the anchor at 100 mm pulls with k 160 t, the strip of 90 mm pushes with
/// k_s 90 t/2 on 90 mm by 200 mm, 30 mm from the edge at -150 mm, and the anchor at -60 mm does nothing.
#[test]
fn an_anchor_on_the_zero_line_is_not_in_tension() {
    let plate = Plan::of(rectangle(300.0, 200.0), &[(-60.0, 0.0, SPRING), (100.0, 0.0, SPRING)], BED);
    for slope in [1e-3, 1e-4, 3.7e-4] {
        let (pull, push) = (SPRING * 160.0 * slope / 1e3, BED * 90.0 * slope / 2.0 * 90.0 * 200.0 / 1e3);
        let state = plate.state([pull - push, 0.0, (pull * 100.0 + push * 120.0) / 1e3]).unwrap();
        check_all("forces", &forces(&state), &[0.0, pull], 1e-9);
        let tension = state.tension.unwrap();
        assert_eq!(tension.anchors, [false, true]);
        check("eccentricity", tension.eccentricity_x.get::<millimeter>(), 0.0, 1e-9);
        check("compression", state.contact.unwrap().force.get::<kilonewton>(), push, 1e-9);
    }
}

#[test]
fn one_anchor_pulled_at_its_place_takes_the_load_alone() {
    let outline =
        vec![(135.18534984391005, 0.0), (-100.0, 173.20508075688775), (-17.976678151757604, -77.95408291185345)];
    let plate = Plan::of(outline, &[(0.0, 0.0, 199526.23149688786)], 10.0);
    let state = plate.state([59.91310074820347, 0.0, 0.0]).unwrap();
    check_all("forces", &forces(&state), &[59.91310074820347], 1e-9);
}
