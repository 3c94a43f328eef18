//! Contour lines of values on a grid, by marching squares: exact on the sides of each cell between four values, and joined
//! within it as the bilinear surface through them is.
//!
//! Contours come as closed loops about what is higher, along the rim of the grid where they meet it ([`Grid::loops`], to be
//! filled), and as lines without those parts ([`Grid::lines`]). A value that is no number counts as lower than any level.

use super::geometry::{Bounds, Point, at};
use std::collections::BTreeMap;

/// Values at the crossings of lines at equal distances, row by row from the low corner of a box.
#[derive(Clone, Debug)]
pub(super) struct Grid {
    bounds: Bounds,
    columns: usize,
    rows: usize,
    values: Vec<f64>,
}

/// The side of a cell: the lower of its two nodes, counted with one more node all round the grid, and whether it runs along x.
type SideOfCell = (usize, usize, bool);

/// A step of a contour through one cell: where it leaves, and whether it runs along the rim.
type StepOfContour = (SideOfCell, bool);

impl Grid {
    /// A grid over a box; none where there are not `columns` × `rows` values, at least two along each axis.
    pub(super) fn new(bounds: Bounds, columns: usize, rows: usize, values: Vec<f64>) -> Option<Self> {
        (columns >= 2 && rows >= 2 && values.len() == columns * rows).then_some(Grid { bounds, columns, rows, values })
    }

    /// A grid of the values of a function.
    pub(super) fn of(bounds: Bounds, columns: usize, rows: usize, value: impl Fn(Point) -> f64) -> Option<Self> {
        let mut grid = Self::new(bounds, columns, rows, vec![f64::NAN; columns * rows])?;
        for row in 0..rows {
            for column in 0..columns {
                grid.values[row * columns + column] = value(grid.place(column, row));
            }
        }
        Some(grid)
    }

    fn place(&self, column: usize, row: usize) -> Point {
        let part = |index: usize, count: usize| index as f64 / (count - 1) as f64;
        let Bounds { low, .. } = self.bounds;
        let (x, y) = (part(column, self.columns), part(row, self.rows));
        low + at(x * self.bounds.width(), y * self.bounds.height())
    }

    /// The value of a node, counted from one; no number outside of the grid.
    fn value(&self, column: usize, row: usize) -> f64 {
        if (1..=self.columns).contains(&column) && (1..=self.rows).contains(&row) {
            self.values[(row - 1) * self.columns + column - 1]
        } else {
            f64::NAN
        }
    }

    /// The value at a point of the box, bilinear between the nodes; none outside.
    pub(super) fn value_at(&self, point: Point) -> Option<f64> {
        let place = |value: f64, low: f64, size: f64, count: usize| {
            let place = (value - low) / size * (count - 1) as f64;
            (-1e-6..=(count - 1) as f64 + 1e-6).contains(&place).then(|| {
                let index = (place.max(0.0) as usize).min(count - 2);
                (index, place - index as f64)
            })
        };
        let Bounds { low, .. } = self.bounds;
        let (column, x) = place(point.x, low.x, self.bounds.width(), self.columns)?;
        let (row, y) = place(point.y, low.y, self.bounds.height(), self.rows)?;
        let value = |right: usize, down: usize| self.value(column + right + 1, row + down + 1);
        let upper = value(0, 0) * (1.0 - x) + value(1, 0) * x;
        let lower = value(0, 1) * (1.0 - x) + value(1, 1) * x;
        Some(upper * (1.0 - y) + lower * y)
    }

