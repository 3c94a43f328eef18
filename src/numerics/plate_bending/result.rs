//! What a solved plate tells.

use uom::si::f64::{Area, Force, Length, Pressure, Ratio, Torque};

use super::Place;

/// A plate in equilibrium.
///
/// Values are rounded to nine significant figures of the largest of their kind: beyond that they depend on the order in
/// which a machine adds up.
#[derive(Debug, Clone, PartialEq)]
pub struct BentPlate {
    /// Tension F of each anchor in the order given, prying included, N.
    pub anchor_forces: Vec<Force>,
    /// The anchors in tension together; none where no anchor pulls.
    pub tension: Option<Tension>,
    /// The pressure below the plate.
    pub contact: Contact,
    /// How the column moves.
    pub column: ColumnMovement,
    /// The highest point of the plate.
    pub highest: Extreme,
    /// The lowest point of the plate.
    pub lowest: Extreme,
    /// The largest principal moment at the thickness or more from column and anchors; none where no such point is.
    pub largest_moment: Option<PeakMoment>,
    /// The moments in the sections along the four sides of the rectangle about the footprint: +x, −x, +y, −y.
    pub sections: [Section; 4],
    /// The fields on a grid for drawing; none when no samples were asked for.
    pub fields: Option<Fields>,
    /// The largest of what is missing for equilibrium of N, M_x and M_y about the middle of the plate, as part of all forces
    /// that act (times the diagonal, for the moments).
    pub residual: Ratio,
    /// Whether anchors and bed hold the plate against every small tilt.
    /// When they do not, as with two anchors in line and no contact, forces balance but one tilt is undetermined.
    pub is_held: bool,
    /// How far the result has settled.
    pub accuracy: Accuracy,
}

/// The anchors in tension.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tension {
    /// Σ F = N + C; where the column brings no moment, all of what exceeds N is prying, N.
    pub force: Force,
    /// Where the resultant passes, m.
    pub point: Place,
    /// Eccentricity e_N,x of the resultant from the centroid of the anchors in tension (EN 1992-4, 7.2.1.4), m; a distance
    /// without sign.
    pub eccentricity_x: Length,
    /// Eccentricity e_N,y likewise, m.
    pub eccentricity_y: Length,
}

/// Pressure on the bed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Contact {
    /// Resultant C, compression positive, N.
    pub force: Force,
    /// Where the resultant acts; none without contact.
    pub centre: Option<Place>,
    /// Largest pressure p_max, Pa; it is zero without contact.
    pub largest_pressure: Pressure,
    /// Where the pressure is largest; none without contact.
    pub at: Option<Place>,
    /// The area in contact, m².
    pub area: Area,
}

/// The rigid movement of the column, w = deflection + slope_x (x − x_r) + slope_y (y − y_r).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ColumnMovement {
    /// Deflection at the reference point of the footprint, m.
    pub deflection: Length,
    /// Slope along x.
    pub slope_x: Ratio,
    /// Slope along y.
    pub slope_y: Ratio,
}

/// A greatest or least deflection.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Extreme {
    /// Deflection w, upwards positive, m.
    pub deflection: Length,
    /// Where it is.
    pub at: Place,
}

/// A principal moment.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PeakMoment {
    /// The principal moment of greatest size with its sign, N m for each metre.
    pub moment: Force,
    /// Where it is.
    pub at: Place,
}

/// A side of the rectangle about the footprint.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Face {
    /// The side at the greatest x.
    Right,
    /// The side at the least x.
    Left,
    /// The side at the greatest y.
    Top,
    /// The side at the least y.
    Bottom,
}

/// The moment in a section through the whole plate along a face of the column.
///
/// It is the moment of all forces beyond the section about it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Section {
    /// Along which face.
    pub face: Face,
    /// Where the section is on its axis, m.
    pub position: Length,
    /// Moment, positive with tension on the top face, N m.
    pub moment: Torque,
    /// Length of the section in the plate, m.
    pub width: Length,
}

/// Values on a regular grid over the rectangle about the plate, row by row from the least y and x; NaN outside the plate.
#[derive(Debug, Clone, PartialEq)]
pub struct Fields {
    /// Coordinates of the columns, m.
    pub x: Vec<Length>,
    /// Coordinates of the rows, m.
    pub y: Vec<Length>,
    /// Deflection w, m.
    pub deflection: Vec<Length>,
    /// Moment m_x for each metre of width, N m/m.
    pub moment_x: Vec<Force>,
    /// Moment m_y, N m/m.
    pub moment_y: Vec<Force>,
    /// Twisting moment m_xy, N m/m.
    pub moment_xy: Vec<Force>,
    /// Bending stress at the face, 6/t² √(m_x² − m_x m_y + m_y² + 3 m_xy²) after von Mises, Pa.
    pub stress: Vec<Pressure>,
    /// Pressure on the bed, Pa.
    pub pressure: Vec<Pressure>,
}

/// How far a result has settled.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Accuracy {
    /// Greatest length of a cell of the last mesh, m.
    pub element: Length,
    /// Unknowns of the last mesh.
    pub unknowns: usize,
    /// The number of meshes solved.
    pub meshes: usize,
    /// Change between the last two meshes; none with a single mesh.
    pub change: Option<Change>,
    /// Iterations on contact and anchors, over all meshes.
    pub iterations: usize,
}

/// By how much a result changed from one mesh to the next.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Change {
    /// Greatest change of an anchor force as part of the largest one; without tension, that of the largest pressure.
    pub forces: Ratio,
    /// Greatest change of the largest principal moment, and of the moments of the sections as part of the largest of them.
    pub moments: Ratio,
}
