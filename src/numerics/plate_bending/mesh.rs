//! The grid of rectangular cells over the plate.
//!
//! Mesh lines run through every axis-parallel edge of the plate, wall and side of a filled area, and through the anchors.
//! Between them cells are equal, and no longer than the size asked for; those next to a wall are divided again.
//! Cells that an oblique edge cuts are kept whole and know the part of them that is plate; cells outside are left out.

use super::problem::{Footprint, Problem, Region};
use crate::numerics::polygon::{Point, Segment, clip, edges, moments};

/// Cells of which less than this part is plate are left out; those of which all but this part is plate are whole.
const NEGLIGIBLE: f64 = 1e-9;

/// An anchor nearer to a line than this part of a cell gets no line of its own, which would make slivers.
const SLIVER: f64 = 0.3;

/// A cell next to a wall is divided at these parts of it, seen from the wall.
///
/// About the corners of the column the moments are singular, and most of a coarse mesh's error comes from there.
const WALL_PARTS: [f64; 2] = [0.25, 0.5];

/// The grid and its cells.
#[derive(Debug, Clone)]
pub(super) struct Mesh {
    /// Coordinates of the lines across x and across y, ascending, m.
    pub(super) lines: [Vec<f64>; 2],
    /// The cells that hold plate, row by row.
    pub(super) cells: Vec<Cell>,
    /// Where in `cells` each rectangle of the grid is.
    lookup: Vec<Option<usize>>,
    /// The greatest length of a cell that was asked for, m.
    pub(super) step: f64,
    tolerance: f64,
}

/// A rectangle of the grid that is plate at least in part.
#[derive(Debug, Clone)]
pub(super) struct Cell {
    /// Its column and row.
    pub(super) index: [usize; 2],
    /// Its lower left corner, m.
    pub(super) low: Point,
    /// Its sides, m.
    pub(super) size: Point,
    /// Rings whose integrals add up to the part that is plate, m; none when all of it is.
    pub(super) cut: Option<Vec<Vec<Point>>>,
}

impl Cell {
    /// Where a point lies, in parts of the sides.
    pub(super) fn part(&self, point: Point) -> Point {
        core::array::from_fn(|axis| (point[axis] - self.low[axis]) / self.size[axis])
    }

    /// The point at given parts of the sides.
    pub(super) fn point(&self, part: Point) -> Point {
        core::array::from_fn(|axis| self.low[axis] + part[axis] * self.size[axis])
    }
}

impl Mesh {
    /// The grid for a problem with cells no longer than `step`.
    pub(super) fn new(problem: &Problem, step: f64) -> Mesh {
        let bounds = problem.region.bounds();
        let lines = core::array::from_fn(|axis| {
            let fixed = fixed_lines(&problem.region, &problem.footprint, axis);
            let mut wanted: Vec<f64> = problem.anchors.iter().map(|anchor| anchor.at[axis]).collect();
            wanted.sort_by(f64::total_cmp);
            lines([bounds[0][axis], bounds[1][axis]], &fixed, &wanted, step, problem.tolerance)
        });
        Mesh::over(&problem.region, lines, step)
    }

    /// The grid with given lines over a plate.
    pub(super) fn over(region: &Region, lines: [Vec<f64>; 2], step: f64) -> Mesh {
        let (columns, rows) = (lines[0].len() - 1, lines[1].len() - 1);
        let mut cells = Vec::with_capacity(columns * rows);
        let mut lookup = vec![None; columns * rows];
        for row in 0..rows {
            for column in 0..columns {
                let low = [lines[0][column], lines[1][row]];
                let high = [lines[0][column + 1], lines[1][row + 1]];
                let size = [high[0] - low[0], high[1] - low[1]];
                let rings: Vec<Vec<Point>> =
                    region.rings.iter().map(|ring| clip(ring, low, high)).filter(|ring| !ring.is_empty()).collect();
                let part = rings.iter().map(|ring| moments(ring)[0]).sum::<f64>() / (size[0] * size[1]);
                if part > NEGLIGIBLE {
                    let cut = (part < 1.0 - NEGLIGIBLE).then_some(rings);
                    lookup[row * columns + column] = Some(cells.len());
                    cells.push(Cell { index: [column, row], low, size, cut });
                }
            }
        }
        Mesh { lines, cells, lookup, step, tolerance: region.tolerance }
    }

    /// The number of crossings of lines.
    pub(super) fn nodes(&self) -> usize {
        self.lines[0].len() * self.lines[1].len()
    }

    /// The crossing of a line across x with one across y.
    pub(super) fn node(&self, column: usize, row: usize) -> usize {
        row * self.lines[0].len() + column
    }

    /// The four nodes of a cell: lower left, lower right, upper left, upper right.
    pub(super) fn corners(&self, cell: &Cell) -> [usize; 4] {
        let [column, row] = cell.index;
        [(column, row), (column + 1, row), (column, row + 1), (column + 1, row + 1)].map(|(i, j)| self.node(i, j))
    }

