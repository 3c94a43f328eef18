//! Plates with a closed form (Timoshenko and Woinowsky-Krieger, Theory of Plates and Shells, ν = 0.3; the coefficients from
//! memory, reproduced by an independent computation), and the rate at which the element converges to them.

use super::super::cholesky::Cholesky;
use super::super::footprint::{Unknowns, Value};
use super::super::mesh::Mesh;
use super::super::problem::{PointSpring, Region};
use super::super::recover::Surface;
use super::super::system::{Medium, Sense, System};
use super::near;

#[derive(Debug, Clone, Copy, PartialEq)]
enum Edge {
    Supported,
    Clamped,
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Load {
    /// One in all on each unit of area.
    Uniform,
    /// One at the centre.
    Point,
}

/// A square plate of unit side and rigidity, with cells × cells cells: w at the centre, m_x there and at mid-edge.
fn solve(cells: usize, edge: Edge, load: Load) -> [f64; 3] {
    let corners = vec![[0.0, 0.0], [1.0, 0.0], [1.0, 1.0], [0.0, 1.0]];
    let region = Region { rings: vec![corners], tolerance: 1e-9 };
    let lines = || (0..=cells).map(|line| line as f64 / cells as f64).collect();
    let mesh = Mesh::over(&region, [lines(), lines()], 1.0 / cells as f64);
    let mut values = vec![Value::Free; 4 * mesh.nodes()];
    for node in 0..mesh.nodes() {
        let [on_x, on_y] = mesh.place(node).map(|place| place == 0.0 || place == 1.0);
        // On an edge across x the deflection and its slope along y are zero, and the other way round.
        let held = [on_x || on_y, on_y || (on_x && edge == Edge::Clamped), on_x || (on_y && edge == Edge::Clamped)];
        (0..3).filter(|value| held[*value]).for_each(|value| values[4 * node + value] = Value::Held);
        if (on_x || on_y) && edge == Edge::Clamped {
            values[4 * node + 3] = Value::Held;
        }
    }
    let unknowns = Unknowns::number(&mesh, &values, None);
    let medium = Medium { rigidity: 1.0, poisson: 0.3, bed: 1.0 };
    let centre = PointSpring { at: [0.5, 0.5], stiffness: 1.0 };
    let system = System::new(&mesh, &unknowns, &medium, &[centre], &[], [[0.0; 3]; 3]);
    let mut vector = vec![0.0; system.count];
    let forces = system.springs.iter().map(|spring| match (spring.sense, load) {
        (Sense::Pulls, Load::Point) => 1.0,
        (Sense::Pushes, Load::Uniform) => spring.area,
        _ => 0.0,
    });
    system.add_forces(forces, &mut vector);
    let mut cholesky = Cholesky::analyse(system.pattern.clone()).unwrap();
    cholesky.factorise(&system.plate).unwrap();
    cholesky.solve(&mut vector);
    let surface = Surface::new(mesh, &unknowns, &vector);
    let moment = |point: [f64; 2]| {
        let cell = &surface.mesh.cells[surface.mesh.locate(point).unwrap()];
        surface.moments(cell, point, 0.3)[0]
    };
    [surface.deflection([0.5, 0.5]).unwrap(), moment([0.5, 0.5]), moment([0.0, 0.5])]
}

#[test]
fn supported_plate_under_uniform_load() {
    let [w, centre, _] = solve(8, Edge::Supported, Load::Uniform);
    near("w", w, 0.0040624, 0.001);
    near("m", centre, 0.0479, 0.01);
}

#[test]
fn clamped_plate_under_uniform_load() {
    let [w, _, _] = solve(8, Edge::Clamped, Load::Uniform);
    near("w", w, 0.0012653, 0.001);
    let [_, centre, edge] = solve(24, Edge::Clamped, Load::Uniform);
    near("m", centre, 0.02291, 0.01);
    near("m at the edge", edge, -0.05133, 0.01);
}

#[test]
fn plates_under_a_point_load() {
    let [w, _, _] = solve(8, Edge::Supported, Load::Point);
    near("w, supported", w, 0.01160, 0.01);
    let [w, _, edge] = solve(24, Edge::Clamped, Load::Point);
    near("w, clamped", w, 0.00560, 0.01);
    near("m at the edge, clamped", edge, -0.1257, 0.01);
}

#[test]
fn deflections_converge_with_the_fourth_and_moments_with_the_second_power() {
    // The coarsest clamped plate that errs with one sign has eight cells along its side.
    for (edge, which, cells) in [(Edge::Supported, 1, 4), (Edge::Clamped, 2, 8)] {
        let [coarse, middle, fine] = [1, 2, 4].map(|finer| solve(finer * cells, edge, Load::Uniform));
        let rate = |value: usize| libm::log2(((coarse[value] - middle[value]) / (middle[value] - fine[value])).abs());
        let (deflection, moment) = (rate(0), rate(which));
        assert!((deflection - 4.0).abs() < 0.6, "{edge:?}: w converges with the power {deflection}");
        assert!((moment - 2.0).abs() < 0.4, "{edge:?}: m converges with the power {moment}");
    }
}
