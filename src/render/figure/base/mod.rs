//! Base plates from above: plate, column and anchors, over which results are drawn.
//!
//! In goes a [`Base`] in millimetres with y to the north. [`pressure`] draws the pressure below the plate and the forces that
//! it balances, [`stress`] the bending of the plate; both draw a field of values by `field`.

mod field;
pub mod pressure;
pub mod stress;
#[cfg(test)]
mod tests;

use super::dimension::{Side, Stop};
use super::drawing::{Align, Board, Path, Place, Words, fit, kilonewtons, millimetres};
use super::geometry::{Bounds, Point, at, distinct};
use super::plan::Anchor;
use super::region::Region;
use super::undrawn;
use crate::render::markup::Markup;

/// A base plate from above; lengths in mm, y to the north.
#[derive(Clone, Debug, Default)]
pub struct Base {
    /// The corners of the plate.
    pub outline: Vec<[f64; 2]>,
    /// The corners of each hole.
    pub holes: Vec<Vec<[f64; 2]>>,
    /// The centre lines of the column's walls, from one end to the other.
    pub walls: Vec<[[f64; 2]; 2]>,
    /// The anchors.
    pub anchors: Vec<Anchor>,
    /// Diameter of the anchors.
    pub d: Option<f64>,
}

/// Nothing larger than this is drawn, mm: 100 m.
const LARGEST: f64 = 1e5;
/// A plate smaller than this is not drawn, mm.
const SMALLEST: f64 = 0.1;
/// More anchors than this would not be legible.
const MOST_ANCHORS: usize = 64;
/// A plate with more different places of corners than this along an axis has its overall size only.
const MOST_STOPS: usize = 6;

/// Draws a base for which there are no results: plate, column and anchors, and why there is no more. An outline that
/// crosses itself or holes that overlap are seen there.
fn draw_bare(base: &Base, what: &str, reason: &str) -> Markup {
    let Ok(ground) = Ground::of(base) else {
        return undrawn(what, reason);
    };
    let lay_out = |em| {
        let mut board = Board::new(em);
        ground.draw_ground(&mut board);
        ground.draw_outlines(&mut board);
        board.walls(&ground.walls);
        ground.draw_anchors(&mut board);
        let mut frame = ground.bounds;
        frame.join(Bounds::of(ground.anchors.iter().copied()).grown(ground.bolt(em)));
        ground.draw_chains(&mut board, &mut frame);
        ground.letter_anchors(&mut board, base, 0.6 * em, |_| String::new());
        board
    };
    let words =
        format!("Base plate without results, dimensions in millimetres: {}.", ground.describe(base, &[]).join(". "));
    let mut drawn = fit(1.3 * ground.bounds.width().max(ground.bounds.height()), lay_out).finish(&words);
    drawn.push(undrawn(what, reason));
    drawn
}

/// The base in drawing coordinates, y down.
pub(super) struct Ground {
    pub plate: Region,
    pub bounds: Bounds,
    walls: Vec<[Point; 2]>,
    pub anchors: Vec<Point>,
    radius: Option<f64>,
}

impl Ground {
    pub(super) fn of(base: &Base) -> Result<Self, String> {
        let point = |[x, y]: [f64; 2]| at(x, -y);
        let mut loops: Vec<Vec<Point>> = vec![base.outline.iter().copied().map(point).collect()];
        loops.extend(base.holes.iter().map(|hole| hole.iter().copied().map(point).collect()));
        if loops.iter().any(|corners| corners.len() < 3) {
            return Err("an outline has fewer than three corners".to_owned());
        }
        let can_be_drawn = |point: &Point| point.x.abs() <= LARGEST && point.y.abs() <= LARGEST;
        if !loops.iter().flatten().all(can_be_drawn) {
            return Err("a corner of the plate has no place that can be drawn".to_owned());
        }
        let outline = Region { loops: loops.drain(..1).collect() };
        let bounds = outline.bounds();
        if bounds.width().min(bounds.height()) < SMALLEST
            || bounds.width() > 50.0 * bounds.height()
            || bounds.height() > 50.0 * bounds.width()
        {
            return Err("the plate has no size that can be drawn".to_owned());
        }
        let walls: Vec<[Point; 2]> = base.walls.iter().map(|wall| wall.map(point)).collect();
        let reach = bounds.grown(bounds.width().max(bounds.height()));
        let is_near = |point: &Point| reach.contains(*point);
        if !walls.iter().flatten().all(is_near) {
            return Err("a wall of the column lies nowhere near the plate".to_owned());
        }
        if base.anchors.len() > MOST_ANCHORS {
            return Err(format!("there are more than {MOST_ANCHORS} anchors"));
        }
        let anchors: Vec<Point> = base.anchors.iter().map(|anchor| at(anchor.x, -anchor.y)).collect();
        if let Some(index) = anchors.iter().position(|anchor| !is_near(anchor)) {
            return Err(format!("{} lies nowhere near the plate", base.anchors[index].label));
        }
        if base.d.is_some_and(|d| !(d > 0.0 && d <= bounds.width().max(bounds.height()))) {
            return Err("the anchor's diameter is no size that can be drawn".to_owned());
        }
        let mut plate = outline;
        plate.loops.extend(loops);
        Ok(Ground { plate, bounds, walls, anchors, radius: base.d.map(|d| d / 2.0) })
    }

    /// The outer outline without the holes.
    fn outline(&self) -> Region {
        Region { loops: self.plate.loops.iter().take(1).cloned().collect() }
    }

