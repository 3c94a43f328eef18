//! A flexible steel base plate in bending, on a bed that only pushes and anchors that only pull, under a rigid column.
//!
//! In goes a [`Model`]; out comes a [`BentPlate`]: anchor forces with the prying that bending adds, contact pressure,
//! deflections, bending moments and stresses, and how far the mesh has settled. Start reading at [`bend_plate`].
//!
//! Axes x and y lie in the plate, z points out of the concrete. A normal force in tension is positive; the deflection w is
//! positive upwards. A positive moment M_x = Σ F y pulls where y > 0, a positive M_y = Σ F x where x > 0. A plate moment
//! m_x = −D (w_xx + ν w_yy) is positive with tension on the top face.
//!
//! # Model
//!
//! - Kirchhoff's plate of constant thickness: no shear deformation, no membrane action, linear elastic.
//! - The bed is Winkler's below the whole plate: p = k_s max(−w, 0). Each anchor is a spring at a point, F = k_a max(w, 0),
//!   without preload; a washer is no part of it, and a clearance hole none of the outline.
//! - The column is a rigid body. On a wall line the plate follows it with its deflection and may turn across the line; a
//!   filled polygon holds the plate clamped. Walls may stand anywhere and at any angle; a round one is a ring of segments.
//! - The outline is any simple polygon, with any simple holes. Free edges need no condition, so that a cell that an oblique
//!   edge cuts is integrated over its part inside the plate: exactly for bending, in sixteen parts for the bed.
//!
//! # Element
//!
//! The conforming bicubic rectangle (Bogner, Fox and Schmit, 1965): four values at each node and no
//! shear locking. Deflections converge with the fourth power of the cell's size and moments with the second (a test shows it).
//! It was chosen by what it gives for its unknowns. Of the plates of the tests the hardest is the hollow section under
//! biaxial moment, whose largest anchor force tends to 79.0 kN: here 1451 unknowns, divided again next to the walls, give
//! 78.4 kN; the same element on a uniform mesh needs 22 100 for that. Independent computations with other elements give
//! 80.2 kN by Morley's triangle with 86 609 unknowns, and 79.4 kN by a quadratic Mindlin quadrilateral with 18 423.
//! Its price is the rectangular grid, which the cut cells and the tethers of [`footprint`] make bearable. A turned wall
//! converges more slowly than one along the axes, and from the soft side: the same plate turned by 45° gives a largest force
//! of 80.0 kN with cells of 30 mm and 79.5 kN with 20 mm. Its moments are slower still, and come from above: the I section of
//! the tests turned by 30° has 12 % too much as its largest moment with 20 mm, 5 % with 10 mm and 0.7 % with 3.6 mm.
//! The corners of a column are singular: there moments grow without limit as the mesh gets finer, which is why the largest
//! moment is looked for only at a distance of the thickness from column and anchors, and on the rim of that band itself.
//! What the plate carries closer to the column is told by the [`sections`], whose moments are fixed by statics.
//!
//! # Steps
//!
//! 1. [`problem`] checks the model, and by [`equilibrium`] that something can balance the actions;
//! 2. [`mesh`] lays the grid; [`footprint`] ties it to the column;
//! 3. [`system`] assembles [`element`]s and one-sided springs;
//! 4. [`contact`] finds which springs act, with [`cholesky`] at each iteration;
//! 5. [`solve`] halves the cells until the anchor forces, the largest moment ([`peak`]) and those of the [`sections`] settle;
//! 6. [`recover`] reads the results off the last mesh.

mod cholesky;
mod contact;
mod element;
mod equilibrium;
mod error;
mod footprint;
mod mesh;
mod peak;
mod problem;
mod recover;
mod result;
mod sections;
mod solve;
mod system;
#[cfg(test)]
mod tests;

use uom::si::f64::{Force, Length, Pressure, Ratio, Torque};
use uom::si::ratio::percent;

pub use error::PlateError;
pub use result::{
    Accuracy, BentPlate, Change, ColumnMovement, Contact, Extreme, Face, Fields, PeakMoment, Section, Tension,
};

/// Stiffness of a spring, N/m.
pub type SpringStiffness = <Force as core::ops::Div<Length>>::Output;

/// Stiffness of the bed, pressure over settlement, N/m³.
pub type BedStiffness = <Pressure as core::ops::Div<Length>>::Output;

/// A point in the plane of the plate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Coordinate x, m.
    pub x: Length,
    /// Coordinate y, m.
    pub y: Length,
}

/// The steel plate.
#[derive(Debug, Clone, Copy)]
pub struct Plate<'a> {
    /// Corners of the outline in order, a simple polygon; the first is not repeated.
    pub outline: &'a [Place],
    /// Corners of each hole, simple polygons inside the outline and apart from each other.
    pub holes: &'a [&'a [Place]],
    /// Thickness t, m.
    pub thickness: Length,
    /// Modulus of elasticity E, Pa.
    pub modulus: Pressure,
    /// Poisson's ratio ν, from 0 to 0.5.
    pub poisson: Ratio,
}

/// An anchor: a spring at a point that acts in tension only.
#[derive(Debug, Clone, Copy)]
pub struct Anchor {
    /// Where it stands.
    pub place: Place,
    /// Stiffness k_a, for instance E_s A_s / L, N/m.
    pub stiffness: SpringStiffness,
}

