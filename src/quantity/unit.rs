//! A unit: a product of powers of units of the table.
//!
//! A [`Unit`] remembers the units it was written with (`kN·m` does not turn into `J`) and knows the exact factor
//! to coherent SI units. Reading is in `parse.rs`; exact factors are in `ratio.rs`.

use super::dimension::Dimension;
use super::exponent::Exponent;
use super::number::{print_shortest, read_number, write_superscript};
use super::parse::{UnitError, parse_unit};
use super::ratio::{Decimal, Ratio};
use super::table::Row;
use std::cell::RefCell;
use std::collections::HashMap;
use std::fmt;
use std::sync::{Arc, LazyLock};

/// A compound of units such as `N/mm²`; two are equal if they hold the same powers in whatever order.
#[derive(Clone)]
pub struct Unit(Arc<Parts>);

/// What a unit is made of, shared by all that are shown in it.
struct Parts {
    factors: Vec<Factor>,
    dimension: Dimension,
    scale: Scale,
}

/// A power of a unit of the table.
#[derive(Copy, Clone)]
struct Factor {
    row: &'static Row,
    exponent: Exponent,
}

/// The factor from a unit to coherent SI units.
#[derive(Copy, Clone)]
struct Scale {
    numerator: f64,
    denominator: f64,
    /// Absent for fractional powers, which are seldom rational, and for what outgrows 128 bits.
    exact: Option<Ratio>,
}

/// Units that a thread remembers at most, so that a hostile sheet cannot fill the memory.
const MOST_KNOWN: usize = 256;

impl Unit {
    /// The unit of plain numbers, which prints as nothing.
    pub fn one() -> Self {
        static ONE: LazyLock<Unit> = LazyLock::new(|| Unit::from_factors(Vec::new()));
        ONE.clone()
    }

    /// Reads a unit as ISO 80000-1 writes it: `N/mm²`, `kN·m`, `kN/(m·s)`, `N^0.5/mm^0.5`.
    ///
    /// `*` may stand for `·` and `^2` for `²`. Nothing but a single unit or a parenthesis may follow a `/`,
    /// since `kN/m·s` is read either way by different people.
    pub fn parse(text: &str) -> Result<Self, UnitError> {
        // A calculation has hundreds of numbers in a handful of units.
        thread_local! {
            static KNOWN: RefCell<HashMap<Box<str>, Unit>> = RefCell::new(HashMap::new());
        }
        if let Some(unit) = KNOWN.with_borrow(|known| known.get(text).cloned()) {
            return Ok(unit);
        }
        let unit = parse_unit(text)?;
        KNOWN.with_borrow_mut(|known| {
            if known.len() < MOST_KNOWN {
                known.insert(text.into(), unit.clone());
            }
        });
        Ok(unit)
    }

    /// Whether this is the unit of plain numbers.
    pub fn is_one(&self) -> bool {
        self.0.factors.is_empty()
    }

    /// The dimension of what is measured in this unit.
    pub fn dimension(&self) -> Dimension {
        self.0.dimension
    }

