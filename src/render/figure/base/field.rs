//! A field of values over a plate: tints and contour lines with their values, and the scale below the drawing.

use super::Ground;
use crate::render::figure::contour::{Grid, Steps, simplified};
use crate::render::figure::dimension::upright_turn;
use crate::render::figure::drawing::{Align, Board, Path, Place, Words, trimmed, turn};
use crate::render::figure::geometry::{Bounds, Point, at};
use crate::render::figure::region::Region;

/// Contour lines at most.
const MOST_LEVELS: f64 = 8.0;
/// How far a line may be from where it is computed, em.
const TOLERANCE: f64 = 0.03;
/// A contour line shorter than this has no value written on it, em.
const SHORT: f64 = 3.0;
/// How far a line may bend away from words that stand on it, em.
const BEND: f64 = 0.3;
/// Places on lines of one level at which its value is written at most.
pub(super) const MOST_VALUES: usize = 3;

/// Values over a plate.
pub(super) struct Field {
    pub grid: Grid,
    /// The largest value that lines are drawn for.
    pub top: f64,
    /// Whether what is above zero has a tint of its own.
    pub has_zero: bool,
}

impl Field {
    fn steps(&self) -> Option<Steps> {
        Steps::up_to(self.top, MOST_LEVELS)
    }

    fn levels(&self) -> Vec<f64> {
        self.steps().map_or_else(Vec::new, |steps| steps.levels_below(self.top))
    }

    /// Fills what lies above each level once more; `zero` is the level that stands for the lowest.
    pub(super) fn draw_tints(&self, board: &mut Board) {
        let levels = self.has_zero.then_some(0.0).into_iter().filter(|_| self.top > 0.0).chain(self.levels());
        for level in levels {
            let mut tint = Path::default();
            let mut bounds = Bounds::NONE;
            for corners in self.grid.loops(level) {
                let corners = simplified(&corners, TOLERANCE * board.em);
                bounds.join(Bounds::of(corners.iter().copied()));
                tint.add_around(corners);
            }
            board.path("tint", tint, bounds);
        }
    }

    /// Draws the contour lines; gives them with their values, to be lettered when all else is.
    pub(super) fn draw_lines(&self, board: &mut Board, plate: &Region) -> Vec<(Words, Vec<Vec<Point>>)> {
        let Some(steps) = self.steps() else {
            return Vec::new();
        };
        let mut lettered = Vec::new();
        for level in self.levels() {
            let lines = contour(&self.grid, level, plate, board.em);
            draw(board, "iso", &lines);
            lettered.push((Words::plain(&trimmed(level, steps.decimals)), lines));
        }
        lettered
    }

    /// Draws the scale of values below the frame.
    pub(super) fn draw_scale(&self, board: &mut Board, frame: &mut Bounds, title: &Words) {
        let em = board.em;
        let left = frame.low.x;
        let mut base = frame.high.y + 1.35 * em;
        board.letter("soft", title, Place { point: at(left, base), align: Align::Start, turn: 0.0 });
        let (Some(steps), levels) = (self.steps(), self.levels()) else {
            frame.high.y = base + 0.3 * em;
            return;
        };
        let marks: Vec<f64> = if self.has_zero { [0.0].into_iter().chain(levels).collect() } else { levels };
        if marks.is_empty() {
            frame.high.y = base + 0.3 * em;
            return;
        }
        base += 0.5 * em;
        let words = |value: f64| Words::plain(&trimmed(value, steps.decimals));
        let widest = marks.iter().map(|mark| words(*mark).width()).fold(1.0, f64::max);
        let width = (widest + 0.6).max(2.0) * em;
        let start = left + 0.5 * widest * em;
        // The first step without a tint is shown too, for the plate below the first line.
        let blank = if self.has_zero { 0.0 } else { width };
        let end = start + blank + width * marks.len() as f64;
        let strip = Bounds { low: at(start, base), high: at(end, base + 0.75 * em) };
        for index in 0..marks.len() {
            let from = start + blank + width * index as f64;
            board.rectangle("tint", Bounds { low: at(from, strip.low.y), high: strip.high });
        }
        let mut lines = Path::around(strip.corners());
        for (index, mark) in marks.iter().enumerate() {
            let x = start + blank + width * index as f64;
            lines.add([at(x, strip.low.y), at(x, strip.high.y + 0.2 * em)]);
            let point = at(x, strip.high.y + 1.1 * em);
            board.letter("num", &words(*mark), Place { point, align: Align::Middle, turn: 0.0 });
        }
        board.path("thin", lines, strip.grown(0.2 * em));
        frame.high.y = strip.high.y + 1.4 * em;
    }
}