    /// Where a node lies.
    pub(super) fn place(&self, node: usize) -> Point {
        let columns = self.lines[0].len();
        [self.lines[0][node % columns], self.lines[1][node / columns]]
    }

    /// The line at a coordinate, if there is one.
    pub(super) fn line_at(&self, axis: usize, coordinate: f64) -> Option<usize> {
        let lines = &self.lines[axis];
        let index = lines.partition_point(|line| *line < coordinate - self.tolerance);
        lines.get(index).is_some_and(|line| *line <= coordinate + self.tolerance).then_some(index)
    }

    /// The cell with plate that holds a point; of several that meet there, one.
    pub(super) fn locate(&self, point: Point) -> Option<usize> {
        self.touching(point).next()
    }

    /// The cells with plate that hold a point: several where it lies on a line.
    pub(super) fn touching(&self, point: Point) -> impl Iterator<Item = usize> {
        let [columns, rows] = core::array::from_fn(|axis| {
            let lines = &self.lines[axis];
            let last = lines.len().saturating_sub(2);
            let index = |coordinate: f64| lines.partition_point(|line| *line <= coordinate).saturating_sub(1).min(last);
            let [first, second] = [index(point[axis] + self.tolerance), index(point[axis] - self.tolerance)];
            [Some(first), (second != first).then_some(second)]
        });
        let found = rows
            .into_iter()
            .flatten()
            .flat_map(move |row| columns.into_iter().flatten().map(move |column| (column, row)));
        found
            .filter_map(|(column, row)| *self.lookup.get(row * (self.lines[0].len() - 1) + column)?)
            .filter(move |cell| self.cells[*cell].part(point).iter().all(|part| (-1e-3..=1.001).contains(part)))
    }
}

/// A line that the mesh must have.
#[derive(Debug, Clone, Copy)]
struct Fixed {
    at: f64,
    /// Whether a wall begins, ends or runs there.
    is_wall: bool,
}

/// Lines across an axis that there must be.
fn fixed_lines(region: &Region, footprint: &Footprint, axis: usize) -> Vec<Fixed> {
    let across = 1 - axis;
    let is_across = |[from, to]: Segment| (from[axis] - to[axis]).abs() <= region.tolerance;
    let is_along = |[from, to]: Segment| (from[across] - to[across]).abs() <= region.tolerance;
    let sides = footprint.sides();
    // A wall along the axis ends at a line as well, so that its nodes are exactly those on it.
    let walls = sides.filter(|side| is_across(*side) || is_along(*side)).flatten().map(|end| end[axis]);
    let edges =
        region.rings.iter().flat_map(|ring| edges(ring)).filter(|side| is_across(*side)).map(|[from, _]| from[axis]);
    let extent = footprint.bounds().map(|corner| corner[axis]);
    let others = edges.chain(extent).map(|at| Fixed { at, is_wall: false });
    walls.map(|at| Fixed { at, is_wall: true }).chain(others).collect()
}

/// Lines from `low` to `high` through all fixed places, and through the wanted ones that are not too near to others.
fn lines([low, high]: [f64; 2], fixed: &[Fixed], wanted: &[f64], step: f64, tolerance: f64) -> Vec<f64> {
    let ends = [low, high].map(|at| Fixed { at, is_wall: false });
    let mut main: Vec<Fixed> = Vec::new();
    // Walls come first among the fixed ones, so that a line with a wall is known as such.
    for line in fixed.iter().chain(&ends) {
        if main.iter().all(|other| (other.at - line.at).abs() > tolerance) {
            main.push(*line);
        }
    }
    for at in wanted {
        if main.iter().all(|line| (line.at - at).abs() > SLIVER * step) {
            main.push(Fixed { at: *at, is_wall: false });
        }
    }
    main.sort_by(|one, other| one.at.total_cmp(&other.at));
    let mut lines = vec![low];
    for pair in main.windows(2) {
        lines.extend(divide(pair[0], pair[1], step));
        lines.push(pair[1].at);
    }
    lines
}

/// The lines between two lines: equal cells, and those next to a wall divided again.
fn divide(from: Fixed, to: Fixed, step: f64) -> Vec<f64> {
    let width = to.at - from.at;
    // Rounding must not make a cell more.
    let count = (width / step - 1e-6).ceil().max(1.0) as u32;
    let cell = width / f64::from(count);
    let mut lines: Vec<f64> = (1..count).map(|index| from.at + cell * f64::from(index)).collect();
    for part in WALL_PARTS {
        if from.is_wall {
            lines.push(from.at + part * cell);
        }
        if to.is_wall {
            lines.push(to.at - part * cell);
        }
    }
    lines.sort_by(f64::total_cmp);
    lines.dedup_by(|one, other| (*one - *other).abs() <= 1e-3 * cell);
    lines
}