    /// The symbols and powers in the order in which they print: those above the line first.
    pub fn factors(&self) -> impl Iterator<Item = (&'static str, Exponent)> + '_ {
        self.0.factors.iter().map(|factor| (factor.row.symbol, factor.exponent))
    }

    /// Turns a value in this unit into coherent SI units.
    pub fn to_si(&self, value: f64) -> f64 {
        value * self.0.scale.numerator / self.0.scale.denominator
    }

    /// Turns a value in coherent SI units into this unit.
    pub fn from_si(&self, value: f64) -> f64 {
        value * self.0.scale.denominator / self.0.scale.numerator
    }

    /// A measured value in this unit, from coherent SI units, without the binary noise of the conversion: twelve figures are
    /// more than any tool has.
    pub fn measured(&self, si: f64) -> f64 {
        let value = self.from_si(si);
        format!("{value:.11e}").parse().unwrap_or(value)
    }

    /// The same with the unit behind it: `45 N·m`.
    pub fn measured_text(&self, si: f64) -> String {
        format!("{} {self}", print_shortest(self.measured(si)))
    }

    /// Turns the digits of a number in this unit into coherent SI units, or nothing if they are not a finite number.
    ///
    /// The decimal is scaled exactly and rounded once, so `70 mm`, `7 cm` and `0.07 m` are the same `f64`.
    /// A factor without a finite decimal form (`psi`) costs a second rounding.
    pub fn literal_to_si(&self, digits: &str) -> Option<f64> {
        let value = read_number(digits)?;
        let exact = || self.0.scale.exact?.scale_decimal(Decimal::parse(digits)?);
        Some(exact().unwrap_or_else(|| self.to_si(value))).filter(|value| value.is_finite())
    }

    /// The factor to coherent SI units as a numerator and a denominator: `mm` is (1, 1000).
    ///
    /// Dividing by 1000 rounds once, where multiplying by 0.001 would round twice.
    pub fn scale(&self) -> (f64, f64) {
        (self.0.scale.numerator, self.0.scale.denominator)
    }

    /// The product of two units, in which powers of one unit are gathered.
    pub fn multiply(&self, other: &Self) -> Self {
        self.join(other, Exponent::ONE)
    }

    /// The quotient of two units, in which powers of one unit are gathered.
    pub fn divide(&self, other: &Self) -> Self {
        self.join(other, Exponent::from_integer(-1))
    }

    /// The quotient as it was written: a moment on a length stays `kN·m/m`, which `kN` would hide.
    pub(super) fn over(&self, other: &Self) -> Self {
        if self.divide(other).is_one() {
            return Self::one();
        }
        let mut factors = self.0.factors.clone();
        for &Factor { row, exponent } in &other.0.factors {
            let exponent = exponent * Exponent::from_integer(-1);
            let is_like = |factor: &&mut Factor| {
                factor.row.symbol == row.symbol && (factor.exponent < Exponent::ZERO) == (exponent < Exponent::ZERO)
            };
            match factors.iter_mut().find(is_like) {
                Some(factor) => factor.exponent = factor.exponent + exponent,
                None => factors.push(Factor { row, exponent }),
            }
        }
        Self::from_factors(factors)
    }

    /// A power of the unit.
    pub fn power(&self, exponent: Exponent) -> Self {
        Self::one().join(self, exponent)
    }

    /// A unit of the table by itself.
    pub(super) fn of_row(row: &'static Row) -> Self {
        Self::from_factors(vec![Factor { row, exponent: Exponent::ONE }])
    }

    /// Whether a value can be turned into this unit and back: huge powers may have no finite factor.
    pub(super) fn has_finite_scale(&self) -> bool {
        let sound = |value: f64| value.is_finite() && value > 0.0;
        let (numerator, denominator) = self.scale();
        sound(numerator) && sound(denominator) && sound(numerator / denominator) && !self.0.dimension.is_overflow()
    }

    /// The product of this unit and a power of another.
    fn join(&self, other: &Self, power: Exponent) -> Self {
        let mut factors = self.0.factors.clone();
        for &Factor { row, exponent } in &other.0.factors {
            let exponent = exponent * power;
            match factors.iter_mut().find(|factor| factor.row.symbol == row.symbol) {
                Some(factor) => factor.exponent = factor.exponent + exponent,
                None => factors.push(Factor { row, exponent }),
            }
        }
        Self::from_factors(factors)
    }

    fn from_factors(mut factors: Vec<Factor>) -> Self {
        factors.retain(|factor| !factor.exponent.is_zero());
        factors.sort_by_key(Factor::is_below_line);
        let dimension = factors
            .iter()
            .fold(Dimension::NONE, |dimension, factor| dimension.multiply(factor.row.dimension.power(factor.exponent)));
        Self(Arc::new(Parts { dimension, scale: Scale::of(&factors), factors }))
    }
}

impl PartialEq for Unit {
    fn eq(&self, other: &Self) -> bool {
        self.0.factors.len() == other.0.factors.len()
            && self.factors().all(|factor| other.factors().any(|candidate| candidate == factor))
    }
}

impl Eq for Unit {}

impl fmt::Debug for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Unit({self})")
    }
}