/// The lines of a level within a region.
pub(super) fn contour(grid: &Grid, level: f64, region: &Region, em: f64) -> Vec<Vec<Point>> {
    let lines = grid.lines(level);
    lines.iter().flat_map(|line| region.clipped(&simplified(line, TOLERANCE * em))).collect()
}

/// Draws lines.
pub(super) fn draw(board: &mut Board, class: &'static str, lines: &[Vec<Point>]) {
    let mut path = Path::default();
    for line in lines {
        path.add(line.iter().copied());
    }
    board.path(class, path, Bounds::of(lines.iter().flatten().copied()));
}

/// Writes words on the longest of some lines, and on others that are long, where they are clear of all else: the line is
/// interrupted there. A line among many others may stay without; gives whether they stand anywhere.
pub(super) fn letter_on(
    board: &mut Board,
    class: &'static str,
    words: &Words,
    lines: &[Vec<Point>],
    most: usize,
) -> bool {
    let em = board.em;
    let mut long: Vec<(f64, &Vec<Point>)> = lines.iter().map(|line| (length(line), line)).collect();
    long.sort_by(|a, b| b.0.total_cmp(&a.0));
    let mut written = 0;
    for (length, line) in long {
        let needed = if written == 0 { SHORT } else { 4.0 * SHORT };
        if written == most || length < needed * em {
            break;
        }
        // From the middle outward, on either side in turn.
        let count = (length / (0.7 * em)).floor().clamp(3.0, 60.0);
        let part = |index: usize| {
            let away = 0.5 * (index.div_ceil(2) as f64) / (0.5 * count).ceil() * 0.94;
            if index.is_multiple_of(2) { 0.5 + away } else { 0.5 - away }
        };
        let places: Vec<Place> = (0..count as usize)
            .filter_map(|index| on_line(line, part(index) * length, words.width() * em, em))
            .collect();
        written += usize::from(board.letter_if_clear(class, words, &places));
    }
    written > 0
}

fn length(line: &[Point]) -> f64 {
    line.windows(2).map(|pair| (pair[1] - pair[0]).length()).sum()
}

/// A place for words in the middle of a stretch of a line, along it.
fn on_line(line: &[Point], middle: f64, width: f64, em: f64) -> Option<Place> {
    let (from, to) = (point_at(line, middle - width / 2.0)?, point_at(line, middle + width / 2.0)?);
    let along = to - from;
    // Lettering does not go round a bend.
    if along.length() < 0.9 * width {
        return None;
    }
    let across = at(-along.y, along.x) * (1.0 / along.length());
    for part in [-0.25, 0.0, 0.25] {
        if (point_at(line, middle + part * width)? - from).dot(across).abs() > BEND * em {
            return None;
        }
    }
    let turned = upright_turn(along);
    let (sin, cos) = turn(turned);
    let point = (from + to) * 0.5 + at(-sin, cos) * (0.26 * em);
    Some(Place { point, align: Align::Middle, turn: turned })
}

fn point_at(line: &[Point], mut distance: f64) -> Option<Point> {
    for pair in line.windows(2) {
        let step = (pair[1] - pair[0]).length();
        if distance <= step && step > 0.0 {
            return Some(pair[0] + (pair[1] - pair[0]) * (distance.max(0.0) / step));
        }
        distance -= step;
    }
    line.last().copied()
}

/// The grid of samples over a plate's box, made fit for contours: values go on beyond the rim of the plate, and, where what
/// was below zero was cut off at zero, beyond the line on which they become zero.
///
/// `samples` come row by row from the south-west, as many in a row as there are rows; they are zero outside the plate.
pub(super) fn grid_of(ground: &Ground, samples: &[f64], is_cut_off: bool) -> Option<Grid> {
    let side = (1..=samples.len()).find(|side| side * side >= samples.len())?;
    let rows: Vec<f64> = samples.chunks(side).rev().flatten().copied().collect();
    let mut grid = Grid::new(ground.bounds, side, side, rows)?;
    // A sample on the outline counts as inside or outside by rounding; one that is zero there says nothing.
    let tolerance = 1e-6 * ground.bounds.width().max(ground.bounds.height());
    let largest = samples.iter().copied().fold(0.0, f64::max);
    grid.carry_on(|point, value| {
        if value > 0.0 {
            return (true, f64::INFINITY);
        }
        let is_inside = ground.plate.contains(point) && ground.plate.distance(point) > tolerance;
        (false, if is_cut_off && is_inside { -1e-6 * largest } else { f64::INFINITY })
    });
    Some(grid)
}
