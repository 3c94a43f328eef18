//! The member's outline: each free edge as a half-plane, and the distances of anchors to it.
//!
//! In go [`Edges`] as the caller holds them; out come half-planes in metres, checked once, for the other files.

use uom::si::angle::radian;
use uom::si::f64::{Angle, Length};
use uom::si::length::meter;

use super::{Anchors, Edges, Point, length_or_nan};

/// Below this a direction component is taken as zero: cos 90° comes out as 6e-17, and an edge meant to be parallel to an
/// axis must be exactly so.
const AXIS_PARALLEL: f64 = 1e-14;

/// Material on the side of a straight edge where x `cos` + y `sin` <= `distance`, m.
#[derive(Debug, Clone, Copy)]
pub(super) struct HalfPlane {
    pub(super) cos: f64,
    pub(super) sin: f64,
    pub(super) distance: f64,
}

impl HalfPlane {
    /// The half-plane of one edge, or `None` when its normal or distance is not finite.
    pub(super) fn from_edge(normal: Angle, distance: Length) -> Option<HalfPlane> {
        let (cos, sin) = direction(normal)?;
        let distance = super::finite(distance)?;
        Some(HalfPlane { cos, sin, distance })
    }

    /// Distance of a point to the edge, m; negative outside the member.
    pub(super) fn distance_to(&self, point: Point) -> f64 {
        self.distance - point.x * self.cos - point.y * self.sin
    }
}

impl Edges<'_> {
    /// The edges as half-planes, or `None` when the slices disagree or a value is not finite.
    pub(super) fn half_planes(&self) -> Option<Vec<HalfPlane>> {
        if self.normal.len() != self.distance.len() {
            return None;
        }
        (self.normal.iter().zip(self.distance))
            .map(|(normal, distance)| HalfPlane::from_edge(*normal, *distance))
            .collect()
    }
}

/// Edge distance c of the group to each edge (EN 1992-4, 7.2.1.4): that of its nearest active anchor, m.
///
/// One value for each edge, in the edges' order; negative when an active anchor lies outside that edge.
pub fn edge_distances(anchors: Anchors, edges: Edges) -> Vec<Length> {
    let (Some(points), Some(planes)) = (anchors.points(), edges.half_planes()) else {
        return vec![Length::new::<meter>(f64::NAN); edges.normal.len()];
    };
    planes.iter().map(|plane| length_or_nan(smallest(points.iter().map(|point| plane.distance_to(*point))))).collect()
}

/// Cosine and sine of a normal, exact for the multiples of 90°; `None` when the angle is not finite.
pub(super) fn direction(normal: Angle) -> Option<(f64, f64)> {
    let angle = normal.get::<radian>();
    if !angle.is_finite() {
        return None;
    }
    let (cos, sin) = (libm::cos(angle), libm::sin(angle));
    Some(if sin.abs() < AXIS_PARALLEL {
        (1.0_f64.copysign(cos), 0.0)
    } else if cos.abs() < AXIS_PARALLEL {
        (0.0, 1.0_f64.copysign(sin))
    } else {
        (cos, sin)
    })
}

/// The smallest value, `None` when there is none or when one of them is not a number.
pub(super) fn smallest(values: impl Iterator<Item = f64>) -> Option<f64> {
    let mut smallest = None;
    for value in values {
        if value.is_nan() {
            return None;
        }
        smallest = Some(smallest.map_or(value, |least: f64| least.min(value)));
    }
    smallest
}
