//! Plan geometry of a group of anchors in a concrete member, as the concrete failure modes of EN 1992-4 need it.
//!
//! In go the anchors ([`Anchors`]) and the free edges of the member ([`Edges`]); out come areas, edge distances and spacings.
//! The plan has x to the right and y upwards; angles are measured from +x, anticlockwise.
//! The module knows nothing of forces, materials, standards' factors or sheets.
//!
//! - [`projected_area`], [`projected_area_single`]: areas seen from above (cone, bond, splitting, pry-out).
//! - [`edge_distances`], [`largest_spacing`], [`smallest_spacing`]: distances in plan.
//! - [`front_row`], [`edge_breakout_area`], [`side_distances`], [`row_spacing`]: one edge under shear.
//!
//! Every function is total.
//! A NaN or infinite coordinate, angle or length, slices of unequal length, a group without an active anchor and a size
//! that is not positive all give NaN (or, for [`front_row`], no anchor at all).
//! A result that overflows is NaN too.
//! An edge that is far away is left out of [`Edges`] or given a large finite distance; infinity does not stand for "none".

mod cone;
mod edge;
mod outline;
mod spacing;
#[cfg(test)]
mod tests;

use uom::si::area::square_meter;
use uom::si::f64::{Angle, Area, Length};
use uom::si::length::meter;

pub use cone::{projected_area, projected_area_single};
pub use edge::{edge_breakout_area, front_row, row_spacing, side_distances};
pub use outline::edge_distances;
pub use spacing::{largest_spacing, smallest_spacing};

/// Two coordinates nearer than this, in metres, are one coordinate.
const SAME_PLACE: f64 = 1e-9;

/// The anchors of a group: position (x, y) of each and whether it counts in the check at hand.
#[derive(Debug, Clone, Copy)]
pub struct Anchors<'a> {
    /// Coordinate x of each anchor, m.
    pub x: &'a [Length],
    /// Coordinate y of each anchor, m.
    pub y: &'a [Length],
    /// Whether each anchor counts: tensioned (EN 1992-4, 7.2.1) or effective in shear (6.2.2).
    pub active: &'a [bool],
}

/// The straight free edges of the member: material lies where x cos(normal) + y sin(normal) <= distance, for every edge.
///
/// Any number of edges at any angle gives a convex outline, open on the sides that have no edge.
#[derive(Debug, Clone, Copy)]
pub struct Edges<'a> {
    /// Direction of the outward normal of each edge, rad, from +x anticlockwise.
    pub normal: &'a [Angle],
    /// Distance of each edge from the origin along its normal, m; negative when the origin is outside.
    pub distance: &'a [Length],
}

/// The position of one active anchor, m.
#[derive(Debug, Clone, Copy)]
struct Point {
    x: f64,
    y: f64,
}

impl Anchors<'_> {
    /// The active anchors, or `None` when the slices disagree, a coordinate is not finite or no anchor is active.
    fn points(&self) -> Option<Vec<Point>> {
        if self.x.len() != self.y.len() || self.x.len() != self.active.len() {
            return None;
        }
        if self.x.iter().chain(self.y).any(|place| !place.get::<meter>().is_finite()) {
            return None;
        }
        let points: Vec<Point> = (self.x.iter().zip(self.y).zip(self.active))
            .filter(|(_, active)| **active)
            .map(|((x, y), _)| Point { x: x.get::<meter>(), y: y.get::<meter>() })
            .collect();
        (!points.is_empty()).then_some(points)
    }
}

/// A length that must be finite and greater than zero, m.
fn positive(length: Length) -> Option<f64> {
    finite(length).filter(|value| *value > 0.0)
}

/// A length that must be finite, m.
fn finite(length: Length) -> Option<f64> {
    Some(length.get::<meter>()).filter(|value| value.is_finite())
}

/// A length from metres, NaN when it is missing or has overflowed.
fn length_or_nan(metres: Option<f64>) -> Length {
    Length::new::<meter>(metres.filter(|value| value.is_finite()).unwrap_or(f64::NAN))
}

/// An area from square metres, NaN when it is missing or has overflowed.
fn area_or_nan(square_metres: Option<f64>) -> Area {
    Area::new::<square_meter>(square_metres.filter(|value| value.is_finite()).unwrap_or(f64::NAN))
}

/// The part of [low, high] that is covered by bands reaching `half_width` to both sides of each centre.
///
/// The centres must ascend: with bands of one width the upper ends then ascend too, and one sweep suffices.
fn covered_length(centres: impl Iterator<Item = f64>, half_width: f64, low: f64, high: f64) -> f64 {
    let mut covered = 0.0;
    let mut reached = low;
    for centre in centres {
        let start = (centre - half_width).max(reached);
        let end = (centre + half_width).min(high);
        if end > start {
            covered += end - start;
            reached = end;
        }
    }
    covered
}
