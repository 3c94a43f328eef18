//! Numerical methods as plain functions on `uom` quantities: quantities go in, quantities come out.
//!
//! Nothing here knows of sheets, symbols, spans or diagnostics, so that each method can be tested and reused on its own.
//! Every function is total: what cannot be computed is NaN or an error that names the reason, never a panic.
//!
//! - [`anchor_group`]: areas and distances of a group of anchors in a concrete member.
//! - [`base_plate`]: forces below a rigid plate, and shear shared by its anchors.
//! - [`plate_bending`]: a plate that bends.
//!
//! What they share stands in `polygon` and `tension`.

pub mod anchor_group;
pub mod base_plate;
pub mod plate_bending;
mod polygon;
mod tension;
