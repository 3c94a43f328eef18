//! Outlines and columns that do not run along the axes, holes, and plates that are so thick that they are rigid.

use super::references::{hollow_section, pulled_square, section_of_lines};
use super::*;

/// The case with everything turned about the origin.
fn turned(mut case: Case, degrees: f64) -> Case {
    let angle = degrees.to_radians();
    let (sin, cos) = (libm::sin(angle), libm::cos(angle));
    let turn = |point: &mut [f64; 2]| *point = [cos * point[0] - sin * point[1], sin * point[0] + cos * point[1]];
    case.outline.iter_mut().for_each(turn);
    case.anchors.iter_mut().for_each(turn);
    case.walls.iter_mut().flatten().for_each(turn);
    case.filled.iter_mut().chain(&mut case.holes).flatten().for_each(turn);
    let mut moment = [case.actions[2], case.actions[1]];
    turn(&mut moment);
    case.actions = [case.actions[0], moment[1], moment[0]];
    case
}

#[track_caller]
fn same_when_turned(case: Case, degrees: f64, allowed: f64) {
    let straight = case.solve().unwrap();
    let askew = turned(case, degrees).solve().unwrap();
    let largest = forces(&straight).into_iter().fold(0.0, f64::max);
    for (straight, askew) in forces(&straight).iter().zip(forces(&askew)) {
        assert!((straight - askew).abs() < allowed * largest, "{straight} kN becomes {askew} kN");
    }
    assert!(askew.residual.get::<ratio>() < 1e-9);
}

#[test]
fn a_square_column_turns_with_its_plate() {
    same_when_turned(Case { element: 30.0, ..pulled_square() }, 30.0, 0.03);
}

#[test]
fn a_section_of_lines_turns_with_its_plate() {
    same_when_turned(Case { element: 40.0, ..section_of_lines() }, 30.0, 0.01);
}

#[test]
fn a_hollow_section_turns_with_its_plate() {
    same_when_turned(Case { element: 30.0, ..hollow_section() }, 45.0, 0.03);
}

#[test]
fn moments_of_a_turned_plate_that_do_not_settle_are_given_with_their_change() {
    // Walls at an angle make them settle slowly, and from above. Two meshes leave forces settled and moments not.
    let case = Case { element: 20.0, meshes: 2, ..section_of_lines() };
    let bent = turned(case, 30.0).solve().unwrap();
    let change = bent.accuracy.change.unwrap();
    assert!(change.forces.get::<ratio>() <= 0.01 && change.moments.get::<ratio>() > 0.02, "{change:?}");
    let largest = bent.largest_moment.unwrap().moment.get::<uom::si::force::newton>();
    assert!((19_921.0..1.07 * 19_921.0).contains(&largest), "{largest}");
}

#[test]
fn turning_by_a_right_angle_changes_nothing() {
    same_when_turned(Case { element: 60.0, ..hollow_section() }, 90.0, 1e-6);
}

#[test]
fn a_round_column_is_between_its_squares() {
    let circle = |radius: f64| -> Vec<[f64; 2]> {
        let angle = |corner: u32| core::f64::consts::TAU * f64::from(corner) / 32.0;
        (0..32).map(|corner| [radius * libm::cos(angle(corner)), radius * libm::sin(angle(corner))]).collect()
    };
    let solve = |filled: Vec<[f64; 2]>| {
        let bent = Case { filled: vec![filled], element: 30.0, ..pulled_square() }.solve().unwrap();
        bent.column.deflection.get::<millimeter>()
    };
    let square = |half: f64| rectangle([0.0, 0.0], 2.0 * half, 2.0 * half);
    // The larger the held area, the less the plate gives.
    let [inner, round, outer] = [solve(square(42.0)), solve(circle(60.0)), solve(square(60.0))];
    assert!(inner > round && round > outer, "{inner} {round} {outer}");
}

/// Compares anchor forces and C of a plate 400 mm thick with those of a rigid one by an exact solver of the polygon in
/// contact, computed independently (E_s = 210 000, A_s = 245, E_c = 30 000, both 200 mm deep).
#[track_caller]
fn like_a_rigid_plate(case: Case, known: &[f64], contact: f64) {
    let bent = Case { thickness: 400.0, stiffness: 257.25, element: 50.0, ..case }.solve().unwrap();
    let largest = known.iter().copied().fold(0.0, f64::max);
    for (force, known) in forces(&bent).iter().zip(known) {
        assert!((force - known).abs() < 0.01 * largest, "an anchor carries {force} kN, not {known}");
    }
    near("C", bent.contact.force.get::<kilonewton>(), contact, 0.005);
}

#[test]
fn thick_plate_with_a_hole() {
    let case = Case {
        holes: vec![rectangle([0.0, 0.0], 120.0, 120.0)],
        anchors: rectangle([0.0, 0.0], 320.0, 320.0),
        walls: ring(&rectangle([0.0, 0.0], 200.0, 200.0)),
        actions: [-300.0, 20.0, 45.0],
        ..Case::new(400.0, 400.0, 0.0)
    };
    like_a_rigid_plate(case, &[0.0, 6.3616, 16.0890, 0.0], 322.4506);
}

#[test]
fn thick_plate_of_the_shape_of_an_l() {
    let case = Case {
        outline: vec![[-200.0, -200.0], [200.0, -200.0], [200.0, 0.0], [0.0, 0.0], [0.0, 200.0], [-200.0, 200.0]],
        anchors: vec![[-150.0, -150.0], [150.0, -150.0], [150.0, -50.0], [-50.0, 150.0], [-150.0, 150.0]],
        walls: ring(&rectangle([-100.0, -100.0], 150.0, 150.0)),
        actions: [-40.0, 12.0, -16.0],
        samples: 5,
        ..Case::new(400.0, 400.0, 0.0)
    };
    like_a_rigid_plate(case.clone(), &[9.7759, 0.0, 0.0, 11.3569, 16.9260], 78.0588);
    // Outside the L there is nothing to draw, on its edges there is.
    let fields = Case { thickness: 20.0, element: 50.0, ..case }.solve().unwrap().fields.unwrap();
    let is_drawn: Vec<bool> = fields.deflection.iter().map(|w| !w.get::<millimeter>().is_nan()).collect();
    assert_eq!(is_drawn.iter().filter(|is_drawn| !**is_drawn).count(), 4);
    assert!(!is_drawn[3 * 5 + 3] && is_drawn[2 * 5 + 2]);
}

#[test]
fn a_hole_turns_with_its_plate() {
    let case = Case {
        holes: vec![rectangle([100.0, 0.0], 40.0, 60.0)],
        element: 40.0,
        actions: [-50.0, 0.0, 40.0],
        ..section_of_lines()
    };
    let case = Case { walls: ring(&rectangle([-20.0, 0.0], 100.0, 100.0)), ..case };
    same_when_turned(case, 20.0, 0.03);
}
