//! A plane with about twice the digits of a number, for its rise at an anchor close to the zero line.
//!
//! Where an anchor stands near an edge that the load pries the plate off over, the plate tilts so far that the rise at the
//! anchor is the millionth part of a + b x + c y; single digits would leave ten of the anchor's force.
//! Sums and products are split into what a number holds and what it loses (T. J. Dekker, 1971), without a fused
//! multiplication, which rounds otherwise on some machines.

use super::Place;

/// w = a + b x + c y, each coefficient as a number and what that number lost.
#[derive(Debug, Clone, Copy)]
pub(super) struct Twofold {
    high: [f64; 3],
    low: [f64; 3],
}

impl Twofold {
    pub(super) fn of(plane: [f64; 3]) -> Twofold {
        Twofold { high: plane, low: [0.0; 3] }
    }

    /// The coefficients as numbers.
    pub(super) fn rounded(&self) -> [f64; 3] {
        self.high
    }

    pub(super) fn plus(&self, step: [f64; 3], share: f64) -> Twofold {
        let mut sum = *self;
        for (index, step) in step.iter().enumerate() {
            let (high, lost) = sum_of(self.high[index], step * share);
            (sum.high[index], sum.low[index]) = sum_of(high, self.low[index] + lost);
        }
        sum
    }

    pub(super) fn rise(&self, [x, y]: Place) -> f64 {
        let ([a, b, c], [low_a, low_b, low_c]) = (self.high, self.low);
        let ((along_x, lost_x), (along_y, lost_y)) = (product_of(b, x), product_of(c, y));
        let (slopes, lost_slopes) = sum_of(along_x, along_y);
        let (rise, lost_rise) = sum_of(a, slopes);
        rise + (lost_rise + lost_slopes + lost_x + lost_y + low_a + low_b * x + low_c * y)
    }
}

/// A sum, and what it lost by rounding.
fn sum_of(one: f64, other: f64) -> (f64, f64) {
    let sum = one + other;
    let from_other = sum - one;
    (sum, (one - (sum - from_other)) + (other - from_other))
}

/// A product, and what it lost by rounding.
fn product_of(one: f64, other: f64) -> (f64, f64) {
    let product = one * other;
    let ((one_high, one_low), (other_high, other_low)) = (halves(one), halves(other));
    let crossed = one_high * other_low + one_low * other_high;
    (product, one_low * other_low - ((product - one_high * other_high) - crossed))
}

/// A number as the sum of two with half the digits each.
fn halves(value: f64) -> (f64, f64) {
    const SPLIT: f64 = 134_217_729.0;
    let scaled = SPLIT * value;
    let high = scaled - (scaled - value);
    (high, value - high)
}