/// Where the column holds the plate as one rigid body.
#[derive(Debug, Clone, Copy)]
pub struct Footprint<'a> {
    /// Walls as lines from end to end; across a wall the plate may turn.
    pub walls: &'a [[Place; 2]],
    /// Areas that are held as a whole, as polygons; their edges clamp the plate.
    pub filled: &'a [&'a [Place]],
    /// The point about which the moments of the column are given, anywhere.
    pub reference: Place,
}

/// The forces of the column at the reference point of its footprint.
#[derive(Debug, Clone, Copy)]
pub struct Actions {
    /// Normal force N, tension positive, N.
    pub normal: Force,
    /// Moment M_x = Σ F y: a positive one pulls where y is greater, N m.
    pub moment_x: Torque,
    /// Moment M_y = Σ F x: a positive one pulls where x is greater, N m.
    pub moment_y: Torque,
}

/// Plate, bed, anchors, column and its forces.
#[derive(Debug, Clone, Copy)]
pub struct Model<'a> {
    /// The plate.
    pub plate: Plate<'a>,
    /// Stiffness k_s of the bed, N/m³.
    pub bed: BedStiffness,
    /// The anchors; there may be none.
    pub anchors: &'a [Anchor],
    /// The column on the plate.
    pub footprint: Footprint<'a>,
    /// The column's forces.
    pub actions: Actions,
}

/// How finely to solve, and where to give up.
#[derive(Debug, Clone, Copy)]
pub struct Settings {
    /// Greatest length of a cell of the first mesh, m; a sixteenth of the longer side of the plate where there is none.
    pub element: Option<Length>,
    /// The change between two meshes at which the anchor forces have settled, as part of the largest.
    pub settled_forces: Ratio,
    /// The change between two meshes at which the moments have settled, each kind as part of its largest.
    pub settled_moments: Ratio,
    /// The most meshes to solve; with one, the result is that of the first mesh and its change is not known.
    pub meshes: usize,
    /// The most unknowns of a mesh.
    pub unknowns: usize,
    /// The most iterations on contact and anchors for each mesh.
    pub iterations: usize,
    /// Points along each axis at which the fields are sampled; with fewer than two there are no fields.
    pub samples: usize,
}

impl Default for Settings {
    /// Forces settled to 1 % and moments to 2 % within five meshes of at most 100 000 unknowns; no fields.
    fn default() -> Settings {
        Settings {
            element: None,
            settled_forces: Ratio::new::<percent>(1.0),
            settled_moments: Ratio::new::<percent>(2.0),
            meshes: 5,
            unknowns: 100_000,
            iterations: 60,
            samples: 0,
        }
    }
}

/// Solves the plate on meshes that get finer until anchor forces and moments settle.
///
/// Where no anchor pulls, the largest pressure must settle instead of the forces.
/// Where only the moments have not settled on the finest mesh allowed, the plate is given with what they changed by: walls
/// at an angle to the axes of x and y make them settle slowly, and whether the rest of the change matters is for the caller.
///
/// # Errors
///
/// A [`PlateError`] says what is wrong with the model, that nothing can balance the actions, or which limit was reached.
///
/// A strip 240 mm long with one anchor on each side of the column wall; bending pries each anchor to 66 kN:
///
/// ```
/// use soleplate::numerics::plate_bending::{
///     Actions, Anchor, Footprint, Model, Place, Plate, Settings, bend_plate,
/// };
/// use uom::si::f64::{Force, Length, Pressure, Ratio, Torque};
/// use uom::si::{force::kilonewton, length::millimeter, pressure::megapascal, ratio::ratio};
///
/// let mm = Length::new::<millimeter>;
/// let at = |x, y| Place { x: mm(x), y: mm(y) };
/// let stiffness = Force::new::<kilonewton>(343.0) / mm(1.0);
/// let model = Model {
///     plate: Plate {
///         outline: &[at(-120.0, -40.0), at(120.0, -40.0), at(120.0, 40.0), at(-120.0, 40.0)],
///         holes: &[],
///         thickness: mm(15.0),
///         modulus: Pressure::new::<megapascal>(210_000.0),
///         poisson: Ratio::new::<ratio>(0.3),
///     },
///     bed: Pressure::new::<megapascal>(150.0) / mm(1.0),
///     anchors: &[-60.0, 60.0].map(|x| Anchor { place: at(x, 0.0), stiffness }),
///     footprint: Footprint { walls: &[[at(0.0, -40.0), at(0.0, 40.0)]], filled: &[], reference: at(0.0, 0.0) },
///     actions: Actions {
///         normal: Force::new::<kilonewton>(100.0),
///         moment_x: Torque::default(),
///         moment_y: Torque::default(),
///     },
/// };
/// let bent = bend_plate(&model, &Settings { element: Some(mm(20.0)), ..Settings::default() }).unwrap();
/// assert!((bent.anchor_forces[0].get::<kilonewton>() - 66.12).abs() < 0.05);
/// ```
pub fn bend_plate(model: &Model, settings: &Settings) -> Result<BentPlate, PlateError> {
    let problem = problem::Problem::new(model)?;
    let (solved, accuracy) = solve::refine(&problem, settings)?;
    Ok(recover::read_off(&problem, &solved, accuracy, settings.samples))
}
