//! Plates and loads that have no state, and what is said about them.

use super::{Plan, rectangle, regular};
use crate::numerics::base_plate::*;

const ANY_LOAD: [f64; 3] = [-10.0, 1.0, 1.0];

fn plan() -> Plan {
    Plan {
        holes: vec![rectangle(40.0, 40.0), regular(70.0, 0.0, 15.0, 12)],
        clearance_holes: vec![regular(110.0, 110.0, 11.0, 12)],
        ..Plan::of(rectangle(300.0, 300.0), &[(110.0, 110.0, 2e5), (-110.0, -110.0, 2e5)], 150.0)
    }
}

/// The reason why a changed plan is refused, which must be `expected`, in the words `said`.
#[track_caller]
fn check_refusal(change: impl Fn(&mut Plan), load: [f64; 3], expected: NoState, said: &str) {
    assert!(plan().state(load).is_ok(), "the plan itself is sound");
    let mut changed = plan();
    change(&mut changed);
    assert_eq!(changed.state(load).unwrap_err(), expected);
    assert_eq!(expected.to_string(), said);
}

#[test]
fn a_polygon_that_is_none_is_named() {
    check_refusal(
        |plan| plan.outline.swap(1, 2),
        ANY_LOAD,
        NoState::CrossesItself(Ring::Outline),
        "the outline crosses or touches itself",
    );
    check_refusal(
        |plan| plan.holes[1].swap(1, 5),
        ANY_LOAD,
        NoState::CrossesItself(Ring::Hole(1)),
        "hole 2 crosses or touches itself",
    );
    check_refusal(
        |plan| plan.clearance_holes[0] = vec![(100.0, 100.0), (110.0, 110.0), (120.0, 120.0)],
        ANY_LOAD,
        NoState::ZeroArea(Ring::ClearanceHole(0)),
        "clearance hole 1 has no area: it needs three corners that are not in one line",
    );
    check_refusal(
        |plan| plan.outline = vec![(5.0, 5.0); 7],
        ANY_LOAD,
        NoState::ZeroArea(Ring::Outline),
        "the outline has no area: it needs three corners that are not in one line",
    );
}

#[test]
fn a_hole_that_is_not_in_the_plate_or_meets_another_is_named() {
    let outside = NoState::OutsidePlate(Ring::Hole(1));
    let said = "hole 2 reaches to or beyond the edge of the plate";
    for x in [150.0, 135.0, 400.0] {
        check_refusal(|plan| plan.holes[1] = regular(x, 0.0, 15.0, 12), ANY_LOAD, outside, said);
    }
    check_refusal(|plan| plan.holes[1] = rectangle(500.0, 500.0), ANY_LOAD, outside, said);
    let overlap = NoState::Overlap(Ring::Hole(0), Ring::Hole(1));
    // Overlapping, touching with a corner, one in the other, and the other in it.
    let others = [
        regular(25.0, 0.0, 15.0, 12),
        vec![(20.0, 0.0), (30.0, -5.0), (30.0, 5.0)],
        rectangle(20.0, 20.0),
        rectangle(60.0, 60.0),
    ];
    for other in others {
        let said = "hole 1 and hole 2 overlap or touch";
        check_refusal(|plan| plan.holes[1] = other.clone(), ANY_LOAD, overlap, said);
    }
    check_refusal(
        |plan| plan.clearance_holes.push(regular(80.0, 5.0, 11.0, 12)),
        ANY_LOAD,
        NoState::Overlap(Ring::Hole(1), Ring::ClearanceHole(1)),
        "hole 2 and clearance hole 2 overlap or touch",
    );
}

#[test]
fn an_anchor_without_a_plate_around_it_is_named() {
    for place in [(-160.0, 0.0), (-150.0, 20.0), (-150.0, -150.0), (1e6, 0.0)] {
        let said = "anchor 2 stands outside the plate or on its edge";
        let change = |plan: &mut Plan| plan.anchors[1] = (place.0, place.1, 2e5);
        check_refusal(change, ANY_LOAD, NoState::AnchorOutside(1), said);
    }
    check_refusal(
        |plan| plan.anchors[0] = (72.0, 3.0, 2e5),
        ANY_LOAD,
        NoState::AnchorInHole(0, 1),
        "anchor 1 stands in hole 2, which is no clearance hole",
    );
}

