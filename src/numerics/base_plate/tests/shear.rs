//! Shear shared by polar stiffness: cases S1 to S9, computed independently by the 3 by 3 stiffness of the plate.

use proptest::collection::vec;
use proptest::prelude::*;
use uom::si::f64::{Force, Torque};
use uom::si::force::{kilonewton, newton};
use uom::si::length::meter;
use uom::si::torque::newton_meter;

use super::{kn, knm, mm, point};
use crate::numerics::base_plate::*;

/// Anchors in mm, each with what it carries along x and y.
struct Group(Vec<(f64, f64, bool, bool)>);

impl Group {
    fn of(places: &[(f64, f64)]) -> Group {
        Group(places.iter().map(|(x, y)| (*x, *y, true, true)).collect())
    }

    /// The same with what the anchors carry changed, by their place in the list.
    fn carrying(mut self, carries: &[(usize, bool, bool)]) -> Group {
        carries.iter().for_each(|(index, along_x, along_y)| {
            (self.0[*index].2, self.0[*index].3) = (*along_x, *along_y);
        });
        self
    }

    /// Shares of V_x and V_y, kN, and torsion, kNm, at a place in mm.
    fn share(&self, [v_x, v_y, torsion]: [f64; 3], at: (f64, f64)) -> Result<Vec<AnchorShear>, NoShearPath> {
        let (x, y) =
            (self.0.iter().map(|a| mm(a.0)).collect::<Vec<_>>(), self.0.iter().map(|a| mm(a.1)).collect::<Vec<_>>());
        let carries_x: Vec<bool> = self.0.iter().map(|anchor| anchor.2).collect();
        let carries_y: Vec<bool> = self.0.iter().map(|anchor| anchor.3).collect();
        let anchors = ShearAnchors { x: &x, y: &y, carries_x: &carries_x, carries_y: &carries_y };
        share_shear(anchors, ShearLoads { v_x: kn(v_x), v_y: kn(v_y), torsion: knm(torsion), at: point(at) })
    }

    #[track_caller]
    fn check(&self, load: [f64; 3], at: (f64, f64), expected: &[(f64, f64)]) {
        let shares = self.share(load, at).unwrap();
        assert_eq!(shares.len(), expected.len());
        for (index, (share, expected)) in shares.iter().zip(expected).enumerate() {
            super::check(&format!("V_x,{}", index + 1), share.v_x.get::<kilonewton>(), expected.0, 6e-5);
            super::check(&format!("V_y,{}", index + 1), share.v_y.get::<kilonewton>(), expected.1, 6e-5);
        }
    }
}

const FOUR: [(f64, f64); 4] = [(-110.0, -110.0), (110.0, -110.0), (110.0, 110.0), (-110.0, 110.0)];
const HERE: (f64, f64) = (0.0, 0.0);

#[test]
fn four_anchors_share_shear_and_torsion() {
    let four = Group::of(&FOUR);
    // S1 to S4.
    four.check([40.0, 0.0, 0.0], HERE, &[(10.0, 0.0); 4]);
    let torsion = [(5.6818, -5.6818), (5.6818, 5.6818), (-5.6818, 5.6818), (-5.6818, -5.6818)];
    four.check([0.0, 0.0, 5.0], HERE, &torsion);
    let all = [(12.0455, -9.5455), (12.0455, -0.4545), (2.9545, -0.4545), (2.9545, -9.5455)];
    four.check([30.0, -20.0, 4.0], HERE, &all);
    let eccentric = [(4.2614, 1.9886), (4.2614, 10.5114), (-4.2614, 10.5114), (-4.2614, 1.9886)];
    four.check([0.0, 25.0, 0.0], (150.0, 0.0), &eccentric);
}