    /// Carries values on, in straight lines, to nodes beside those that are known; gives for each node whether it is known,
    /// and a limit that what is carried on to it must not exceed.
    pub(super) fn carry_on(&mut self, known: impl Fn(Point, f64) -> (bool, f64)) {
        let mut carried = vec![f64::NAN; self.values.len()];
        let kinds: Vec<(bool, f64)> = (0..self.values.len())
            .map(|index| known(self.place(index % self.columns, index / self.columns), self.values[index]))
            .collect();
        let value = |column: isize, row: isize| {
            let (column, row) = (usize::try_from(column).ok()?, usize::try_from(row).ok()?);
            let index = row * self.columns + column;
            (column < self.columns && row < self.rows && kinds[index].0).then(|| self.values[index])
        };
        for (index, carried) in carried.iter_mut().enumerate() {
            if kinds[index].0 {
                *carried = self.values[index];
                continue;
            }
            let (column, row) = ((index % self.columns) as isize, (index / self.columns) as isize);
            // Along the lines of the grid first: across a corner a slanting step leads past it.
            let beside = [(1, 0), (-1, 0), (0, 1), (0, -1)];
            let slanting = [(1, 1), (1, -1), (-1, 1), (-1, -1)];
            let near = |(right, down): (isize, isize)| value(column + right, row + down);
            let straight = |step: (isize, isize)| Some(2.0 * near(step)? - near((2 * step.0, 2 * step.1))?);
            let values = [
                beside.iter().copied().filter_map(straight).collect::<Vec<f64>>(),
                slanting.iter().copied().filter_map(straight).collect(),
                beside.iter().chain(&slanting).copied().filter_map(near).collect(),
            ];
            let values = values.into_iter().find(|values| !values.is_empty()).unwrap_or_default();
            if !values.is_empty() {
                *carried = (values.iter().sum::<f64>() / values.len() as f64).min(kinds[index].1);
            }
        }
        self.values = carried;
    }

    /// Closed loops about what is not lower than a level, holes in it the other way round.
    pub(super) fn loops(&self, level: f64) -> Vec<Vec<Point>> {
        let drop_flag = |contour: Vec<(Point, bool)>| contour.into_iter().map(|(point, _)| point).collect();
        self.contours(level).into_iter().map(drop_flag).collect()
    }

    /// The lines on which the values equal a level; a closed one ends where it starts.
    pub(super) fn lines(&self, level: f64) -> Vec<Vec<Point>> {
        let mut lines = Vec::new();
        for mut contour in self.contours(level) {
            match contour.iter().position(|(_, on_rim)| *on_rim) {
                Some(first) => contour.rotate_left(first),
                None => contour.extend(contour.first().copied()),
            }
            let mut line = Vec::new();
            for (point, on_rim) in &contour {
                line.push(*point);
                if *on_rim {
                    lines.push(std::mem::take(&mut line));
                }
            }
            // What is left leads back to the first point, with which a loop along the rim starts.
            if contour.first().is_some_and(|(_, on_rim)| *on_rim) {
                line.extend(contour.first().map(|(point, _)| *point));
            }
            lines.push(line);
        }
        lines.retain(|line| line.len() >= 2);
        lines
    }

    /// Each contour as its points, with each whether the step that follows runs along the rim.
    fn contours(&self, level: f64) -> Vec<Vec<(Point, bool)>> {
        let mut steps: BTreeMap<SideOfCell, StepOfContour> = BTreeMap::new();
        for row in 0..=self.rows {
            for column in 0..=self.columns {
                self.cross_cell(column, row, level, &mut steps);
            }
        }
        let mut contours = Vec::new();
        while let Some((start, _)) = steps.first_key_value() {
            let mut side = *start;
            let mut contour = Vec::new();
            while let Some((next, on_rim)) = steps.remove(&side) {
                contour.push((self.crossing(side, level), on_rim));
                side = next;
            }
            contours.push(contour);
        }
        contours
    }

    /// Adds the steps of the contour through the cell between a node and the next in both directions.
    fn cross_cell(&self, column: usize, row: usize, level: f64, steps: &mut BTreeMap<SideOfCell, StepOfContour>) {
        let corners = [(column, row), (column + 1, row), (column + 1, row + 1), (column, row + 1)];
        let sides: [SideOfCell; 4] =
            [(column, row, true), (column + 1, row, false), (column, row + 1, true), (column, row, false)];
        let values = corners.map(|(column, row)| self.value(column, row));
        let is_high = values.map(|value| value >= level);
        let on_rim = values.iter().any(|value| value.is_nan());
        let (mut leaving, mut entering) = (Vec::new(), Vec::new());
        for (index, side) in sides.into_iter().enumerate() {
            match (is_high[index], is_high[(index + 1) % 4]) {
                (true, false) => leaving.push(side),
                (false, true) => entering.push(side),
                _ => {}
            }
        }
        if leaving.len() == 2 {
            // Opposite corners are high: they are joined where the saddle between them is.
            let [a, b, c, d] = values;
            let is_joined = (a * c - b * d) / (a + c - b - d) >= level;
            // Behind the side by which the contour leaves comes the one round the low corner, before it the other.
            if is_high[0] != is_joined {
                entering.swap(0, 1);
            }
        }
        for (from, to) in leaving.into_iter().zip(entering) {
            steps.insert(from, (to, on_rim));
        }
    }

