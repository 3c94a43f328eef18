//! Plane geometry of drawings: points, boxes, clipping at free edges, and the outline of overlapping squares.
//!
//! Lengths are millimetres; y points down, as in SVG. Nothing here knows what is drawn.

use std::collections::BTreeMap;
use std::ops::{Add, Mul, Sub};

/// Coordinates nearer than this, in millimetres, are one.
pub(super) const SAME: f64 = 1e-6;

/// A point or a vector.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(super) struct Point {
    pub x: f64,
    pub y: f64,
}

/// A point.
pub(super) fn at(x: f64, y: f64) -> Point {
    Point { x, y }
}

impl Add for Point {
    type Output = Point;
    fn add(self, other: Point) -> Point {
        at(self.x + other.x, self.y + other.y)
    }
}

impl Sub for Point {
    type Output = Point;
    fn sub(self, other: Point) -> Point {
        at(self.x - other.x, self.y - other.y)
    }
}

impl Mul<f64> for Point {
    type Output = Point;
    fn mul(self, factor: f64) -> Point {
        at(self.x * factor, self.y * factor)
    }
}

impl Point {
    /// The scalar product.
    pub(super) fn dot(self, other: Point) -> f64 {
        self.x * other.x + self.y * other.y
    }

    /// The length.
    pub(super) fn length(self) -> f64 {
        self.dot(self).sqrt()
    }

    /// Turned by a quarter.
    pub(super) fn turned(self) -> Point {
        at(-self.y, self.x)
    }
}

/// A box parallel to the axes.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(super) struct Bounds {
    pub low: Point,
    pub high: Point,
}

impl Bounds {
    /// Of nothing.
    pub(super) const NONE: Bounds = Bounds {
        low: Point { x: f64::INFINITY, y: f64::INFINITY },
        high: Point { x: f64::NEG_INFINITY, y: f64::NEG_INFINITY },
    };

    /// About a centre.
    pub(super) fn about(centre: Point, half_width: f64, half_height: f64) -> Self {
        let half = at(half_width, half_height);
        Bounds { low: centre - half, high: centre + half }
    }

    /// Of points.
    pub(super) fn of(points: impl IntoIterator<Item = Point>) -> Self {
        let mut bounds = Bounds::NONE;
        for point in points {
            bounds.include(point);
        }
        bounds
    }

    /// Widens to hold a point.
    pub(super) fn include(&mut self, point: Point) {
        self.low = at(self.low.x.min(point.x), self.low.y.min(point.y));
        self.high = at(self.high.x.max(point.x), self.high.y.max(point.y));
    }

    /// Widens to hold another box.
    pub(super) fn join(&mut self, other: Bounds) {
        self.low = at(self.low.x.min(other.low.x), self.low.y.min(other.low.y));
        self.high = at(self.high.x.max(other.high.x), self.high.y.max(other.high.y));
    }

    /// Widened on all sides.
    pub(super) fn grown(self, by: f64) -> Self {
        Bounds { low: self.low - at(by, by), high: self.high + at(by, by) }
    }

    /// Widened on both sides of a direction, but not along it.
    pub(super) fn grown_across(self, along: Point, by: f64) -> Self {
        let across = along.turned() * (by / along.length());
        let by = at(across.x.abs(), across.y.abs());
        Bounds { low: self.low - by, high: self.high + by }
    }

    /// Width.
    pub(super) fn width(self) -> f64 {
        self.high.x - self.low.x
    }

    /// Height.
    pub(super) fn height(self) -> f64 {
        self.high.y - self.low.y
    }

    /// Centre.
    pub(super) fn centre(self) -> Point {
        (self.low + self.high) * 0.5
    }

    /// The corners in turn.
    pub(super) fn corners(self) -> [Point; 4] {
        let Bounds { low, high } = self;
        [low, at(high.x, low.y), high, at(low.x, high.y)]
    }

    /// Whether it holds a point; not one whose coordinates are no numbers.
    pub(super) fn contains(self, point: Point) -> bool {
        (self.low.x..=self.high.x).contains(&point.x) && (self.low.y..=self.high.y).contains(&point.y)
    }

    /// Area shared with another box.
    pub(super) fn shared(self, other: Bounds) -> f64 {
        let width = self.high.x.min(other.high.x) - self.low.x.max(other.low.x);
        let height = self.high.y.min(other.high.y) - self.low.y.max(other.low.y);
        width.max(0.0) * height.max(0.0)
    }
}

/// The side of a straight line where `normal` · p <= `distance`; the normal has length 1.
#[derive(Copy, Clone, Debug)]
pub(super) struct HalfPlane {
    pub normal: Point,
    pub distance: f64,
}

impl HalfPlane {
    /// How far a point lies inside; negative outside.
    pub(super) fn depth(self, point: Point) -> f64 {
        self.distance - self.normal.dot(point)
    }

    /// The foot of the perpendicular from a point.
    pub(super) fn foot(self, point: Point) -> Point {
        point + self.normal * self.depth(point)
    }
}

