//! What cannot be solved says why.

use super::references::{pulled_square, strip};
use super::*;

#[track_caller]
fn refused(case: Case, sentence: &str) {
    assert_eq!(case.solve().unwrap_err().to_string(), sentence);
}

#[test]
fn values_without_sense() {
    refused(Case { thickness: 0.0, ..pulled_square() }, "the thickness of the plate must be greater than zero");
    refused(Case { bed: -1.0, ..pulled_square() }, "the stiffness of the bed must be greater than zero");
    refused(Case { stiffness: 0.0, ..pulled_square() }, "the stiffness of an anchor must be greater than zero");
    refused(
        Case { actions: [f64::NAN, 0.0, 0.0], ..pulled_square() },
        "the normal force of the column is not a finite number",
    );
}

#[test]
fn shapes_without_sense() {
    let crossed = vec![[-150.0, -150.0], [150.0, 150.0], [150.0, -150.0], [-150.0, 150.0]];
    let outline = "the outline of the plate must be a polygon with an area whose sides do not meet";
    refused(Case { outline: crossed, ..pulled_square() }, outline);
    refused(Case { outline: vec![[0.0, 0.0], [1.0, 0.0]], ..pulled_square() }, outline);
    refused(Case { outline: Vec::new(), ..pulled_square() }, outline);
    let hole = "hole 2 must be a polygon with an area, inside the plate and apart from other holes";
    for second in [rectangle([130.0, 0.0], 60.0, 20.0), rectangle([100.0, 0.0], 10.0, 10.0)] {
        refused(Case { holes: vec![rectangle([100.0, 0.0], 20.0, 20.0), second], ..pulled_square() }, hole);
    }
}

#[test]
fn things_beside_the_plate() {
    let mut outside = pulled_square();
    outside.anchors[2] = [110.0, 160.0];
    refused(outside, "anchor 3 lies outside the plate");
    let in_hole = Case { holes: vec![rectangle([110.0, 110.0], 20.0, 20.0)], ..pulled_square() };
    refused(in_hole, "anchor 3 lies outside the plate");
    let beyond = "the footprint of the column reaches beyond the plate or over a hole";
    refused(Case { filled: vec![rectangle([100.0, 0.0], 120.0, 120.0)], ..pulled_square() }, beyond);
    refused(Case { holes: vec![rectangle([0.0, 0.0], 20.0, 20.0)], ..pulled_square() }, beyond);
    let across = Case {
        holes: vec![rectangle([60.0, 0.0], 20.0, 60.0)],
        filled: Vec::new(),
        walls: vec![[[-60.0, 0.0], [80.0, 5.0]]],
        ..pulled_square()
    };
    refused(across, beyond);
    let nothing = "the footprint of the column needs a wall with a length or a filled polygon with an area";
    refused(Case { filled: Vec::new(), ..pulled_square() }, nothing);
    refused(Case { walls: vec![[[1.0, 1.0], [1.0, 1.0]]], ..pulled_square() }, nothing);
}

#[test]
fn actions_that_nothing_balances() {
    let loose = "nothing holds the plate: there is no anchor, and no compression to hold it down";
    refused(Case { anchors: Vec::new(), ..pulled_square() }, loose);
    let none = "no equilibrium: neither tension in the anchors nor pressure below the plate can balance the forces of the \
                column";
    // The resultant of the compression lies 200 mm from the middle, 50 mm beside the plate.
    refused(Case { anchors: Vec::new(), actions: [-100.0, 0.0, 20.0], ..pulled_square() }, none);
    // An anchor on the left and a pull of the column on the right edge: the plate turns about the anchor, and up.
    let right = Case { filled: vec![rectangle([140.0, 0.0], 20.0, 20.0)], reference: [140.0, 0.0], ..pulled_square() };
    refused(Case { anchors: vec![[-150.0, 150.0], [-150.0, -150.0]], ..right }, none);
    let line = "the footprint of the column is a single line and cannot carry a moment about it";
    refused(Case { actions: [100.0, 0.0, 1.0], ..strip() }, line);
}

#[test]
fn limits_are_told() {
    let fine = Case { element: 0.5, ..pulled_square() };
    refused(fine, "the first mesh needs 1440000 unknowns, and 100000 are allowed");
    // One iteration finds the plate on all springs, and has not seen yet which of them act.
    let model = Case { element: 60.0, ..pulled_square() };
    assert_eq!(model.solve_within(1).unwrap_err(), PlateError::IterationLimit { iterations: 1 });
    let restless = Case { element: 60.0, meshes: 2, settled: 1e-9, ..pulled_square() }.solve().unwrap_err();
    assert!(matches!(restless, PlateError::RefinementLimit { meshes: 2, change: Some(_), .. }), "{restless}");
    assert!(restless.to_string().starts_with("the forces did not settle within 2 meshes (up to "), "{restless}");
}
