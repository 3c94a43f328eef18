//! Dimension chains, force arrows, break lines and hatching: what every drawing shares.

use super::drawing::{Align, Board, Path, Place, Words, turn};
use super::geometry::{Bounds, Point, SAME, at};

/// Where a chain of dimensions stands.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub(super) enum Side {
    Top,
    Bottom,
    Left,
    Right,
}

/// A point that a chain measures to: its coordinate along the chain, and where its extension line starts across it.
#[derive(Copy, Clone, Debug)]
pub(super) struct Stop {
    pub along: f64,
    pub from: f64,
}

impl Side {
    /// Whether a chain on this side runs along x.
    pub(super) fn is_level(self) -> bool {
        matches!(self, Side::Top | Side::Bottom)
    }

    /// The sign of the direction away from the drawing.
    pub(super) fn outward(self) -> f64 {
        if matches!(self, Side::Top | Side::Left) { -1.0 } else { 1.0 }
    }
}

impl Board {
    /// Draws a chain outside of `frame` and widens the frame by it: one text for each step from stop to stop.
    pub(super) fn chain(&mut self, side: Side, frame: &mut Bounds, stops: &[Stop], texts: &[Words]) {
        if stops.len() < 2 {
            return;
        }
        let em = self.em;
        let rows = if side.is_level() { self.rows(stops, texts) } else { vec![0; texts.len()] };
        let height = (0.3 + 1.05 * rows.iter().max().map_or(1.0, |row| (row + 1) as f64)) * em;
        let line = match side {
            Side::Top => frame.low.y - 0.75 * em,
            Side::Bottom => frame.high.y + 0.25 * em + height,
            Side::Left => frame.low.x - 0.75 * em,
            Side::Right => frame.high.x + 0.25 * em + height,
        };
        let outward = side.outward() * em;
        let place = |along: f64, across: f64| {
            if side.is_level() { at(along, across) } else { at(across, along) }
        };
        let mut ticks = Path::default();
        for stop in stops {
            let ends = [place(stop.along, stop.from), place(stop.along, line + 0.4 * outward)];
            self.polyline("dim", &ends);
            self.keep_clear_of_line(ends[0], ends[1]);
            let centre = place(stop.along, line);
            ticks.add([centre + at(-0.27, 0.27) * em, centre + at(0.27, -0.27) * em]);
        }
        let ends = [place(stops[0].along, line), place(stops[stops.len() - 1].along, line)];
        self.polyline("dim", &ends);
        self.keep_clear_of_line(ends[0], ends[1]);
        self.path("tick", ticks, Bounds::of(ends).grown(0.27 * em));
        let mut last = f64::NEG_INFINITY;
        for (index, words) in texts.iter().enumerate() {
            let (from, to) = (stops[index].along, stops[index + 1].along);
            let middle = (from + to) / 2.0;
            let (point, align, turn) = if side.is_level() {
                let lift = (0.32 + 1.05 * rows[index] as f64) * em;
                (at(middle, line - lift), Align::Middle, 0.0)
            } else if words.width() * em + 0.4 * em <= to - from {
                (at(line - 0.32 * em, middle), Align::Middle, -90.0)
            } else {
                // Too short a step for upright lettering along it: lettering beside the line, each below the last.
                let base = (middle + 0.3 * em).max(last + 1.0 * em);
                last = base;
                let align = if side == Side::Left { Align::End } else { Align::Start };
                (at(line + 0.5 * outward, base), align, 0.0)
            };
            self.letter("num", words, Place { point, align, turn });
        }
        match side {
            Side::Top => frame.low.y = line - height,
            Side::Bottom => frame.high.y = line + 0.4 * em,
            Side::Left => frame.low.x = line - height,
            Side::Right => frame.high.x = line + 0.4 * em,
        }
    }

    /// For each text of a level chain the row above the line in which it meets no other.
    fn rows(&self, stops: &[Stop], texts: &[Words]) -> Vec<usize> {
        let mut ends: Vec<f64> = Vec::new();
        let mut rows = Vec::new();
        for (words, step) in texts.iter().zip(stops.windows(2)) {
            let half = (words.width() / 2.0 + 0.15) * self.em;
            let middle = (step[0].along + step[1].along) / 2.0;
            let row = ends.iter().position(|end| *end <= middle - half).unwrap_or(ends.len());
            if row == ends.len() {
                ends.push(middle + half);
            } else {
                ends[row] = middle + half;
            }
            rows.push(row);
        }
        rows
    }

    /// Draws one dimension along a slanting line; its text stands where there is room between `rim` and `to`.
    pub(super) fn slanting_dimension(&mut self, from: Point, rim: Point, to: Point, words: &Words) {
        let em = self.em;
        let length = (to - from).length();
        let along = (to - from) * (1.0 / length);
        let upright = upright_turn(along);
        let (sin, cos) = turn(upright);
        let above = at(sin, -cos);
        self.polyline("dim", &[from, to]);
        // At the anchor the crossed centre lines are mark enough.
        let oblique = (along + along.turned()) * (0.27 * em);
        self.path("tick", Path::line(to - oblique, to + oblique), Bounds::about(to, 0.4 * em, 0.4 * em));
        self.keep_clear_of_line(from, to);
        let places: Vec<Place> = [0.5, 0.6, 0.4, 0.7, 0.3, 0.8]
            .into_iter()
            .flat_map(|part| [(part, 0.32), (part, -1.0)])
            .map(|(part, lift)| Place {
                point: rim + (to - rim) * part + above * (lift * em),
                align: Align::Middle,
                turn: upright,
            })
            .collect();
        self.letter_where_clear("num", words, &places);
    }

