//! The pressure below a base plate, the forces of its anchors and their resultants, from above.

use super::field::{Field, MOST_VALUES, contour, draw, grid_of, letter_on};
use super::{Base, Ground, draw_bare};
use crate::render::figure::contour::Grid;
use crate::render::figure::drawing::{Align, Board, Path, Place, Words, fit, kilonewtons, millimetres, significant};
use crate::render::figure::geometry::{Bounds, Point, at};
use crate::render::markup::Markup;
use std::fmt::Write;

/// What a drawing of the pressure shows; lengths in mm, forces in kN, stresses in N/mm², y to the north.
#[derive(Clone, Debug, Default)]
pub struct Pressure {
    /// Plate, column and anchors.
    pub base: Base,
    /// The tension in each anchor.
    pub forces: Vec<f64>,
    /// Where the pressure is how large.
    pub below: Below,
    /// The resultant compression.
    pub compression: Resultant,
    /// The resultant tension, where it is told.
    pub tension: Option<Resultant>,
    /// The largest pressure.
    pub largest: f64,
    /// Where it is.
    pub largest_at: [f64; 2],
}

/// How the pressure is told.
#[derive(Clone, Debug)]
pub enum Below {
    /// By a plate that rises by a + b x + c y and presses where that is negative, in proportion; any unit.
    Plane([f64; 3]),
    /// By as many values in a row as there are rows over the box of the plate, from the south-west.
    Samples(Vec<f64>),
}

impl Default for Below {
    fn default() -> Self {
        Below::Samples(Vec::new())
    }
}

/// A force and where it acts.
#[derive(Copy, Clone, Debug, Default)]
pub struct Resultant {
    /// The force.
    pub force: f64,
    /// Where it acts.
    pub at: [f64; 2],
}

/// What the ring about the anchor that carries most has in area outside of the anchor, as the radius of a circle, em; the
/// areas of all are as the forces.
const LARGEST_RING: f64 = 1.2;
/// An anchor with a smaller part of the largest force carries nothing.
const NOTHING: f64 = 1e-6;

/// Draws the pressure.
pub fn draw_pressure(pressure: &Pressure) -> Markup {
    match Survey::of(pressure) {
        Ok(survey) => {
            let bounds = survey.ground.bounds;
            fit(1.3 * bounds.width().max(bounds.height()), |em| lay_out(pressure, &survey, em))
                .finish(&describe(pressure, &survey))
        }
        Err(reason) => draw_bare(&pressure.base, "pressure", &reason),
    }
}

struct Survey {
    ground: Ground,
    field: Field,
    /// The line on which the pressure becomes zero, on a grid that a straight one may leave the plate on.
    zero: Option<Grid>,
    is_plane: bool,
}

impl Survey {
    fn of(pressure: &Pressure) -> Result<Self, String> {
        let ground = Ground::of(&pressure.base)?;
        if pressure.forces.len() != ground.anchors.len() {
            return Err(format!("there are {} forces for {} anchors", pressure.forces.len(), ground.anchors.len()));
        }
        let tension = pressure.tension.unwrap_or_default();
        let mut numbers = pressure.forces.clone();
        numbers.extend([pressure.compression.force, tension.force, pressure.largest]);
        numbers.extend(pressure.compression.at.into_iter().chain(tension.at).chain(pressure.largest_at));
        if numbers.iter().any(|number| !number.is_finite()) {
            return Err("its forces are no numbers".to_owned());
        }
        let reach = ground.bounds.grown(2.0 * ground.bounds.width().max(ground.bounds.height()));
        let places = [pressure.compression.at, tension.at, pressure.largest_at];
        if places.iter().any(|[x, y]| !reach.contains(at(*x, -*y))) {
            return Err("a force acts nowhere near the plate".to_owned());
        }
        let top = pressure.largest.max(0.0);
        let (grid, zero, is_plane) = match &pressure.below {
            Below::Plane([a, b, c]) => {
                // The drawing's y points down.
                let rise = |point: Point| a + b * point.x - c * point.y;
                let lowest = rise(at(pressure.largest_at[0], -pressure.largest_at[1]));
                if top > 0.0 && !(lowest.is_finite() && lowest < 0.0) {
                    return Err("the plate does not press where its pressure is largest".to_owned());
                }
                let value = |point: Point| if top > 0.0 { top * (rise(point) / lowest) } else { -1.0 };
                let wide = ground.bounds.grown(0.06 * ground.bounds.width().max(ground.bounds.height()));
                (Grid::of(ground.bounds, 2, 2, value), Grid::of(wide, 2, 2, value), true)
            }
            Below::Samples(samples) => {
                if samples.iter().any(|sample| !sample.is_finite()) {
                    return Err("its pressures are no numbers".to_owned());
                }
                let grid = grid_of(&ground, samples, true);
                (grid.clone(), grid, false)
            }
        };
        let grid = grid.ok_or("there are no pressures")?;
        let field = Field { grid, top, has_zero: true };
        Ok(Survey { ground, field, zero: zero.filter(|_| top > 0.0), is_plane })
    }

