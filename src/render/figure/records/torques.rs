//! Torques as counts by classes and one after another, each with the band that they have to keep.

use crate::render::figure::drawing::{Align, Board, Place, Words, trimmed};
use crate::render::figure::geometry::{Bounds, Point, at};
use crate::render::figure::undrawn;
use crate::render::markup::Markup;

/// Size of the field of a chart, and the letter size that suits it, all in mm on paper.
const WIDTH: f64 = 74.0;
const HEIGHT: f64 = 42.0;
const EM: f64 = 2.734;
/// Marks of an axis at most.
const MOST_MARKS: f64 = 6.0;

/// The torque asked for and its bounds, in the unit of the chart.
#[derive(Clone, Debug)]
pub struct Band {
    /// The torque asked for.
    pub target: f64,
    /// The least that is accepted.
    pub lower: f64,
    /// The most that is accepted.
    pub upper: f64,
    /// The unit, for the axis.
    pub unit: String,
}

/// One mark of a series: a torque, or the range of several.
#[derive(Clone, Debug)]
pub struct Mark {
    /// The least torque.
    pub least: f64,
    /// The greatest.
    pub greatest: f64,
    /// Whether one of them is outside the band.
    pub is_outside: bool,
    /// What stands below the axis where this mark begins something new: a day.
    pub begins: Option<String>,
}

/// A straight scale from values to millimetres on the paper.
#[derive(Copy, Clone)]
struct Scale {
    low: f64,
    high: f64,
    start: f64,
    end: f64,
}

impl Scale {
    fn place(self, value: f64) -> f64 {
        self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)
    }

    /// Whole multiples of 1, 2 or 5 times a power of ten within the scale.
    fn marks(self) -> Vec<f64> {
        let least = (self.high - self.low) / MOST_MARKS;
        let mut step = 1.0;
        while step > least {
            step /= 10.0;
        }
        while step * 10.0 < least {
            step *= 10.0;
        }
        let step = [1.0, 2.0, 5.0, 10.0].map(|part| part * step).into_iter().find(|step| *step >= least);
        let Some(step) = step else { return Vec::new() };
        let (first, last) = ((self.low / step).ceil() as i64, (self.high / step).floor() as i64);
        (first..=last).map(|index| index as f64 * step).collect()
    }
}

/// Draws how many anchors reached which torque; class i lies between limits i and i + 1.
pub fn histogram(limits: &[f64], counts: &[usize], band: &Band, label: &str) -> Markup {
    let most = counts.iter().copied().max().unwrap_or(0);
    let (Some(first), Some(last)) = (limits.first(), limits.last()) else {
        return undrawn("histogram", "no torque was measured");
    };
    if most == 0 || limits.len() != counts.len() + 1 {
        return undrawn("histogram", "no torque was measured");
    }
    let mut board = Board::new(EM);
    let across = values(band, [*first, *last], [0.0, WIDTH]);
    let up = Scale { low: 0.0, high: most as f64 * 1.08, start: HEIGHT, end: 0.0 };
    let field = Bounds { low: at(0.0, 0.0), high: at(WIDTH, HEIGHT) };
    let (lower, upper) = (across.place(band.lower), across.place(band.upper));
    board.rectangle("band", Bounds { low: at(lower, 0.0), high: at(upper, HEIGHT) });
    for (limits, count) in limits.windows(2).zip(counts) {
        if let ([from, to], true) = (limits, *count > 0) {
            let low = at(across.place(*from), up.place(*count as f64));
            board.rectangle("bin", Bounds { low, high: at(across.place(*to), HEIGHT) });
        }
    }
    for limit in [lower, upper] {
        board.polyline("bound", &[at(limit, 0.0), at(limit, HEIGHT)]);
    }
    let target = across.place(band.target);
    board.polyline("cl", &[at(target, 0.0), at(target, HEIGHT)]);
    axes(&mut board, field);
    for mark in across.marks() {
        let x = across.place(mark);
        board.polyline("axis", &[at(x, HEIGHT), at(x, HEIGHT + 0.35 * EM)]);
        letter(&mut board, &trimmed(mark, 3), at(x, HEIGHT + 1.35 * EM), Align::Middle);
    }
    for mark in up.marks().into_iter().filter(|mark| mark.fract() == 0.0) {
        let y = up.place(mark);
        board.polyline("axis", &[at(-0.35 * EM, y), at(0.0, y)]);
        letter(&mut board, &trimmed(mark, 0), at(-0.6 * EM, y + 0.3 * EM), Align::End);
    }
    letter(&mut board, &format!("torque, {}", band.unit), at(WIDTH / 2.0, HEIGHT + 2.7 * EM), Align::Middle);
    letter(&mut board, "anchors", at(-0.6 * EM, -0.7 * EM), Align::Start);
    board.finish(label)
}

