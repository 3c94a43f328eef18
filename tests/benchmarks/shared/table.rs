//! Figures as a small table: what, measured, target, ratio.

use std::fmt;

/// What a figure should come to.
#[derive(Copy, Clone, Debug)]
pub enum Target {
    /// Not more than this.
    AtMost(f64),
    /// Not less than this.
    AtLeast(f64),
}

/// In what a figure is told.
#[derive(Copy, Clone, Debug)]
pub enum Measure {
    /// Seconds, told in the unit that suits them.
    Time,
    /// Megabytes.
    Memory,
    /// How many times something else.
    Times,
}

impl Measure {
    fn words(self, value: f64) -> String {
        match self {
            Measure::Time if value >= 1.0 => format!("{value:.2} s"),
            Measure::Time if value >= 1e-3 => format!("{:.2} ms", value * 1e3),
            Measure::Time => format!("{:.2} µs", value * 1e6),
            Measure::Memory => format!("{value:.1} MB"),
            Measure::Times => format!("{value:.2} ×"),
        }
    }
}

/// Rows under a heading.
#[derive(Debug)]
pub struct Table {
    heading: String,
    rows: Vec<[String; 4]>,
}

impl Table {
    /// A table without rows.
    pub fn new(heading: &str) -> Self {
        Self { heading: heading.to_owned(), rows: Vec::new() }
    }

    /// A figure with a target; the ratio is up to 1 where the target is met.
    pub fn against(&mut self, what: &str, measure: Measure, value: f64, target: Target) {
        let (sign, limit, ratio) = match target {
            Target::AtMost(limit) => ("≤", limit, value / limit),
            Target::AtLeast(limit) => ("≥", limit, limit / value),
        };
        let verdict = if ratio <= 1.0 { "met" } else { "missed" };
        let target = format!("{sign} {}", measure.words(limit));
        self.rows.push([what.to_owned(), measure.words(value), target, format!("{ratio:.2} {verdict}")]);
    }

    /// A figure with how many times another one it is.
    pub fn beside(&mut self, what: &str, measure: Measure, value: f64, ratio: f64, other: &str) {
        self.rows.push([what.to_owned(), measure.words(value), String::new(), format!("{ratio:.2} × {other}")]);
    }

    /// A figure with its part of a whole.
    pub fn share(&mut self, what: &str, measure: Measure, value: f64, whole: f64) {
        let share = format!("{:.1} %", 100.0 * value / whole);
        self.rows.push([what.to_owned(), measure.words(value), String::new(), share]);
    }

    /// A figure by itself, or a reason why there is none.
    pub fn plain(&mut self, what: &str, measured: Result<(Measure, f64), &str>) {
        let measured = match measured {
            Ok((measure, value)) => measure.words(value),
            Err(reason) => reason.to_owned(),
        };
        self.rows.push([what.to_owned(), measured, String::new(), String::new()]);
    }
}

impl fmt::Display for Table {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let titles = ["what", "measured", "target", "ratio"].map(str::to_owned);
        let width = |at: usize| {
            let cells = self.rows.iter().chain([&titles]).map(|row| row[at].chars().count());
            cells.max().unwrap_or(0)
        };
        let widths = [width(0), width(1), width(2), width(3)];
        writeln!(f, "\n{}", self.heading)?;
        for row in [&titles].into_iter().chain(&self.rows) {
            let [what, measured, target, ratio] = row;
            let line = format!(
                "  {what:<0$}  {measured:>1$}  {target:>2$}  {ratio:<3$}",
                widths[0], widths[1], widths[2], widths[3]
            );
            writeln!(f, "{}", line.trim_end())?;
        }
        Ok(())
    }
}