#[test]
fn anchors_that_are_left_out_take_nothing() {
    // S5: the front row alone.
    let front = Group::of(&FOUR).carrying(&[(0, false, false), (1, false, false)]);
    front.check([0.0, 30.0, 2.0], HERE, &[(0.0, 0.0), (0.0, 0.0), (0.0, 24.0909), (0.0, 5.9091)]);
    // S6: one of six.
    let six = [(-100.0, -150.0), (100.0, -150.0), (-100.0, 0.0), (100.0, 0.0), (-100.0, 150.0), (100.0, 150.0)];
    let expected =
        [(12.1043, 3.3043), (12.1043, 13.0435), (4.8, 3.3043), (0.0, 0.0), (-2.5043, 3.3043), (-2.5043, 13.0435)];
    Group::of(&six).carrying(&[(3, false, false)]).check([24.0, 36.0, 6.0], HERE, &expected);
}

#[test]
fn slotted_holes_carry_across_the_slot() {
    // S7: the right pair slotted along x.
    let slotted = Group::of(&FOUR).carrying(&[(1, false, true), (2, false, true)]);
    slotted.check([20.0, 10.0, 3.0], HERE, &[(14.5455, -2.0455), (0.0, 7.0455), (0.0, 7.0455), (5.4545, -2.0455)]);
}

#[test]
fn groups_without_symmetry_and_in_a_line_share_shear() {
    // S8 and S9.
    let five = [(-140.0, -120.0), (140.0, -120.0), (140.0, 40.0), (20.0, 120.0), (-140.0, 100.0)];
    let expected = [(0.3476, -1.6230), (0.3476, -8.9671), (4.5442, -8.9671), (6.6426, -5.8197), (6.1180, -1.6230)];
    Group::of(&five).check([18.0, -27.0, -3.5], (10.0, -5.0), &expected);
    Group::of(&[(-110.0, 0.0), (110.0, 0.0)]).check([0.0, 16.0, 1.2], HERE, &[(0.0, 2.5455), (0.0, 13.4545)]);
}

#[track_caller]
fn check_refusal(group: Group, load: [f64; 3], at: (f64, f64), reason: NoShearPath, said: &str) {
    assert_eq!(group.share(load, at), Err(reason));
    assert_eq!(reason.to_string(), said);
}

#[test]
fn what_nothing_can_carry_is_refused() {
    let slots = || Group::of(&FOUR).carrying(&[0, 1, 2, 3].map(|index| (index, false, true)));
    let along_x = "there is shear along x, and no anchor carries along x";
    check_refusal(slots(), [1.0, 0.0, 0.0], HERE, NoShearPath::AlongX, along_x);
    assert!(slots().share([0.0, 3.0, 1.0], HERE).is_ok());
    let along_y = "there is shear along y, and no anchor carries along y";
    check_refusal(Group(vec![]), [0.0, 1.0, 0.0], HERE, NoShearPath::AlongY, along_y);
    assert_eq!(Group(vec![]).share([0.0; 3], HERE), Ok(vec![]));

    let torsion =
        "there is torsion about the centre of the anchors that carry shear, and none of them has an arm against it";
    let one = || Group::of(&[(30.1, 40.7)]);
    check_refusal(one(), [0.0, 0.0, 1.0], HERE, NoShearPath::Torsion, torsion);
    check_refusal(one(), [5.0, 2.0, 0.0], HERE, NoShearPath::Torsion, torsion);
    assert!(one().share([5.0, 2.0, 0.0], (30.1, 40.7)).is_ok());
    // In a line along x, slotted across it: shear passes, torsion does not.
    let line = || Group(vec![(-0.3, 0.1, true, false), (10.1, 0.1, true, false), (55.3, 0.1, true, false)]);
    check_refusal(line(), [0.0, 0.0, 1.0], HERE, NoShearPath::Torsion, torsion);
    assert!(line().share([5.0, 0.0, 0.0], (99.0, 0.1)).is_ok());
}