/// Draws torques in the order of their times.
pub fn series(marks: &[Mark], band: &Band, label: &str) -> Markup {
    let (mut least, mut greatest) = (f64::INFINITY, f64::NEG_INFINITY);
    for mark in marks {
        (least, greatest) = (least.min(mark.least), greatest.max(mark.greatest));
    }
    if marks.is_empty() {
        return undrawn("series", "no torque was measured");
    }
    let mut board = Board::new(EM);
    let up = values(band, [least, greatest], [HEIGHT, 0.0]);
    let across = Scale { low: -0.5, high: marks.len() as f64 - 0.5, start: 0.0, end: WIDTH };
    let (lower, upper) = (up.place(band.lower), up.place(band.upper));
    board.rectangle("band", Bounds { low: at(0.0, upper), high: at(WIDTH, lower) });
    for limit in [lower, upper] {
        board.polyline("bound", &[at(0.0, limit), at(WIDTH, limit)]);
    }
    let target = up.place(band.target);
    board.polyline("cl", &[at(0.0, target), at(WIDTH, target)]);
    let mut free_from = f64::NEG_INFINITY;
    for (index, mark) in marks.iter().enumerate() {
        let x = across.place(index as f64);
        draw_mark(&mut board, mark, x, up);
        if let Some(words) = &mark.begins {
            let start = across.place(index as f64 - 0.5);
            board.polyline("axis", &[at(start, HEIGHT), at(start, HEIGHT + 0.8 * EM)]);
            if start >= free_from {
                letter(&mut board, words, at(start + 0.25 * EM, HEIGHT + 1.35 * EM), Align::Start);
                free_from = start + (Words::plain(words).width() + 0.8) * EM;
            }
        }
    }
    axes(&mut board, Bounds { low: at(0.0, 0.0), high: at(WIDTH, HEIGHT) });
    for mark in up.marks() {
        let y = up.place(mark);
        board.polyline("axis", &[at(-0.35 * EM, y), at(0.0, y)]);
        letter(&mut board, &trimmed(mark, 3), at(-0.6 * EM, y + 0.3 * EM), Align::End);
    }
    letter(&mut board, &format!("torque, {}", band.unit), at(-0.6 * EM, -0.7 * EM), Align::Start);
    letter(&mut board, "in the order of the times recorded", at(WIDTH / 2.0, HEIGHT + 2.7 * EM), Align::Middle);
    board.finish(label)
}

fn draw_mark(board: &mut Board, mark: &Mark, x: f64, up: Scale) {
    let (high, low) = (up.place(mark.greatest), up.place(mark.least));
    let size = 0.28 * EM;
    if low - high > size {
        board.polyline(if mark.is_outside { "fault" } else { "range" }, &[at(x, high), at(x, low)]);
    } else if mark.is_outside {
        let points =
            [(0.0, -1.6), (1.5, 1.1), (-1.5, 1.1)].map(|(right, down)| at(x + right * size, low + down * size));
        board.polygon("fault", &points);
    } else {
        board.circle("passes", at(x, low), 0.7 * size);
    }
}

/// The scale of torques: all of them and the band, with a little room.
fn values(band: &Band, ends: [f64; 2], paper: [f64; 2]) -> Scale {
    let (low, high) = (ends[0].min(band.lower), ends[1].max(band.upper));
    let room = ((high - low) * 0.05).max(high.abs() * 1e-3);
    Scale { low: low - room, high: high + room, start: paper[0], end: paper[1] }
}

fn axes(board: &mut Board, field: Bounds) {
    let corner = at(field.low.x, field.high.y);
    board.polyline("axis", &[field.low, corner]);
    board.polyline("axis", &[corner, field.high]);
}

fn letter(board: &mut Board, words: &str, point: Point, align: Align) {
    board.letter("soft", &Words::plain(words), Place { point, align, turn: 0.0 });
}
