//! Dimensions with rational exponents, and the names that engineers give them.
//!
//! The constants come from the types of `uom`, so there is no second list of exponents to get wrong.
//! Angles and numbers share a dimension, as do moments and energies: the check of units cannot tell them apart.

use super::display::compose_si;
use super::exponent::Exponent;
use uom::si;
use uom::typenum::{Integer, P4, P6, Z0};

type SecondMomentOfArea = si::ISQ<P4, Z0, Z0, Z0, Z0, Z0, Z0>;
type WarpingConstant = si::ISQ<P6, Z0, Z0, Z0, Z0, Z0, Z0>;

/// Weight for each volume, a quantity that `uom` does not have, in the form of its modules.
pub(super) mod weight_density {
    use uom::typenum::{N2, P1, Z0};

    /// Dimension of weight density.
    pub type Dimension = uom::si::ISQ<N2, P1, N2, Z0, Z0, Z0, Z0>;
}

/// A product of rational powers of length, mass, time and temperature.
#[derive(Copy, Clone, Eq, PartialEq, Ord, PartialOrd, Hash, Debug)]
pub struct Dimension {
    /// Exponent of length.
    pub length: Exponent,
    /// Exponent of mass.
    pub mass: Exponent,
    /// Exponent of time.
    pub time: Exponent,
    /// Exponent of temperature.
    pub temperature: Exponent,
}

impl Dimension {
    /// The dimension of a plain number and of an angle.
    pub const NONE: Self = Self::of::<si::ratio::Dimension>();
    /// Length.
    pub const LENGTH: Self = Self::of::<si::length::Dimension>();
    /// Area.
    pub const AREA: Self = Self::of::<si::area::Dimension>();
    /// Volume, and section modulus.
    pub const VOLUME: Self = Self::of::<si::volume::Dimension>();
    /// Second moment of area.
    pub const SECOND_MOMENT_OF_AREA: Self = Self::of::<SecondMomentOfArea>();
    /// Force.
    pub const FORCE: Self = Self::of::<si::force::Dimension>();
    /// Stress, pressure and modulus of elasticity.
    pub const STRESS: Self = Self::of::<si::pressure::Dimension>();
    /// Moment of a force, torque and energy.
    pub const MOMENT: Self = Self::of::<si::torque::Dimension>();
    /// Force for each length, and stiffness of a spring.
    pub const FORCE_PER_LENGTH: Self = Self::of::<si::surface_tension::Dimension>();
    /// Weight for each volume.
    pub const WEIGHT_DENSITY: Self = Self::of::<weight_density::Dimension>();
    /// Mass.
    pub const MASS: Self = Self::of::<si::mass::Dimension>();
    /// Mass for each volume.
    pub const DENSITY: Self = Self::of::<si::mass_density::Dimension>();
    /// Time.
    pub const TIME: Self = Self::of::<si::time::Dimension>();
    /// Speed.
    pub const SPEED: Self = Self::of::<si::velocity::Dimension>();
    /// Acceleration.
    pub const ACCELERATION: Self = Self::of::<si::acceleration::Dimension>();
    /// Difference of temperatures.
    pub const TEMPERATURE_DIFFERENCE: Self = Self::of::<si::temperature_interval::Dimension>();

    /// The dimension of a type of `uom`; one with electric current, amount of substance or light does not compile.
    pub const fn of<D: si::Dimension + ?Sized>() -> Self {
        const {
            assert!(D::I::I32 == 0 && D::N::I32 == 0 && D::J::I32 == 0);
        }
        Self {
            length: Exponent::from_integer(D::L::I32),
            mass: Exponent::from_integer(D::M::I32),
            time: Exponent::from_integer(D::T::I32),
            temperature: Exponent::from_integer(D::Th::I32),
        }
    }

    /// The dimension of a product.
    pub fn multiply(self, other: Self) -> Self {
        self.zip(other, |a, b| a + b)
    }

    /// The dimension of a quotient.
    pub fn divide(self, other: Self) -> Self {
        self.zip(other, |a, b| a - b)
    }

    /// The dimension of a power.
    pub fn power(self, exponent: Exponent) -> Self {
        self.zip(self, |a, _| a * exponent)
    }

    /// Whether this is the dimension of a plain number.
    pub fn is_none(self) -> bool {
        self == Self::NONE
    }

    /// Whether an exponent left the range that can be held, so that a comparison of dimensions means nothing.
    pub fn is_overflow(self) -> bool {
        [self.length, self.mass, self.time, self.temperature].into_iter().any(Exponent::is_overflow)
    }

