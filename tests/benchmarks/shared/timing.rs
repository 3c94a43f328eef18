//! Times of things that run in turn.

use anyhow::Result;
use std::time::{Duration, Instant};

/// Times of one thing, in seconds, in the order of the rounds.
#[derive(Clone, Debug, Default)]
pub struct Samples(Vec<f64>);

impl Samples {
    /// Adds one time.
    pub fn push(&mut self, time: Duration) {
        self.0.push(time.as_secs_f64());
    }

    /// The time that half of them stay within.
    pub fn median(&self) -> f64 {
        self.quantile(0.5)
    }

    /// The time that nineteen of twenty stay within.
    pub fn p95(&self) -> f64 {
        self.quantile(0.95)
    }

    /// How many times as long as another thing it took: the median of the rounds, since both met the same disturbances.
    pub fn ratio_to(&self, other: &Samples) -> f64 {
        Samples(self.0.iter().zip(&other.0).map(|(own, other)| own / other).collect()).median()
    }

    fn quantile(&self, part: f64) -> f64 {
        let mut sorted = self.0.clone();
        sorted.sort_by(f64::total_cmp);
        let rank = (part * sorted.len() as f64).ceil() as usize;
        sorted.get(rank.saturating_sub(1)).copied().unwrap_or(f64::NAN)
    }
}

impl FromIterator<Duration> for Samples {
    fn from_iter<I: IntoIterator<Item = Duration>>(times: I) -> Self {
        Self(times.into_iter().map(|time| time.as_secs_f64()).collect())
    }
}

/// One thing to time; it says itself how long it took, so that it can prepare and clear away off the clock.
pub type Work<'a> = &'a mut dyn FnMut() -> Result<Duration>;

/// Times things in turn, every other round backwards, so that none always follows the same neighbour.
pub fn in_turn<const N: usize>(rounds: usize, works: [Work<'_>; N]) -> Result<[Samples; N]> {
    let mut samples: [Samples; N] = std::array::from_fn(|_| Samples::default());
    for round in 0..rounds {
        for step in 0..N {
            let at = if round % 2 == 0 { step } else { N - 1 - step };
            samples[at].push(works[at]()?);
        }
    }
    Ok(samples)
}

/// Runs something and gives what it gave with the time that it took.
pub fn timed<T>(work: impl FnOnce() -> T) -> (T, Duration) {
    let start = Instant::now();
    let result = work();
    (result, start.elapsed())
}
