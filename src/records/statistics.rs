//! Mean and spread of a sample.

/// A sample in figures; a figure that the sample is too small for is absent.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Statistics<Q> {
    /// How many values.
    pub count: usize,
    /// The mean; of one value or more.
    pub mean: Option<Q>,
    /// The sample standard deviation, with n − 1; of two values or more.
    pub deviation: Option<Q>,
    /// The coefficient of variation, deviation by mean; where the mean is not 0.
    pub variation: Option<f64>,
    /// The least value.
    pub least: Option<Q>,
    /// The greatest value.
    pub greatest: Option<Q>,
}

impl<Q> Statistics<Q> {
    /// Statistics of values in coherent SI units, by two passes; `typed` makes a quantity of a value.
    ///
    /// Sums run in the order of the values, so that the same order gives the same bits.
    pub(super) fn of(values: impl Iterator<Item = f64> + Clone, typed: fn(f64) -> Q) -> Self {
        let (mut count, mut sum) = (0usize, 0.0);
        let (mut least, mut greatest) = (f64::INFINITY, f64::NEG_INFINITY);
        for value in values.clone() {
            count += 1;
            sum += value;
            (least, greatest) = (least.min(value), greatest.max(value));
        }
        let first_mean = sum / count as f64;
        // The second pass also makes up for what rounding left out of the first.
        let (mut rest, mut squares) = (0.0, 0.0);
        for value in values {
            let distance = value - first_mean;
            rest += distance;
            squares += distance * distance;
        }
        let mean = first_mean + rest / count as f64;
        let deviation =
            (count >= 2).then(|| ((squares - rest * rest / count as f64).max(0.0) / (count - 1) as f64).sqrt());
        let any = |value: f64| (count > 0).then(|| typed(value));
        Self {
            count,
            mean: any(mean),
            deviation: deviation.map(typed),
            variation: deviation.filter(|_| mean != 0.0).map(|deviation| deviation / mean),
            least: any(least),
            greatest: any(greatest),
        }
    }
}