    /// The usual name: `force`, `stress`, `number`.
    pub fn name(self) -> Option<&'static str> {
        self.named().map(|named| named.name)
    }

    /// The dimension that a name stands for; several names may share one.
    pub fn from_name(name: &str) -> Option<Self> {
        NAMES.iter().find(|named| named.name == name).map(|named| named.dimension)
    }

    /// Every name that [`Dimension::from_name`] knows.
    pub fn names() -> Vec<&'static str> {
        NAMES.iter().map(|named| named.name).collect()
    }

    /// A phrase for messages: `a force (kN)`, `a plain number`, `a quantity in N^0.5/mm^0.5`.
    pub fn describe(self) -> String {
        match self.named() {
            Some(_) if self.is_none() => "a plain number".to_owned(),
            Some(Named { name, unit, .. }) => {
                let article = if name.starts_with(['a', 'e', 'i', 'o', 'u']) { "an" } else { "a" };
                format!("{article} {name} ({unit})")
            }
            None => format!("a quantity in {}", compose_si(self)),
        }
    }

    fn named(self) -> Option<&'static Named> {
        NAMES.iter().find(|named| named.dimension == self)
    }

    fn zip(self, other: Self, operation: impl Fn(Exponent, Exponent) -> Exponent) -> Self {
        Self {
            length: operation(self.length, other.length),
            mass: operation(self.mass, other.mass),
            time: operation(self.time, other.time),
            temperature: operation(self.temperature, other.temperature),
        }
    }
}

/// A name of a dimension with the unit that it is usually given in.
pub(super) struct Named {
    pub(super) name: &'static str,
    pub(super) dimension: Dimension,
    pub(super) unit: &'static str,
}

const fn named(name: &'static str, dimension: Dimension, unit: &'static str) -> Named {
    Named { name, dimension, unit }
}

/// All names; the first of several for one dimension is the one that messages use.
pub(super) const NAMES: &[Named] = &[
    named("number", Dimension::NONE, ""),
    named("angle", Dimension::NONE, "°"),
    named("ratio", Dimension::NONE, ""),
    named("strain", Dimension::NONE, ""),
    named("length", Dimension::LENGTH, "mm"),
    named("area", Dimension::AREA, "mm²"),
    named("volume", Dimension::VOLUME, "mm³"),
    named("section modulus", Dimension::VOLUME, "mm³"),
    named("second moment of area", Dimension::SECOND_MOMENT_OF_AREA, "mm⁴"),
    named("torsion constant", Dimension::SECOND_MOMENT_OF_AREA, "mm⁴"),
    named("warping constant", Dimension::of::<WarpingConstant>(), "mm⁶"),
    named("force", Dimension::FORCE, "kN"),
    named("stress", Dimension::STRESS, "N/mm²"),
    named("strength", Dimension::STRESS, "N/mm²"),
    named("pressure", Dimension::STRESS, "kN/m²"),
    named("modulus of elasticity", Dimension::STRESS, "N/mm²"),
    named("moment", Dimension::MOMENT, "kN·m"),
    named("torque", Dimension::MOMENT, "N·m"),
    named("energy", Dimension::MOMENT, "kJ"),
    named("force per length", Dimension::FORCE_PER_LENGTH, "kN/m"),
    named("stiffness", Dimension::FORCE_PER_LENGTH, "kN/mm"),
    named("weight density", Dimension::WEIGHT_DENSITY, "kN/m³"),
    named("mass", Dimension::MASS, "kg"),
    named("density", Dimension::DENSITY, "kg/m³"),
    named("mass per length", Dimension::of::<si::linear_mass_density::Dimension>(), "kg/m"),
    named("time", Dimension::TIME, "s"),
    named("speed", Dimension::SPEED, "m/s"),
    named("velocity", Dimension::SPEED, "m/s"),
    named("acceleration", Dimension::ACCELERATION, "m/s²"),
    named("frequency", Dimension::of::<si::frequency::Dimension>(), "Hz"),
    named("power", Dimension::of::<si::power::Dimension>(), "kW"),
    named("temperature difference", Dimension::TEMPERATURE_DIFFERENCE, "K"),
    named("thermal expansion", Dimension::of::<si::temperature_coefficient::Dimension>(), "1/K"),
    named("curvature", Dimension::of::<si::curvature::Dimension>(), "1/m"),
];
