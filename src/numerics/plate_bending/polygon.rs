//! Polygons in the plane: inside or outside, distances, clipping to a rectangle.
//!
//! Coordinates are metres; a polygon is a ring of corners in either direction, without repeating the first.

/// A point in the plane of the plate, m.
pub(super) type Point = [f64; 2];

/// Whether two closed rings or segments meet, a point counts as inside, and so on, is judged with this tolerance, m.
pub(super) type Tolerance = f64;

/// The corners of a ring.
#[derive(Debug, Clone)]
pub(super) struct Polygon {
    pub(super) corners: Vec<Point>,
}

impl Polygon {
    /// The sides, the last one closing the ring.
    pub(super) fn sides(&self) -> impl Iterator<Item = [Point; 2]> {
        let next = self.corners.iter().cycle().skip(1);
        self.corners.iter().zip(next).map(|(from, to)| [*from, *to])
    }

    /// Area enclosed, positive in either direction.
    pub(super) fn area(&self) -> f64 {
        signed_area(&self.corners).abs()
    }

    /// Lowest and highest coordinates.
    pub(super) fn bounds(&self) -> [Point; 2] {
        bounds(&self.corners)
    }

    /// Whether the point lies inside or on the ring.
    pub(super) fn contains(&self, point: Point, tolerance: Tolerance) -> bool {
        self.distance_to_ring(point) <= tolerance || self.encloses(point)
    }

    /// Distance of a point to the nearest side.
    pub(super) fn distance_to_ring(&self, point: Point) -> f64 {
        self.sides().map(|side| distance_to_segment(point, side)).fold(f64::INFINITY, f64::min)
    }

    /// Whether the ring winds about the point, which must not lie on it.
    pub(super) fn encloses(&self, [x, y]: Point) -> bool {
        let crossings = self.sides().filter(|[from, to]| {
            (from[1] > y) != (to[1] > y) && {
                let part = (y - from[1]) / (to[1] - from[1]);
                x < from[0] + part * (to[0] - from[0])
            }
        });
        crossings.count() % 2 == 1
    }

    /// Whether two sides that are no neighbours touch, or two neighbours fold back on each other.
    pub(super) fn crosses_itself(&self, tolerance: Tolerance) -> bool {
        let sides: Vec<[Point; 2]> = self.sides().collect();
        let count = sides.len();
        (0..count).any(|one| {
            let next = (one + 1) % count;
            distance_to_segment(sides[next][1], sides[one]) <= tolerance
                || (one + 2..count)
                    .filter(|other| (other + 1) % count != one)
                    .any(|other| segments_touch(sides[one], sides[other], tolerance))
        })
    }

    /// Whether a segment runs through the ring: not merely along it, or up to it.
    pub(super) fn is_crossed_by(&self, segment: [Point; 2], tolerance: Tolerance) -> bool {
        self.sides().any(|side| {
            let [one, other] = segment.map(|end| offset(end, side));
            let [three, four] = side.map(|end| offset(end, segment));
            opposite(one, other, tolerance) && opposite(three, four, tolerance)
        })
    }
}

/// Whether two offsets stand on different sides of a line, neither on it.
fn opposite(one: f64, other: f64, tolerance: Tolerance) -> bool {
    one.min(other) < -tolerance && one.max(other) > tolerance
}

/// Signed distance of a point from the line through a segment, positive to its left.
fn offset(point: Point, [from, to]: [Point; 2]) -> f64 {
    let along = [to[0] - from[0], to[1] - from[1]];
    let across = along[0] * (point[1] - from[1]) - along[1] * (point[0] - from[0]);
    across / length([from, to])
}

fn segments_touch(one: [Point; 2], other: [Point; 2], tolerance: Tolerance) -> bool {
    let crossing = opposite(offset(one[0], other), offset(one[1], other), 0.0)
        && opposite(offset(other[0], one), offset(other[1], one), 0.0);
    crossing
        || one.iter().any(|end| distance_to_segment(*end, other) <= tolerance)
        || other.iter().any(|end| distance_to_segment(*end, one) <= tolerance)
}

/// Length of a segment.
pub(super) fn length([from, to]: [Point; 2]) -> f64 {
    libm::hypot(to[0] - from[0], to[1] - from[1])
}

/// Distance of a point to a segment.
pub(super) fn distance_to_segment(point: Point, [from, to]: [Point; 2]) -> f64 {
    let along = [to[0] - from[0], to[1] - from[1]];
    let square = along[0] * along[0] + along[1] * along[1];
    let part = ((point[0] - from[0]) * along[0] + (point[1] - from[1]) * along[1]) / square;
    let part = if square > 0.0 { part.clamp(0.0, 1.0) } else { 0.0 };
    libm::hypot(point[0] - from[0] - part * along[0], point[1] - from[1] - part * along[1])
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
pub(super) fn signed_area(corners: &[Point]) -> f64 {
    moments(corners)[0]
}

/// Area and first moments of a ring, all of one sign with its direction: ∫ dA, ∫ x dA, ∫ y dA.
pub(super) fn moments(corners: &[Point]) -> [f64; 3] {
    let Some(&origin) = corners.first() else { return [0.0; 3] };
    let mut sums = [0.0; 3];
    for pair in corners.windows(2) {
        let [a, b] = [pair[0], pair[1]].map(|corner| [corner[0] - origin[0], corner[1] - origin[1]]);
        let twice = a[0] * b[1] - a[1] * b[0];
        sums[0] += twice / 2.0;
        sums[1] += twice * (a[0] + b[0]) / 6.0;
        sums[2] += twice * (a[1] + b[1]) / 6.0;
    }
    [sums[0], sums[1] + origin[0] * sums[0], sums[2] + origin[1] * sums[0]]
}

/// The part of a ring inside the rectangle from `low` to `high` (Sutherland and Hodgman, 1974).
///
/// Where a ring is cut into several parts, they stay joined by sides along the rectangle that are run through twice.
/// They enclose nothing, so that every integral over the clipped ring is right.
pub(super) fn clip(corners: &[Point], low: Point, high: Point) -> Vec<Point> {
    let mut ring = corners.to_vec();
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
    for (index, &to) in ring.iter().enumerate() {
        let from = ring[(index + ring.len() - 1) % ring.len()];
        if inside(from) != inside(to) {
            let part = (limit - from[axis]) / (to[axis] - from[axis]);
            let mut crossing = [from[0] + part * (to[0] - from[0]), from[1] + part * (to[1] - from[1])];
            crossing[axis] = limit;
            clipped.push(crossing);
        }
        if inside(to) {
            clipped.push(to);
        }
    }
    clipped
}