/// A convex outline: each corner with the half-plane that bounds the side behind it, none for a side of the view.
pub(super) type Outline = Vec<(Point, Option<usize>)>;

/// The part of a view that lies in all half-planes; empty where there is none.
pub(super) fn clipped(view: Bounds, planes: &[HalfPlane]) -> Outline {
    let mut outline: Outline = view.corners().into_iter().map(|corner| (corner, None)).collect();
    for (index, plane) in planes.iter().enumerate() {
        let mut next = Outline::new();
        for (place, (start, side)) in outline.iter().enumerate() {
            let (end, _) = outline[(place + 1) % outline.len()];
            let (from, to) = (plane.depth(*start), plane.depth(end));
            let crossing = || *start + (end - *start) * (from / (from - to));
            match (from >= 0.0, to >= 0.0) {
                (true, true) => next.push((*start, *side)),
                (true, false) => next.extend([(*start, *side), (crossing(), Some(index))]),
                (false, true) => next.push((crossing(), *side)),
                (false, false) => {}
            }
        }
        outline = next;
    }
    outline
}

/// The sides of an outline: start, end, and what bounds it.
pub(super) fn sides(outline: &Outline) -> impl Iterator<Item = (Point, Point, Option<usize>)> + '_ {
    outline.iter().enumerate().filter_map(|(place, (start, side))| {
        let (end, _) = outline[(place + 1) % outline.len()];
        ((end - *start).length() > SAME).then_some((*start, end, *side))
    })
}

/// The part of a line that lies in all half-planes.
pub(super) fn clipped_line(start: Point, end: Point, planes: &[HalfPlane]) -> Option<(Point, Point)> {
    let (mut first, mut last) = (0.0_f64, 1.0_f64);
    for plane in planes {
        let (from, to) = (plane.depth(start), plane.depth(end));
        match (from >= -SAME, to >= -SAME) {
            (true, true) => {}
            (true, false) => last = last.min(from / (from - to)),
            (false, true) => first = first.max(from / (from - to)),
            (false, false) => return None,
        }
    }
    let along = |part: f64| start + (end - start) * part;
    (last - first > SAME).then(|| (along(first), along(last)))
}

/// Ascending values, those that are the same only once.
pub(super) fn distinct(values: impl IntoIterator<Item = f64>, tolerance: f64) -> Vec<f64> {
    let mut sorted: Vec<f64> = values.into_iter().collect();
    sorted.sort_by(f64::total_cmp);
    sorted.dedup_by(|next, kept| *next - *kept <= tolerance);
    sorted
}

/// The outline of squares that may overlap, as closed loops of corners.
pub(super) fn union_outline(centres: &[Point], half_side: f64) -> Vec<Vec<Point>> {
    let lines = |of: fn(&Point) -> f64| {
        distinct(centres.iter().flat_map(|centre| [of(centre) - half_side, of(centre) + half_side]), SAME)
    };
    let (xs, ys) = (lines(|point| point.x), lines(|point| point.y));
    let covers = |column: usize, row: usize| {
        if column == 0 || row == 0 || column >= xs.len() || row >= ys.len() {
            return false;
        }
        let middle = at((xs[column - 1] + xs[column]) / 2.0, (ys[row - 1] + ys[row]) / 2.0);
        centres.iter().any(|centre| (middle.x - centre.x).abs() < half_side && (middle.y - centre.y).abs() < half_side)
    };
    // Cell (c, r) lies between the lines c - 1 and c; steps run so that what is covered lies on the right.
    let mut steps: BTreeMap<(usize, usize), Vec<(usize, usize)>> = BTreeMap::new();
    for column in 0..=xs.len() {
        for row in 0..=ys.len() {
            let here = covers(column, row);
            if column > 0 && column < xs.len() && here != covers(column, row + 1) {
                let (from, to) = if here { (column, column - 1) } else { (column - 1, column) };
                steps.entry((from, row)).or_default().push((to, row));
            }
            if row > 0 && row < ys.len() && here != covers(column + 1, row) {
                let (from, to) = if here { (row - 1, row) } else { (row, row - 1) };
                steps.entry((column, from)).or_default().push((column, to));
            }
        }
    }
    let mut loops = Vec::new();
    while let Some((start, _)) = steps.first_key_value() {
        let start = *start;
        let mut corners = vec![start];
        let mut place = start;
        while let Some(next) = steps.get_mut(&place).and_then(Vec::pop) {
            if steps.get(&place).is_some_and(Vec::is_empty) {
                steps.remove(&place);
            }
            let count = corners.len();
            if count >= 2 && is_straight(corners[count - 2], corners[count - 1], next) {
                corners[count - 1] = next;
            } else {
                corners.push(next);
            }
            place = next;
        }
        loops.push(corners.into_iter().filter_map(|(column, row)| Some(at(*xs.get(column)?, *ys.get(row)?))).collect());
    }
    loops
}

fn is_straight(a: (usize, usize), b: (usize, usize), c: (usize, usize)) -> bool {
    (a.0 == b.0 && b.0 == c.0) || (a.1 == b.1 && b.1 == c.1)
}
