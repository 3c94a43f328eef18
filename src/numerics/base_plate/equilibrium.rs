//! The plane at which springs and bed balance a load: Newton's method on a convex potential.
//!
//! With P = (N, M_y, M_x) and q = (a, b, c), equilibrium is K(q) q = P, where K is the stiffness of the anchors in tension
//! and of the bed in contact. K q is the gradient of a convex function, the energy, and K is its Hessian.
//! Hence forces are unique, and Newton's step is K(q)⁻¹ P - q, the state that would follow if nothing opened or closed.
//!
//! Every load has a state as soon as one anchor stands inside the convex hull of the plate: a plane that is nowhere below
//! zero on the plate and nowhere above zero at an anchor touches zero inside the hull and is zero everywhere, so that the
//! energy grows with the square of q in every direction. Without an anchor the state exists when the resultant presses
//! inside the hull; on the hull's edge the pressure would be infinite. [`solve`] relies on this and looks no further.

use super::NoState;
use super::contact::{Axes, moments};
use super::shape::{Shape, Spring};
use super::twofold::Twofold;
use crate::numerics::polygon;

/// A residual that nothing is gained from making smaller, relative to the load.
const ENOUGH: f64 = 1e-14;
/// A residual that counts as equilibrium, relative to the load.
const BALANCED: f64 = 1e-9;
/// Random plates and loads need five at the mean. Near the edge of what can be balanced they need tens, since a step leaves
/// two thirds of the width of a contact zone that must become narrow.
const ITERATIONS: usize = 200;
/// A resultant nearer to the edge than this, relative to the size of the plate, passes on the edge: a narrower zone in
/// contact has no digits left to balance it to nine.
const ON_EDGE: f64 = 1e-5;
/// Looks along one direction.
const LOOKS: usize = 80;
/// An axis with less of the stiffness than this has none: a zone of a hundred-thousandth of the plate's width has more
/// than a thousand times as much about its own line.
const NO_AXIS: f64 = 1e-15;
/// A pivot below this, of a matrix whose diagonal was 1, is what rounding left of zero.
const NO_PIVOT: f64 = 1e-10;
/// How far a plate that nothing resists goes, by the moment that is not balanced: out of any reach, but not infinitely.
const FAR_AWAY: f64 = 1e13;

/// What holds a plate at one plane.
#[derive(Debug)]
pub(super) struct Response {
    pub(super) axes: Axes,
    /// Stiffness K about the axes.
    stiffness: [[f64; 3]; 3],
    /// Force of the bed with its moments, about the middle; the force is negative.
    pub(super) bed: [f64; 3],
    /// Area in contact.
    pub(super) area: f64,
    /// K q - P about the axes, and about the middle.
    local_residual: [f64; 3],
    residual: [f64; 3],
}

/// A plane in equilibrium with a load of length 1.
#[derive(Debug)]
pub(super) struct Solution {
    pub(super) plane: Twofold,
    pub(super) response: Response,
    pub(super) residual: f64,
    pub(super) iterations: usize,
}

impl Response {
    fn of(shape: &Shape, plane: Twofold, load: [f64; 3]) -> Response {
        let axes = Axes::of(plane.rounded());
        let contact = moments(&shape.rings, &axes);
        let mut stiffness = contact.matrix().map(|row| row.map(|value| value * shape.bed));
        let bed = times(&stiffness, axes.plane);
        let mut local_residual = bed;
        for Spring { place, stiffness: spring } in &shape.springs {
            let rise = plane.rise(*place);
            if rise > 0.0 {
                let local = axes.local(*place);
                let shares = [1.0, local[0], local[1]];
                for (row, share) in shares.iter().enumerate() {
                    local_residual[row] += spring * rise * share;
                    (0..3).for_each(|column| stiffness[row][column] += spring * share * shares[column]);
                }
            }
        }
        local_residual.iter_mut().zip(axes.local_force(load)).for_each(|(held, load)| *held -= load);
        let residual = axes.global_force(local_residual);
        Response { axes, stiffness, bed: axes.global_force(bed), area: contact.area, local_residual, residual }
    }

    /// Newton's step as a plane: -K⁻¹ r.
    ///
    /// Each axis is scaled so that the diagonal is 1, which no narrow contact zone makes singular. Where nothing resists,
    /// as when the anchors in tension stand in one line, the step goes by `yielding` times what is left of r.
    fn step(&self, yielding: f64) -> [f64; 3] {
        let trace: f64 = (0..3).map(|axis| self.stiffness[axis][axis]).sum();
        let scale: [f64; 3] = core::array::from_fn(|axis| {
            let stiffness = self.stiffness[axis][axis];
            let scale = if stiffness > trace * NO_AXIS { stiffness } else { trace };
            if scale > 0.0 { scale.sqrt() } else { 1.0 }
        });
        let mut rest: [f64; 3] = core::array::from_fn(|row| -self.local_residual[row] / scale[row]);
        let mut matrix: [[f64; 3]; 3] = core::array::from_fn(|row| {
            core::array::from_fn(|column| self.stiffness[row][column] / (scale[row] * scale[column]))
        });

        // Gauss with the largest of the diagonal as pivot, which keeps what is left positive.
        let mut is_left = [true; 3];
        let mut order = Vec::with_capacity(3);
        while let Some(pivot) = largest(&matrix, is_left).filter(|pivot| matrix[*pivot][*pivot] > NO_PIVOT) {
            is_left[pivot] = false;
            order.push(pivot);
            for row in (0..3).filter(|row| is_left[*row]) {
                let factor = matrix[row][pivot] / matrix[pivot][pivot];
                (0..3).for_each(|column| matrix[row][column] -= factor * matrix[pivot][column]);
                rest[row] -= factor * rest[pivot];
            }
        }
        let mut step: [f64; 3] = core::array::from_fn(|axis| if is_left[axis] { yielding * rest[axis] } else { 0.0 });
        for (known, row) in order.iter().enumerate().rev() {
            let later = (0..3).filter(|column| is_left[*column] || order[known + 1..].contains(column));
            step[*row] = (rest[*row] - later.map(|column| matrix[*row][column] * step[column]).sum::<f64>())
                / matrix[*row][*row];
        }
        self.axes.global_plane(core::array::from_fn(|axis| step[axis] / scale[axis]))
    }