impl fmt::Display for Unit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let line = self.0.factors.partition_point(|factor| !factor.is_below_line());
        let (above, below) = self.0.factors.split_at(line);
        if above.is_empty() && !below.is_empty() {
            f.write_str("1")?;
        }
        write_product(f, above)?;
        match below {
            [] => Ok(()),
            [single] => {
                f.write_str("/")?;
                write_factor(f, single)
            }
            several => {
                f.write_str("/(")?;
                write_product(f, several)?;
                f.write_str(")")
            }
        }
    }
}

impl Factor {
    fn is_below_line(&self) -> bool {
        self.exponent < Exponent::ZERO
    }

    /// The exact factor of the unit itself, without its power.
    fn ratio(&self) -> Ratio {
        Ratio::parse(self.row.factor).expect("every factor of the table is a positive fraction")
    }
}

impl Scale {
    fn of(factors: &[Factor]) -> Self {
        Self::exact_root(factors).unwrap_or_else(|| Self::in_floating_point(factors))
    }

    /// The root of an exact fraction, unless the fraction outgrows 128 bits or the range of `f64`.
    fn exact_root(factors: &[Factor]) -> Option<Self> {
        let (root, radicand) = Self::root_and_radicand(factors)?;
        let (above, below) = radicand.to_fraction();
        (above.is_finite() && below.is_finite()).then(|| Self {
            numerator: take_root(above, root),
            denominator: take_root(below, root),
            exact: (root == 1).then_some(radicand),
        })
    }

    /// Writes the factor as the root of an exact fraction, so that `N^0.5/mm^0.5` takes one root, not two.
    fn root_and_radicand(factors: &[Factor]) -> Option<(i32, Ratio)> {
        let root = factors.iter().try_fold(1, |root, f| least_common_multiple(root, f.exponent.denominator()))?;
        let radicand = factors.iter().try_fold(Ratio::ONE, |product, factor| {
            let Factor { exponent, .. } = factor;
            let power = exponent.numerator().checked_mul(root / exponent.denominator())?;
            product.multiply(factor.ratio().power(power)?)
        })?;
        Some((root, radicand))
    }

    fn in_floating_point(factors: &[Factor]) -> Self {
        let numerator = factors
            .iter()
            .map(|factor| {
                let (numerator, denominator) = factor.ratio().to_fraction();
                libm::pow(numerator / denominator, factor.exponent.to_f64())
            })
            .product();
        Self { numerator, denominator: 1.0, exact: None }
    }
}

fn take_root(value: f64, root: i32) -> f64 {
    match root {
        1 => value,
        2 => value.sqrt(),
        3 => libm::cbrt(value),
        _ => libm::pow(value, 1.0 / f64::from(root)),
    }
}

fn least_common_multiple(a: i32, b: i32) -> Option<i32> {
    let (mut divisor, mut rest) = (a, b);
    while rest != 0 {
        (divisor, rest) = (rest, divisor % rest);
    }
    (a / divisor).checked_mul(b)
}

fn write_product(f: &mut fmt::Formatter<'_>, factors: &[Factor]) -> fmt::Result {
    for (index, factor) in factors.iter().enumerate() {
        if index > 0 {
            f.write_str("·")?;
        }
        write_factor(f, factor)?;
    }
    Ok(())
}

/// Writes a unit with the size of its power; the sign shows in which side of the line it stands on.
fn write_factor(f: &mut fmt::Formatter<'_>, factor: &Factor) -> fmt::Result {
    f.write_str(factor.row.symbol)?;
    let power = match factor.exponent {
        exponent if factor.is_below_line() => -exponent,
        exponent => exponent,
    };
    if power == Exponent::ONE {
        Ok(())
    } else if power.is_integer() {
        write_superscript(f, power.numerator())
    } else if power.to_string().contains('/') {
        write!(f, "^({power})")
    } else {
        write!(f, "^{power}")
    }
}
