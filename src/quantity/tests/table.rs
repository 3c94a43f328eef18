//! Every row of the table against independent factors.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use super::{factor, relative_difference, unit};
use crate::quantity::table::{ACCEPTED, SI, TABLE};
use std::collections::BTreeSet;

/// Factors from an independent table; `units_pint.py` beside it says how they were made.
const REFERENCE: &str = include_str!("../../../tests/references/units_pint.txt");

#[test]
fn factors_agree_with_an_independent_table() {
    for row in TABLE {
        let reference = REFERENCE
            .lines()
            .filter_map(|line| line.split_once('\t'))
            .find(|(symbol, _)| *symbol == row.symbol)
            .unwrap_or_else(|| panic!("no reference for {}", row.symbol))
            .1;
        let reference: f64 = reference.parse().unwrap();
        let tolerance = if row.factor.contains('/') { 1e-14 } else { 1e-15 };
        let difference = relative_difference(factor(&unit(row.symbol)), reference);
        assert!(difference <= tolerance, "{}: {difference:e}", row.symbol);
    }
    assert_eq!(REFERENCE.lines().count(), TABLE.len());
}

#[test]
fn si_factors_agree_with_uom() {
    for row in TABLE.iter().filter(|row| [SI, ACCEPTED].contains(&row.source)) {
        if let Some(uom_factor) = row.uom_factor {
            let difference = relative_difference(factor(&unit(row.symbol)), uom_factor());
            assert!(difference <= 1e-15, "{}: {difference:e}", row.symbol);
        }
    }
}

#[test]
fn customary_factors_are_close_to_the_rounded_ones_of_uom() {
    for row in TABLE {
        if let Some(uom_factor) = row.uom_factor {
            let difference = relative_difference(factor(&unit(row.symbol)), uom_factor());
            assert!(difference < 1e-6, "{}: {difference:e}", row.symbol);
        }
    }
}

#[test]
fn no_two_units_share_a_spelling() {
    let mut seen = BTreeSet::new();
    for row in TABLE {
        for spelling in std::iter::once(&row.symbol).chain(row.spellings) {
            assert!(seen.insert(*spelling), "{spelling} stands twice");
            assert_eq!(unit(spelling).to_string(), row.symbol);
        }
    }
}

#[test]
fn short_names_equal_their_compounds() {
    for (name, compound) in [
        ("psi", "lbf/in²"),
        ("ksi", "kip/in²"),
        ("psf", "lbf/ft²"),
        ("ksf", "kip/ft²"),
        ("pcf", "lbf/ft³"),
        ("kcf", "kip/ft³"),
        ("plf", "lbf/ft"),
        ("klf", "kip/ft"),
        ("slug", "lbf·s²/ft"),
        ("lbf", "lb·g_n"),
        ("ozf", "oz·g_n"),
        ("gal", "in³"),
        ("J", "N·m"),
        ("W", "J/s"),
        ("Pa", "N/m²"),
        ("MPa", "N/mm²"),
        ("kPa", "kN/m²"),
        ("Hz", "1/s"),
        ("N", "kg·m/s²"),
        ("L", "dm³"),
        ("mL", "cm³"),
    ] {
        let (name, compound) = (unit(name), unit(compound));
        assert_eq!(name.dimension(), compound.dimension(), "{name}");
        let cubic_inches = if name == unit("gal") { 231.0 } else { 1.0 };
        let difference = relative_difference(factor(&name), cubic_inches * factor(&compound));
        assert!(difference < 1e-15, "{name}: {difference:e}");
    }
}