    /// Where a level is crossed on a side of a cell; at the node that is known where the other is not.
    fn crossing(&self, (column, row, is_level): SideOfCell, level: f64) -> Point {
        let other = if is_level { (column + 1, row) } else { (column, row + 1) };
        let (from, to) = (self.value(column, row), self.value(other.0, other.1));
        let place = |column: usize, row: usize| {
            let inside = |index: usize, count: usize| index.clamp(1, count) - 1;
            self.place(inside(column, self.columns), inside(row, self.rows))
        };
        let (start, end) = (place(column, row), place(other.0, other.1));
        match (from.is_nan(), to.is_nan()) {
            (true, _) => end,
            (_, true) => start,
            _ => start + (end - start) * ((level - from) / (to - from)).clamp(0.0, 1.0),
        }
    }
}

/// Steps for values from zero to `top`: 1, 2 or 5 times a power of ten, so that there are at most `most` of them.
#[derive(Copy, Clone, Debug, PartialEq)]
pub(super) struct Steps {
    /// The step is this over `parts`.
    units: f64,
    parts: f64,
    /// Decimals that its multiples have.
    pub decimals: usize,
}

impl Steps {
    /// None where `top` is not positive.
    pub(super) fn up_to(top: f64, most: f64) -> Option<Self> {
        if !(top.is_finite() && top > 0.0) {
            return None;
        }
        let exponent = libm::log10(top / most).floor();
        (0..6).find_map(|index| {
            let exponent = exponent + f64::from(index / 3);
            let power = libm::pow(10.0, exponent.abs());
            let (whole, parts) = if exponent < 0.0 { (1.0, power) } else { (power, 1.0) };
            let steps = Steps {
                units: [1.0, 2.0, 5.0][index as usize % 3] * whole,
                parts,
                decimals: (-exponent).max(0.0) as usize,
            };
            (top / steps.level(1) <= most).then_some(steps)
        })
    }

    /// The multiple of the step.
    pub(super) fn level(&self, number: usize) -> f64 {
        number as f64 * self.units / self.parts
    }

    /// The multiples below `top`, from the first.
    pub(super) fn levels_below(&self, top: f64) -> Vec<f64> {
        (1..).map(|number| self.level(number)).take_while(|level| *level < top * (1.0 - 1e-9)).take(64).collect()
    }
}

/// A line with fewer points, none of which it left by more than `tolerance`.
pub(super) fn simplified(line: &[Point], tolerance: f64) -> Vec<Point> {
    let mut is_kept = vec![false; line.len()];
    let mut open = vec![(0, line.len().saturating_sub(1))];
    while let Some((first, last)) = open.pop() {
        if last >= line.len() {
            continue;
        }
        (is_kept[first], is_kept[last]) = (true, true);
        let chord = line[last] - line[first];
        let distance = |point: Point| {
            let part = ((point - line[first]).dot(chord) / chord.dot(chord).max(1e-12)).clamp(0.0, 1.0);
            (line[first] + chord * part - point).length()
        };
        let mut farthest = (tolerance, None);
        for (index, point) in line.iter().enumerate().take(last).skip(first + 1) {
            let distance = distance(*point);
            if distance > farthest.0 {
                farthest = (distance, Some(index));
            }
        }
        if let Some(index) = farthest.1 {
            open.extend([(first, index), (index, last)]);
        }
    }
    line.iter().zip(is_kept).filter_map(|(point, is_kept)| is_kept.then_some(*point)).collect()
}
