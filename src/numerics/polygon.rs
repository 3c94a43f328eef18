//! Polygons in the plane as rings of corners: area and moments, what lies inside, distances, the convex hull, clipping to a
//! rectangle, and which edges meet where they should not.
//!
//! Coordinates are plain numbers in the measure of the caller, who also says how near two points must be to be one.
//! A ring runs in either direction and does not repeat its first corner.

/// A point of the plane, or the way from one to another.
pub(super) type Point = [f64; 2];

/// A straight line from its start to its end.
pub(super) type Segment = [Point; 2];

/// The way from one point to another.
pub(super) fn way([from, to]: Segment) -> Point {
    [to[0] - from[0], to[1] - from[1]]
}

/// The point at a share of a segment.
pub(super) fn at_share([from, to]: Segment, share: f64) -> Point {
    [from[0] + (to[0] - from[0]) * share, from[1] + (to[1] - from[1]) * share]
}

/// Twice the area between two ways, positive when the second lies to the left of the first.
pub(super) fn cross(one: Point, other: Point) -> f64 {
    one[0] * other[1] - one[1] * other[0]
}

/// The scalar product of two ways.
pub(super) fn dot(one: Point, other: Point) -> f64 {
    one[0] * other[0] + one[1] * other[1]
}

/// Length of a segment.
pub(super) fn length(segment: Segment) -> f64 {
    let way = way(segment);
    libm::hypot(way[0], way[1])
}

/// Distance of a point from the nearest point of a segment.
pub(super) fn distance_to_segment(point: Point, segment @ [from, _]: Segment) -> f64 {
    let (along, from_start) = (way(segment), way([from, point]));
    let square = dot(along, along);
    let share = if square > 0.0 { (dot(from_start, along) / square).clamp(0.0, 1.0) } else { 0.0 };
    length([at_share(segment, share), point])
}

/// The edges of a ring, the first from the last corner to the first.
pub(super) fn edges(ring: &[Point]) -> impl Iterator<Item = Segment> {
    ring.iter().enumerate().map(|(index, end)| [ring[(index + ring.len() - 1) % ring.len()], *end])
}

/// Lowest and highest coordinates of points; infinite where there are none.
pub(super) fn bounds(points: &[Point]) -> [Point; 2] {
    let mut bounds = [[f64::INFINITY; 2], [f64::NEG_INFINITY; 2]];
    for point in points {
        for axis in 0..2 {
            bounds[0][axis] = bounds[0][axis].min(point[axis]);
            bounds[1][axis] = bounds[1][axis].max(point[axis]);
        }
    }
    bounds
}

/// Area of a ring, positive when its corners run anticlockwise.
pub(super) fn signed_area(ring: &[Point]) -> f64 {
    moments(ring)[0]
}

/// Area and first moments of a ring, all of one sign with its direction: ∫ dA, ∫ x dA, ∫ y dA.
///
/// Taken about the first corner, so that a small ring far from the origin keeps its digits.
pub(super) fn moments(ring: &[Point]) -> [f64; 3] {
    let Some(&origin) = ring.first() else { return [0.0; 3] };
    let mut sums = [0.0; 3];
    for pair in ring.windows(2) {
        let [a, b] = [pair[0], pair[1]].map(|corner| way([origin, corner]));
        let twice = cross(a, b);
        sums[0] += twice / 2.0;
        sums[1] += twice * (a[0] + b[0]) / 6.0;
        sums[2] += twice * (a[1] + b[1]) / 6.0;
    }
    [sums[0], sums[1] + origin[0] * sums[0], sums[2] + origin[1] * sums[0]]
}

/// Whether a point lies inside; what is said of a point on an edge may be either.
///
/// Counts the edges that cross the ray towards +x; each edge has its lower end and not its upper one.
pub(super) fn contains(ring: &[Point], point: Point) -> bool {
    let crossings = edges(ring).filter(|[start, end]| {
        if (start[1] <= point[1]) == (end[1] <= point[1]) {
            return false;
        }
        let (low, high) = if start[1] < end[1] { (*start, *end) } else { (*end, *start) };
        cross(way([low, high]), way([low, point])) > 0.0
    });
    crossings.count() % 2 == 1
}

/// Distance of a point from the nearest edge.
pub(super) fn distance(ring: &[Point], point: Point) -> f64 {
    edges(ring).map(|edge| distance_to_segment(point, edge)).fold(f64::INFINITY, f64::min)
}

/// The same ring without corners that repeat the one before them.
pub(super) fn without_repeats(mut ring: Vec<Point>, near: f64) -> Vec<Point> {
    ring.dedup_by(|next, kept| length([*kept, *next]) <= near);
    while ring.len() > 1 && length([ring[0], ring[ring.len() - 1]]) <= near {
        ring.pop();
    }
    ring
}

/// Whether all corners lie in one line, or there are none.
pub(super) fn is_flat(ring: &[Point], near: f64) -> bool {
    let Some(first) = ring.first() else { return true };
    let mut furthest = *first;
    for corner in ring {
        if length([*first, *corner]) > length([*first, furthest]) {
            furthest = *corner;
        }
    }
    let line = [*first, furthest];
    ring.iter().all(|corner| cross(way(line), way([*first, *corner])).abs() <= near * length(line))
}

