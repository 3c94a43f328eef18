//! Reading, printing and converting with compound units.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use super::{factor, relative_difference, unit};
use crate::quantity::{Exponent, Unit};
use std::ops::Range;

#[track_caller]
fn error(text: &str) -> (Range<usize>, String) {
    let error = Unit::parse(text).expect_err("the text should not be a unit");
    (error.range.clone(), error.message())
}

#[test]
fn spellings_of_a_compound_are_read_and_printed_in_one_way() {
    for (text, printed) in [
        ("N/mm²", "N/mm²"),
        ("N/mm^2", "N/mm²"),
        ("N*mm^-2", "N/mm²"),
        ("N·mm⁻²", "N/mm²"),
        ("mm⁻²·N", "N/mm²"),
        ("kN*m", "kN·m"),
        ("kN⋅m", "kN·m"),
        ("m·m", "m²"),
        ("m/m", ""),
        ("1/s", "1/s"),
        ("s^-1", "1/s"),
        ("1/(m·s)", "1/(m·s)"),
        ("kN/(m·s)", "kN/(m·s)"),
        ("kN/m/s", "kN/(m·s)"),
        ("kN/(m/s)", "kN·s/m"),
        ("N^0.5/mm^0.5", "N^0.5/mm^0.5"),
        ("N^(1/2)/mm^(1/2)", "N^0.5/mm^0.5"),
        ("mm^(2/3)", "mm^(2/3)"),
        ("mm^0.6666666667", "mm^(2/3)"),
        ("mm^1.5", "mm^1.5"),
        ("mm^(1/20)", "mm^(1/20)"),
        ("mm^(−3/2)", "1/mm^1.5"),
        ("mm⁶", "mm⁶"),
        ("mm¹²", "mm¹²"),
        ("lbf·in", "lbf·in"),
        ("kip·ft", "kip·ft"),
        ("μm", "µm"),
        ("inch", "in"),
        ("°", "°"),
        ("deg", "°"),
        ("%", "%"),
        ("‰", "‰"),
        ("°C", "°C"),
    ] {
        assert_eq!(unit(text).to_string(), printed, "{text}");
    }
}

#[test]
fn unknown_units_suggest_near_ones() {
    for (text, meant) in [
        ("KN", "`kN`"),
        ("kn", "`kN`"),
        ("Mpa", "`MPa`"),
        ("mpa", "`MPa`"),
        ("PSI", "`psi`"),
        ("kNm", "`kN·m`"),
        ("mm2", "`mm²`"),
        ("lbs", "`lb`"),
        ("'", "`ft`"),
        ("\"", "`in`"),
        ("°F", "`K`"),
        ("slugs", "`slug`"),
    ] {
        let (range, message) = error(text);
        assert_eq!(range, 0..text.len());
        assert_eq!(message, format!("there is no unit `{text}`; did you mean {meant}?"));
    }
    assert_eq!(error("furlong").1, "there is no unit `furlong`");
}

#[test]
fn errors_point_at_the_characters() {
    for (text, range, message) in [
        ("", 0..0, "expected a unit"),
        ("N/", 2..2, "expected a unit"),
        ("N·²", 3..5, "expected a unit"),
        ("kN·KM/s", 4..6, "there is no unit `KM`; did you mean `km`?"),
        ("(N", 2..2, "expected `)`"),
        ("N mm", 1..2, "expected `·`, `/`, a power or the end of the unit"),
        ("kN/m·s", 4..6, "expected parentheses around the units below the line, as in `kN/(m·s)`"),
        ("m^0", 1..3, "expected a power other than 0"),
        ("m^101", 1..5, "expected a power between -100 and 100"),
        ("m^(1/0)", 1..6, POWER),
        ("m^0.123", 1..7, POWER),
        ("m^", 1..2, POWER),
        ("m^2x", 3..4, "expected `·`, `/`, a power or the end of the unit"),
        ("km^100·kN^100", 0..14, "expected smaller powers"),
        ("((((((m))))))", 4..5, "expected fewer parentheses"),
    ] {
        assert_eq!(error(text), (range, message.to_owned()), "{text}");
    }
    assert_eq!(error(&"m·".repeat(500)).1, "expected a shorter unit");
}

