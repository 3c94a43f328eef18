//! The part of the plate that lies below zero under a plane: its moments, and its polygons for drawing.
//!
//! In go the rings of a plate, material to the left of every edge, and a plane w = a + b x + c y.
//! Everything is computed in axes that lie on the line w = 0 ([`Axes`]): there the edge that closes the cut polygon adds
//! nothing, so that the sums need no list of corners, and a contact zone narrower than a millionth of the plate keeps its
//! digits.

use super::{NEAR, Place};
use crate::numerics::polygon::{at_share, cross, way};

/// Lines further from the middle than this miss the plate, whose box reaches from -1 to 1.
const FAR: f64 = 3.0;

/// Axes n and t for a plane: n along its gradient and t to the left of it, from a place on its zero line.
///
/// When the zero line misses the plate they are x and y.
#[derive(Debug, Clone, Copy)]
pub(super) struct Axes {
    origin: Place,
    cos: f64,
    sin: f64,
    /// The plane as w = e_0 + e_n n + e_t t.
    pub(super) plane: [f64; 3],
    has_zero_line: bool,
}

impl Axes {
    pub(super) fn of(plane @ [a, b, c]: [f64; 3]) -> Axes {
        let slope = (b * b + c * c).sqrt();
        if a.abs() < FAR * slope {
            let (cos, sin) = (b / slope, c / slope);
            let origin = [-a / slope * cos, -a / slope * sin];
            Axes { origin, cos, sin, plane: [0.0, slope, 0.0], has_zero_line: true }
        } else {
            Axes { origin: [0.0, 0.0], cos: 1.0, sin: 0.0, plane, has_zero_line: false }
        }
    }

    /// A place as (n, t).
    pub(super) fn local(&self, place: Place) -> Place {
        let [x, y] = way([self.origin, place]);
        [self.cos * x + self.sin * y, self.cos * y - self.sin * x]
    }

    /// A place given as (n, t).
    fn global(&self, [n, t]: Place) -> Place {
        let [x, y] = self.origin;
        [x + self.cos * n - self.sin * t, y + self.sin * n + self.cos * t]
    }

    /// A force with its moments about the middle, taken about these axes.
    pub(super) fn local_force(&self, [n, x, y]: [f64; 3]) -> [f64; 3] {
        let [x, y] = [x - n * self.origin[0], y - n * self.origin[1]];
        [n, self.cos * x + self.sin * y, self.cos * y - self.sin * x]
    }

    /// A force with its moments about these axes, taken about the middle.
    pub(super) fn global_force(&self, [n, along, across]: [f64; 3]) -> [f64; 3] {
        let x = n * self.origin[0] + self.cos * along - self.sin * across;
        [n, x, n * self.origin[1] + self.sin * along + self.cos * across]
    }

    /// A plane given in these axes, as a, b and c.
    pub(super) fn global_plane(&self, [start, along, across]: [f64; 3]) -> [f64; 3] {
        let b = self.cos * along - self.sin * across;
        let c = self.sin * along + self.cos * across;
        [start - b * self.origin[0] - c * self.origin[1], b, c]
    }

    /// w at (n, t).
    pub(super) fn rise(&self, local: Place) -> f64 {
        self.plane[0] + self.plane[1] * local[0] + self.plane[2] * local[1]
    }
}

/// Area, first and second moments of a region about its axes.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Moments {
    pub(super) area: f64,
    n: f64,
    t: f64,
    nn: f64,
    nt: f64,
    tt: f64,
}

impl Moments {
    /// Adds the triangle from the origin to two places, negative when they run clockwise.
    fn add_triangle(&mut self, p: Place, q: Place) {
        let cross = cross(p, q);
        self.area += cross / 2.0;
        self.n += cross * (p[0] + q[0]) / 6.0;
        self.t += cross * (p[1] + q[1]) / 6.0;
        self.nn += cross * (p[0] * p[0] + p[0] * q[0] + q[0] * q[0]) / 12.0;
        self.tt += cross * (p[1] * p[1] + p[1] * q[1] + q[1] * q[1]) / 12.0;
        self.nt += cross * (2.0 * p[0] * p[1] + p[0] * q[1] + q[0] * p[1] + 2.0 * q[0] * q[1]) / 24.0;
    }

    /// The integral of (1, n, t) (1, n, t)ᵀ.
    pub(super) fn matrix(&self) -> [[f64; 3]; 3] {
        [[self.area, self.n, self.t], [self.n, self.nn, self.nt], [self.t, self.nt, self.tt]]
    }
}