    /// The line on which the pressure becomes zero; a straight one goes on beyond the plate.
    fn zero_line(&self, em: f64) -> Vec<Vec<Point>> {
        let Some(zero) = &self.zero else {
            return Vec::new();
        };
        if self.is_plane {
            return zero.lines(0.0);
        }
        contour(zero, 0.0, &self.ground.plate, em)
    }
}

fn lay_out(pressure: &Pressure, survey: &Survey, em: f64) -> Board {
    let mut board = Board::new(em);
    let ground = &survey.ground;
    ground.draw_ground(&mut board);
    survey.field.draw_tints(&mut board);
    ground.draw_outlines(&mut board);
    let lines = survey.field.draw_lines(&mut board, &ground.plate);
    board.walls(&ground.walls);
    let zero = survey.zero_line(em);
    draw(&mut board, "zero", &zero);
    let radius = draw_rings(&mut board, pressure, ground);
    ground.draw_anchors(&mut board);

    let mut frame = ground.bounds;
    frame.join(Bounds::of(ground.anchors.iter().copied()).grown(radius));
    frame.join(Bounds::of(zero.iter().flatten().copied()));
    let resultants = resultants(pressure);
    for (resultant, _, is_down) in &resultants {
        draw_resultant(&mut board, *resultant, *is_down);
        frame.include(*resultant);
    }
    let peak = at(pressure.largest_at[0], -pressure.largest_at[1]);
    if survey.field.top > 0.0 {
        draw_mark(&mut board, peak);
    }
    ground.draw_chains(&mut board, &mut frame);

    for (resultant, words, _) in &resultants {
        board.letter_where_clear("force", words, &places_about(*resultant, 0.75 * em, em));
    }
    let largest = pressure.forces.iter().copied().fold(0.0, f64::max);
    ground.letter_anchors(&mut board, &pressure.base, radius.max(0.6 * em), |index| {
        let force = pressure.forces[index];
        if force > NOTHING * largest { format!(" {}", kilonewtons(force)) } else { " 0".to_owned() }
    });
    if survey.field.top > 0.0 {
        let words = Words::symbol("p", "max").then(&format!(" {}", significant(pressure.largest)));
        board.letter_where_clear("name", &words, &places_about(peak, 0.35 * em, em));
    }
    let name = if survey.is_plane { "neutral axis" } else { "edge of contact" };
    let is_named = letter_on(&mut board, "soft", &Words::plain(name), &zero, 1);
    for (words, lines) in &lines {
        letter_on(&mut board, "num", words, lines, MOST_VALUES);
    }
    frame.join(board.bounds);
    let mut title =
        if survey.field.top > 0.0 { "pressure, N/mm²" } else { "no contact: the plate presses nowhere" }.to_owned();
    if largest > 0.0 {
        title.push_str("; areas of rings as the tension");
    }
    if !is_named && !zero.is_empty() {
        let _ = write!(title, "; dash-dotted: {name}");
    }
    survey.field.draw_scale(&mut board, &mut frame, &Words::plain(&title));
    board
}