    fn size(&self) -> f64 {
        length(self.residual)
    }
}

/// The plane for a load of length 1, or why there is none.
pub(super) fn solve(shape: &Shape, load: [f64; 3]) -> Result<Solution, NoState> {
    if shape.springs.is_empty() {
        presses_inside(shape, load)?;
    }
    // The full bed and all anchors together have the stiffness 1.
    let mut plane = Twofold::of(load);
    let mut response = Response::of(shape, plane, load);
    let mut iterations = 0;
    while response.size() > ENOUGH && iterations < ITERATIONS {
        let settled = plane.plus(response.step(0.0), 1.0);
        let at_settled = Response::of(shape, settled, load);
        // Once in balance, every gain is welcome.
        let enough = if response.size() <= BALANCED { response.size() } else { response.size() / 2.0 };
        if at_settled.size() < enough {
            (plane, response) = (settled, at_settled);
        } else if response.size() <= BALANCED {
            // Rounding has the last word.
            break;
        } else {
            let step = response.step(FAR_AWAY);
            plane = plane.plus(step, lowest(shape, load, plane, step, &response));
            response = Response::of(shape, plane, load);
        }
        iterations += 1;
    }
    let residual = response.size();
    // Written so that a residual that is no number is refused as well.
    if residual <= BALANCED {
        Ok(Solution { plane, response, residual, iterations })
    } else {
        Err(NoState::IterationLimit(residual))
    }
}

/// How far along `step` the potential is about lowest, when it is not so at the full step.
///
/// The slope of the potential is the residual times the step. It rises along the step from a negative value, piece by
/// piece smoothly and in the end like a straight line, so that its zero is enclosed and the chord finds it quickly, also
/// when the step leads out of any reach. Slopes are compared and not values of the potential, whose
/// differences drown in rounding near the end.
fn lowest(shape: &Shape, load: [f64; 3], plane: Twofold, step: [f64; 3], start: &Response) -> f64 {
    let slope = |share: f64| dot(Response::of(shape, plane.plus(step, share), load).residual, step);
    let begin = dot(start.residual, step);
    let is_flat = |slope: f64| slope.abs() <= begin.abs() / 2.0;
    let (mut low, mut low_slope) = (0.0, begin);
    let (mut high, mut high_slope) = (1.0, slope(1.0));
    for _ in 0..LOOKS {
        if high_slope < 0.0 && !is_flat(high_slope) {
            (low, low_slope) = (high, high_slope);
            high *= 2.0;
            high_slope = slope(high);
        } else {
            break;
        }
    }
    if is_flat(high_slope) {
        return high;
    }
    for _ in 0..LOOKS {
        let middle = low + (high - low) * (low_slope / (low_slope - high_slope)).clamp(0.0, 0.9);
        let value = slope(middle);
        if is_flat(value) || middle <= low {
            return middle;
        }
        // Halving the slope at the end that stays keeps the chord from creeping.
        if value < 0.0 {
            (low, low_slope) = (middle, value);
            high_slope /= 2.0;
        } else {
            (high, high_slope) = (middle, value);
            low_slope /= 2.0;
        }
    }
    low
}

/// The axis with the largest pivot among those that are left.
fn largest(matrix: &[[f64; 3]; 3], is_left: [bool; 3]) -> Option<usize> {
    let left = (0..3).filter(|axis| is_left[*axis]);
    left.reduce(|one, other| if matrix[other][other] > matrix[one][one] { other } else { one })
}

/// Whether a load presses a plate without anchors down at a place inside its convex hull.
fn presses_inside(shape: &Shape, [n, m_y, m_x]: [f64; 3]) -> Result<(), NoState> {
    if n > 0.0 {
        return Err(NoState::LiftsOff);
    }
    let hull = polygon::hull(&shape.rings[0]);
    let resultant = [m_y, m_x];
    // The moment about every edge of the hull, which needs no division by a force that may be zero.
    let is_inside = polygon::edges(&hull).all(|edge| {
        let along = polygon::way(edge);
        let moment = polygon::cross(along, resultant) - n * polygon::cross(along, edge[0]);
        -moment / polygon::length(edge) > ON_EDGE * -n && n < 0.0
    });
    if is_inside { Ok(()) } else { Err(NoState::Overturns) }
}

fn times(matrix: &[[f64; 3]; 3], vector: [f64; 3]) -> [f64; 3] {
    matrix.map(|row| dot(row, vector))
}

fn dot(one: [f64; 3], other: [f64; 3]) -> f64 {
    one[0] * other[0] + one[1] * other[1] + one[2] * other[2]
}

pub(super) fn length(vector: [f64; 3]) -> f64 {
    dot(vector, vector).sqrt()
}
