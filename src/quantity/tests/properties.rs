//! What holds for any unit, number or text.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use super::{factor, relative_difference, unit};
use crate::quantity::table::TABLE;
use crate::quantity::{
    DisplayUnits, Exponent, Unit, print_as_typed, print_number, print_plain, print_shortest, read_number,
};
use proptest::prelude::*;

fn any_unit() -> impl Strategy<Value = Unit> {
    let exponent = prop_oneof![
        (1..=4_i32).prop_map(Exponent::from_integer),
        (-3..=-1_i32).prop_map(Exponent::from_integer),
        (-5..=5_i32, 1..=6_i32).prop_map(|(n, d)| Exponent::new(n, d)),
    ];
    let factor = (0..TABLE.len(), exponent).prop_map(|(row, exponent)| unit(TABLE[row].symbol).power(exponent));
    prop::collection::vec(factor, 1..=4)
        .prop_map(|factors| factors.iter().fold(Unit::one(), |product, factor| product.multiply(factor)))
}

/// Numbers as calculations have them: either sign, many magnitudes.
fn any_value() -> impl Strategy<Value = f64> {
    (-1.0..1.0_f64, -20..20_i32).prop_map(|(mantissa, exponent)| mantissa * libm::pow(10.0, f64::from(exponent)))
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn converting_there_and_back_keeps_a_value(unit in any_unit(), value in any_value()) {
        let back = unit.from_si(unit.to_si(value));
        prop_assert!((back - value).abs() <= 4.0 * f64::EPSILON * value.abs());
    }

    #[test]
    fn a_literal_is_the_value_of_its_digits(unit in any_unit(), value in any_value()) {
        let literal = unit.literal_to_si(&value.to_string()).unwrap();
        let scaled = unit.to_si(value);
        prop_assert!((literal - scaled).abs() <= 4.0 * f64::EPSILON * scaled.abs());
    }

    #[test]
    fn a_printed_unit_reads_back(unit in any_unit()) {
        prop_assume!(!unit.is_one());
        let read = Unit::parse(&unit.to_string()).unwrap();
        prop_assert_eq!(read.to_string(), unit.to_string());
        prop_assert_eq!(read, unit);
    }

    #[test]
    fn units_form_a_group(a in any_unit(), b in any_unit()) {
        let product = a.multiply(&b);
        prop_assert_eq!(product.dimension(), a.dimension().multiply(b.dimension()));
        prop_assert_eq!(a.divide(&b).dimension(), a.dimension().divide(b.dimension()));
        prop_assert_eq!(&product, &b.multiply(&a));
        prop_assert_eq!(product.divide(&b), a.clone());
        prop_assert!(a.divide(&a).is_one());
        let squared = a.power(Exponent::from_integer(2));
        prop_assert_eq!(squared.power(Exponent::new(1, 2)), a);
    }

    #[test]
    fn factors_multiply_with_units(a in any_unit(), b in any_unit()) {
        let product = factor(&a) * factor(&b);
        prop_assert!(relative_difference(factor(&a.multiply(&b)), product) < 1e-13);
    }

    #[test]
    fn a_dimension_is_composed_to_itself(unit in any_unit()) {
        for units in [DisplayUnits::si(), DisplayUnits::us()] {
            prop_assert_eq!(units.choose(unit.dimension()).dimension(), unit.dimension());
        }
    }

    #[test]
    fn a_printed_number_reads_back_to_the_shown_digits(
        value in any_value(),
        figures in 1..=15_usize,
    ) {
        prop_assume!(value != 0.0);
        let printed = print_number(value, figures);
        let digits = printed.text.replace('\u{202F}', "").replace('\u{2212}', "-");
        let read = read_number(&format!("{digits}e{}", printed.exponent.unwrap_or(0))).unwrap();
        prop_assert_eq!(print_number(read, figures), printed);
        prop_assert!(relative_difference(read, value) <= 5.1 * libm::pow(10.0, -(figures as f64)));
    }

    #[test]
    fn plain_numbers_read_back_exactly(value in any::<f64>()) {
        prop_assume!(value.is_finite());
        prop_assert_eq!(print_plain(value).parse::<f64>().unwrap(), value);
    }

    #[test]
    fn reading_never_panics(text in ".{0,40}") {
        let _ = Unit::parse(&text).map_err(|error| text[error.range].len());
        let _ = (read_number(&text), print_as_typed(&text), unit("mm").literal_to_si(&text));
    }

    #[test]
    fn reading_nearly_right_text_never_panics(text in "[kNms·*/²⁻^().0-9(1/)°%]{0,20}") {
        let _ = Unit::parse(&text).map_err(|error| text[error.range].len());
    }

    #[test]
    fn printing_never_panics(value in any::<f64>(), figures in 0..40_usize) {
        let _ = (print_number(value, figures), print_shortest(value));
    }

    #[test]
    fn exponents_never_panic(a in any::<(i32, i32)>(), b in any::<(i32, i32)>()) {
        let (a, b) = (Exponent::new(a.0, a.1), Exponent::new(b.0, b.1));
        let _ = (a + b, a - b, a * b, -a, a.cmp(&b));
    }
}
