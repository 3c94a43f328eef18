//! Properties that hold for every plate and load, tried on drawn ones.
//!
//! Plates are star-shaped about the origin, so that it is known without the module's own geometry that they do not cross
//! themselves, where holes and anchors lie, and which resultants press inside their hull.

use core::f64::consts::TAU;

use proptest::collection::vec;
use proptest::prelude::*;
use proptest::test_runner::{Config, TestCaseError};
use uom::si::angle::radian;
use uom::si::force::kilonewton;
use uom::si::length::millimeter;
use uom::si::pressure::megapascal;
use uom::si::ratio::ratio;

use super::{Plan, forces, in_mm, regular};
use crate::numerics::base_plate::*;

/// A plate and a load N in kN, M_x and M_y in kNm.
#[derive(Debug, Clone)]
struct Drawn {
    plan: Plan,
    /// Middles and radii of the holes that are no clearance holes, mm.
    holes: Vec<(f64, f64, f64)>,
    load: [f64; 3],
}

/// Corners by angle and distance; no angle between two of them reaches half a turn.
fn corners() -> impl Strategy<Value = Vec<(f64, f64)>> {
    vec((0.0..0.4, prop_oneof![80.0..300.0, Just(200.0)]), 3..9).prop_map(|polar| {
        let count = polar.len() as f64;
        let place = |(index, (jitter, radius)): (usize, &(f64, f64))| {
            let angle = TAU * (index as f64 + jitter) / count;
            (radius * libm::cos(angle), radius * libm::sin(angle))
        };
        polar.iter().enumerate().map(place).collect()
    })
}

/// Distance of the nearest edge from the origin, or less.
fn clear_of_edges(corners: &[(f64, f64)]) -> f64 {
    let distance = |(index, start): (usize, &(f64, f64))| {
        let end = corners[(index + 1) % corners.len()];
        let (x, y) = (end.0 - start.0, end.1 - start.1);
        (start.0 * end.1 - start.1 * end.0) / (x * x + y * y).sqrt()
    };
    corners.iter().enumerate().map(distance).fold(f64::INFINITY, f64::min)
}

/// Up to three holes about the origin, or one in the middle, as middles and radii.
fn holes(count: usize, reach: f64) -> Vec<(f64, f64, f64)> {
    match count {
        0 => vec![],
        1 => vec![(0.0, 0.0, 0.6 * reach)],
        _ => (0..count)
            .map(|index| {
                let angle = TAU * index as f64 / count as f64;
                (0.55 * reach * libm::cos(angle), 0.55 * reach * libm::sin(angle), 0.3 * reach)
            })
            .collect(),
    }
}

/// Where an anchor stands: between the origin and a place on the edge, in a sector and across it, by shares.
type Stand = (prop::sample::Index, f64, f64);

fn anchor(corners: &[(f64, f64)], (sector, across, outwards): &Stand) -> (f64, f64) {
    let index = sector.index(corners.len());
    let (one, other) = (corners[index], corners[(index + 1) % corners.len()]);
    let on_edge = (one.0 + (other.0 - one.0) * across, one.1 + (other.1 - one.1) * across);
    (on_edge.0 * outwards, on_edge.1 * outwards)
}

/// Parts of a load of every size, and none.
fn part() -> impl Strategy<Value = f64> {
    prop_oneof![Just(0.0), -100.0..100.0, -1.0..1.0, -1e-6..1e-6, -1e5..1e5]
}

/// A force, moments alone, all of them, or a force where something stands: at a corner or between two of them, where a
/// plate without anchors begins to tip, a little before or behind; or at an anchor.
fn load(corners: &[(f64, f64)], anchors: &[(f64, f64, f64)], drawn: &LoadDrawn) -> [f64; 3] {
    let (kind, [n, m_x, m_y], [one, other], between, nearly) = drawn;
    let at = |x: f64, y: f64| [*n, n * y * 1e-3 * nearly, n * x * 1e-3 * nearly];
    let pick = |index: &prop::sample::Index| corners[index.index(corners.len())];
    match kind {
        0 => [*n, 0.0, 0.0],
        1 => [0.0, *m_x, *m_y],
        2 => [*n, *m_x, *m_y],
        3 => [-100.0, m_x * 0.1, m_y * 0.1],
        4 => {
            let (one, other) = (pick(one), pick(other));
            at(one.0 + (other.0 - one.0) * between, one.1 + (other.1 - one.1) * between)
        }
        _ => {
            let (x, y) = anchors.get(one.index(anchors.len().max(1))).map_or(pick(one), |anchor| (anchor.0, anchor.1));
            at(x, y)
        }
    }
}