/// The convex hull, anticlockwise, without corners in the middle of an edge.
pub(super) fn hull(points: &[Point]) -> Vec<Point> {
    let mut sorted = points.to_vec();
    sorted.sort_by(|one, other| one[0].total_cmp(&other[0]).then(one[1].total_cmp(&other[1])));
    let half = |points: &mut dyn Iterator<Item = &Point>| {
        let mut chain: Vec<Point> = Vec::new();
        for point in points {
            while let [.., before, last] = chain[..]
                && cross(way([before, last]), way([last, *point])) <= 0.0
            {
                chain.pop();
            }
            chain.push(*point);
        }
        chain.pop();
        chain
    };
    let mut hull = half(&mut sorted.iter());
    hull.extend(half(&mut sorted.iter().rev()));
    hull
}

/// Whether a segment runs through a ring: not merely along it, or up to it.
pub(super) fn is_crossed(ring: &[Point], segment: Segment, near: f64) -> bool {
    let parts = |points: Segment, line: Segment| {
        let [one, other] = points.map(|point| cross(way(line), way([line[0], point])) / length(line));
        one.min(other) < -near && one.max(other) > near
    };
    edges(ring).any(|edge| parts(segment, edge) && parts(edge, segment))
}

/// The part of a ring inside the rectangle from `low` to `high` (Sutherland and Hodgman, 1974).
///
/// Where a ring is cut into several parts, they stay joined by sides along the rectangle that are run through twice.
/// They enclose nothing, so that every integral over the clipped ring is right.
pub(super) fn clip(ring: &[Point], low: Point, high: Point) -> Vec<Point> {
    let mut ring = ring.to_vec();
    for axis in 0..2 {
        ring = clip_by(&ring, axis, low[axis], 1.0);
        ring = clip_by(&ring, axis, high[axis], -1.0);
    }
    ring
}

/// The part of a ring where `sign` (coordinate − limit) ≥ 0.
fn clip_by(ring: &[Point], axis: usize, limit: f64, sign: f64) -> Vec<Point> {
    let inside = |point: Point| sign * (point[axis] - limit) >= 0.0;
    if ring.iter().all(|point| inside(*point)) {
        return ring.to_vec();
    }
    let mut clipped = Vec::with_capacity(ring.len() + 4);
    for edge @ [from, to] in edges(ring) {
        if inside(from) != inside(to) {
            let mut crossing = at_share(edge, (limit - from[axis]) / (to[axis] - from[axis]));
            crossing[axis] = limit;
            clipped.push(crossing);
        }
        if inside(to) {
            clipped.push(to);
        }
    }
    clipped
}

/// An edge, the ring it belongs to, and its place among the `count` edges of the ring.
struct Side {
    edge: Segment,
    ring: usize,
    index: usize,
    count: usize,
}

impl Side {
    fn left(&self) -> f64 {
        self.edge[0][0].min(self.edge[1][0])
    }

    fn right(&self) -> f64 {
        self.edge[0][0].max(self.edge[1][0])
    }

    /// Whether this edge and another have a point in common that they should not have.
    fn meets(&self, other: &Side, near: f64) -> bool {
        let (one, two) = (self.edge, other.edge);
        let touches = |edge: Segment, point: Point| distance_to_segment(point, edge) <= near;
        let is_next = |one: &Side, other: &Side| one.ring == other.ring && (one.index + 1) % one.count == other.index;
        // Neighbours share a corner; they may not share more, so that only the far ends must keep away.
        if is_next(self, other) {
            return touches(one, two[1]) || touches(two, one[0]);
        }
        if is_next(other, self) {
            return touches(one, two[0]) || touches(two, one[1]);
        }
        let is_left = |edge: Segment, point: Point| cross(way(edge), way([edge[0], point])) > 0.0;
        let crosses = is_left(one, two[0]) != is_left(one, two[1]) && is_left(two, one[0]) != is_left(two, one[1]);
        crosses || two.iter().any(|end| touches(one, *end)) || one.iter().any(|end| touches(two, *end))
    }
}

/// Two rings whose edges meet, or one ring twice when it meets itself; the lowest such pair.
///
/// The edges are taken from left to right and each is compared with those that start before it ends.
pub(super) fn meeting(rings: &[Vec<Point>], near: f64) -> Option<(usize, usize)> {
    let mut sides: Vec<Side> = (rings.iter().enumerate())
        .flat_map(|(ring, corners)| {
            let count = corners.len();
            edges(corners).enumerate().map(move |(index, edge)| Side { edge, ring, index, count })
        })
        .collect();
    sides.sort_by(|one, other| one.left().total_cmp(&other.left()));
    let mut lowest = None;
    for (index, side) in sides.iter().enumerate() {
        for other in sides[index + 1..].iter().take_while(|other| other.left() <= side.right() + near) {
            let pair = (side.ring.min(other.ring), side.ring.max(other.ring));
            if lowest.is_none_or(|lowest| pair < lowest) && side.meets(other, near) {
                lowest = Some(pair);
            }
        }
    }
    lowest
}
