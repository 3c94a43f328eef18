//! A rational exponent of a dimension or of a unit.
//!
//! Formulas of standards contain powers such as 0.5, 1.5, 0.2 and 2/3, so exponents are exact fractions.
//! Arithmetic never panics: what does not fit becomes [`Exponent::OVERFLOW`] and stays so.

use std::cmp::Ordering;
use std::fmt;
use std::ops::{Add, Mul, Neg, Sub};

/// Largest denominator that a power written as a decimal may stand for.
const LARGEST_TYPED_DENOMINATOR: i32 = 12;

/// A reduced fraction with a positive denominator.
#[derive(Copy, Clone, Eq, PartialEq, Hash, Debug)]
pub struct Exponent {
    numerator: i32,
    denominator: i32,
}

impl Exponent {
    /// Nought.
    pub const ZERO: Self = Self::from_integer(0);
    /// One.
    pub const ONE: Self = Self::from_integer(1);
    /// The result of arithmetic that leaves the range of `i32`; every operation on it gives it again.
    pub const OVERFLOW: Self = Self::from_integer(i32::MAX);

    /// A whole exponent.
    pub const fn from_integer(value: i32) -> Self {
        Self { numerator: value, denominator: 1 }
    }

    /// The reduced fraction `numerator / denominator`; a denominator of nought gives [`Exponent::OVERFLOW`].
    pub fn new(numerator: i32, denominator: i32) -> Self {
        Self::reduce(i64::from(numerator), i64::from(denominator))
    }

    /// The fraction with a denominator up to 12 that lies within 1e-9 of a number, if there is one.
    ///
    /// `1.5`, `0.2` and a `2/3` typed as `0.6666666667` are all found.
    pub fn from_f64(value: f64) -> Option<Self> {
        (1..=LARGEST_TYPED_DENOMINATOR).find_map(|denominator| {
            let numerator = (value * f64::from(denominator)).round();
            let near = (value - numerator / f64::from(denominator)).abs() < 1e-9;
            (near && numerator.abs() < f64::from(i32::MAX)).then(|| Self::new(numerator as i32, denominator))
        })
    }

    /// The numerator of the reduced fraction, which carries the sign.
    pub const fn numerator(self) -> i32 {
        self.numerator
    }

    /// The denominator of the reduced fraction, which is positive.
    pub const fn denominator(self) -> i32 {
        self.denominator
    }

    /// Whether the exponent is a whole number.
    pub const fn is_integer(self) -> bool {
        self.denominator == 1
    }

    /// Whether the exponent is nought.
    pub const fn is_zero(self) -> bool {
        self.numerator == 0
    }

    /// Whether arithmetic on exponents left the range that can be held.
    pub const fn is_overflow(self) -> bool {
        self.numerator == i32::MAX && self.denominator == 1
    }

    /// The exponent as a floating-point number.
    pub fn to_f64(self) -> f64 {
        f64::from(self.numerator) / f64::from(self.denominator)
    }

    fn reduce(numerator: i64, denominator: i64) -> Self {
        if denominator == 0 {
            return Self::OVERFLOW;
        }
        let divisor = greatest_common_divisor(numerator.unsigned_abs(), denominator.unsigned_abs()) as i64;
        let sign = denominator.signum();
        let narrow = |value: i64| i32::try_from(value / divisor * sign).ok();
        match (narrow(numerator), narrow(denominator)) {
            (Some(numerator), Some(denominator)) => Self { numerator, denominator },
            _ => Self::OVERFLOW,
        }
    }

    /// Applies an operation on (numerator, denominator) pairs, keeping an overflow an overflow.
    fn combine(self, other: Self, operation: impl Fn([i64; 2], [i64; 2]) -> [i64; 2]) -> Self {
        if self.is_overflow() || other.is_overflow() {
            return Self::OVERFLOW;
        }
        let wide = |e: Self| [i64::from(e.numerator), i64::from(e.denominator)];
        let [numerator, denominator] = operation(wide(self), wide(other));
        Self::reduce(numerator, denominator)
    }
}

impl Add for Exponent {
    type Output = Self;

    fn add(self, other: Self) -> Self {
        self.combine(other, |[a, b], [c, d]| [a * d + c * b, b * d])
    }
}

impl Sub for Exponent {
    type Output = Self;

    fn sub(self, other: Self) -> Self {
        self.combine(other, |[a, b], [c, d]| [a * d - c * b, b * d])
    }
}

impl Mul for Exponent {
    type Output = Self;

    fn mul(self, other: Self) -> Self {
        self.combine(other, |[a, b], [c, d]| [a * c, b * d])
    }
}

impl Neg for Exponent {
    type Output = Self;

    fn neg(self) -> Self {
        Self::ZERO - self
    }
}

impl Ord for Exponent {
    /// Orders by value.
    fn cmp(&self, other: &Self) -> Ordering {
        let left = i64::from(self.numerator) * i64::from(other.denominator);
        let right = i64::from(other.numerator) * i64::from(self.denominator);
        left.cmp(&right)
    }
}

impl PartialOrd for Exponent {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl fmt::Display for Exponent {
    /// Writes `2`, `-1`, `0.5` or, where the decimal would not end soon, `2/3`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.denominator {
            1 => write!(f, "{}", self.numerator),
            2 | 4 | 5 | 8 | 10 => write!(f, "{}", self.to_f64()),
            _ => write!(f, "{}/{}", self.numerator, self.denominator),
        }
    }
}

fn greatest_common_divisor(a: u64, b: u64) -> u64 {
    if b == 0 { a } else { greatest_common_divisor(b, a % b) }
}
