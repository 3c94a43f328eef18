//! Numbers as they are read and printed.

#![allow(clippy::unwrap_used, reason = "a test fails by panicking")]

use crate::quantity::{print_as_typed, print_number, print_plain, print_shortest, read_number};

#[test]
fn numbers_print_to_significant_figures() {
    for (value, figures, printed) in [
        (95.00000000000001, 3, "95.0"),
        (810000.0, 3, "810\u{202F}000"),
        (741321.0, 3, "741\u{202F}000"),
        (1234.0, 4, "1234"),
        (12345.0, 5, "12\u{202F}345"),
        (9999.6, 4, "10\u{202F}000"),
        (1234567.0, 7, "1\u{202F}234\u{202F}567"),
        (9999999.0, 3, "1.00×10⁷"),
        (12345678.0, 3, "1.23×10⁷"),
        (0.001, 3, "0.00100"),
        (0.00099996, 3, "0.00100"),
        (0.0009994, 3, "9.99×10⁻⁴"),
        (0.0000123, 3, "1.23×10⁻⁵"),
        (0.5, 1, "0.5"),
        (0.95, 1, "1"),
        (2.675, 3, "2.68"),
        (2.6749999999999994, 3, "2.68"),
        (-2.675, 3, "\u{2212}2.68"),
        (99.95, 3, "100"),
        (0.0, 3, "0"),
        (-0.0, 3, "0"),
        (7.0, 0, "7"),
        (1.0, 99, "1.00000000000000"),
        (f64::NAN, 3, "not a number"),
        (f64::INFINITY, 3, "infinite"),
        (f64::NEG_INFINITY, 3, "\u{2212}infinite"),
        (5e-324, 2, "5.0×10⁻³²⁴"),
        (f64::MAX, 3, "1.80×10³⁰⁸"),
    ] {
        assert_eq!(print_number(value, figures).to_text(), printed);
    }
}

#[test]
fn typed_numbers_print_as_typed() {
    for (digits, printed) in [
        ("70", "70"),
        ("0.30", "0.30"),
        (".5", "0.5"),
        ("25000", "25\u{202F}000"),
        ("210000.0", "210\u{202F}000.0"),
        ("1.5e3", "1.5×10³"),
        ("2E-6", "2×10⁻⁶"),
        ("-4", "\u{2212}4"),
        ("-0.0", "0.0"),
        ("+4", "4"),
    ] {
        assert_eq!(print_as_typed(digits).unwrap().to_text(), printed);
    }
    assert_eq!(print_as_typed("four"), None);
    for (value, printed) in [(70.00000000000001, "70"), (0.25, "0.25"), (810000.0, "810\u{202F}000"), (1e-5, "1×10⁻⁵")]
    {
        assert_eq!(print_shortest(value).to_text(), printed);
    }
}

#[test]
fn plain_numbers_are_json() {
    for (value, printed) in [
        (70.0, "70"),
        (-0.0, "0"),
        (0.1, "0.1"),
        (1e300, "1e300"),
        (-2.5e-9, "-2.5e-9"),
        (f64::NAN, "null"),
        (f64::INFINITY, "null"),
    ] {
        assert_eq!(print_plain(value), printed);
    }
}

#[test]
fn only_decimal_digits_are_a_number() {
    assert_eq!(read_number("1.5e3"), Some(1500.0));
    assert_eq!(read_number("-.5"), Some(-0.5));
    for text in ["", "-", "e3", "inf", "nan", "0x10", "1 000", "1,5", "1e999"] {
        assert_eq!(read_number(text), None, "{text}");
    }
}