/// Draws a ring about each anchor that carries tension; gives the radius of the largest circle about an anchor.
fn draw_rings(board: &mut Board, pressure: &Pressure, ground: &Ground) -> f64 {
    let largest = pressure.forces.iter().copied().fold(0.0, f64::max);
    let bolt = ground.bolt(board.em);
    let mut reach = bolt;
    for (anchor, force) in ground.anchors.iter().zip(&pressure.forces) {
        if *force > NOTHING * largest {
            let outside = LARGEST_RING * board.em;
            let radius = (bolt * bolt + outside * outside * (force / largest)).sqrt();
            board.circle("ring", *anchor, radius);
            board.taken.push(Bounds::about(*anchor, 0.8 * radius, 0.8 * radius));
            reach = reach.max(radius);
        }
    }
    reach
}

/// The resultants that there are, each with its words and whether it pushes down.
fn resultants(pressure: &Pressure) -> Vec<(Point, Words, bool)> {
    let all = [
        (Some(pressure.compression), Words::symbol("C", ""), true),
        (pressure.tension, Words::symbol("N", "g"), false),
    ];
    let told = all.into_iter().filter_map(|(resultant, words, is_down)| {
        let resultant = resultant.filter(|resultant| resultant.force > 0.0)?;
        let place = at(resultant.at[0], -resultant.at[1]);
        Some((place, words.then(&format!(" {}", kilonewtons(resultant.force))), is_down))
    });
    told.collect()
}

/// Draws a force at right angles to the paper: the feathers of an arrow that goes into it, or the tip of one that comes out.
fn draw_resultant(board: &mut Board, place: Point, is_down: bool) {
    let em = board.em;
    let radius = 0.52 * em;
    board.circle("force ground", place, radius);
    if is_down {
        let across = radius * std::f64::consts::FRAC_1_SQRT_2;
        let mut feathers = Path::line(place - at(across, across), place + at(across, across));
        feathers.add([place + at(-across, across), place + at(across, -across)]);
        board.path("force", feathers, Bounds::about(place, radius, radius));
    } else {
        board.circle("force head", place, 0.2 * em);
    }
    board.taken.push(Bounds::about(place, 1.15 * radius, 1.15 * radius));
}

/// Marks a place by a cross.
pub(super) fn draw_mark(board: &mut Board, place: Point) {
    let em = board.em;
    let mut cross = Path::line(place - at(0.35, 0.35) * em, place + at(0.35, 0.35) * em);
    cross.add([place + at(-0.35, 0.35) * em, place + at(0.35, -0.35) * em]);
    board.path("tick", cross, Bounds::about(place, 0.35 * em, 0.35 * em));
    board.taken.push(Bounds::about(place, 0.4 * em, 0.4 * em));
}

/// Places for words about a point that is drawn with a radius, the nearest first.
pub(super) fn places_about(point: Point, radius: f64, em: f64) -> Vec<Place> {
    let mut places = Vec::new();
    for lift in [0.27, -0.75, 1.3, -1.6, 2.2, -2.6, 3.2] {
        for (aside, align) in [(1.0, Align::Start), (-1.0, Align::End)] {
            let near = if f64::abs(lift) < 0.5 { radius + 0.3 * em } else { radius };
            places.push(Place { point: point + at(aside * near, lift * em), align, turn: 0.0 });
        }
    }
    for lift in [-0.45 * em - radius, 0.95 * em + radius, -1.5 * em - radius, 2.0 * em + radius] {
        places.push(Place { point: point + at(0.0, lift), align: Align::Middle, turn: 0.0 });
    }
    places
}

/// What the drawing shows, in words.
fn describe(pressure: &Pressure, survey: &Survey) -> String {
    let mut parts = survey.ground.describe(&pressure.base, &pressure.forces);
    let place = |[x, y]: [f64; 2]| format!("at {}, {}", millimetres(x), millimetres(y));
    if survey.field.top > 0.0 {
        let largest = significant(pressure.largest);
        parts.push(format!("largest pressure {largest} N/mm² {}", place(pressure.largest_at)));
        let Resultant { force, at } = pressure.compression;
        parts.push(format!("compression {} {}", kilonewtons(force), place(at)));
    } else {
        parts.push("no contact".to_owned());
    }
    if let Some(Resultant { force, at }) = pressure.tension.filter(|tension| tension.force > 0.0) {
        parts.push(format!("resultant tension {} {}", kilonewtons(force), place(at)));
    }
    format!("Pressure below the plate, dimensions in millimetres: {}.", parts.join(". "))
}