    /// Draws an arrow with a solid head at `to`.
    pub(super) fn arrow(&mut self, from: Point, to: Point) {
        let em = self.em;
        let along = (to - from) * (1.0 / (to - from).length());
        let across = along.turned() * (0.3 * em);
        let neck = to - along * em;
        self.polyline("force", &[from, neck]);
        self.polygon("force head", &[to, neck + across, neck - across]);
        self.taken.push(Bounds::of([from + across, from - across, to]));
    }

    /// Draws a thin line with a zigzag where that is least in the way: what is drawn goes on beyond it.
    pub(super) fn break_line(&mut self, from: Point, to: Point) {
        let length = (to - from).length();
        if length <= SAME {
            return;
        }
        let along = (to - from) * (1.0 / length);
        let across = along.turned();
        let size = (length / 4.0).min(self.em);
        let zigzag = |part: f64| {
            let corners = [(-0.4, 0.0), (-0.15, 0.65), (0.15, -0.65), (0.4, 0.0)];
            corners.map(|(x, y)| from + along * (length * part + x * size) + across * (y * size))
        };
        let in_the_way = |part: f64| {
            let own = Bounds::of(zigzag(part)).grown(0.15 * size);
            self.taken.iter().map(|taken| taken.shared(own)).sum::<f64>()
        };
        let mut best = (0.5, in_the_way(0.5));
        for part in [0.4_f64, 0.6, 0.3, 0.7, 0.2, 0.8] {
            if best.1 == 0.0 {
                break;
            }
            if length * part.min(1.0 - part) > 0.5 * size && in_the_way(part) < best.1 - 1e-9 {
                best = (part, in_the_way(part));
            }
        }
        let corners = zigzag(best.0);
        self.taken.push(Bounds::of(corners));
        self.keep_clear_of_line(from, to);
        let [a, b, c, d] = corners;
        self.polyline("break", &[from, a, b, c, d, to]);
    }

    /// Draws an upright dimension on the right of `frame`, which grows by it, that runs into a break at a depth: what is
    /// measured goes on to a depth that is only told.
    pub(super) fn broken_dimension(&mut self, frame: &mut Bounds, from: Point, depth: f64, words: &Words) {
        let em = self.em;
        let line = frame.high.x + 1.6 * em;
        self.polyline("dim", &[from, at(line + 0.4 * em, from.y)]);
        let end = at(line, from.y);
        let tick = Path::line(end + at(-0.27, 0.27) * em, end + at(0.27, -0.27) * em);
        self.path("tick", tick, Bounds::about(end, 0.3 * em, 0.3 * em));
        self.break_line(end, at(line, depth + 0.5 * em));
        let place = Place { point: at(line - 0.32 * em, depth * 0.22), align: Align::Middle, turn: -90.0 };
        self.letter("num", words, place);
        frame.high.x = line + 0.4 * em;
    }

    /// Draws the directions of x and y in a corner of a frame, which is given by signs.
    pub(super) fn axes(&mut self, corner: Point, frame: Bounds) {
        let em = self.em;
        let length = 1.5 * em;
        let origin = at(
            if corner.x > 0.0 { frame.high.x - length - 0.55 * em } else { frame.low.x },
            if corner.y > 0.0 { frame.high.y } else { frame.low.y + length + 0.9 * em },
        );
        for (direction, name, place) in [
            (at(1.0, 0.0), "x", at(length + 0.2 * em, 0.25 * em)),
            (at(0.0, -1.0), "y", at(-0.25 * em, -length - 0.3 * em)),
        ] {
            let tip = origin + direction * length;
            self.polyline("axis", &[origin, tip]);
            let (neck, across) = (tip - direction * (0.5 * em), direction.turned() * (0.14 * em));
            self.polygon("axis head", &[tip, neck + across, neck - across]);
            let place = Place { point: origin + place, align: Align::Start, turn: 0.0 };
            self.letter("soft", &Words::italic(name), place);
        }
    }

    /// Draws short strokes along a line, on the side to which `outward` points.
    pub(super) fn hatch_edge(&mut self, from: Point, to: Point, outward: Point) {
        let em = self.em;
        let length = (to - from).length();
        let along = (to - from) * (1.0 / length);
        let count = (length / (0.42 * em)).floor().clamp(1.0, 400.0);
        let stroke = (outward + outward.turned()) * (0.45 * em);
        let mut strokes = Path::default();
        for index in 0..count as usize {
            let start = from + along * (length * (index as f64 + 0.5) / count);
            strokes.add([start, start + stroke]);
        }
        let beyond = [from, to, from + outward * (0.45 * em), to + outward * (0.45 * em)];
        self.path("hat", strokes, Bounds::of(beyond).grown(0.1 * em));
    }
}

/// The turn in degrees of lettering along a direction that keeps it upright.
pub(super) fn upright_turn(along: Point) -> f64 {
    let degrees = libm::atan2(along.y, along.x).to_degrees();
    let degrees = (degrees * 100.0).round() / 100.0;
    if degrees > 89.99 {
        degrees - 180.0
    } else if degrees <= -90.01 {
        degrees + 180.0
    } else {
        degrees
    }
}
