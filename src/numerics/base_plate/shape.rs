//! The caller's plate, checked once and brought to the module's own measure.
//!
//! In go the outline, the anchors and the stiffness of the bed; out comes a [`Shape`], or the first thing wrong with them.
//! Start reading at [`Shape::new`].

use uom::si::f64::Length;
use uom::si::force::newton;
use uom::si::length::meter;
use uom::si::pressure::pascal;
use uom::si::torque::newton_meter;

use super::{Anchors, BedStiffness, Input, Loads, NEAR, NoState, Outline, Place, Point, Ring};
use crate::numerics::polygon::{contains, distance, is_flat, meeting, signed_area, without_repeats};
use uom::si::f64::{Force, Pressure};

/// An anchor nearer to the edge of the plate than this, relative to the size of the plate, stands on the edge.
///
/// No shaft leaves so little beside it. With a load that pries the plate off over that edge, forces grow with the inverse
/// of the distance and the zone in contact shrinks with it, so that nearer by, nine digits are out of reach.
const ON_EDGE: f64 = 5e-3;

/// How the module's own measure lies in the caller's coordinates, m.
#[derive(Debug, Clone, Copy)]
pub(super) struct Scale {
    middle_x: f64,
    middle_y: f64,
    /// Half the larger side of the box about the plate.
    pub(super) size: f64,
}

/// An anchor as a spring, its stiffness relative to the sum of all.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spring {
    pub(super) place: Place,
    pub(super) stiffness: f64,
}

/// The plate in the module's own measure: the stiffness of the full bed and that of all anchors together make 1.
#[derive(Debug)]
pub(super) struct Shape {
    pub(super) scale: Scale,
    /// The outline anticlockwise, then every hole clockwise: material lies to the left of every edge.
    pub(super) rings: Vec<Vec<Place>>,
    pub(super) springs: Vec<Spring>,
    /// Pressure by settlement, relative.
    pub(super) bed: f64,
    /// N/m that stand for 1.
    pub(super) stiffness: f64,
}

impl Scale {
    /// `None` when the box has no size or overflows.
    fn about(points: &[Point]) -> Option<Scale> {
        let range = |coordinate: fn(&Point) -> Length| {
            let values = || points.iter().map(|point| coordinate(point).get::<meter>());
            (values().fold(f64::INFINITY, f64::min), values().fold(f64::NEG_INFINITY, f64::max))
        };
        let ((left, right), (low, high)) = (range(|point| point.x), range(|point| point.y));
        let size = (right - left).max(high - low) / 2.0;
        let scale = Scale { middle_x: (left + right) / 2.0, middle_y: (low + high) / 2.0, size };
        (size > 0.0 && [scale.size, scale.middle_x, scale.middle_y].iter().all(|value| value.is_finite()))
            .then_some(scale)
    }

    fn to_place(self, x: Length, y: Length) -> Place {
        [(x.get::<meter>() - self.middle_x) / self.size, (y.get::<meter>() - self.middle_y) / self.size]
    }

    pub(super) fn to_point(self, [x, y]: Place) -> Point {
        let coordinate = |middle: f64, value: f64| Length::new::<meter>(middle + value * self.size);
        Point { x: coordinate(self.middle_x, x), y: coordinate(self.middle_y, y) }
    }

    /// The loads about the middle, N, their moments by the size of the plate: N, M_y / size, M_x / size.
    pub(super) fn to_load(self, loads: Loads) -> [f64; 3] {
        let (n, m_x, m_y) = (loads.n.get::<newton>(), loads.m_x.get::<newton_meter>(), loads.m_y.get::<newton_meter>());
        [n, (m_y - n * self.middle_x) / self.size, (m_x - n * self.middle_y) / self.size]
    }

    /// The value of a + b x + c y at the caller's origin, when `plane` holds a, b and c in the module's measure.
    pub(super) fn at_origin(self, [a, b, c]: [f64; 3]) -> f64 {
        a - (b * self.middle_x + c * self.middle_y) / self.size
    }
}

