//! Areas seen from above: the union of squares about the anchors, cut by the edges of the member.
//!
//! In go anchors, half the side of a square (c_cr,N, c_cr,Np or c_cr,sp) and edges; out comes the exact area.
//! Start reading at [`projected_area`].

use uom::si::f64::{Area, Length};
use uom::si::length::meter;

use super::outline::HalfPlane;
use super::{Anchors, Edges, Point, SAME_PLACE, area_or_nan, covered_length, positive};

/// Projected area A_c,N of a group (EN 1992-4, 7.2.1.4; A_p,N in 7.2.1.6; splitting in 7.2.1.7), m².
///
/// The union of the axis-parallel squares of side 2 `half_side` about each active anchor, cut by every edge.
/// It is exact, also for skew edges, and zero when all squares lie outside the member.
///
/// A single anchor at c_1 = 90 mm from an edge, with c_cr,N = 150 mm, has (90 + 150) · 300 mm²:
///
/// ```
/// use soleplate::numerics::anchor_group::{Anchors, Edges, projected_area};
/// use uom::si::{angle::degree, area::square_millimeter, f64::{Angle, Length}, length::millimeter};
///
/// let place = [Length::new::<millimeter>(0.0)];
/// let anchors = Anchors { x: &place, y: &place, active: &[true] };
/// let normal = [Angle::new::<degree>(180.0)];
/// let distance = [Length::new::<millimeter>(90.0)];
/// let edges = Edges { normal: &normal, distance: &distance };
/// let area = projected_area(anchors, Length::new::<millimeter>(150.0), edges);
/// assert!((area.get::<square_millimeter>() - 72_000.0).abs() < 1e-6);
/// ```
pub fn projected_area(anchors: Anchors, half_side: Length, edges: Edges) -> Area {
    let area = || Some(clipped_union(anchors.points()?, positive(half_side)?, &edges.half_planes()?));
    area_or_nan(area())
}

/// Projected area A_c,N of one anchor of a group under opposing shears (EN 1992-4, 7.2.2.4(4)), m².
///
/// Half way towards each neighbour stands a virtual edge.
/// Every other active anchor counts as a neighbour, so that staggered and turned groups are cut as a grid is.
/// NaN when `index` names no active anchor.
pub fn projected_area_single(anchors: Anchors, index: usize, half_side: Length, edges: Edges) -> Area {
    let area = || {
        let points = anchors.points()?;
        if !*anchors.active.get(index)? {
            return None;
        }
        let anchor = Point { x: anchors.x.get(index)?.get::<meter>(), y: anchors.y.get(index)?.get::<meter>() };
        let mut planes = edges.half_planes()?;
        planes.extend(virtual_edges(anchor, &points));
        Some(clipped_union(vec![anchor], positive(half_side)?, &planes))
    };
    area_or_nan(area())
}

/// Half-planes that end half way towards every other point, at right angles to the line between the two.
///
/// On a rectangular grid only the nearest neighbours in x and y cut anything, which is the rule as written; a staggered
/// or turned group is cut no less.
fn virtual_edges(anchor: Point, points: &[Point]) -> impl Iterator<Item = HalfPlane> {
    points.iter().filter_map(move |point| {
        let (x, y) = (point.x - anchor.x, point.y - anchor.y);
        let spacing = (x * x + y * y).sqrt();
        if spacing <= SAME_PLACE {
            return None;
        }
        let (cos, sin) = (x / spacing, y / spacing);
        Some(HalfPlane { cos, sin, distance: anchor.x * cos + anchor.y * sin + spacing / 2.0 })
    })
}

/// Area of the union of squares about `points`, inside all `planes`, by slabs in x.
///
/// Between neighbouring breakpoints the covered height is linear in x, so its value half way times the width is exact.
/// Taking it half way also avoids every question of which side a breakpoint belongs to.
fn clipped_union(mut points: Vec<Point>, half_side: f64, planes: &[HalfPlane]) -> f64 {
    points.sort_by(|one, other| one.y.total_cmp(&other.y));
    let mut area = 0.0;
    for slab in breakpoints(&points, half_side, planes).windows(2) {
        let (width, middle) = (slab[1] - slab[0], slab[0] + (slab[1] - slab[0]) / 2.0);
        if width > 0.0 {
            let (low, high) = material(middle, planes);
            let centres = points.iter().filter(|point| (point.x - middle).abs() <= half_side).map(|point| point.y);
            area += width * covered_length(centres, half_side, low, high);
        }
        if !width.is_finite() {
            return f64::NAN;
        }
    }
    area
}

/// Every x, ascending, at which the covered height may have a step or a kink.
fn breakpoints(points: &[Point], half_side: f64, planes: &[HalfPlane]) -> Vec<f64> {
    let mut breakpoints: Vec<f64> =
        points.iter().flat_map(|point| [point.x - half_side, point.x + half_side]).collect();
    let first = breakpoints.iter().copied().fold(f64::INFINITY, f64::min);
    let last = breakpoints.iter().copied().fold(f64::NEG_INFINITY, f64::max);

    let mut levels: Vec<f64> = points.iter().flat_map(|point| [point.y - half_side, point.y + half_side]).collect();
    levels.sort_by(f64::total_cmp);
    levels.dedup();

    for (index, plane) in planes.iter().enumerate() {
        if plane.sin == 0.0 {
            breakpoints.push(plane.distance / plane.cos);
        } else if plane.cos != 0.0 {
            breakpoints.extend(levels.iter().map(|level| (plane.distance - level * plane.sin) / plane.cos));
        }
        // Parallel edges divide by zero here; the filter below drops what comes out.
        breakpoints.extend(planes[..index].iter().map(|other| {
            let determinant = plane.cos * other.sin - plane.sin * other.cos;
            (plane.distance * other.sin - other.distance * plane.sin) / determinant
        }));
    }
    breakpoints.retain(|x| first <= *x && *x <= last);
    breakpoints.sort_by(f64::total_cmp);
    breakpoints
}

/// The lowest and highest y of material at `x`; the lowest exceeds the highest where there is none.
fn material(x: f64, planes: &[HalfPlane]) -> (f64, f64) {
    let (mut low, mut high) = (f64::NEG_INFINITY, f64::INFINITY);
    for plane in planes {
        let rest = plane.distance - x * plane.cos;
        if plane.sin > 0.0 {
            high = high.min(rest / plane.sin);
        } else if plane.sin < 0.0 {
            low = low.max(rest / plane.sin);
        } else if rest < 0.0 {
            return (f64::INFINITY, f64::NEG_INFINITY);
        }
    }
    (low, high)
}
