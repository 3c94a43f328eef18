//! A region of the plane bounded by loops of corners, such as a plate with holes: what lies in it, and what of a line does.
//!
//! A point is inside where an odd number of loops goes round it, so that a loop within another is a hole.
//! Lines are cut at the loops themselves rather than by a clip path of SVG, which would need a name on the page.

use super::drawing::Path;
use super::geometry::{Bounds, Point, SAME, at};

/// Strokes of a hatching at most.
const MOST_STROKES: f64 = 400.0;

/// A region bounded by closed loops; the last corner of a loop leads back to its first.
#[derive(Clone, Debug)]
pub(super) struct Region {
    pub loops: Vec<Vec<Point>>,
}

impl Region {
    /// The box about it.
    pub(super) fn bounds(&self) -> Bounds {
        Bounds::of(self.loops.iter().flatten().copied())
    }

    /// The sides of all loops.
    fn sides(&self) -> impl Iterator<Item = (Point, Point)> + '_ {
        self.loops.iter().flat_map(|corners| {
            corners.iter().enumerate().map(|(index, from)| (*from, corners[(index + 1) % corners.len()]))
        })
    }

    /// Whether a point lies inside; on a side it may be either.
    pub(super) fn contains(&self, point: Point) -> bool {
        let crosses = |(from, to): &(Point, Point)| {
            (from.y > point.y) != (to.y > point.y)
                && point.x < from.x + (to.x - from.x) * (point.y - from.y) / (to.y - from.y)
        };
        self.sides().filter(crosses).count() % 2 == 1
    }

    /// The distance of a point from the nearest side.
    pub(super) fn distance(&self, point: Point) -> f64 {
        let to_side = |(from, to): (Point, Point)| {
            let along = to - from;
            let part = ((point - from).dot(along) / along.dot(along).max(SAME * SAME)).clamp(0.0, 1.0);
            (from + along * part - point).length()
        };
        self.sides().map(to_side).fold(f64::INFINITY, f64::min)
    }

    /// The pieces of a line through points that lie inside, each through at least two points.
    pub(super) fn clipped(&self, line: &[Point]) -> Vec<Vec<Point>> {
        let mut pieces: Vec<Vec<Point>> = Vec::new();
        for pair in line.windows(2) {
            for (from, to) in self.inside(pair[0], pair[1]) {
                match pieces.last_mut() {
                    Some(piece) if piece.last().is_some_and(|end| (*end - from).length() <= SAME) => piece.push(to),
                    _ => pieces.push(vec![from, to]),
                }
            }
        }
        pieces
    }

    /// The parts of a straight line that lie inside.
    fn inside(&self, from: Point, to: Point) -> Vec<(Point, Point)> {
        let along = to - from;
        if along.length() <= SAME {
            return Vec::new();
        }
        let mut parts = vec![0.0, 1.0];
        for (start, end) in self.sides() {
            let side = end - start;
            let across = along.turned().dot(side);
            let part = side.turned().dot(start - from) / side.turned().dot(along);
            let place = along.turned().dot(from - start) / across;
            if part > 0.0 && part < 1.0 && (0.0..=1.0).contains(&place) {
                parts.push(part);
            }
        }
        parts.sort_by(f64::total_cmp);
        let point = |part: f64| from + along * part;
        let pieces = parts.windows(2).filter(|pair| pair[1] - pair[0] > 1e-9);
        let pieces = pieces.filter(|pair| self.contains(point((pair[0] + pair[1]) / 2.0)));
        let mut inside: Vec<(f64, f64)> = Vec::new();
        for pair in pieces {
            match inside.last_mut() {
                Some(last) if pair[0] - last.1 <= 1e-9 => last.1 = pair[1],
                _ => inside.push((pair[0], pair[1])),
            }
        }
        inside.into_iter().map(|(first, last)| (point(first), point(last))).collect()
    }

    /// Strokes that rise to the right, so far from each other across them.
    pub(super) fn hatching(&self, spacing: f64) -> Path {
        let bounds = self.bounds();
        let (width, height) = (bounds.width(), bounds.height());
        let count = ((width + height) / (spacing * std::f64::consts::SQRT_2)).ceil().clamp(1.0, MOST_STROKES);
        let mut strokes = Path::default();
        for index in 0..count as usize {
            // The stroke x + y = offset, from the left side of the box to its right.
            let offset = (width + height) * (index as f64 + 0.5) / count;
            let stroke = [bounds.low + at(0.0, offset), bounds.low + at(width, offset - width)];
            for piece in self.clipped(&stroke) {
                strokes.add(piece);
            }
        }
        strokes
    }

    /// Its outline.
    pub(super) fn outline(&self) -> Path {
        let mut outline = Path::default();
        for corners in &self.loops {
            outline.add_around(corners.iter().copied());
        }
        outline
    }
}
