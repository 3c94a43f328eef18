//! The bicubic rectangle with four values at each node: w, w_x, w_y and w_xy (Bogner, Fox and Schmit, 1965).
//!
//! Its shape functions are products of the cubic Hermite polynomials in x and in y, so that w and its slopes are continuous.
//! Local value `4 n + d` belongs to node n = i + 2 j (i to the right, j upwards) and to the derivative d = p + 2 q
//! (p times by x, q times by y).

use crate::numerics::polygon::Point;

/// Values at the four nodes of a cell.
pub(super) const VALUES: usize = 16;

/// A symmetric matrix over the values of a cell.
pub(super) type CellMatrix = [[f64; VALUES]; VALUES];

/// The four Hermite polynomials of a side and their first and second derivatives, each at one place.
type Cubics = [[f64; 4]; 3];

/// Places and weights of the four-point Gauss rule on 0 to 1, exact to the seventh degree.
pub(super) const GAUSS_4: [[f64; 2]; 4] = [
    [0.069_431_844_202_973_71, 0.173_927_422_568_726_93],
    [0.330_009_478_207_571_87, 0.326_072_577_431_273_07],
    [0.669_990_521_792_428_1, 0.326_072_577_431_273_07],
    [0.930_568_155_797_026_3, 0.173_927_422_568_726_93],
];

/// Places and weights of the five-point Gauss rule on 0 to 1, exact to the ninth degree.
const GAUSS_5: [[f64; 2]; 5] = [
    [0.046_910_077_030_668_0, 0.118_463_442_528_094_54],
    [0.230_765_344_947_158_45, 0.239_314_335_249_683_23],
    [0.5, 0.284_444_444_444_444_45],
    [0.769_234_655_052_841_5, 0.239_314_335_249_683_23],
    [0.953_089_922_969_332, 0.118_463_442_528_094_54],
];

/// The shape functions of a cell at one place.
#[derive(Debug, Clone, Copy)]
pub(super) struct Shape {
    x: Cubics,
    y: Cubics,
}

impl Shape {
    /// The shape functions of a cell of the given size, at a place given in parts (0 to 1) of its sides.
    pub(super) fn new(size: Point, part: Point) -> Shape {
        Shape { x: cubics(size[0], part[0]), y: cubics(size[1], part[1]) }
    }

    /// The derivative by x (`by_x` times) and y (`by_y` times), at most twice each, of every shape function.
    pub(super) fn derivative(&self, by_x: usize, by_y: usize) -> [f64; VALUES] {
        let (x, y) = (self.x[by_x], self.y[by_y]);
        core::array::from_fn(|value| x[along_x(value)] * y[along_y(value)])
    }
}

/// Which of the four polynomials in x belongs to a local value.
fn along_x(value: usize) -> usize {
    let (node, derivative) = (value / 4, value % 4);
    2 * (node % 2) + derivative % 2
}

/// Which of the four polynomials in y belongs to a local value.
fn along_y(value: usize) -> usize {
    let (node, derivative) = (value / 4, value % 4);
    2 * (node / 2) + derivative / 2
}

/// Hermite polynomials (value and slope at the start, value and slope at the end) of a side of length `h` at its part `s`.
fn cubics(h: f64, s: f64) -> Cubics {
    let r = 1.0 - s;
    [
        [r * r * (1.0 + 2.0 * s), h * s * r * r, s * s * (3.0 - 2.0 * s), -h * s * s * r],
        [-6.0 * s * r / h, r * (1.0 - 3.0 * s), 6.0 * s * r / h, s * (3.0 * s - 2.0)],
        [(12.0 * s - 6.0) / (h * h), (6.0 * s - 4.0) / h, (6.0 - 12.0 * s) / (h * h), (6.0 * s - 2.0) / h],
    ]
}

/// Bending stiffness of a whole cell of plate of unit rigidity, for Poisson's ratio `nu`.
///
/// The integrand is a sum of products of polynomials in x and in y, and so is the matrix.
pub(super) fn cell_stiffness(size: Point, nu: f64) -> CellMatrix {
    let [x, y] = size.map(side_integrals);
    let mut matrix = [[0.0; VALUES]; VALUES];
    for (a, row) in matrix.iter_mut().enumerate() {
        let (i, j) = (along_x(a), along_y(a));
        for (b, entry) in row.iter_mut().enumerate() {
            let (k, l) = (along_x(b), along_y(b));
            let curvatures = x.curvature[i][k] * y.mass[j][l] + x.mass[i][k] * y.curvature[j][l];
            let mixed = x.mixed[i][k] * y.mixed[l][j] + x.mixed[k][i] * y.mixed[j][l];
            let twist = x.slope[i][k] * y.slope[j][l];
            *entry = curvatures + nu * mixed + 2.0 * (1.0 - nu) * twist;
        }
    }
    matrix
}

/// Adds the bending stiffness of the part of a cell inside a ring, times `factor`.
///
/// The ring is a fan of triangles with signs; the integrand is a polynomial over the whole cell, so that the sum is exact
/// for rings of any shape.
pub(super) fn add_ring_stiffness(matrix: &mut CellMatrix, size: Point, nu: f64, ring: &[Point], factor: f64) {
    let Some((&apex, rest)) = ring.split_first() else { return };
    for pair in rest.windows(2) {
        let [a, b] = [pair[0], pair[1]].map(|corner| [corner[0] - apex[0], corner[1] - apex[1]]);
        let twice = a[0] * b[1] - a[1] * b[0];
        for [s, s_weight] in GAUSS_5 {
            for [t, t_weight] in GAUSS_5 {
                let part: Point = core::array::from_fn(|axis| apex[axis] + s * (a[axis] + t * (b[axis] - a[axis])));
                // The ring is given in parts of the cell's sides, the stiffness in metres.
                let weight = factor * twice * s * s_weight * t_weight * size[0] * size[1];
                add_point_stiffness(matrix, &Shape::new(size, part), nu, weight);
            }
        }
    }
}

fn add_point_stiffness(matrix: &mut CellMatrix, shape: &Shape, nu: f64, weight: f64) {
    let (xx, yy, xy) = (shape.derivative(2, 0), shape.derivative(0, 2), shape.derivative(1, 1));
    for (a, row) in matrix.iter_mut().enumerate() {
        for (b, entry) in row.iter_mut().enumerate() {
            let curvatures = xx[a] * (xx[b] + nu * yy[b]) + yy[a] * (yy[b] + nu * xx[b]);
            *entry += weight * (curvatures + 2.0 * (1.0 - nu) * xy[a] * xy[b]);
        }
    }
}

/// Integrals of products of two Hermite polynomials a and b along one side.
struct SideIntegrals {
    /// ∫ a b.
    mass: [[f64; 4]; 4],
    /// ∫ a' b'.
    slope: [[f64; 4]; 4],
    /// ∫ a'' b''.
    curvature: [[f64; 4]; 4],
    /// ∫ a'' b.
    mixed: [[f64; 4]; 4],
}

fn side_integrals(length: f64) -> SideIntegrals {
    let integrals = |first: usize, second: usize| {
        let mut sums = [[0.0; 4]; 4];
        for [part, weight] in GAUSS_4 {
            let cubics = cubics(length, part);
            for (a, row) in sums.iter_mut().enumerate() {
                for (b, sum) in row.iter_mut().enumerate() {
                    *sum += weight * length * cubics[first][a] * cubics[second][b];
                }
            }
        }
        sums
    };
    SideIntegrals { mass: integrals(0, 0), slope: integrals(1, 1), curvature: integrals(2, 2), mixed: integrals(2, 0) }
}
