//! What cut materials are filled with: slanting strokes for steel, stones and sand for concrete, sand for grout.
//!
//! Marks are drawn one by one rather than as a pattern, so that they keep clear of lettering and need no names.

use super::drawing::{Board, Path};
use super::geometry::{Bounds, Point, at};

impl Board {
    /// Fills a box with slanting strokes, as cut steel.
    pub(super) fn hatch_box(&mut self, bounds: Bounds, spacing: f64) {
        let (width, height) = (bounds.width(), bounds.height());
        let count = ((width + height) / spacing).ceil().clamp(1.0, 400.0);
        let step = (width + height) / count;
        let mut strokes = Path::default();
        for index in 1..count as usize {
            // The stroke x + y = offset, from its low left end to its high right end.
            let offset = step * index as f64;
            let from = at((offset - height).max(0.0), offset.min(height));
            let to = at(offset.min(width), (offset - width).max(0.0));
            strokes.add([bounds.low + from, bounds.low + to]);
        }
        self.path("hat", strokes, bounds);
    }

    /// Sprinkles the mark of concrete, dots and small triangles, clear of everything else.
    pub(super) fn sprinkle(&mut self, member: Bounds) {
        let em = self.em;
        let (columns, rows) = (cells(member.width(), 1.45 * em), cells(member.height(), 1.45 * em));
        let (width, height) = (member.width() / columns as f64, member.height() / rows as f64);
        let mut scatter = Scatter(7);
        let (mut stones, mut sand) = (Path::default(), Path::default());
        for row in 0..rows {
            for column in 0..columns {
                let (x, y, size, turn) = (scatter.next(), scatter.next(), scatter.next(), scatter.next());
                let corner = member.low + at(column as f64 * width, row as f64 * height);
                let centre = corner + at((0.2 + 0.6 * x) * width, (0.2 + 0.6 * y) * height);
                let own = Bounds::about(centre, 0.3 * em, 0.3 * em);
                if self.taken.iter().any(|taken| taken.shared(own) > 0.0) {
                    continue;
                }
                if (row + column) % 3 == 0 {
                    let points = [0.0, 2.2, 4.1].map(|angle| {
                        let (sin, cos) = libm::sincos(angle + 6.3 * turn);
                        centre + at(cos, sin) * ((0.17 + 0.1 * size) * em)
                    });
                    stones.add_around(points);
                } else {
                    add_dot(&mut sand, centre, (0.03 + 0.025 * size) * em);
                }
            }
        }
        self.path("conc", stones, member);
        self.path("sand", sand, member);
    }

    /// Fills a box with fine dots, the mark of grout.
    pub(super) fn dot(&mut self, bounds: Bounds) {
        let em = self.em;
        let (columns, rows) = (cells(bounds.width(), 0.42 * em), cells(bounds.height(), 0.42 * em));
        let (width, height) = (bounds.width() / columns as f64, bounds.height() / rows as f64);
        let mut scatter = Scatter(11);
        let mut sand = Path::default();
        for row in 0..rows {
            for column in 0..columns {
                let (x, y) = (0.25 + 0.5 * scatter.next(), 0.25 + 0.5 * scatter.next());
                add_dot(&mut sand, bounds.low + at((column as f64 + x) * width, (row as f64 + y) * height), 0.035 * em);
            }
        }
        self.path("sand", sand, bounds);
    }
}

/// A row of numbers from 0 to 1 that looks irregular and is the same every time.
struct Scatter(u32);

impl Scatter {
    fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        f64::from(self.0 >> 8) / f64::from(1_u32 << 24)
    }
}

fn cells(length: f64, size: f64) -> usize {
    (length / size).round().clamp(1.0, 60.0) as usize
}

fn add_dot(path: &mut Path, centre: Point, radius: f64) {
    path.add_around([(-1.0, 0.0), (0.0, -1.0), (1.0, 0.0), (0.0, 1.0)].map(|(x, y)| centre + at(x, y) * radius));
}
