//! Quantities: what a number with a unit means, how units are read and printed, and how numbers are shown.
//!
//! Inside a calculation every value is an `f64` in coherent SI units; this module is the border of that world.
//! - [`Dimension`] is a product of rational powers of length, mass, time and temperature ([`Exponent`]).
//! - [`Unit`] is a compound of units of the [`table`], read from and printed as ISO 80000-1 writes it.
//!   It keeps an exact factor, so that `70 mm`, `7 cm` and `0.07 m` become the same number bit for bit.
//! - [`DisplayUnits`] says which unit a result is shown in when the sheet does not.
//! - [`read_number`], [`print_number`] and their like turn digits into numbers and back.
//! - [`typed`](fn@typed) and [`from_typed`] are the one door between run-time dimensions and `uom` quantities.
//!
//! Nothing here knows of sheets, symbols or diagnostics.
//! Start reading at [`Unit`]; to add a unit, add a row to [`table::TABLE`].

mod dimension;
mod display;
mod exponent;
mod number;
mod parse;
mod ratio;
pub mod table;
mod typed;
mod unit;

#[cfg(test)]
mod tests;

pub use dimension::Dimension;
pub use display::DisplayUnits;
pub use exponent::Exponent;
pub use number::{Printed, print_as_typed, print_number, print_plain, print_shortest, read_number};
pub use parse::{UnitError, UnitErrorKind};
pub use typed::{DimensionMismatch, from_typed, typed};
pub use unit::Unit;
