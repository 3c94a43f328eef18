//! Reading and printing numbers.
//!
//! Rules of printing, decided once:
//! - A number is rounded in decimal, half away from zero, as by hand. It is first rounded to 15 figures, so that
//!   the noise of binary arithmetic (95.00000000000001, 2.6749999999999994) does not decide.
//! - Trailing zeros are kept up to the figures asked for; figures before the decimal point that are not asked for
//!   print as zeros: 741321 to three figures is 741 000.
//! - From 10 000 on, whole digits stand in groups of three with a narrow no-break space between them.
//! - A number that rounds to 10⁷ or more, or to less than 10⁻³, prints with a power of ten.
//! - Negative numbers have a minus sign (U+2212), never a hyphen; zero has no sign and prints as `0`.

use std::fmt::{self, Write};

/// Figures that any decimal number survives a way through `f64` with.
const SOUND_FIGURES: usize = 15;
/// Decimal exponents of the leading digit for which no power of ten is printed.
const PLAIN_EXPONENTS: std::ops::Range<i32> = -3..7;
/// Whole digits from which on groups of three are set apart.
const GROUPED_DIGITS: usize = 5;
const NARROW_NO_BREAK_SPACE: char = '\u{202F}';
const MINUS: char = '\u{2212}';

/// A number ready to be set: its digits and, if it is printed so, its power of ten.
#[derive(Clone, Debug, Eq, PartialEq)]
pub struct Printed {
    /// Sign and digits, or "not a number", "infinite".
    pub text: String,
    /// The exponent of the power of ten behind the digits.
    pub exponent: Option<i32>,
}

impl Printed {
    /// The number as plain text: `1.23×10⁻⁵`.
    pub fn to_text(&self) -> String {
        self.to_string()
    }
}

impl fmt::Display for Printed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)?;
        match self.exponent {
            Some(exponent) => {
                f.write_str("×10")?;
                write_superscript(f, exponent)
            }
            None => Ok(()),
        }
    }
}

/// Reads a decimal number such as `70`, `-0.3` or `1.5e3`; nothing else, and nothing that is not finite.
pub fn read_number(digits: &str) -> Option<f64> {
    let decimal = |c: char| c.is_ascii_digit() || matches!(c, '+' | '-' | '.' | 'e' | 'E');
    if !digits.chars().all(decimal) {
        return None;
    }
    digits.parse().ok().filter(|value: &f64| value.is_finite())
}

/// Prints a number to a count of significant figures (at least one, at most 15).
pub fn print_number(value: f64, figures: usize) -> Printed {
    print_decimal(value, |decimal| decimal.round(figures.clamp(1, SOUND_FIGURES)))
}

/// Prints a number with as many figures as it has, up to 15: 70 is `70`, 0.25 is `0.25`.
pub fn print_shortest(value: f64) -> Printed {
    print_decimal(value, Decimal::trim)
}

/// Prints digits that somebody typed with every figure they were given: `0.30` stays `0.30`, `1.5e3` is `1.5×10³`.
///
/// Nothing comes back where [`read_number`] reads nothing.
pub fn print_as_typed(digits: &str) -> Option<Printed> {
    read_number(digits)?;
    let (mantissa, exponent) = match digits.split_once(['e', 'E']) {
        Some((mantissa, exponent)) => (mantissa, Some(exponent.parse().ok()?)),
        None => (digits, None),
    };
    let unsigned = mantissa.trim_start_matches(['+', '-']);
    let (whole, fraction) = unsigned.split_once('.').unwrap_or((unsigned, ""));
    let is_zero = !unsigned.contains(|c: char| matches!(c, '1'..='9'));
    let negative = mantissa.starts_with('-') && !is_zero;
    let whole = if whole.is_empty() { "0" } else { whole };
    Some(Printed { text: write_digits(negative, whole, fraction), exponent })
}

/// Prints a number for machines: the shortest text that reads back as the same number, `null` if it is not finite.
pub fn print_plain(value: f64) -> String {
    let size = value.abs();
    if !value.is_finite() {
        "null".to_owned()
    } else if value == 0.0 {
        "0".to_owned()
    } else if (1e-7..1e17).contains(&size) {
        format!("{value}")
    } else {
        format!("{value:e}")
    }
}

/// Writes a whole number in superscript digits.
pub(super) fn write_superscript(f: &mut fmt::Formatter<'_>, value: i32) -> fmt::Result {
    const DIGITS: [&str; 10] = ["⁰", "¹", "²", "³", "⁴", "⁵", "⁶", "⁷", "⁸", "⁹"];
    for byte in value.to_string().bytes() {
        f.write_str(match byte {
            b'-' => "⁻",
            digit => DIGITS[usize::from(digit - b'0')],
        })?;
    }
    Ok(())
}

