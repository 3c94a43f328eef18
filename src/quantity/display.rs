//! The unit a result is shown in when the sheet does not say.

use super::dimension::Dimension;
use super::exponent::Exponent;
use super::unit::Unit;

/// Preferred units of steelwork on the continent and in Britain, one for each named dimension.
const SI_UNITS: &[&str] = &[
    "mm", "mm²", "mm³", "mm⁴", "mm⁶", "kN", "N/mm²", "kN·m", "kN/m", "kN/m³", "kg", "kg/m³", "kg/m", "s", "m/s",
    "m/s²", "Hz", "kW", "K", "1/K", "1/m",
];
const SI_BASIS: [&str; 5] = ["N", "kg", "mm", "s", "K"];

/// Preferred units of steelwork in the United States.
const US_UNITS: &[&str] = &[
    "in",
    "in²",
    "in³",
    "in⁴",
    "in⁶",
    "kip",
    "ksi",
    "kip·ft",
    "kip/ft",
    "pcf",
    "lb",
    "lb/ft³",
    "lb/ft",
    "s",
    "ft/s",
    "ft/s²",
    "Hz",
    "lbf·ft/s",
    "K",
    "1/K",
    "1/in",
];
const US_BASIS: [&str; 5] = ["lbf", "lb", "in", "s", "K"];

/// Preferred units in order; the first with the right dimension is chosen.
#[derive(Clone, Debug, PartialEq)]
pub struct DisplayUnits {
    units: Vec<Unit>,
    basis: Basis,
}

/// Units from which the unit of an unnamed dimension is composed.
#[derive(Clone, Debug, PartialEq)]
struct Basis {
    force: Unit,
    mass: Unit,
    length: Unit,
    time: Unit,
    temperature: Unit,
}

impl DisplayUnits {
    /// Units of the SI: mm, kN, N/mm², kN·m and so on.
    pub fn si() -> Self {
        Self { units: SI_UNITS.iter().map(|text| known_unit(text)).collect(), basis: Basis::new(SI_BASIS) }
    }

    /// US customary units: in, kip, ksi, kip·ft and so on.
    pub fn us() -> Self {
        Self { units: US_UNITS.iter().map(|text| known_unit(text)).collect(), basis: Basis::new(US_BASIS) }
    }

    /// The given units, and those of [`DisplayUnits::si`] for dimensions that are not among them.
    pub fn from_units(units: Vec<Unit>) -> Self {
        Self::si().preferring(units)
    }

    /// The same preferences with some units put before them.
    pub fn preferring(mut self, mut units: Vec<Unit>) -> Self {
        units.append(&mut self.units);
        self.units = units;
        self
    }

    /// The unit for a dimension: a preferred one, or a compound of force, length, time and temperature.
    pub fn choose(&self, dimension: Dimension) -> Unit {
        if dimension.is_none() {
            return Unit::one();
        }
        self.units
            .iter()
            .find(|unit| unit.dimension() == dimension)
            .cloned()
            .unwrap_or_else(|| self.basis.compose(dimension))
    }
}

/// The unit of a dimension composed of N (or kg), mm, s and K.
pub(super) fn compose_si(dimension: Dimension) -> Unit {
    Basis::new(SI_BASIS).compose(dimension)
}

impl Basis {
    fn new([force, mass, length, time, temperature]: [&str; 5]) -> Self {
        Self {
            force: known_unit(force),
            mass: known_unit(mass),
            length: known_unit(length),
            time: known_unit(time),
            temperature: known_unit(temperature),
        }
    }

    /// Composes with force or with mass, whichever is the shorter; of equals, with force.
    fn compose(&self, dimension: Dimension) -> Unit {
        let by_force = self.compose_with(&self.force, dimension);
        let by_mass = self.compose_with(&self.mass, dimension);
        if by_mass.factors().count() < by_force.factors().count() { by_mass } else { by_force }
    }

    /// Takes the exponent of mass from one unit, and what then remains from length, time and temperature.
    fn compose_with(&self, heavy: &Unit, dimension: Dimension) -> Unit {
        let heavy = heavy.power(dimension.mass);
        let rest = dimension.divide(heavy.dimension());
        let parts: [(&Unit, Exponent); 3] =
            [(&self.length, rest.length), (&self.time, rest.time), (&self.temperature, rest.temperature)];
        parts.into_iter().fold(heavy, |unit, (part, exponent)| unit.multiply(&part.power(exponent)))
    }
}

fn known_unit(text: &str) -> Unit {
    Unit::parse(text).expect("preferred units are units of the table")
}
