//! Polygons as lists of corners: area, what lies inside, the convex hull, and which edges meet where they should not.
//!
//! In go places in the module's own measure, so that [`NEAR`] is relative to the size of the plate.

use super::Place;

/// Two places nearer than this are one place.
pub(super) const NEAR: f64 = 1e-9;

/// Area, positive when the corners run anticlockwise.
///
/// Taken about the first corner, so that a small polygon far from the origin keeps its digits.
pub(super) fn signed_area(corners: &[Place]) -> f64 {
    let Some(first) = corners.first() else { return 0.0 };
    edges(corners).map(|(start, end)| start.minus(*first).cross(end.minus(*first))).sum::<f64>() / 2.0
}

/// The edges of a closed polygon, the first from the last corner to the first.
pub(super) fn edges(corners: &[Place]) -> impl Iterator<Item = (Place, Place)> {
    corners.iter().enumerate().map(|(index, end)| (corners[(index + corners.len() - 1) % corners.len()], *end))
}

/// Whether a place lies inside; what is said of a place on an edge may be either.
///
/// Counts the edges that cross the ray towards +x; each edge has its lower end and not its upper one.
pub(super) fn contains(corners: &[Place], place: Place) -> bool {
    let crossings = edges(corners).filter(|(start, end)| {
        if (start.y <= place.y) == (end.y <= place.y) {
            return false;
        }
        let (low, high) = if start.y < end.y { (start, end) } else { (end, start) };
        high.minus(*low).cross(place.minus(*low)) > 0.0
    });
    crossings.count() % 2 == 1
}

/// Distance of a place from the nearest edge.
pub(super) fn distance(corners: &[Place], place: Place) -> f64 {
    edges(corners).map(|edge| distance_to_edge(edge, place)).fold(f64::INFINITY, f64::min)
}

fn distance_to_edge((start, end): (Place, Place), place: Place) -> f64 {
    let (edge, from_start) = (end.minus(start), place.minus(start));
    let length_squared = edge.dot(edge);
    let share = if length_squared > 0.0 { (from_start.dot(edge) / length_squared).clamp(0.0, 1.0) } else { 0.0 };
    place.minus(start.towards(end, share)).length()
}

/// The same polygon without corners that repeat the one before them.
pub(super) fn without_repeats(mut corners: Vec<Place>) -> Vec<Place> {
    corners.dedup_by(|next, kept| next.minus(*kept).length() <= NEAR);
    while corners.len() > 1 && corners[0].minus(corners[corners.len() - 1]).length() <= NEAR {
        corners.pop();
    }
    corners
}

/// Whether all corners lie in one line, or there are none.
pub(super) fn is_flat(corners: &[Place]) -> bool {
    let Some(first) = corners.first() else { return true };
    let mut furthest = *first;
    for corner in corners {
        if corner.minus(*first).length() > furthest.minus(*first).length() {
            furthest = *corner;
        }
    }
    let line = furthest.minus(*first);
    corners.iter().all(|corner| line.cross(corner.minus(*first)).abs() <= NEAR * line.length())
}

/// The convex hull, anticlockwise, without corners in the middle of an edge.
pub(super) fn hull(corners: &[Place]) -> Vec<Place> {
    let mut sorted = corners.to_vec();
    sorted.sort_by(|one, other| one.x.total_cmp(&other.x).then(one.y.total_cmp(&other.y)));
    let half = |places: &mut dyn Iterator<Item = &Place>| {
        let mut chain: Vec<Place> = Vec::new();
        for place in places {
            while let [.., before, last] = chain[..]
                && last.minus(before).cross(place.minus(last)) <= 0.0
            {
                chain.pop();
            }
            chain.push(*place);
        }
        chain.pop();
        chain
    };
    let mut hull = half(&mut sorted.iter());
    hull.extend(half(&mut sorted.iter().rev()));
    hull
}

/// An edge, the ring it belongs to, and its place among the `count` edges of the ring.
struct Side {
    start: Place,
    end: Place,
    ring: usize,
    index: usize,
    count: usize,
}

impl Side {
    fn left(&self) -> f64 {
        self.start.x.min(self.end.x)
    }

    fn right(&self) -> f64 {
        self.start.x.max(self.end.x)
    }

    /// Whether this edge and another have a place in common that they should not have.
    fn meets(&self, other: &Side) -> bool {
        let (one, two) = ((self.start, self.end), (other.start, other.end));
        let is_next = |one: &Side, other: &Side| one.ring == other.ring && (one.index + 1) % one.count == other.index;
        // Neighbours share a corner; they may not share more, so that only the far ends must keep away.
        if is_next(self, other) {
            return distance_to_edge(one, other.end) <= NEAR || distance_to_edge(two, self.start) <= NEAR;
        }
        if is_next(other, self) {
            return distance_to_edge(one, other.start) <= NEAR || distance_to_edge(two, self.end) <= NEAR;
        }
        let side = |edge: (Place, Place), place: Place| edge.1.minus(edge.0).cross(place.minus(edge.0)) > 0.0;
        let crosses = side(one, other.start) != side(one, other.end) && side(two, self.start) != side(two, self.end);
        crosses
            || [other.start, other.end].iter().any(|end| distance_to_edge(one, *end) <= NEAR)
            || [self.start, self.end].iter().any(|end| distance_to_edge(two, *end) <= NEAR)
    }
}

/// Two rings whose edges meet, or one ring twice when it meets itself; the lowest such pair.
///
/// The edges are taken from left to right and each is compared with those that start before it ends.
pub(super) fn meeting(rings: &[Vec<Place>]) -> Option<(usize, usize)> {
    let mut sides: Vec<Side> = (rings.iter().enumerate())
        .flat_map(|(ring, corners)| {
            let count = corners.len();
            edges(corners).enumerate().map(move |(index, (start, end))| Side { start, end, ring, index, count })
        })
        .collect();
    sides.sort_by(|one, other| one.left().total_cmp(&other.left()));
    let mut lowest = None;
    for (index, side) in sides.iter().enumerate() {
        for other in sides[index + 1..].iter().take_while(|other| other.left() <= side.right() + NEAR) {
            let pair = (side.ring.min(other.ring), side.ring.max(other.ring));
            if lowest.is_none_or(|lowest| pair < lowest) && side.meets(other) {
                lowest = Some(pair);
            }
        }
    }
    lowest
}
