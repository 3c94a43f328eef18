//! The plate on its supports as a sparse system: constant stiffness, one-sided springs, load.
//!
//! In go the mesh, the unknowns and what stands on them; out comes all that [`super::contact`] iterates on.

use super::cholesky::Pattern;
use super::element::{CellMatrix, GAUSS_4, Shape, VALUES, add_ring_stiffness, cell_stiffness};
use super::footprint::{RIGID, Tether, Unknowns};
use super::mesh::{Cell, Mesh};
use super::problem::PointSpring;
use crate::numerics::polygon::{Point, clip, moments};

/// A cut cell keeps this part of the stiffness of a whole one, so that a sliver of plate leaves no node loose.
const OUTSIDE: f64 = 1e-6;

/// In a cut cell the bed stands on the middles of this many squared parts of it.
const PARTS: usize = 4;

/// The steel and what it lies on.
#[derive(Debug, Clone, Copy)]
pub(super) struct Medium {
    /// D = E t³ / (12 (1 − ν²)), N m.
    pub(super) rigidity: f64,
    pub(super) poisson: f64,
    /// Stiffness of the bed, N/m³.
    pub(super) bed: f64,
}

impl Medium {
    /// The bending stiffness of the part of a cell that is plate.
    fn stiffness_of(&self, cell: &Cell) -> CellMatrix {
        let mut matrix = cell_stiffness(cell.size, self.poisson);
        let scale = if cell.cut.is_some() { OUTSIDE } else { 1.0 };
        matrix.iter_mut().flatten().for_each(|entry| *entry *= scale * self.rigidity);
        for ring in cell.cut.iter().flatten() {
            let parts: Vec<Point> = ring.iter().map(|corner| cell.part(*corner)).collect();
            add_ring_stiffness(&mut matrix, cell.size, self.poisson, &parts, self.rigidity);
        }
        matrix
    }
}

/// Which way a spring acts: it resists where the plate moves to one side, and lets go where it moves to the other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Sense {
    /// An anchor, which resists where w > 0.
    Pulls,
    /// A point of the bed, which resists where w < 0.
    Pushes,
}

/// A one-sided spring at a point of the plate.
#[derive(Debug, Clone, Copy)]
pub(super) struct Spring {
    pub(super) sense: Sense,
    pub(super) at: Point,
    /// N/m.
    pub(super) stiffness: f64,
    /// The area of bed that it stands for, m²; zero for an anchor.
    pub(super) area: f64,
    element: usize,
    /// Where its row starts: the deflection at the spring by each unknown of the element.
    row: usize,
}

impl Spring {
    /// Whether it resists at this deflection.
    pub(super) fn acts(&self, deflection: f64) -> bool {
        match self.sense {
            Sense::Pulls => deflection > 0.0,
            Sense::Pushes => deflection < 0.0,
        }
    }
}

/// The unknowns of one cell and how its values follow from them.
#[derive(Debug, Clone)]
struct Element {
    /// Ascending.
    unknowns: Vec<usize>,
    /// Local value, place in `unknowns`, factor.
    ties: Vec<(usize, usize, f64)>,
    /// Where the upper triangle over the unknowns, column by column, stands among the entries of the matrix.
    entries: Vec<usize>,
}

impl Element {
    fn new(mesh: &Mesh, cell: &Cell, unknowns: &Unknowns, has_tethers: bool) -> Element {
        let nodes = mesh.corners(cell);
        let ties = |value: usize| unknowns.ties[4 * nodes[value / 4] + value % 4].terms();
        let mut own: Vec<usize> = (0..VALUES).flat_map(|value| ties(value).iter().map(|tie| tie.0)).collect();
        if has_tethers {
            own.extend(0..RIGID);
        }
        own.sort_unstable();
        own.dedup();
        let place = |unknown: &usize| own.binary_search(unknown).unwrap_or_default();
        let ties = (0..VALUES)
            .flat_map(|value| ties(value).iter().map(move |(unknown, factor)| (value, unknown, *factor)))
            .map(|(value, unknown, factor)| (value, place(unknown), factor))
            .collect();
        Element { unknowns: own, ties, entries: Vec::new() }
    }

