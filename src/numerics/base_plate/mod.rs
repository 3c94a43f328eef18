//! A rigid base plate on concrete that only pushes, held by anchors that only pull.
//!
//! In go the plate's outline with its holes ([`Outline`]), the anchors as springs ([`Anchors`]), the stiffness of the bed
//! and the loads ([`Loads`]); out comes the state of equilibrium ([`RigidState`]), or why there is none ([`NoState`]).
//! The plan has x to the right and y upwards, z points out of the concrete; the origin is the caller's.
//! The module knows nothing of materials, standards' factors or sheets.
//!
//! - [`rigid_plate`]: anchor forces and pressure below a rigid plate (EN 1992-4, 6.2.1, the linear distribution).
//!
//! The plate rises by w = a + b x + c y.
//! Anchor i pulls with k_i max(w, 0); the bed pushes with the pressure k_s max(-w, 0), inside the outline and outside
//! every hole.
//! EN 1992-4 speaks of strains: an anchor with E_s A_s, concrete with E_c. Both divided by one and the same length are a
//! k_i and a k_s, and the forces do not depend on that length.
//!
//! Inside the module lengths are measured by half the larger side of the plate, from the middle of the box about it.

mod contact;
mod equilibrium;
mod reason;
mod rigid;
mod shape;
#[cfg(test)]
mod tests;
mod twofold;

use core::ops::Div;

use uom::si::f64::{Force, Length, Pressure, Torque};

pub use reason::{Input, NoState, Ring};
pub use rigid::{Contact, Plane, RigidState, Tension, rigid_plate};

/// Force of a spring by its extension, N/m.
pub type SpringStiffness = <Force as Div<Length>>::Output;

/// Pressure of a bed by its settlement, N/m³.
pub type BedStiffness = <Pressure as Div<Length>>::Output;

/// A point in plan, m.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Coordinate x, m.
    pub x: Length,
    /// Coordinate y, m.
    pub y: Length,
}

/// The plate seen from above: polygons without a curve, each given by its corners in either sense, the first not repeated.
///
/// The outline may be convex or not. All holes lie inside it and touch neither it nor one another; a round hole is a
/// polygon of the caller's. Both kinds of hole take away bearing area.
#[derive(Debug, Clone, Copy)]
pub struct Outline<'a> {
    /// Corners of the plate, m.
    pub points: &'a [Point],
    /// Holes in which no anchor stands: for grout, for a shear key, m.
    pub holes: &'a [Vec<Point>],
    /// Holes that anchors pass through, m.
    pub clearance_holes: &'a [Vec<Point>],
}

/// The anchors that can take tension, each a spring that only pulls. There may be none.
#[derive(Debug, Clone, Copy)]
pub struct Anchors<'a> {
    /// Coordinate x of each anchor, m.
    pub x: &'a [Length],
    /// Coordinate y of each anchor, m.
    pub y: &'a [Length],
    /// Stiffness k_i of each anchor, N/m; greater than zero.
    pub stiffness: &'a [SpringStiffness],
}

/// What acts on the plate, about the origin of the coordinates.
///
/// A force F out of the concrete at (x, y) is N = F, M_x = F y and M_y = F x: a positive moment pulls on the positive
/// side. By the right-hand rule the moments would be M_x and -M_y.
#[derive(Debug, Clone, Copy)]
pub struct Loads {
    /// Normal force N, N; positive is tension.
    pub n: Force,
    /// Moment M_x, the sum of F y, Nm.
    pub m_x: Torque,
    /// Moment M_y, the sum of F x, Nm.
    pub m_y: Torque,
}

/// A place in the module's own measure: from the middle of the plate, by half its larger side.
type Place = super::polygon::Point;

/// Two places nearer than this are one place.
const NEAR: f64 = 1e-9;
