//! Exact factors: a fraction of whole numbers times a power of ten.
//!
//! The power of ten is held apart because a decimal literal times such a factor is again a decimal literal,
//! which the standard library rounds to the nearest `f64` once; binary prefix factors would round twice.
//! Every operation returns `None` where the numbers outgrow 128 bits, and the caller falls back to `f64`.

/// The positive number `numerator / denominator × 10^ten`.
///
/// The fraction is reduced, its numerator has no factor 10 and its denominator no factor 2 or 5:
/// the number has a finite decimal form just when the denominator is one.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub(super) struct Ratio {
    numerator: u128,
    denominator: u128,
    ten: i32,
}

impl Ratio {
    pub(super) const ONE: Self = Self { numerator: 1, denominator: 1, ten: 0 };

    /// Reads a positive decimal, or two with a `/` between them.
    pub(super) fn parse(text: &str) -> Option<Self> {
        let decimal = |text: &str| Decimal::parse(text)?.to_ratio();
        match text.split_once('/') {
            None => decimal(text),
            Some((above, below)) => decimal(above)?.multiply(decimal(below)?.invert()?),
        }
    }

    pub(super) fn multiply(self, other: Self) -> Option<Self> {
        let (a, d) = cancel(self.numerator, other.denominator);
        let (c, b) = cancel(other.numerator, self.denominator);
        Self { numerator: a.checked_mul(c)?, denominator: b.checked_mul(d)?, ten: self.ten.checked_add(other.ten)? }
            .normalise()
    }

    pub(super) fn power(self, exponent: i32) -> Option<Self> {
        let base = if exponent < 0 { self.invert()? } else { self };
        let size = exponent.unsigned_abs();
        Self {
            numerator: base.numerator.checked_pow(size)?,
            denominator: base.denominator.checked_pow(size)?,
            ten: base.ten.checked_mul(i32::try_from(size).ok()?)?,
        }
        .normalise()
    }

    /// Numerator and denominator, reduced where 128 bits allow it and each rounded to the nearest `f64`.
    pub(super) fn to_fraction(self) -> (f64, f64) {
        self.to_whole_fraction().unwrap_or_else(|| {
            let rounded = |digits: u128, ten: i32| scale_by_ten(digits, ten.max(0));
            (rounded(self.numerator, self.ten), rounded(self.denominator, self.ten.saturating_neg()))
        })
    }

    fn to_whole_fraction(self) -> Option<(f64, f64)> {
        let tens = 10_u128.checked_pow(self.ten.unsigned_abs())?;
        let (above, below) = if self.ten < 0 { (1, tens) } else { (tens, 1) };
        let numerator = self.numerator.checked_mul(above)?;
        let denominator = self.denominator.checked_mul(below)?;
        let (numerator, denominator) = cancel(numerator, denominator);
        Some((numerator as f64, denominator as f64))
    }

    /// The product with a decimal, rounded once where this factor has a finite decimal form.
    pub(super) fn scale_decimal(self, decimal: Decimal) -> Option<f64> {
        let digits = decimal.digits.checked_mul(self.numerator)?;
        let ten = decimal.ten.checked_add(self.ten)?;
        let size = scale_by_ten(digits, ten) / self.denominator as f64;
        Some(if decimal.negative { -size } else { size })
    }

    fn invert(self) -> Option<Self> {
        Self { numerator: self.denominator, denominator: self.numerator, ten: self.ten.checked_neg()? }.normalise()
    }

    fn normalise(mut self) -> Option<Self> {
        (self.numerator, self.denominator) = cancel(self.numerator, self.denominator);
        for (prime, partner) in [(2, 5), (5, 2)] {
            while self.denominator.is_multiple_of(prime) {
                self.denominator /= prime;
                self.numerator = self.numerator.checked_mul(partner)?;
                self.ten = self.ten.checked_sub(1)?;
            }
        }
        while self.numerator.is_multiple_of(10) {
            self.numerator /= 10;
            self.ten = self.ten.checked_add(1)?;
        }
        Some(self)
    }
}

/// A decimal literal taken apart: `±digits × 10^ten`.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub(super) struct Decimal {
    negative: bool,
    digits: u128,
    ten: i32,
}

impl Decimal {
    /// Takes a literal such as `-0.30e2` apart, or gives up on one that is not a number or has too many digits.
    pub(super) fn parse(text: &str) -> Option<Self> {
        let (negative, unsigned) = match text.strip_prefix('-') {
            Some(rest) => (true, rest),
            None => (false, text.strip_prefix('+').unwrap_or(text)),
        };
        let (mantissa, power) = unsigned.split_once(['e', 'E']).unwrap_or((unsigned, "0"));
        let (whole, fraction) = mantissa.split_once('.').unwrap_or((mantissa, ""));
        let digits = format!("{whole}{fraction}");
        if digits.is_empty() || !digits.bytes().all(|byte| byte.is_ascii_digit()) {
            return None;
        }
        let shift = i32::try_from(fraction.len()).ok()?;
        Some(Self { negative, digits: digits.parse().ok()?, ten: power.parse::<i32>().ok()?.checked_sub(shift)? })
    }

    fn to_ratio(self) -> Option<Ratio> {
        if self.negative || self.digits == 0 {
            return None;
        }
        Ratio { numerator: self.digits, denominator: 1, ten: self.ten }.normalise()
    }
}

/// `digits × 10^ten`, rounded to the nearest `f64` once.
fn scale_by_ten(digits: u128, ten: i32) -> f64 {
    format!("{digits}e{ten}").parse().expect("digits and a whole power of ten are a literal")
}

/// Two positive whole numbers divided by their greatest common divisor.
fn cancel(a: u128, b: u128) -> (u128, u128) {
    let (mut divisor, mut rest) = (a, b);
    while rest != 0 {
        (divisor, rest) = (rest, divisor % rest);
    }
    (a / divisor, b / divisor)
}