    /// Fills the plate.
    fn draw_ground(&self, board: &mut Board) {
        board.path("plate bare", self.outline().outline(), self.bounds);
    }

    /// Covers what lies outside of the plate but within its box, and the holes; then draws all outlines.
    fn draw_outlines(&self, board: &mut Board) {
        let mut outside = self.outline().outline();
        outside.add_around(self.bounds.corners());
        board.path("outside", outside, self.bounds);
        for hole in self.plate.loops.iter().skip(1) {
            board.polygon("outside", hole);
        }
        board.path("profile", self.plate.outline(), self.bounds);
        for corners in &self.plate.loops {
            for (index, from) in corners.iter().enumerate() {
                board.keep_clear_of_line(*from, corners[(index + 1) % corners.len()]);
            }
        }
    }

    /// The radius that anchors are drawn with, to scale where that is legible.
    fn bolt(&self, em: f64) -> f64 {
        self.radius.unwrap_or(0.28 * em).max(0.2 * em)
    }

    /// Draws the anchors.
    fn draw_anchors(&self, board: &mut Board) {
        let em = board.em;
        let radius = self.bolt(em);
        let reach = radius + 0.45 * em;
        let mut centre_lines = Path::default();
        for anchor in &self.anchors {
            board.circle("bolt", *anchor, radius);
            centre_lines.add([*anchor - at(reach, 0.0), *anchor + at(reach, 0.0)]);
            centre_lines.add([*anchor - at(0.0, reach), *anchor + at(0.0, reach)]);
            board.taken.push(Bounds::about(*anchor, radius + 0.15 * em, radius + 0.15 * em));
        }
        let bounds = Bounds::of(self.anchors.iter().copied()).grown(reach);
        board.path("cl", centre_lines, bounds);
    }

    /// Draws the chains of the plate below and to the left: its corners, and its overall size.
    fn draw_chains(&self, board: &mut Board, frame: &mut Bounds) {
        let em = board.em;
        let corners = || self.plate.loops.iter().take(1).flatten().copied();
        for side in [Side::Bottom, Side::Left] {
            let along = |point: Point| if side.is_level() { point.x } else { point.y };
            let across = |point: Point| if side.is_level() { point.y } else { point.x };
            let outward = side.outward();
            let stop = |place: f64| {
                let in_line = corners().filter(|corner| (along(*corner) - place).abs() < 0.1);
                let from = in_line.map(|corner| across(corner) * outward).fold(f64::NEG_INFINITY, f64::max) * outward;
                Stop { along: place, from: from + 0.25 * em * outward }
            };
            let places = distinct(corners().map(along), 0.1);
            let overall: Vec<f64> = places.first().into_iter().chain(places.last()).copied().collect();
            let mut chains = vec![overall];
            if (3..=MOST_STOPS).contains(&places.len()) {
                chains.insert(0, places);
            }
            for places in chains {
                let texts: Vec<Words> =
                    places.windows(2).map(|pair| Words::plain(&millimetres(pair[1] - pair[0]))).collect();
                let stops: Vec<Stop> = places.into_iter().map(stop).collect();
                board.chain(side, frame, &stops, &texts);
            }
        }
    }

    /// Writes the anchors' names, each with what `value` says of it.
    fn letter_anchors(&self, board: &mut Board, base: &Base, reach: f64, value: impl Fn(usize) -> String) {
        let em = board.em;
        let middle = self.bounds.centre();
        for (index, anchor) in self.anchors.iter().enumerate() {
            let words = Words::italic(&base.anchors[index].label).then(&value(index));
            let (right, down) =
                (if anchor.x < middle.x { 1.0 } else { -1.0 }, if anchor.y <= middle.y { 1.0 } else { -1.0 });
            let align = |x: f64| if x > 0.0 { Align::Start } else { Align::End };
            let aside =
                |x: f64| Place { point: *anchor + at(x * (reach + 0.3 * em), 0.27 * em), align: align(x), turn: 0.0 };
            let over = |y: f64, lift: f64| {
                let base = if y > 0.0 { reach + 0.85 * em + lift * em } else { -reach - (0.3 + lift) * em };
                Place { point: *anchor + at(0.0, base), align: Align::Middle, turn: 0.0 }
            };
            let corner = |x: f64, y: f64| {
                let base = if y > 0.0 { 0.75 * reach + 0.74 * em } else { -0.75 * reach };
                Place { point: *anchor + at(x * (0.75 * reach + 0.2 * em), base), align: align(x), turn: 0.0 }
            };
            let places = [
                over(down, 0.0),
                over(-down, 0.0),
                aside(right),
                aside(-right),
                corner(right, down),
                corner(right, -down),
                corner(-right, down),
                corner(-right, -down),
                over(down, 0.6),
                over(-down, 0.6),
            ];
            board.letter_where_clear("name", &words, &places);
        }
    }

    /// What is drawn, in words.
    fn describe(&self, base: &Base, forces: &[f64]) -> Vec<String> {
        let (width, height) = (millimetres(self.bounds.width()), millimetres(self.bounds.height()));
        let mut parts = vec![format!("plate {width} by {height}")];
        let anchor = |(index, anchor): (usize, &Anchor)| {
            let force = forces.get(index).map_or(String::new(), |force| format!(" with {}", kilonewtons(*force)));
            format!("{} at {}, {}{force}", anchor.label, millimetres(anchor.x), millimetres(anchor.y))
        };
        let anchors: Vec<String> = base.anchors.iter().enumerate().map(anchor).collect();
        if !anchors.is_empty() {
            parts.push(format!("anchors {}", anchors.join("; ")));
        }
        parts
    }
}
