//! Centre spacings within a group.
//!
//! In go anchors; out come the largest spacing between neighbours and the smallest between any two.

use uom::si::f64::Length;

use super::outline::smallest;
use super::{Anchors, SAME_PLACE, length_or_nan};

/// Largest centre spacing s_max between neighbouring active anchors (EN 1992-4, 7.2.1.4, narrow members), m.
///
/// The largest gap between consecutive distinct coordinates along x and along y; zero for a single anchor.
pub fn largest_spacing(anchors: Anchors) -> Length {
    length_or_nan(anchors.points().map(|points| {
        let along_x = largest_gap(points.iter().map(|point| point.x).collect());
        let along_y = largest_gap(points.iter().map(|point| point.y).collect());
        along_x.max(along_y)
    }))
}

/// Smallest centre-to-centre distance s_min between any two active anchors (EN 1992-4, 7.2.1.7 and 7.2.2.5(4)), m.
///
/// `none` is returned unchanged when fewer than two anchors are active.
pub fn smallest_spacing(anchors: Anchors, none: Length) -> Length {
    let Some(points) = anchors.points() else {
        let is_well_formed = Anchors { active: &vec![true; anchors.active.len()], ..anchors }.points().is_some();
        let is_empty = anchors.x.is_empty() && anchors.y.is_empty() && anchors.active.is_empty();
        return if is_well_formed || is_empty { none } else { length_or_nan(None) };
    };
    if points.len() < 2 {
        return none;
    }
    let pairs = points.iter().enumerate().flat_map(|(index, one)| {
        points[..index].iter().map(move |other| libm::hypot(one.x - other.x, one.y - other.y))
    });
    length_or_nan(smallest(pairs))
}

/// The largest gap between consecutive distinct values; zero when all are one place.
pub(super) fn largest_gap(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    let gap = values.windows(2).map(|pair| pair[1] - pair[0]).fold(0.0, f64::max);
    if gap > SAME_PLACE { gap } else { 0.0 }
}