const POWER: &str = "expected a whole number or a simple fraction as power, as in `²`, `^-1`, \
    `^0.5`, `^(2/3)`";

#[test]
fn units_with_the_same_powers_are_equal_in_any_order() {
    assert_eq!(unit("kN·m"), unit("m·kN"));
    assert_ne!(unit("kN·m"), unit("kN·m²"));
    assert_ne!(unit("kN·m"), unit("kJ"));
    assert!(unit("mm/mm").is_one());
    // What is written on both sides of the line stays there, so that a moment on a length does not read as a force.
    assert_eq!(unit("kN·m/m").to_string(), "kN·m/m");
    assert_eq!(unit("kN·m/m").to_si(2.0), 2000.0);
}

#[test]
fn one_length_in_three_units_is_one_number() {
    for millimetres in 1..=2000 {
        let metres = f64::from(millimetres) / 1000.0;
        let si = unit("mm").literal_to_si(&millimetres.to_string()).unwrap();
        let other = |name: &str, value: String| unit(name).literal_to_si(&value).unwrap();
        assert_eq!(si, metres);
        assert_eq!(si, other("cm", format!("{}.{}", millimetres / 10, millimetres % 10)));
        assert_eq!(si, other("m", metres.to_string()));
        assert_eq!(si, other("µm", format!("{millimetres}e3")));
        assert_eq!(si, other("km", format!("{millimetres}E-6")));
    }
}

#[test]
fn literals_are_scaled_exactly() {
    for (digits, name, si) in [
        ("70", "mm", 0.07),
        ("7", "cm", 0.07),
        ("0.07", "m", 0.07),
        ("-0.3", "mm", -0.0003),
        ("1.5e3", "N/mm²", 1.5e9),
        ("25", "MPa", 25e6),
        ("180", "°", std::f64::consts::PI),
        ("90", "°", std::f64::consts::FRAC_PI_2),
        ("36", "km/h", 10.0),
        ("10", "lbf", 44.482216152605),
        ("1", "ft", 0.3048),
        ("12", "in", 0.3048),
        ("1", "mm⁴", 1e-12),
        ("1", "nm^20", 1e-180),
        ("30", "%", 0.3),
    ] {
        assert_eq!(unit(name).literal_to_si(digits), Some(si), "{digits} {name}");
    }
    for text in ["", "x", "1e", "inf", "NaN", "1e999", "1_000", "1e99999999999"] {
        assert_eq!(unit("mm").literal_to_si(text), None, "{text}");
    }
    let long = "0.".to_owned() + &"3".repeat(60);
    let third = unit("mm").literal_to_si(&long).unwrap();
    assert!(relative_difference(third, 1.0 / 3000.0) < 1e-15);
}

#[test]
fn a_root_of_stress_has_the_root_of_the_factor() {
    let root = unit("N^0.5/mm^0.5");
    assert_eq!(root.scale(), (1000_f64.sqrt(), 1.0));
    assert_eq!(unit("N^0.5/mm").scale(), (1000.0, 1.0));
    assert!(relative_difference(factor(&unit("L^(1/3)")), 0.1) < 1e-15);
    let fifth = factor(&unit("kN^0.2"));
    assert!(relative_difference(fifth, libm::pow(1000.0, 0.2)) < 1e-15);
}

#[test]
fn absurd_powers_do_not_panic() {
    let length = unit("mm");
    for exponent in [i32::MAX - 1, i32::MIN + 1, 1_000_000, -1_000_000] {
        let mut huge = length.power(Exponent::from_integer(exponent));
        for _ in 0..4 {
            huge = huge.multiply(&huge).power(Exponent::new(7, 11));
        }
        let _ = (huge.to_string(), huge.to_si(1.0), huge.dimension());
        let _ = (huge.dimension().describe(), huge.literal_to_si("3.5"));
    }
}