type LoadDrawn = (u8, [f64; 3], [prop::sample::Index; 2], f64, f64);

fn load_drawn() -> impl Strategy<Value = LoadDrawn> {
    let between = prop_oneof![Just(0.0), 0.0..1.0, Just(0.5)];
    let nearly = prop_oneof![Just(1.0), Just(1.0 - 1e-4), Just(1.0 + 1e-4), 0.9..1.1];
    (0..6_u8, [part(), part(), part()], [any::<prop::sample::Index>(), any::<prop::sample::Index>()], between, nearly)
}

fn drawn() -> impl Strategy<Value = Drawn> {
    let stiffness = prop_oneof![Just(5.3), 4.5..6.5];
    let outwards = prop_oneof![9 => 0.0..0.98, 1 => Just(0.99)];
    let stands = vec((any::<prop::sample::Index>(), 0.0..1.0, outwards), 0..13);
    let style = (0..4_usize, any::<bool>(), any::<bool>());
    (corners(), stands, vec(stiffness, 13), 1.0..3.0, style, load_drawn()).prop_map(
        |(outline, mut stands, stiffness, bed, (count, is_clearance, is_line), load_drawn)| {
            if is_line && let Some((sector, across, _)) = stands.first().copied() {
                stands.iter_mut().for_each(|stand| (stand.0, stand.1) = (sector, across));
            }
            let ten_to = |exponent: f64| libm::pow(10.0, exponent);
            let anchors: Vec<(f64, f64, f64)> = (stands.iter().zip(stiffness))
                .map(|(stand, stiffness)| (anchor(&outline, stand), ten_to(stiffness)))
                .map(|((x, y), stiffness)| (x, y, stiffness))
                .collect();
            let load = load(&outline, &anchors, &load_drawn);
            let holes = holes(count, clear_of_edges(&outline));
            let rings = holes.iter().map(|(x, y, radius)| regular(*x, *y, *radius, 6)).collect();
            let (others, clearance) = if is_clearance { (vec![], rings) } else { (rings, vec![]) };
            let plan = Plan { outline, holes: others, clearance_holes: clearance, anchors, bed: ten_to(bed) };
            Drawn { holes: if is_clearance { vec![] } else { holes }, plan, load }
        },
    )
}

impl Plan {
    /// The middle of the box about the outline, and half its larger side, mm.
    fn middle(&self) -> (f64, f64, f64) {
        let range = |coordinate: fn(&(f64, f64)) -> f64| {
            let values = || self.outline.iter().map(coordinate);
            (values().fold(f64::INFINITY, f64::min), values().fold(f64::NEG_INFINITY, f64::max))
        };
        let ((left, right), (low, high)) = (range(|corner| corner.0), range(|corner| corner.1));
        ((left + right) / 2.0, (low + high) / 2.0, (right - left).max(high - low) / 2.0)
    }
}

impl Drawn {
    /// N and both moments about the middle by the size of the plate, kN: M_x, then M_y.
    fn load_about_middle(&self) -> [f64; 3] {
        let ((x, y, size), [n, m_x, m_y]) = (self.plan.middle(), self.load);
        [n, (m_x * 1e3 - n * y) / size, (m_y * 1e3 - n * x) / size]
    }

    /// How far, relative to the load and the size of the plate, the resultant presses inside the hull: the least distance
    /// over all pairs of corners that have the whole plate on one side. Negative when the load lifts or tips the plate.
    fn presses_inside(&self) -> f64 {
        let ([n, m_x, m_y], (_, _, size), corners) = (self.load, self.plan.middle(), &self.plan.outline);
        if n >= 0.0 {
            return -1.0;
        }
        let (x, y) = (m_y * 1e3 / n, m_x * 1e3 / n);
        let mut least = f64::INFINITY;
        for start in corners {
            for end in corners.iter().filter(|end| *end != start) {
                let (along_x, along_y) = (end.0 - start.0, end.1 - start.1);
                let length = (along_x * along_x + along_y * along_y).sqrt();
                let left = |x: f64, y: f64| (along_x * (y - start.1) - along_y * (x - start.0)) / length;
                if corners.iter().all(|corner| left(corner.0, corner.1) >= -1e-9) {
                    least = least.min(left(x, y) / size);
                }
            }
        }
        least
    }