/// Moments of the region below zero about the axes; exact but for rounding.
pub(super) fn moments(rings: &[Vec<Place>], axes: &Axes) -> Moments {
    let mut moments = Moments::default();
    if !axes.has_zero_line && axes.plane[0] >= 0.0 {
        return moments;
    }
    for ring in rings {
        let Some(last) = ring.last() else { continue };
        let mut start = axes.local(*last);
        for corner in ring {
            let end = axes.local(*corner);
            if !axes.has_zero_line || (start[0] < 0.0 && end[0] < 0.0) {
                moments.add_triangle(start, end);
            } else if start[0] < 0.0 {
                moments.add_triangle(start, crossing(start, end));
            } else if end[0] < 0.0 {
                moments.add_triangle(crossing(start, end), end);
            }
            start = end;
        }
    }
    moments
}

/// Where an edge with one end below zero crosses the zero line.
fn crossing(start: Place, end: Place) -> Place {
    let share = start[0] / (start[0] - end[0]);
    [0.0, at_share([start, end], share)[1]]
}

/// The region below zero as polygons, material to the left of their edges, and the pieces of the zero line in the plate.
#[derive(Debug)]
pub(super) struct Cut {
    pub(super) polygons: Vec<Vec<Place>>,
    pub(super) zero_line: Vec<[Place; 2]>,
}

/// A part of a ring below zero, from where it enters to where it leaves; both ends by their t.
struct Chain {
    enters: f64,
    leaves: f64,
    corners: Vec<Place>,
}

/// Cuts the rings along the zero line.
pub(super) fn cut(rings: &[Vec<Place>], axes: &Axes) -> Cut {
    let mut polygons = Vec::new();
    let mut chains = Vec::new();
    if !axes.has_zero_line {
        let is_below = axes.plane[0] < 0.0;
        return Cut { polygons: if is_below { rings.to_vec() } else { polygons }, zero_line: Vec::new() };
    }
    for ring in rings {
        let local: Vec<Place> = ring.iter().map(|corner| axes.local(*corner)).collect();
        if local.iter().all(|corner| corner[0] < 0.0) {
            polygons.push(ring.clone());
        } else {
            chains.extend(below(&local));
        }
    }

    // Upwards along the line, material starts where a ring leaves the region and ends where one enters it. The k-th of
    // one kind therefore belongs to the k-th of the other, also when several lie in one place.
    let order = |end: fn(&Chain) -> f64| {
        let mut order: Vec<usize> = (0..chains.len()).collect();
        order.sort_by(|one, other| end(&chains[*one]).total_cmp(&end(&chains[*other])));
        order
    };
    let (leaving, entering) = (order(|chain| chain.leaves), order(|chain| chain.enters));
    let mut next = vec![0; chains.len()];
    let mut zero_line = Vec::new();
    for (leaves, enters) in leaving.into_iter().zip(entering) {
        next[leaves] = enters;
        let ends = [chains[leaves].leaves, chains[enters].enters];
        if ends[1] - ends[0] > NEAR {
            zero_line.push(ends.map(|t| axes.global([0.0, t])));
        }
    }
    let mut is_taken = vec![false; chains.len()];
    for first in 0..chains.len() {
        let (mut polygon, mut chain) = (Vec::new(), first);
        while !is_taken[chain] {
            is_taken[chain] = true;
            polygon.extend(chains[chain].corners.iter().map(|corner| axes.global(*corner)));
            chain = next[chain];
        }
        if !polygon.is_empty() {
            polygons.push(polygon);
        }
    }
    Cut { polygons, zero_line }
}

/// The parts of a ring below zero; the ring is not below zero as a whole.
fn below(ring: &[Place]) -> Vec<Chain> {
    let mut chains: Vec<Chain> = Vec::new();
    // Beginning at a corner that is not below, no part runs across the end of the list.
    let begin = ring.iter().position(|corner| corner[0] >= 0.0).unwrap_or(0);
    let mut last = ring[begin];
    for step in 1..=ring.len() {
        let corner = ring[(begin + step) % ring.len()];
        if corner[0] < 0.0 && last[0] >= 0.0 {
            let enters = crossing(last, corner);
            chains.push(Chain { enters: enters[1], leaves: enters[1], corners: vec![enters] });
        }
        if let Some(chain) = chains.last_mut() {
            if corner[0] < 0.0 {
                chain.corners.push(corner);
            } else if last[0] < 0.0 {
                let leaves = crossing(last, corner);
                chain.leaves = leaves[1];
                chain.corners.push(leaves);
            }
        }
        last = corner;
    }
    chains
}
