//! Exponents, dimensions, preferred units and typed quantities.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use super::unit;
use crate::quantity::dimension::NAMES;
use crate::quantity::{Dimension, DisplayUnits, Exponent, from_typed, typed};
use std::collections::BTreeSet;

#[test]
fn exponents_are_reduced() {
    let half = Exponent::new(-2, -4);
    assert_eq!((half.numerator(), half.denominator()), (1, 2));
    let negative = Exponent::new(3, -6);
    assert_eq!((negative.numerator(), negative.denominator()), (-1, 2));
    assert_eq!(half + negative, Exponent::ZERO);
    assert_eq!(half - negative, Exponent::ONE);
    assert_eq!(half * half, Exponent::new(1, 4));
    assert_eq!(-half, negative);
    assert!(negative < half && Exponent::new(1, 3) < half);
    assert!(!half.is_integer() && Exponent::ONE.is_integer());
}

#[test]
fn exponents_are_found_from_decimals() {
    for (value, exponent) in [
        (1.5, Exponent::new(3, 2)),
        (0.2, Exponent::new(1, 5)),
        (0.6666666667, Exponent::new(2, 3)),
        (-1.0, Exponent::new(-1, 1)),
        (0.0, Exponent::ZERO),
        (0.25, Exponent::new(1, 4)),
        (1e6, Exponent::from_integer(1_000_000)),
    ] {
        assert_eq!(Exponent::from_f64(value), Some(exponent));
    }
    for value in [0.123, std::f64::consts::PI, f64::NAN, f64::INFINITY, 1e10] {
        assert_eq!(Exponent::from_f64(value), None, "{value}");
    }
}

#[test]
fn an_overflow_of_exponents_stays_one() {
    let large = Exponent::from_integer(2_000_000_000);
    let overflow = large + large;
    assert!(overflow.is_overflow());
    assert!((overflow - large).is_overflow());
    assert!((overflow * Exponent::ZERO).is_overflow());
    assert!((-overflow).is_overflow());
    assert!(Exponent::new(1, 0).is_overflow());
    assert!(Dimension::LENGTH.power(large).power(large).is_overflow());
    let smallest = Exponent::from_integer(i32::MIN);
    assert!((-smallest).is_overflow() && (smallest * smallest).is_overflow());
}

#[test]
fn dimensions_have_names_in_both_directions() {
    for (text, name) in [
        ("mm", "length"),
        ("in²", "area"),
        ("L", "volume"),
        ("mm⁴", "second moment of area"),
        ("kip", "force"),
        ("psi", "stress"),
        ("kN·m", "moment"),
        ("kJ", "moment"),
        ("plf", "force per length"),
        ("pcf", "weight density"),
        ("lb", "mass"),
        ("kg/m³", "density"),
        ("h", "time"),
        ("km/h", "speed"),
        ("g_n", "acceleration"),
        ("°C", "temperature difference"),
        ("°", "number"),
    ] {
        let dimension = unit(text).dimension();
        assert_eq!(dimension.name(), Some(name), "{text}");
        assert_eq!(Dimension::from_name(name), Some(dimension), "{text}");
    }
    for (alias, name) in [
        ("angle", "number"),
        ("section modulus", "volume"),
        ("energy", "moment"),
        ("torque", "moment"),
        ("pressure", "stress"),
    ] {
        assert_eq!(Dimension::from_name(alias), Dimension::from_name(name));
    }
    assert_eq!(Dimension::from_name("weight of opinion"), None);
}

#[test]
fn the_unit_beside_each_name_has_its_dimension() {
    for named in NAMES {
        let dimension = match named.unit {
            "" => Dimension::NONE,
            text => unit(text).dimension(),
        };
        assert_eq!(dimension, named.dimension, "{}", named.name);
    }
    let names: BTreeSet<_> = Dimension::names().into_iter().collect();
    assert_eq!(names.len(), Dimension::names().len());
}

#[test]
fn dimensions_are_described_with_a_unit() {
    for (text, description) in [
        ("kN", "a force (kN)"),
        ("in", "a length (mm)"),
        ("MPa", "a stress (N/mm²)"),
        ("cm²", "an area (mm²)"),
        ("%", "a plain number"),
        ("N^0.5/mm^0.5", "a quantity in N^0.5/mm^0.5"),
        ("psi^0.5", "a quantity in N^0.5/mm"),
        ("kN²", "a quantity in N²"),
        ("kg/s", "a quantity in kg/s"),
        ("kg·m²", "a quantity in kg·mm²"),
        ("mm/K", "a quantity in mm/K"),
    ] {
        assert_eq!(unit(text).dimension().describe(), description, "{text}");
    }
}

#[test]
fn display_units_follow_preference() {
    let (si, us) = (DisplayUnits::si(), DisplayUnits::us());
    for (text, in_si, in_us) in [
        ("m", "mm", "in"),
        ("N", "kN", "kip"),
        ("psi", "N/mm²", "ksi"),
        ("N·m", "kN·m", "kip·ft"),
        ("cm⁴", "mm⁴", "in⁴"),
        ("%", "", ""),
        ("psi^0.5", "N^0.5/mm", "lbf^0.5/in"),
    ] {
        let dimension = unit(text).dimension();
        assert_eq!(si.choose(dimension).to_string(), in_si);
        assert_eq!(us.choose(dimension).to_string(), in_us);
    }
    for named in NAMES {
        for units in [&si, &us] {
            assert_eq!(units.choose(named.dimension).dimension(), named.dimension);
        }
    }
    let own = DisplayUnits::from_units(vec![unit("N"), unit("cm")]);
    assert_eq!(own.choose(Dimension::FORCE), unit("N"));
    assert_eq!(own.choose(Dimension::STRESS), unit("N/mm²"));
}

#[test]
fn typed_quantities_have_the_checked_dimension() {
    use uom::si::{force, length, torque};
    let force = typed::<force::Dimension>(38e3, Dimension::FORCE).unwrap();
    assert_eq!(force.get::<force::kilonewton>(), 38.0);
    assert_eq!(from_typed(force), (38e3, Dimension::FORCE));
    let moment: uom::si::f64::Torque = typed::<torque::Dimension>(1.0, Dimension::MOMENT).unwrap();
    assert_eq!(from_typed(moment), (1.0, Dimension::MOMENT));
    let mismatch = typed::<length::Dimension>(1.0, Dimension::FORCE).unwrap_err();
    assert_eq!(mismatch.to_string(), "expected a length (mm), found a force (kN)");
}
