//! Figures as a small table: what, measured, target, ratio.

use std::fmt;

/// A figure, and in what it is told.
#[derive(Copy, Clone, Debug)]
pub enum Figure {
    /// Seconds.
    Time(f64),
    /// Bytes.
    Bytes(f64),
    /// How many times something else.
    Times(f64),
}

impl Figure {
    fn value(self) -> f64 {
        match self {
            Figure::Time(value) | Figure::Bytes(value) | Figure::Times(value) => value,
        }
    }
}

impl fmt::Display for Figure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match *self {
            Figure::Time(value) if value >= 1.0 => write!(f, "{value:.2} s"),
            Figure::Time(value) if value >= 1e-3 => write!(f, "{:.2} ms", value * 1e3),
            Figure::Time(value) => write!(f, "{:.2} µs", value * 1e6),
            Figure::Bytes(value) if value >= 1e6 => write!(f, "{:.1} MB", value / 1e6),
            Figure::Bytes(value) => write!(f, "{:.1} KB", value / 1e3),
            Figure::Times(value) => write!(f, "{value:.2} ×"),
        }
    }
}

/// What a figure should come to.
#[derive(Copy, Clone, Debug)]
pub enum Target {
    /// Not more than this.
    AtMost(Figure),
    /// Not less than this.
    AtLeast(Figure),
}

/// Rows under a heading.
#[derive(Debug)]
pub struct Table {
    heading: String,
    rows: Vec<[String; 4]>,
}

impl Table {
    /// A table without rows.
    pub fn new(heading: impl Into<String>) -> Self {
        Self { heading: heading.into(), rows: Vec::new() }
    }

    /// A figure by itself.
    pub fn plain(&mut self, what: &str, figure: Figure) {
        self.rows.push([what.to_owned(), figure.to_string(), String::new(), String::new()]);
    }

    /// A figure with its part of a whole.
    pub fn share(&mut self, what: &str, figure: Figure, whole: Figure) {
        let share = format!("{:.1} %", 100.0 * figure.value() / whole.value());
        self.rows.push([what.to_owned(), figure.to_string(), String::new(), share]);
    }

    /// A figure with a target, and its ratio to it.
    pub fn against(&mut self, what: &str, figure: Figure, target: Target) {
        let (target, limit, is_met) = match target {
            Target::AtMost(limit) => (format!("≤ {limit}"), limit, figure.value() <= limit.value()),
            Target::AtLeast(limit) => (format!("≥ {limit}"), limit, figure.value() >= limit.value()),
        };
        let verdict = if is_met { "met" } else { "missed" };
        let ratio = format!("{:.2} {verdict}", figure.value() / limit.value());
        self.rows.push([what.to_owned(), figure.to_string(), target, ratio]);
    }
}

impl fmt::Display for Table {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let titles = ["what", "measured", "target", "ratio"].map(str::to_owned);
        let rows = || std::iter::once(&titles).chain(&self.rows);
        let width = |at: usize| rows().map(|row| row[at].chars().count()).max().unwrap_or(0);
        let widths = [width(0), width(1), width(2)];
        writeln!(f, "\n{}", self.heading)?;
        for [what, measured, target, ratio] in rows() {
            let [first, second, third] = widths;
            let line = format!("  {what:<first$}  {measured:>second$}  {target:>third$}  {ratio}");
            writeln!(f, "{}", line.trim_end())?;
        }
        Ok(())
    }
}