fn print_decimal(value: f64, finish: impl FnOnce(Decimal) -> Decimal) -> Printed {
    let word = |word: &str| Printed { text: word.to_owned(), exponent: None };
    if value.is_nan() {
        return word("not a number");
    }
    let sign = if value < 0.0 { String::from(MINUS) } else { String::new() };
    if value.is_infinite() {
        return word(&format!("{sign}infinite"));
    }
    if value == 0.0 {
        return word("0");
    }
    finish(Decimal::from_size(value.abs()).round(SOUND_FIGURES)).print(value < 0.0)
}

/// A positive number in decimal: `d.ddd × 10^exponent`, the first digit not zero.
struct Decimal {
    /// The digits, then zeros.
    digits: [u8; MOST_DIGITS],
    /// How many of them are figures of the number.
    count: usize,
    exponent: i32,
}

/// The shortest decimal that reads back as a given `f64` has 17 digits at most.
const MOST_DIGITS: usize = 24;

impl Decimal {
    /// The shortest decimal that reads back as the number.
    fn from_size(size: f64) -> Self {
        let mut decimal = Self { digits: [b'0'; MOST_DIGITS], count: 0, exponent: 0 };
        // Writing digits to a reader of digits cannot fail.
        let _ = write!(Reader { decimal: &mut decimal, power: None }, "{size:e}");
        decimal
    }

    /// Rounds half away from zero, or appends zeros, to a count of figures.
    fn round(mut self, figures: usize) -> Self {
        let round_up = figures < self.count && self.digits[figures] >= b'5';
        self.digits[figures..].fill(b'0');
        self.count = figures;
        if round_up {
            match self.digits[..figures].iter().rposition(|digit| *digit != b'9') {
                Some(last) => {
                    self.digits[last] += 1;
                    self.digits[last + 1..].fill(b'0');
                }
                None => {
                    self.digits.fill(b'0');
                    self.digits[0] = b'1';
                    self.exponent += 1;
                }
            }
        }
        self
    }

    /// Drops trailing zeros.
    fn trim(mut self) -> Self {
        while self.count > 1 && self.digits[self.count - 1] == b'0' {
            self.count -= 1;
        }
        self
    }

    fn print(self, negative: bool) -> Printed {
        let is_plain = PLAIN_EXPONENTS.contains(&self.exponent);
        let point = if is_plain { self.exponent + 1 } else { 1 };
        let digits = std::str::from_utf8(&self.digits).unwrap_or_default();
        let text = match usize::try_from(point) {
            Ok(point) if point > 0 => write_digits(negative, &digits[..point], &digits[point..self.count.max(point)]),
            _ => {
                let mut text = write_digits(negative, "0", "");
                text.push('.');
                (0..point.unsigned_abs()).for_each(|_| text.push('0'));
                text.push_str(&digits[..self.count]);
                text
            }
        };
        Printed { text, exponent: (!is_plain).then_some(self.exponent) }
    }
}

/// Takes `d.ddde-d` apart while it is written.
struct Reader<'a> {
    decimal: &'a mut Decimal,
    /// The sign of the exponent, from the `e` on.
    power: Option<i32>,
}

impl fmt::Write for Reader<'_> {
    fn write_str(&mut self, text: &str) -> fmt::Result {
        let decimal = &mut *self.decimal;
        for byte in text.bytes() {
            match (byte, &mut self.power) {
                (b'e', _) => self.power = Some(1),
                (b'-', Some(sign)) => *sign = -1,
                (b'0'..=b'9', Some(sign)) => decimal.exponent = decimal.exponent * 10 + *sign * i32::from(byte - b'0'),
                (b'0'..=b'9', None) if decimal.count < MOST_DIGITS => {
                    decimal.digits[decimal.count] = byte;
                    decimal.count += 1;
                }
                _ => {}
            }
        }
        Ok(())
    }
}

/// Joins sign, whole digits in groups, and decimals.
fn write_digits(negative: bool, whole: &str, fraction: &str) -> String {
    let mut text = String::with_capacity(whole.len() + fraction.len() + 8);
    if negative {
        text.push(MINUS);
    }
    for (index, digit) in whole.chars().enumerate() {
        let remaining = whole.len() - index;
        if index > 0 && whole.len() >= GROUPED_DIGITS && remaining.is_multiple_of(3) {
            text.push(NARROW_NO_BREAK_SPACE);
        }
        text.push(digit);
    }
    if !fraction.is_empty() {
        text.push('.');
        text.push_str(fraction);
    }
    text
}