#[test]
fn unequal_lists_and_values_that_are_no_numbers_are_refused() {
    let place = [mm(1.0)];
    let anchors = ShearAnchors { x: &place, y: &place, carries_x: &[true], carries_y: &[] };
    let loads = ShearLoads { v_x: kn(1.0), v_y: kn(1.0), torsion: knm(0.0), at: point((1.0, 1.0)) };
    assert_eq!(share_shear(anchors, loads), Err(NoShearPath::UnequalLists));
    let said = "each anchor needs x, y and two directions, and the lists are not equally long";
    assert_eq!(NoShearPath::UnequalLists.to_string(), said);

    let said = "a coordinate or a load is no finite number, or too large to compute with";
    for value in [f64::NAN, f64::INFINITY] {
        check_refusal(Group::of(&[(value, 0.0)]), [1.0; 3], HERE, NoShearPath::NotFinite, said);
        check_refusal(Group::of(&FOUR), [1.0, value, 1.0], HERE, NoShearPath::NotFinite, said);
        check_refusal(Group::of(&FOUR), [1.0, 1.0, value], HERE, NoShearPath::NotFinite, said);
        check_refusal(Group::of(&FOUR), [1.0; 3], (0.0, value), NoShearPath::NotFinite, said);
    }
    check_refusal(Group::of(&[(1e200, 0.0), (-1e200, 0.0)]), [1.0; 3], HERE, NoShearPath::NotFinite, said);
}

proptest! {
    /// Sums of forces and of moments about the origin are those of the load, whatever carries.
    #[test]
    fn shares_balance_the_load(
        anchors in vec((-500.0..500.0, -500.0..500.0, any::<bool>(), any::<bool>()), 1..12),
        load in [-50.0..50.0, -50.0..50.0, -9.0..9.0],
        at in (-300.0..300.0, -300.0..300.0),
    ) {
        let group = Group(anchors);
        let carrying = |carries: fn(&(f64, f64, bool, bool)) -> bool| group.0.iter().filter(|anchor| carries(anchor)).count();
        match group.share(load, at) {
            Ok(shares) => {
                let balance = |share: &dyn Fn(&AnchorShear, f64, f64) -> f64, expected: f64| {
                    let sum: f64 = shares.iter().zip(&group.0).map(|(s, anchor)| share(s, anchor.0, anchor.1)).sum();
                    (sum - expected).abs()
                };
                let force = |force: Force| force.get::<newton>();
                let moment = knm(load[2]).get::<newton_meter>() * 1e3 + load[1] * 1e3 * at.0 - load[0] * 1e3 * at.1;
                let largest = shares.iter().map(|s| force(s.v_x).abs().max(force(s.v_y).abs())).fold(1.0, f64::max);
                prop_assert!(balance(&|s, _, _| force(s.v_x), load[0] * 1e3) <= 1e-11 * largest);
                prop_assert!(balance(&|s, _, _| force(s.v_y), load[1] * 1e3) <= 1e-11 * largest);
                prop_assert!(balance(&|s, x, y| force(s.v_y) * x - force(s.v_x) * y, moment) <= 1e-8 * largest);
            }
            Err(NoShearPath::AlongX) => prop_assert_eq!(carrying(|anchor| anchor.2), 0),
            Err(NoShearPath::AlongY) => prop_assert_eq!(carrying(|anchor| anchor.3), 0),
            // One carries in each direction at most: neither has an arm to its own centre.
            Err(NoShearPath::Torsion) => prop_assert!(carrying(|anchor| anchor.2) <= 1 && carrying(|anchor| anchor.3) <= 1),
            Err(reason) => prop_assert!(false, "{}", reason),
        }
    }

    #[test]
    fn no_bits_make_sharing_panic(bits in vec(any::<u64>(), 6)) {
        let [x, y, v_x, v_y, torsion, at] = [0, 1, 2, 3, 4, 5].map(|index| f64::from_bits(bits[index]));
        let places = [x, y].map(uom::si::f64::Length::new::<meter>);
        let anchors = ShearAnchors { x: &places, y: &places, carries_x: &[true; 2], carries_y: &[true; 2] };
        let (v_x, v_y) = (Force::new::<newton>(v_x), Force::new::<newton>(v_y));
        let torsion = Torque::new::<newton_meter>(torsion);
        if let Ok(shares) = share_shear(anchors, ShearLoads { v_x, v_y, torsion, at: point((at, at)) }) {
            prop_assert!(shares.iter().all(|share| share.v_x.is_finite() && share.v_y.is_finite()));
        }
    }
}
