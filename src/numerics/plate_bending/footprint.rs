//! What the column does to the unknowns: values at nodes that follow its rigid body, and tethers where no node is.
//!
//! The rigid body has three unknowns: the deflection a at the reference point and the slopes b and c along x and y, so
//! that w = a + b (x − x_r) + c (y − y_r).
//!
//! - A node in a filled area follows with all of its values.
//! - A node on a wall along a mesh line follows with w and the slope along the wall; across it the plate may turn.
//! - An oblique wall or side of a filled area crosses cells anywhere.
//!   There stiff springs tether the plate to the body at points that are half a cell apart, or less.

use super::mesh::Mesh;
use super::problem::{Footprint, Problem, is_in_or_on};
use crate::numerics::polygon::{Point, Segment, at_share, edges, length, way};

/// The unknowns of the rigid body come first.
pub(super) const RIGID: usize = 3;

/// Stiffness of a tether over that of a cell: ten thousand times less movement than the cell's own.
const TETHER: f64 = 1e4;

/// Tethers for each length of a cell along a wall, across which the plate may turn.
///
/// Half as many leave the plate to bulge between them, and twice as many gain nothing.
const ON_WALL: f64 = 4.0;

/// Tethers for each length of a cell along the edge of a filled area, each with deflection and slope.
const ON_EDGE: f64 = 2.0;

/// How a value at a node is found from the unknowns.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Value {
    /// An unknown of its own.
    Free,
    /// Zero.
    Held,
    /// That of the rigid body.
    Tied,
}

/// A value as a combination of at most three unknowns.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Tie {
    terms: [(usize, f64); 3],
    count: usize,
}

impl Tie {
    pub(super) fn terms(&self) -> &[(usize, f64)] {
        &self.terms[..self.count]
    }

    fn of(unknowns: &[(usize, f64)]) -> Tie {
        let mut tie = Tie { count: unknowns.len(), ..Tie::default() };
        tie.terms[..unknowns.len()].copy_from_slice(unknowns);
        tie
    }
}

/// The unknowns, and how each value at each node is found from them.
#[derive(Debug, Clone)]
pub(super) struct Unknowns {
    pub(super) count: usize,
    /// One for each value, four for each node.
    pub(super) ties: Vec<Tie>,
    /// The point at which the rigid body's deflection is measured.
    pub(super) reference: Point,
}

impl Unknowns {
    /// Numbers the free values; the rigid body's unknowns come before them where there is one, with its reference point.
    pub(super) fn number(mesh: &Mesh, values: &[Value], reference: Option<Point>) -> Unknowns {
        let mut count = if reference.is_some() { RIGID } else { 0 };
        let [x, y] = reference.unwrap_or_default();
        let ties = values.iter().enumerate().map(|(index, value)| {
            let (node, derivative) = (index / 4, index % 4);
            match value {
                Value::Held => Tie::default(),
                Value::Tied => {
                    let place = mesh.place(node);
                    match derivative {
                        0 => Tie::of(&[(0, 1.0), (1, place[0] - x), (2, place[1] - y)]),
                        1 => Tie::of(&[(1, 1.0)]),
                        2 => Tie::of(&[(2, 1.0)]),
                        _ => Tie::default(),
                    }
                }
                Value::Free => {
                    count += 1;
                    Tie::of(&[(count - 1, 1.0)])
                }
            }
        });
        let ties = ties.collect();
        Unknowns { count, ties, reference: [x, y] }
    }

    /// The values at the nodes for given unknowns.
    pub(super) fn values(&self, unknowns: &[f64]) -> Vec<f64> {
        let value = |tie: &Tie| tie.terms().iter().map(|(unknown, factor)| factor * unknowns[*unknown]).sum();
        self.ties.iter().map(value).collect()
    }
}

/// A stiff spring between the plate and the rigid body.
#[derive(Debug, Clone, Copy)]
pub(super) struct Tether {
    pub(super) at: Point,
    /// The direction of the slope that is tied; the deflection is tied where there is none.
    pub(super) slope: Option<Point>,
    pub(super) stiffness: f64,
}