#[test]
fn a_load_that_nothing_balances_is_told() {
    let no_anchors = |plan: &mut Plan| plan.anchors.clear();
    let lifts = "the plate lifts off: no anchor takes tension, and the load does not press it down";
    check_refusal(no_anchors, [10.0, 0.0, 0.0], NoState::LiftsOff, lifts);
    check_refusal(no_anchors, [1e-9, 5.0, -3.0], NoState::LiftsOff, lifts);
    let turns = "the plate overturns: no anchor takes tension, and the resultant does not pass inside the plate";
    // At x = -151 mm, on the edge, at a corner, and a moment alone.
    for load in [[-100.0, 0.0, 15.1], [-100.0, 3.0, 15.0], [-100.0, 15.0, 15.0], [0.0, 1.0, 0.0]] {
        check_refusal(no_anchors, load, NoState::Overturns, turns);
    }
    let mut plan = plan();
    plan.anchors.clear();
    assert!(plan.state([-100.0, 0.0, 14.9]).is_ok());
}

#[test]
fn a_resultant_in_the_hollow_of_a_plate_is_balanced() {
    // An L without anchors; its hull reaches across the hollow corner, where (50, 50) lies.
    let corners = [(-200.0, -200.0), (200.0, -200.0), (200.0, 0.0), (0.0, 0.0), (0.0, 200.0), (-200.0, 200.0)];
    let plan = Plan::of(corners.to_vec(), &[], 150.0);
    assert!(plan.state([-100.0, -5.0, -5.0]).is_ok());
    assert!(plan.state([-100.0, -9.9, -9.9]).is_ok());
    assert_eq!(plan.state([-100.0, -10.0, -10.0]), Err(NoState::Overturns));
}

#[test]
fn values_that_are_no_numbers_are_named() {
    for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY] {
        let refuse = |change: &dyn Fn(&mut Plan), input: Input, what: &str| {
            let said = format!("{what} is no finite number, or too large to compute with");
            check_refusal(change, ANY_LOAD, NoState::NotFinite(input), &said);
        };
        refuse(&|plan| plan.outline[2].1 = value, Input::Corner(Ring::Outline), "a corner of the outline");
        refuse(&|plan| plan.holes[1][3].0 = value, Input::Corner(Ring::Hole(1)), "a corner of hole 2");
        refuse(&|plan| plan.anchors[1].0 = value, Input::Anchor(1), "a coordinate of anchor 2");
        refuse(&|plan| plan.anchors[1].2 = value, Input::AnchorStiffness(1), "the stiffness of anchor 2");
        refuse(&|plan| plan.bed = value, Input::BedStiffness, "the stiffness of the bed");
        for index in 0..3 {
            let mut load = ANY_LOAD;
            load[index] = value;
            assert_eq!(plan().state(load), Err(NoState::NotFinite(Input::Load)));
        }
    }
    assert_eq!(Input::Load.to_string(), "a load");
}

#[test]
fn stiffnesses_must_be_positive() {
    for value in [0.0, -1.0] {
        let change = |plan: &mut Plan| plan.anchors[0].2 = value;
        let said = "the stiffness of anchor 1 must be greater than zero, and not vanish beside the others";
        check_refusal(change, ANY_LOAD, NoState::NotPositive(Input::AnchorStiffness(0)), said);
        let change = |plan: &mut Plan| plan.bed = value;
        let said = "the stiffness of the bed must be greater than zero, and not vanish beside the others";
        check_refusal(change, ANY_LOAD, NoState::NotPositive(Input::BedStiffness), said);
    }
}

#[test]
fn anchors_need_lists_of_one_length() {
    let points = rectangle(300.0, 300.0).into_iter().map(super::point).collect::<Vec<Point>>();
    let outline = Outline { points: &points, holes: &[], clearance_holes: &[] };
    let place = [super::mm(0.0)];
    let anchors = Anchors { x: &place, y: &place, stiffness: &[] };
    let bed = uom::si::f64::Pressure::new::<uom::si::pressure::megapascal>(1.0) / super::mm(1.0);
    let loads = Loads { n: super::kn(1.0), m_x: super::knm(0.0), m_y: super::knm(0.0) };
    let refusal = rigid_plate(outline, anchors, bed, loads).unwrap_err();
    assert_eq!(refusal, NoState::UnequalLists);
    let said = "each anchor needs x, y and a stiffness, and the three lists are not equally long";
    assert_eq!(refusal.to_string(), said);
}