    fn check(&self) -> Result<(), TestCaseError> {
        match self.plan.state(self.load) {
            Ok(state) => {
                let is_held =
                    !self.plan.anchors.is_empty() || self.load == [0.0; 3] || self.presses_inside() > 0.999e-5;
                prop_assert!(is_held, "nothing holds this plate");
                self.check_balance(&state)?;
                self.check_rises(&state)
            }
            Err(NoState::LiftsOff) => {
                prop_assert!(self.plan.anchors.is_empty() && self.load[0] > 0.0);
                Ok(())
            }
            Err(NoState::Overturns) => {
                prop_assert!(self.plan.anchors.is_empty() && self.presses_inside() < 1.001e-5);
                Ok(())
            }
            Err(NoState::AnchorOutside(anchor)) => {
                let (x, y, _) = self.plan.anchors[anchor];
                let moved = self.plan.outline.iter().map(|corner| (corner.0 - x, corner.1 - y)).collect::<Vec<_>>();
                prop_assert!(clear_of_edges(&moved) < 5.001e-3 * self.plan.middle().2);
                Ok(())
            }
            Err(NoState::AnchorInHole(anchor, hole)) => {
                let ((x, y, radius), (at_x, at_y, _)) = (self.holes[hole], self.plan.anchors[anchor]);
                let (from_x, from_y) = (at_x - x, at_y - y);
                prop_assert!((from_x * from_x + from_y * from_y).sqrt() < radius);
                Ok(())
            }
            Err(reason) => Err(TestCaseError::fail(reason.to_string())),
        }
    }

    /// Forces and moments about the middle of the plate, from the anchors and the resultant of the bed.
    fn check_balance(&self, state: &RigidState) -> Result<(), TestCaseError> {
        let (middle_x, middle_y, size) = self.plan.middle();
        let mut rest = self.load_about_middle();
        let load = rest.iter().map(|part| part * part).sum::<f64>().sqrt();
        let mut take = |force: f64, x: f64, y: f64| {
            rest[0] -= force;
            rest[1] -= force * (y - middle_y) / size;
            rest[2] -= force * (x - middle_x) / size;
        };
        for (force, anchor) in forces(state).iter().zip(&self.plan.anchors) {
            take(*force, anchor.0, anchor.1);
        }
        if let Some(contact) = &state.contact {
            let (x, y) = in_mm(contact.point);
            take(-contact.force.get::<kilonewton>(), x, y);
        }
        let rest = rest.iter().map(|part| part * part).sum::<f64>().sqrt();
        prop_assert!(rest <= 1e-9 * load, "{rest} of {load} kN is not balanced");
        prop_assert!(state.residual.get::<ratio>() <= 1e-9);
        Ok(())
    }

    /// Anchors only pull and the bed only pushes, both as the plane says.
    fn check_rises(&self, state: &RigidState) -> Result<(), TestCaseError> {
        let (a, b, c) =
            (state.plane.a.get::<millimeter>(), state.plane.b.get::<radian>(), state.plane.c.get::<radian>());
        let rise = |x: f64, y: f64| a + b * x + c * y;
        let rounding = 1e-13 * (a.abs() + 300.0 * (b.abs() + c.abs()));
        for (force, (x, y, stiffness)) in forces(state).iter().zip(&self.plan.anchors) {
            prop_assert!(*force >= 0.0);
            prop_assert!((force * 1e3 / stiffness - rise(*x, *y).max(0.0)).abs() <= rounding);
        }
        let lowest = self.plan.outline.iter().map(|(x, y)| rise(*x, *y)).fold(f64::INFINITY, f64::min);
        let Some(contact) = &state.contact else {
            // The force of a corner falls with the cube of its depth, so that 1e-12 of the forces may be this deep.
            prop_assert!(lowest >= -1e-3 * rounding / 1e-13);
            return Ok(());
        };
        prop_assert!(
            (contact.largest_pressure.get::<megapascal>() + self.plan.bed * lowest).abs() <= self.plan.bed * rounding
        );
        let (mut force, mut area) = (0.0, 0.0);
        for polygon in &contact.polygons {
            let corners: Vec<(f64, f64)> = polygon.iter().map(|corner| in_mm(*corner)).collect();
            for pair in corners[1..].windows(2) {
                let (first, one, other) = (corners[0], pair[0], pair[1]);
                let half = (one.0 - first.0) * (other.1 - first.1) - (one.1 - first.1) * (other.0 - first.0);
                area += half / 2.0;
                force -=
                    half / 6.0 * [first, one, other].iter().map(|(x, y)| rise(*x, *y)).sum::<f64>() * self.plan.bed;
            }
            prop_assert!(corners.iter().all(|(x, y)| rise(*x, *y) <= rounding));
        }
        // A zone narrower than the rounding of its corners has no digits left.
        let (total, narrow) = (contact.force.get::<kilonewton>() * 1e3, area * self.plan.bed * rounding);
        prop_assert!((force - total).abs() <= 1e-9 * total + narrow, "{force} N and {total} N");
        Ok(())
    }