    /// A row over the values of the cell as one over its unknowns.
    fn condense_row(&self, row: &[f64; VALUES]) -> Vec<f64> {
        let mut condensed = vec![0.0; self.unknowns.len()];
        self.ties.iter().for_each(|(value, place, factor)| condensed[*place] += factor * row[*value]);
        condensed
    }

    fn add_matrix(&self, matrix: &CellMatrix, values: &mut [f64]) {
        for (value, column, factor) in &self.ties {
            for (other, row, other_factor) in self.ties.iter().filter(|(_, row, _)| row <= column) {
                values[self.entries[triangle(*column) + row]] += factor * other_factor * matrix[*value][*other];
            }
        }
    }

    /// Adds `stiffness` row rowᵀ.
    fn add_spring(&self, row: &[f64], stiffness: f64, values: &mut [f64]) {
        for column in 0..row.len() {
            let (scaled, start) = (stiffness * row[column], triangle(column));
            for (other, entry) in row[..=column].iter().zip(&self.entries[start..]) {
                values[*entry] += scaled * other;
            }
        }
    }
}

/// The values of a cell less the plane that touches the surface at its first node.
fn without_rigid_movement(size: Point, values: &[f64; VALUES]) -> [f64; VALUES] {
    let [w, by_x, by_y] = [values[0], values[1], values[2]];
    core::array::from_fn(|value| {
        let (node, derivative) = (value / 4, value % 4);
        let (x, y) = ((node % 2) as f64 * size[0], (node / 2) as f64 * size[1]);
        let plane = [w + by_x * x + by_y * y, by_x, by_y, 0.0];
        values[value] - plane[derivative]
    })
}

/// Entries of an upper triangle before a column.
fn triangle(column: usize) -> usize {
    column * (column + 1) / 2
}

/// The system.
#[derive(Debug, Clone)]
pub(super) struct System {
    /// The number of unknowns.
    pub(super) count: usize,
    pub(super) pattern: Pattern,
    /// The entries of the plate's and the tethers' stiffness.
    pub(super) plate: Vec<f64>,
    /// The anchors in their order, then the bed.
    pub(super) springs: Vec<Spring>,
    elements: Vec<Element>,
    rows: Vec<f64>,
    medium: Medium,
    cells: Vec<Cell>,
    tied: Vec<Tied>,
    own: [[f64; RIGID]; RIGID],
}

/// A tether in the system.
#[derive(Debug, Clone)]
struct Tied {
    element: usize,
    /// By each unknown of the element, what the plate moves more than the rigid body.
    row: Vec<f64>,
    stiffness: f64,
}

impl System {
    /// Assembles the plate, the tethers and `own`, the rigid body's own stiffness; springs are placed, not yet assembled.
    pub(super) fn new(
        mesh: &Mesh,
        unknowns: &Unknowns,
        medium: &Medium,
        anchors: &[PointSpring],
        tethers: &[Tether],
        own: [[f64; RIGID]; RIGID],
    ) -> System {
        let mut has_tethers = vec![false; mesh.cells.len()];
        tethers.iter().filter_map(|tether| mesh.locate(tether.at)).for_each(|cell| has_tethers[cell] = true);
        let elements: Vec<Element> = (mesh.cells.iter().zip(has_tethers))
            .map(|(cell, has_tethers)| Element::new(mesh, cell, unknowns, has_tethers))
            .collect();
        let has_own = own.iter().flatten().any(|entry| *entry != 0.0);
        let (pattern, elements) = find_entries(unknowns.count, elements, has_own);
        let plate = vec![0.0; pattern.rows.len()];
        let mut system = System {
            count: unknowns.count,
            pattern,
            plate,
            springs: Vec::new(),
            elements,
            rows: Vec::new(),
            medium: *medium,
            cells: mesh.cells.clone(),
            tied: Vec::new(),
            own,
        };
        system.add_plate();
        tethers.iter().for_each(|tether| system.add_tether(mesh, unknowns, tether));
        if has_own {
            for (column, rows) in own.iter().enumerate() {
                for (row, entry) in rows[..=column].iter().enumerate() {
                    let first = system.pattern.columns[column];
                    // The three unknowns come first and all of their entries are there.
                    system.plate[first + row] += entry;
                }
            }
        }
        for anchor in anchors {
            if let Some(index) = mesh.locate(anchor.at) {
                system.add_spring(mesh, index, Sense::Pulls, anchor.at, anchor.stiffness, 0.0);
            }
        }
        for index in 0..mesh.cells.len() {
            for (at, area) in bed_points(&mesh.cells[index]) {
                system.add_spring(mesh, index, Sense::Pushes, at, medium.bed * area, area);
            }
        }
        system
    }

