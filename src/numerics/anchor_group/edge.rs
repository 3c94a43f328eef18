//! One free edge under shear: the row of anchors nearest to it and the breakout body on its side face.
//!
//! In go anchors, the edge that is checked and, where it matters, all edges; out come the row, A_c,V, c_2 and s_2.
//! Start reading at [`front_row`]; its result is the `active` of the anchors for all other functions here.
//!
//! Positions along the edge are measured by t, which grows to the right of an observer who looks outward.

use core::f64::consts::FRAC_1_SQRT_2;

use uom::si::f64::{Angle, Area, Length};
use uom::si::length::meter;

use super::outline::{HalfPlane, direction, smallest};
use super::spacing::largest_gap;
use super::{Anchors, Edges, Point, SAME_PLACE, area_or_nan, covered_length, finite, length_or_nan, positive};

/// Anchors whose distances to the edge differ by less than this part of the distance stand in one row.
const SAME_ROW: f64 = 1e-6;

/// Edges whose normals have a smaller sine between them are parallel: they do not meet near the member.
const PARALLEL: f64 = 1e-9;

/// Rounding allowed when a normal stands at exactly 45° to the checked one, as at a chamfered corner.
const SIDE_EDGE_ROUNDING: f64 = 1e-9;

/// Which anchors form the row nearest the edge, the one that carries the shear towards it (EN 1992-4, 6.2.2).
///
/// One value for each anchor: active and within 1e-6 of the smallest distance to the edge (or within 1e-9 m).
/// No anchor at all when an input is not finite.
pub fn front_row(anchors: Anchors, normal: Angle, distance: Length) -> Vec<bool> {
    let row = || {
        let plane = HalfPlane::from_edge(normal, distance)?;
        let nearest = smallest(anchors.points()?.into_iter().map(|point| plane.distance_to(point)))?;
        let limit = nearest + (SAME_ROW * nearest.abs()).max(SAME_PLACE);
        let places = anchors.x.iter().zip(anchors.y).zip(anchors.active);
        let row = places.map(|((x, y), active)| {
            *active && plane.distance_to(Point { x: x.get::<meter>(), y: y.get::<meter>() }) <= limit
        });
        limit.is_finite().then(|| row.collect())
    };
    row().unwrap_or_else(|| vec![false; anchors.active.len()])
}

/// Area A_c,V of the breakout body on the side face of an edge (EN 1992-4, 7.2.2.5, fig. 7.14), m².
///
/// `row` has the anchors of the front row active.
/// Their bands of 1.5 c_1 to both sides along the edge are united, cut where the face ends and multiplied by the smaller
/// of 1.5 c_1 and `depth_limit`, the thickness h of the member.
/// `edge_distance` is c_1, or the reduced c_1' of a narrow and thin member.
///
/// The face ends at every other edge that is not parallel to the checked one.
/// Where that edge is skew, it meets the face and the line at c_1 inside it at different places: the nearer one counts,
/// which is on the safe side.
/// `edges` may hold the checked edge itself: it is parallel and cuts nothing.
pub fn edge_breakout_area(
    row: Anchors,
    edge_distance: Length,
    depth_limit: Length,
    normal: Angle,
    distance: Length,
    edges: Edges,
) -> Area {
    let area = || {
        let face = HalfPlane::from_edge(normal, distance)?;
        let inside = positive(edge_distance)?;
        let reach = 1.5 * inside;
        let depth = reach.min(positive(depth_limit)?);
        let mut centres = places_along(&row.points()?, (face.cos, face.sin));
        centres.sort_by(f64::total_cmp);
        let (low, high) = face_ends(&face, inside, &edges.half_planes()?);
        Some(depth * covered_length(centres.into_iter(), reach, low, high))
    };
    area_or_nan(area())
}

/// Distances c_2 of the row to the side edges, left then right when looking outward (EN 1992-4, 7.2.2.5, (7.45)), m.
///
/// A side edge is one whose normal stands at 45° to 135° to that of the checked edge, both included; all others are
/// front or back.
/// To a skew side edge the distance is measured perpendicular to it, as for any edge distance.
/// Each value is at most `limit`, and is `limit` where there is no side edge; it is negative when an anchor of the row
/// lies outside.
pub fn side_distances(row: Anchors, normal: Angle, edges: Edges, limit: Length) -> [Length; 2] {
    let distances = || {
        let (cos, sin) = direction(normal)?;
        let points = row.points()?;
        let mut sides = [finite(limit)?; 2];
        for plane in edges.half_planes()? {
            let along_normal = plane.cos * cos + plane.sin * sin;
            let along_edge = plane.cos * sin - plane.sin * cos;
            if along_normal.abs() > FRAC_1_SQRT_2 + SIDE_EDGE_ROUNDING {
                continue;
            }
            let nearest = smallest(points.iter().map(|point| plane.distance_to(*point)))?;
            let side = &mut sides[usize::from(along_edge > 0.0)];
            *side = side.min(nearest);
        }
        Some(sides)
    };
    distances().map_or([None; 2], |sides| sides.map(Some)).map(length_or_nan)
}

/// Largest spacing s_2 between neighbours in the row, along the edge (EN 1992-4, 7.2.2.5), m; zero for one anchor.
pub fn row_spacing(row: Anchors, normal: Angle) -> Length {
    let spacing = || Some(largest_gap(places_along(&row.points()?, direction(normal)?)));
    length_or_nan(spacing())
}

/// The place t of each point along an edge whose normal has the given cosine and sine.
fn places_along(points: &[Point], (cos, sin): (f64, f64)) -> Vec<f64> {
    points.iter().map(|point| point.x * sin - point.y * cos).collect()
}

/// The range of t in which the member has material both on the face and on the line at `inside` behind it.
fn face_ends(face: &HalfPlane, inside: f64, planes: &[HalfPlane]) -> (f64, f64) {
    let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
    for plane in planes {
        let along_normal = plane.cos * face.cos + plane.sin * face.sin;
        let along_edge = plane.cos * face.sin - plane.sin * face.cos;
        if along_edge.abs() <= PARALLEL {
            continue;
        }
        for line in [face.distance, face.distance - inside] {
            let meeting = (plane.distance - line * along_normal) / along_edge;
            if along_edge > 0.0 {
                high = high.min(meeting);
            } else {
                low = low.max(meeting);
            }
        }
    }
    (low, high)
}