    /// The same seen in a mirror that maps places and moments.
    fn mirrored(&self, map: impl Fn(f64, f64) -> (f64, f64)) -> Drawn {
        let mut mirrored = self.clone();
        let plan = &mut mirrored.plan;
        let rings = plan.holes.iter_mut().chain(&mut plan.clearance_holes);
        for ring in rings.chain([&mut plan.outline]) {
            ring.iter_mut().for_each(|corner| *corner = map(corner.0, corner.1));
        }
        plan.anchors.iter_mut().for_each(|anchor| (anchor.0, anchor.1) = map(anchor.0, anchor.1));
        let (m_y, m_x) = map(self.load[2], self.load[1]);
        mirrored.load = [self.load[0], m_x, m_y];
        mirrored
    }

    /// Forces of the anchors and the bed, and the largest of them or of the load, kN.
    fn forces(&self) -> Option<(Vec<f64>, f64)> {
        let state = self.plan.state(self.load).ok()?;
        let mut forces = forces(&state);
        forces.push(state.contact.map_or(0.0, |contact| contact.force.get::<kilonewton>()));
        let largest = forces.iter().copied().fold(0.0, f64::max);
        Some((forces, largest))
    }
}

/// Whether two lists of forces are alike, by the larger of the largest.
fn are_alike(one: Option<(Vec<f64>, f64)>, other: Option<(Vec<f64>, f64)>) -> bool {
    match (one, other) {
        (Some((one, largest)), Some((other, _))) => {
            one.iter().zip(&other).all(|(one, other)| (one - other).abs() <= 1e-7 * largest)
        }
        (None, None) => true,
        _ => false,
    }
}

proptest! {
    #![proptest_config(Config::with_cases(10_000))]

    #[test]
    fn every_plate_is_in_equilibrium_or_has_a_reason(drawn in drawn()) {
        drawn.check()?;
    }
}

proptest! {
    #![proptest_config(Config::with_cases(1_000))]

    #[test]
    fn mirrored_plates_have_mirrored_forces(drawn in drawn()) {
        let forces = drawn.forces();
        for mirrored in [
            drawn.mirrored(|x, y| (-x, y)),
            drawn.mirrored(|x, y| (x, -y)),
            drawn.mirrored(|x, y| (y, x)),
        ] {
            prop_assert!(are_alike(forces.clone(), mirrored.forces()));
        }
    }

    #[test]
    fn forces_grow_with_the_load(drawn in drawn(), factor in 1e-3..1e3) {
        let grown = Drawn { load: drawn.load.map(|part| part * factor), ..drawn.clone() };
        let by_factor = drawn.forces().map(|(forces, largest)| {
            (forces.iter().map(|force| force * factor).collect(), largest * factor)
        });
        prop_assert!(are_alike(by_factor, grown.forces()));
    }

    #[test]
    fn no_bits_make_the_plate_panic(
        corners in vec((any_bits(), any_bits()), 0..7),
        hole in vec((any_bits(), any_bits()), 0..4),
        anchors in vec((any_bits(), any_bits(), any_bits()), 0..4),
        bed in any_bits(),
        load in [any_bits(), any_bits(), any_bits()],
    ) {
        let plan = Plan { holes: vec![hole], ..Plan::of(corners, &anchors, bed) };
        if let Ok(state) = plan.state(load) {
            prop_assert!(state.residual.get::<ratio>() <= 1e-9);
        }
        let square = Plan::of(regular(0.0, 0.0, 100.0, 4), &[(0.0, 0.0, bed)], 1.0);
        if let Ok(state) = square.state(load) {
            prop_assert!(state.residual.get::<ratio>() <= 1e-9);
        }
    }
}

fn any_bits() -> impl Strategy<Value = f64> {
    prop_oneof![any::<u64>().prop_map(f64::from_bits), -1.0..1.0, Just(f64::MAX), Just(0.0)]
}
