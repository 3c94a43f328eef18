//! Numerical methods as plain functions on `uom` quantities: quantities go in, quantities come out.
//!
//! Nothing here knows of sheets, symbols, spans or diagnostics, so that each method can be tested and reused on its own.
//! Every function is total: what cannot be computed is NaN or an error, never a panic.
//! Start reading at [`anchor_group`].

pub mod anchor_group;
pub mod base_plate;
pub mod plate_bending;
