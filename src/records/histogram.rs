//! Counts by classes whose width is 1, 2 or 5 times a power of ten.

/// Classes at most.
const MOST_CLASSES: f64 = 20.0;
/// The part of a width by which a value may fall short of a limit between classes through rounding alone.
const ROUNDING: f64 = 1e-9;

/// Counts of values by classes of equal width, in coherent SI units.
///
/// Class i holds values from `(first + i) · width` up to but not including the next limit; limits are whole multiples of
/// the width, so that they can be printed exactly.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Histogram {
    /// The width of a class as a number and a divisor, both exact: 0.002 is (2, 1000).
    pub width: (f64, f64),
    /// The lower limit of the first class, in widths.
    pub first: i64,
    /// Values in each class; empty for no values.
    pub counts: Vec<usize>,
}

impl Histogram {
    /// The lower limit of a class; that of the class behind the last is the upper limit of the last.
    pub fn limit(&self, class: usize) -> f64 {
        (self.first as f64 + class as f64) * self.width.0 / self.width.1
    }

    /// Sorts values into about √n classes, one at least and twenty or so at most.
    pub(super) fn of(values: impl Iterator<Item = f64> + Clone) -> Self {
        let (mut count, mut least, mut greatest) = (0usize, f64::INFINITY, f64::NEG_INFINITY);
        for value in values.clone() {
            (count, least, greatest) = (count + 1, least.min(value), greatest.max(value));
        }
        if count == 0 {
            return Self::default();
        }
        let classes = (count as f64).sqrt().ceil().clamp(1.0, MOST_CLASSES);
        let spread = greatest - least;
        // Equal values stand in one class, about a thousandth of themselves wide.
        let width = round_width(if spread > greatest * 1e-9 { spread / classes } else { greatest.max(1e-6) / 1000.0 });
        let place = |value: f64| (value * width.1 / width.0 + ROUNDING).floor() as i64;
        let first = place(least);
        let mut counts = vec![0; usize::try_from(place(greatest) - first + 1).unwrap_or(1)];
        for value in values {
            if let Some(slot) = usize::try_from(place(value) - first).ok().and_then(|at| counts.get_mut(at)) {
                *slot += 1;
            }
        }
        Self { width, first, counts }
    }
}

/// The least of 1, 2 and 5 times a power of ten that is no less than a width, as a number and a divisor.
fn round_width(least: f64) -> (f64, f64) {
    let (mut multiple, mut divisor) = (1.0, 1.0);
    while least > 10.0 * multiple {
        multiple *= 10.0;
    }
    while least * divisor < 1.0 && divisor < 1e15 {
        divisor *= 10.0;
    }
    // One of the two is 1, and the width lies between one and ten times multiple ÷ divisor.
    let part = least * divisor / multiple;
    let step = [1.0, 2.0, 5.0, 10.0].into_iter().find(|&step| part <= step * (1.0 + ROUNDING)).unwrap_or(10.0);
    (step * multiple, divisor)
}