    /// The deflection at each spring.
    pub(super) fn deflections(&self, unknowns: &[f64]) -> Vec<f64> {
        let deflection = |spring: &Spring| {
            let (element, row) = self.row(spring);
            element.unknowns.iter().zip(row).map(|(unknown, factor)| factor * unknowns[*unknown]).sum()
        };
        self.springs.iter().map(deflection).collect()
    }

    /// Adds the forces of the springs, `forces` positive along w, to a vector over the unknowns.
    pub(super) fn add_forces(&self, forces: impl Iterator<Item = f64>, vector: &mut [f64]) {
        for (spring, force) in self.springs.iter().zip(forces).filter(|(_, force)| *force != 0.0) {
            let (element, row) = self.row(spring);
            element.unknowns.iter().zip(row).for_each(|(unknown, factor)| vector[*unknown] += factor * force);
        }
    }

    /// Adds to the entries of a matrix the part of each spring's stiffness that `after` has more than `before`.
    ///
    /// Few springs change from one iteration to the next, and all others are left alone.
    pub(super) fn change_springs(&self, values: &mut [f64], before: &[f64], after: &[f64]) {
        for ((spring, before), after) in self.springs.iter().zip(before).zip(after) {
            if before != after {
                let (element, row) = self.row(spring);
                element.add_spring(row, (after - before) * spring.stiffness, values);
            }
        }
    }

    fn row(&self, spring: &Spring) -> (&Element, &[f64]) {
        let element = &self.elements[spring.element];
        (element, &self.rows[spring.row..spring.row + element.unknowns.len()])
    }

    fn add_plate(&mut self) {
        for (cell, element) in self.cells.iter().zip(&self.elements) {
            element.add_matrix(&self.medium.stiffness_of(cell), &mut self.plate);
        }
    }

    /// The forces of plate, tethers and rigid body over the unknowns, to the last digits.
    ///
    /// In the product with the assembled matrix the stiffness of a small cell multiplies deflections that hardly differ over
    /// it, and what rounding leaves of the difference is no longer in equilibrium with itself.
    /// Here each cell is freed of its rigid movement first, which bends nothing.
    pub(super) fn exact_forces(&self, unknowns: &[f64]) -> Vec<f64> {
        let mut forces = vec![0.0; self.count];
        for (cell, element) in self.cells.iter().zip(&self.elements) {
            let mut values = [0.0; VALUES];
            for (value, place, factor) in &element.ties {
                values[*value] += factor * unknowns[element.unknowns[*place]];
            }
            let matrix = self.medium.stiffness_of(cell);
            let bent = without_rigid_movement(cell.size, &values);
            let force = |value: usize| matrix[value].iter().zip(&bent).map(|(entry, bent)| entry * bent).sum::<f64>();
            let own: [f64; VALUES] = core::array::from_fn(force);
            for (value, place, factor) in &element.ties {
                forces[element.unknowns[*place]] += factor * own[*value];
            }
        }
        for Tied { element, row, stiffness } in &self.tied {
            let places = &self.elements[*element].unknowns;
            let moved: f64 = places.iter().zip(row).map(|(unknown, factor)| factor * unknowns[*unknown]).sum();
            places.iter().zip(row).for_each(|(unknown, factor)| forces[*unknown] += factor * stiffness * moved);
        }
        for (force, row) in forces.iter_mut().zip(&self.own) {
            *force += row.iter().zip(unknowns).map(|(entry, unknown)| entry * unknown).sum::<f64>();
        }
        forces
    }