impl Shape {
    pub(super) fn new(outline: Outline, anchors: Anchors, bed: BedStiffness) -> Result<Shape, NoState> {
        let polygons = polygons(outline);
        let is_finite = |point: &Point| point.x.is_finite() && point.y.is_finite();
        if let Some((ring, _)) = polygons.iter().find(|(_, points)| !points.iter().all(is_finite)) {
            return Err(NoState::NotFinite(Input::Corner(*ring)));
        }
        let scale = Scale::about(outline.points).ok_or(NoState::ZeroArea(Ring::Outline))?;
        let rings = rings(&polygons, scale)?;
        let springs = springs(outline, anchors, scale, &rings)?;

        let area: f64 = rings.iter().map(|ring| signed_area(ring)).sum();
        let bed = newtons_per_cubic_metre(bed) * scale.size * scale.size;
        let stiffness = bed * area + springs.iter().map(|spring| spring.stiffness).sum::<f64>();
        if !stiffness.is_finite() {
            return Err(NoState::NotFinite(Input::BedStiffness));
        }
        if bed.is_nan() || bed / stiffness < f64::MIN_POSITIVE {
            return Err(NoState::NotPositive(Input::BedStiffness));
        }
        let springs: Vec<Spring> =
            springs.into_iter().map(|spring| Spring { stiffness: spring.stiffness / stiffness, ..spring }).collect();
        match springs.iter().position(|spring| spring.stiffness < f64::MIN_POSITIVE) {
            Some(anchor) => Err(NoState::NotPositive(Input::AnchorStiffness(anchor))),
            None => Ok(Shape { scale, rings, springs, bed: bed / stiffness, stiffness }),
        }
    }
}

fn newtons_per_cubic_metre(bed: BedStiffness) -> f64 {
    let pressure: Pressure = bed * Length::new::<meter>(1.0);
    pressure.get::<pascal>()
}

/// The caller's polygons with what each is, the outline first.
fn polygons<'a>(outline: Outline<'a>) -> Vec<(Ring, &'a [Point])> {
    let holes = outline.holes.iter().enumerate().map(|(index, hole)| (Ring::Hole(index), &hole[..]));
    let clearance = outline.clearance_holes.iter().enumerate();
    let clearance = clearance.map(|(index, hole)| (Ring::ClearanceHole(index), &hole[..]));
    core::iter::once((Ring::Outline, outline.points)).chain(holes).chain(clearance).collect()
}

/// The polygons with material to the left of their edges, when they make a plate.
fn rings(polygons: &[(Ring, &[Point])], scale: Scale) -> Result<Vec<Vec<Place>>, NoState> {
    let mut rings = Vec::with_capacity(polygons.len());
    for (name, points) in polygons {
        let corners = without_repeats(points.iter().map(|point| scale.to_place(point.x, point.y)).collect(), NEAR);
        if is_flat(&corners, NEAR) {
            return Err(NoState::ZeroArea(*name));
        }
        rings.push(corners);
    }
    if let Some((one, other)) = meeting(&rings, NEAR) {
        return Err(match (one, other) {
            (one, other) if one == other => NoState::CrossesItself(polygons[one].0),
            (0, hole) => NoState::OutsidePlate(polygons[hole].0),
            (one, other) => NoState::Overlap(polygons[one].0, polygons[other].0),
        });
    }
    // No edges meet, so that one corner tells where a whole ring lies.
    for hole in 1..rings.len() {
        if !contains(&rings[0], rings[hole][0]) {
            return Err(NoState::OutsidePlate(polygons[hole].0));
        }
        let is_nested =
            |other: &usize| contains(&rings[*other], rings[hole][0]) || contains(&rings[hole], rings[*other][0]);
        if let Some(other) = (1..hole).find(is_nested) {
            return Err(NoState::Overlap(polygons[other].0, polygons[hole].0));
        }
    }
    for (index, ring) in rings.iter_mut().enumerate() {
        if (signed_area(ring) > 0.0) != (index == 0) {
            ring.reverse();
        }
    }
    Ok(rings)
}

/// The anchors with their stiffness in N/m, when each stands in the plate.
fn springs(outline: Outline, anchors: Anchors, scale: Scale, rings: &[Vec<Place>]) -> Result<Vec<Spring>, NoState> {
    let Anchors { x, y, stiffness } = anchors;
    if x.len() != y.len() || x.len() != stiffness.len() {
        return Err(NoState::UnequalLists);
    }
    let mut springs = Vec::with_capacity(x.len());
    for (index, ((x, y), stiffness)) in x.iter().zip(y).zip(stiffness).enumerate() {
        if !(x.is_finite() && y.is_finite()) {
            return Err(NoState::NotFinite(Input::Anchor(index)));
        }
        let force: Force = *stiffness * Length::new::<meter>(1.0);
        let stiffness = force.get::<newton>();
        if !stiffness.is_finite() {
            return Err(NoState::NotFinite(Input::AnchorStiffness(index)));
        }
        if stiffness <= 0.0 {
            return Err(NoState::NotPositive(Input::AnchorStiffness(index)));
        }
        let place = scale.to_place(*x, *y);
        if !contains(&rings[0], place) || distance(&rings[0], place) <= ON_EDGE {
            return Err(NoState::AnchorOutside(index));
        }
        if let Some(hole) = rings[1..=outline.holes.len()].iter().position(|hole| contains(hole, place)) {
            return Err(NoState::AnchorInHole(index, hole));
        }
        springs.push(Spring { place, stiffness });
    }
    Ok(springs)
}