/// What follows the rigid body at the nodes, and the tethers elsewhere.
pub(super) fn hold(mesh: &Mesh, problem: &Problem) -> (Unknowns, Vec<Tether>) {
    // Nodes that no cell has stay where they are.
    let mut values = vec![Value::Held; 4 * mesh.nodes()];
    let used = mesh.cells.iter().flat_map(|cell| mesh.corners(cell));
    used.for_each(|node| values[4 * node..4 * node + 4].fill(Value::Free));
    let mut tethers = Vec::new();
    let footprint = &problem.footprint;
    for wall in &footprint.walls {
        if !tie_wall(mesh, *wall, problem.tolerance, &mut values) {
            tethers.extend(wall_tethers(mesh, *wall, problem.rigidity, false));
        }
    }
    for area in &footprint.filled {
        tie_area(mesh, area, problem.tolerance, &mut values);
        let oblique = edges(area).filter(|side| axis_across(*side, problem.tolerance).is_none());
        tethers.extend(oblique.flat_map(|side| wall_tethers(mesh, side, problem.rigidity, true)));
    }
    (Unknowns::number(mesh, &values, Some(footprint.reference)), tethers)
}

/// The stiffness that the rigid body needs of itself: about the line that its footprint is, nothing else holds it.
///
/// No moment acts about that line, so that the size of the stiffness does not matter.
pub(super) fn own_stiffness(footprint: &Footprint, rigidity: f64, tolerance: f64) -> [[f64; RIGID]; RIGID] {
    footprint.line(tolerance).map_or([[0.0; RIGID]; RIGID], |[x, y]| {
        let across = [0.0, -y, x];
        core::array::from_fn(|row| core::array::from_fn(|column| rigidity * across[row] * across[column]))
    })
}

/// The axis on which a side has one coordinate, if it is parallel to the other axis.
fn axis_across([from, to]: Segment, tolerance: f64) -> Option<usize> {
    (0..2).find(|axis| (from[*axis] - to[*axis]).abs() <= tolerance)
}

/// Ties the nodes of a wall that runs along a mesh line; false when it does not.
fn tie_wall(mesh: &Mesh, wall: Segment, tolerance: f64, values: &mut [Value]) -> bool {
    let Some(across) = axis_across(wall, tolerance) else { return false };
    let along = 1 - across;
    let ends = [wall[0][along].min(wall[1][along]), wall[0][along].max(wall[1][along])];
    let lines = (mesh.line_at(across, wall[0][across]), mesh.line_at(along, ends[0]), mesh.line_at(along, ends[1]));
    let (Some(line), Some(first), Some(last)) = lines else { return false };
    for place in first..=last {
        let node = if across == 0 { mesh.node(line, place) } else { mesh.node(place, line) };
        values[4 * node] = Value::Tied;
        values[4 * node + if along == 0 { 1 } else { 2 }] = Value::Tied;
    }
    true
}

fn tie_area(mesh: &Mesh, area: &[Point], tolerance: f64, values: &mut [Value]) {
    for node in 0..mesh.nodes() {
        if is_in_or_on(area, mesh.place(node), tolerance) {
            values[4 * node..4 * node + 4].fill(Value::Tied);
        }
    }
}

/// Tethers along a wall; a clamped one holds the slope across it as well.
fn wall_tethers(mesh: &Mesh, wall: Segment, rigidity: f64, is_clamped: bool) -> Vec<Tether> {
    let density = if is_clamped { ON_EDGE } else { ON_WALL };
    let count = (density * length(wall) / mesh.step).ceil().max(1.0) as u32;
    let [x, y] = way(wall).map(|part| part / length(wall));
    let across = [-y, x];
    let at = |index: u32| at_share(wall, (f64::from(index) + 0.5) / f64::from(count));
    let deflection = TETHER * rigidity / (mesh.step * mesh.step);
    let deflections = (0..count).map(|index| Tether { at: at(index), slope: None, stiffness: deflection });
    let slopes = (0..if is_clamped { count } else { 0 }).map(|index| Tether {
        at: at(index),
        slope: Some(across),
        stiffness: TETHER * rigidity,
    });
    deflections.chain(slopes).collect()
}