    fn add_tether(&mut self, mesh: &Mesh, unknowns: &Unknowns, tether: &Tether) {
        let Some(index) = mesh.locate(tether.at) else { return };
        let (cell, element) = (&mesh.cells[index], &self.elements[index]);
        let shape = Shape::new(cell.size, cell.part(tether.at));
        let (row, body) = match tether.slope {
            None => {
                let [x, y] = unknowns.reference;
                (shape.derivative(0, 0), [1.0, tether.at[0] - x, tether.at[1] - y])
            }
            Some([x, y]) => {
                let (by_x, by_y) = (shape.derivative(1, 0), shape.derivative(0, 1));
                (core::array::from_fn(|value| x * by_x[value] + y * by_y[value]), [0.0, x, y])
            }
        };
        let mut row = element.condense_row(&row);
        row.iter_mut().zip(body).for_each(|(entry, body)| *entry -= body);
        element.add_spring(&row, tether.stiffness, &mut self.plate);
        self.tied.push(Tied { element: index, row, stiffness: tether.stiffness });
    }

    fn add_spring(&mut self, mesh: &Mesh, element: usize, sense: Sense, at: Point, stiffness: f64, area: f64) {
        let cell = &mesh.cells[element];
        let row = Shape::new(cell.size, cell.part(at)).derivative(0, 0);
        self.springs.push(Spring { sense, at, stiffness, area, element, row: self.rows.len() });
        self.rows.extend(self.elements[element].condense_row(&row));
    }
}

/// Points of the bed below a cell, and the area that each stands for.
///
/// Every area is positive, as one-sided springs need: a whole cell has Gauss points, a cut one the centroids of its parts.
fn bed_points(cell: &Cell) -> Vec<(Point, f64)> {
    let Some(rings) = &cell.cut else {
        let area = cell.size[0] * cell.size[1];
        let points = GAUSS_4.iter().flat_map(|y| GAUSS_4.iter().map(move |x| ([x[0], y[0]], x[1] * y[1])));
        return points.map(|(part, weight)| (cell.point(part), weight * area)).collect();
    };
    let step = 1.0 / PARTS as f64;
    let parts = (0..PARTS * PARTS).map(|part| [(part % PARTS) as f64 * step, (part / PARTS) as f64 * step]);
    let point = |part: Point| {
        let (low, high) = (cell.point(part), cell.point([part[0] + step, part[1] + step]));
        let mut sums = [0.0; 3];
        for ring in rings {
            let clipped = moments(&clip(ring, low, high));
            sums.iter_mut().zip(clipped).for_each(|(sum, part)| *sum += part);
        }
        let is_worth_it = sums[0] > 1e-9 * (high[0] - low[0]) * (high[1] - low[1]);
        is_worth_it.then(|| ([sums[1] / sums[0], sums[2] / sums[0]], sums[0]))
    };
    parts.filter_map(point).collect()
}

/// The pattern of the matrix, and in each element where its entries stand.
fn find_entries(count: usize, mut elements: Vec<Element>, has_own: bool) -> (Pattern, Vec<Element>) {
    let key = |column: usize, row: usize| column * count + row;
    let mut keys: Vec<usize> =
        elements.iter().flat_map(|element| upper(&element.unknowns)).map(|(c, r)| key(c, r)).collect();
    if has_own {
        keys.extend(upper(&[0, 1, 2]).map(|(column, row)| key(column, row)));
    }
    keys.sort_unstable();
    keys.dedup();
    let mut columns = vec![0; count + 1];
    keys.iter().for_each(|key| columns[key / count + 1] += 1);
    for column in 0..count {
        columns[column + 1] += columns[column];
    }
    let rows: Vec<usize> = keys.iter().map(|key| key % count).collect();
    for element in &mut elements {
        let place = |(column, row): (usize, usize)| {
            let start = columns[column];
            start + rows[start..columns[column + 1]].partition_point(|other| *other < row)
        };
        element.entries = upper(&element.unknowns).map(place).collect();
    }
    (Pattern { columns, rows }, elements)
}

/// The pairs (column, row) of the upper triangle over some unknowns, column by column.
fn upper(unknowns: &[usize]) -> impl Iterator<Item = (usize, usize)> {
    unknowns.iter().enumerate().flat_map(|(place, column)| unknowns[..=place].iter().map(move |row| (*column, *row)))
}
