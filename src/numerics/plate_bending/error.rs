//! Why a plate could not be solved, in sentences for the engineer.

use core::fmt;

use uom::si::f64::{Force, Ratio};
use uom::si::force::kilonewton;
use uom::si::ratio::percent;

/// What keeps a plate from being solved.
///
/// Anchors, walls and holes are counted from one in the sentences, from zero in the values.
#[derive(Debug, Clone, PartialEq)]
pub enum PlateError {
    /// A value is NaN or infinite.
    NotFinite {
        /// The value that is meant.
        what: &'static str,
    },
    /// A value that must be greater than zero is not.
    NotPositive {
        /// The value that is meant.
        what: &'static str,
    },
    /// Poisson's ratio is outside 0 to 0.5.
    PoissonRatio,
    /// The outline is no simple polygon with an area.
    Outline,
    /// A hole is no simple polygon with an area, leaves the plate or meets another hole.
    Hole {
        /// Which hole.
        index: usize,
    },
    /// An anchor lies outside the outline or in a hole.
    AnchorOutside {
        /// Which anchor.
        index: usize,
    },
    /// The footprint has neither a wall nor a filled area, or one of them has no extent.
    FootprintEmpty,
    /// A part of the footprint leaves the plate or runs over a hole.
    FootprintOutside,
    /// The footprint is a single line, and the column has a moment about it.
    FootprintLine,
    /// No tension in the anchors and pressure on the bed can balance the actions.
    NoEquilibrium {
        /// How many anchors there are.
        anchors: usize,
        /// The normal force of the column, tension positive.
        normal: Force,
    },
    /// The stiffness is singular although the actions could be balanced.
    Singular,
    /// Contact and anchors did not settle within the iterations allowed.
    IterationLimit {
        /// The number of iterations made.
        iterations: usize,
    },
    /// The result did not settle between meshes before the limit of meshes or unknowns.
    RefinementLimit {
        /// The number of meshes solved.
        meshes: usize,
        /// Unknowns of the finest mesh solved.
        unknowns: usize,
        /// Change of the forces between the last two meshes; none when only one could be solved.
        change: Option<Ratio>,
    },
    /// The first mesh has more unknowns than allowed.
    TooManyUnknowns {
        /// Unknowns that the first mesh needs.
        unknowns: usize,
        /// Unknowns that are allowed.
        limit: usize,
    },
}

impl fmt::Display for PlateError {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            PlateError::NotFinite { what } => write!(out, "the {what} is not a finite number"),
            PlateError::NotPositive { what } => write!(out, "the {what} must be greater than zero"),
            PlateError::PoissonRatio => write!(out, "Poisson's ratio must lie between 0 and 0.5"),
            PlateError::Outline => {
                write!(out, "the outline of the plate must be a polygon with an area whose sides do not meet")
            }
            PlateError::Hole { index } => write!(
                out,
                "hole {} must be a polygon with an area, inside the plate and apart from other holes",
                index + 1
            ),
            PlateError::AnchorOutside { index } => write!(out, "anchor {} lies outside the plate", index + 1),
            PlateError::FootprintEmpty => {
                write!(out, "the footprint of the column needs a wall with a length or a filled polygon with an area")
            }
            PlateError::FootprintOutside => {
                write!(out, "the footprint of the column reaches beyond the plate or over a hole")
            }
            PlateError::FootprintLine => {
                write!(out, "the footprint of the column is a single line and cannot carry a moment about it")
            }
            PlateError::NoEquilibrium { anchors: 0, normal } if normal.get::<kilonewton>() >= 0.0 => {
                write!(out, "nothing holds the plate: there is no anchor, and no compression to hold it down")
            }
            PlateError::NoEquilibrium { .. } => write!(
                out,
                "no equilibrium: neither tension in the anchors nor pressure below the plate can balance the forces \
                 of the column"
            ),
            PlateError::Singular => {
                write!(out, "the stiffness is singular: the plate can move without a force from anchors or bed")
            }
            PlateError::IterationLimit { iterations } => {
                write!(out, "contact and anchors did not settle within {iterations} iterations")
            }
            PlateError::RefinementLimit { meshes, unknowns, change } => {
                write!(out, "the forces did not settle within {meshes} meshes (up to {unknowns} unknowns")?;
                match change {
                    Some(change) => write!(out, "; they changed by {:.1} % at the last)", change.get::<percent>()),
                    None => write!(out, "; a second mesh would need too many)"),
                }
            }
            PlateError::TooManyUnknowns { unknowns, limit } => {
                write!(out, "the first mesh needs {unknowns} unknowns, and {limit} are allowed")
            }
        }
    }
}

impl core::error::Error for PlateError {}
