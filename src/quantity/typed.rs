//! The one door between values with a run-time dimension and the typed quantities of `uom`.
//!
//! Numerics take and return `uom` quantities only; whoever offers them to sheets comes through here.

use super::Dimension;
use std::fmt;
use uom::si::{Quantity, SI};

/// A value has another dimension than the typed quantity it was to become.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub struct DimensionMismatch {
    /// The dimension of the typed quantity.
    pub expected: Dimension,
    /// The dimension of the value.
    pub found: Dimension,
}

impl fmt::Display for DimensionMismatch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (expected, found) = (self.expected.describe(), self.found.describe());
        write!(f, "expected {expected}, found {found}")
    }
}

impl std::error::Error for DimensionMismatch {}

/// Makes a typed quantity of a value in coherent SI units, if its dimension is that of the type.
pub fn typed<D>(si_value: f64, dimension: Dimension) -> Result<Quantity<D, SI<f64>, f64>, DimensionMismatch>
where
    D: uom::si::Dimension + ?Sized,
{
    let expected = Dimension::of::<D>();
    if expected != dimension {
        return Err(DimensionMismatch { expected, found: dimension });
    }
    Ok(Quantity { dimension: std::marker::PhantomData, units: std::marker::PhantomData, value: si_value })
}

/// The value of a typed quantity in coherent SI units, with its dimension.
pub fn from_typed<D>(quantity: Quantity<D, SI<f64>, f64>) -> (f64, Dimension)
where
    D: uom::si::Dimension + ?Sized,
{
    (quantity.value, Dimension::of::<D>())
}
