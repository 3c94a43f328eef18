//! The parts of a base plate that bear under a column in compression: strips about the walls, from above, to scale.
//!
//! In goes a [`Bearing`] in millimetres with y to the north. The strips end at the plate; of them counts what stands evenly
//! about the column's axis, which is hatched, and the rest is outlined by dashes.

mod column;
#[cfg(test)]
mod tests;

pub use column::Column;

use crate::render::figure::dimension::{Side, Stop};
use crate::render::figure::drawing::{Align, Board, Path, Place, Words, fit, millimetres};
use crate::render::figure::geometry::{Bounds, Point, SAME, at, distinct};
use crate::render::figure::plan::Anchor;
use crate::render::figure::region::Region;
use crate::render::figure::undrawn;
use crate::render::markup::Markup;

/// What a drawing of bearing strips shows; lengths in mm, y to the north, the origin at the plate's centre.
#[derive(Clone, Debug)]
pub struct Bearing {
    /// The column.
    pub column: Column,
    /// Its axis.
    pub axis: [f64; 2],
    /// Size of the plate in x and y.
    pub plate: [f64; 2],
    /// Width of the strips beside a wall.
    pub c: f64,
    /// The area that counts, mm².
    pub area: Option<f64>,
    /// The anchors.
    pub anchors: Vec<Anchor>,
    /// Their diameter.
    pub d: Option<f64>,
}

/// Sizes that can be drawn, mm.
const SIZES: std::ops::RangeInclusive<f64> = 0.1..=1e5;
/// Areas that differ by less than this part of the plate are one.
const SAME_AREA: f64 = 1e-6;

/// Draws the strips.
pub fn draw_bearing(bearing: &Bearing) -> Markup {
    match Survey::of(bearing) {
        Ok(survey) => {
            let size = survey.plate.width().max(survey.plate.height());
            fit(1.4 * size, |em| lay_out(bearing, &survey, em)).finish(&describe(bearing))
        }
        Err(reason) => undrawn("strips", &reason),
    }
}

struct Survey {
    plate: Bounds,
    axis: Point,
    steel: Region,
    /// All of the strips that lie on the plate.
    all: Region,
    /// What stands evenly about the axis.
    even: Region,
    anchors: Vec<Point>,
}

impl Survey {
    fn of(bearing: &Bearing) -> Result<Self, String> {
        let [width, height] = bearing.plate;
        let mut sizes = vec![width, height];
        sizes.extend(bearing.d);
        sizes.extend(match bearing.column {
            Column::I { h, b, t_w, t_f, .. } => vec![h - 2.0 * t_f, b - t_w, t_w, t_f],
            Column::Rectangle { x, y, t } => vec![x - 2.0 * t, y - 2.0 * t, t],
            Column::Circle { d, t } => vec![d - 2.0 * t, t],
        });
        if sizes.iter().any(|size| !SIZES.contains(size)) {
            return Err("a size of the plate or of the column cannot be drawn".to_owned());
        }
        let largest = 10.0 * width.max(height);
        if !(0.0..=largest).contains(&bearing.c) {
            return Err("the width c cannot be drawn".to_owned());
        }
        let axis = at(bearing.axis[0], -bearing.axis[1]);
        let plate = Bounds::about(at(0.0, 0.0), width / 2.0, height / 2.0);
        let half = bearing.column.half_size();
        // The distance from the axis to the nearer edges of the plate.
        let near = at(width / 2.0 - axis.x.abs(), height / 2.0 - axis.y.abs());
        if !(near.x >= half.x - SAME && near.y >= half.y - SAME) {
            return Err("the column does not stand on the plate".to_owned());
        }
        let anchors: Vec<Point> = bearing.anchors.iter().map(|anchor| at(anchor.x, -anchor.y)).collect();
        if let Some(index) = anchors.iter().position(|anchor| !(anchor.x.abs() <= largest && anchor.y.abs() <= largest))
        {
            return Err(format!("{} has no place that can be drawn", bearing.anchors[index].label));
        }
        let strips = |limits: Bounds| bearing.column.grown(axis, bearing.c, limits);
        Ok(Survey {
            plate,
            axis,
            steel: bearing.column.grown(axis, 0.0, plate),
            all: strips(plate),
            even: strips(Bounds::about(axis, near.x, near.y)),
            anchors,
        })
    }
}

fn lay_out(bearing: &Bearing, survey: &Survey, em: f64) -> Board {
    let mut board = Board::new(em);
    board.rectangle("plate", survey.plate);
    for (index, corner) in survey.plate.corners().into_iter().enumerate() {
        board.keep_clear_of_line(corner, survey.plate.corners()[(index + 1) % 4]);
    }
    board.path("hat", survey.even.hatching(0.5 * em), survey.even.bounds());
    let is_cut =
        (area(&survey.all) - area(&survey.even)).abs() > SAME_AREA * survey.plate.width() * survey.plate.height();
    if is_cut {
        board.path("cone", survey.all.outline(), survey.all.bounds());
    }
    board.path("strip", survey.even.outline(), survey.even.bounds());
    board.path("cut", survey.steel.outline(), survey.steel.bounds());
    let reach = bearing.column.half_size() + at(1.2, 1.2) * em;
    let mut axes = Path::line(survey.axis - at(reach.x, 0.0), survey.axis + at(reach.x, 0.0));
    axes.add([survey.axis - at(0.0, reach.y), survey.axis + at(0.0, reach.y)]);
    board.path("cl", axes, Bounds::about(survey.axis, reach.x, reach.y));
    draw_anchors(&mut board, bearing, survey);

    let mut frame = survey.plate;
    frame.join(Bounds::of(survey.anchors.iter().copied()).grown(em));
    draw_chains(&mut board, survey, &mut frame);
    let is_measured = draw_width(&mut board, bearing, survey);

    let mut words = Words::plain("hatched: ").followed_by(Words::symbol("A", "eff"));
    if let Some(area) = bearing.area {
        words = words.then(&format!(" {} mm²", grouped(area)));
    }
    let mut remarks = vec![words];
    if !is_measured {
        remarks.push(Words::symbol("c", "").then(&format!(" {}", millimetres(bearing.c))));
    }
    if is_cut {
        remarks.push(Words::plain("dashed: on the plate as well, not counted"));
    }
    for (row, words) in remarks.iter().enumerate() {
        let point = at(frame.low.x, frame.high.y + (1.3 + 1.15 * row as f64) * em);
        board.letter("soft", words, Place { point, align: Align::Start, turn: 0.0 });
    }
    board
}

fn draw_anchors(board: &mut Board, bearing: &Bearing, survey: &Survey) {
    let em = board.em;
    let radius = bearing.d.map_or(0.28 * em, |d| d / 2.0);
    let mut lines = Path::default();
    for anchor in &survey.anchors {
        board.circle("bolt", *anchor, radius);
        let reach = radius + 0.45 * em;
        lines.add([*anchor - at(reach, 0.0), *anchor + at(reach, 0.0)]);
        lines.add([*anchor - at(0.0, reach), *anchor + at(0.0, reach)]);
        board.taken.push(Bounds::about(*anchor, reach, reach));
    }
    board.path("cl", lines, Bounds::of(survey.anchors.iter().copied()).grown(radius + 0.45 * em));
}

/// Draws the chains: what counts of the strips, between the plate's edges.
fn draw_chains(board: &mut Board, survey: &Survey, frame: &mut Bounds) {
    let em = board.em;
    let (plate, even) = (survey.plate, survey.even.bounds());
    for side in [Side::Bottom, Side::Left] {
        let along = |point: Point| if side.is_level() { point.x } else { point.y };
        let outward = side.outward() * em;
        let face = if side == Side::Bottom { plate.high.y } else { plate.low.x };
        let edge = if side == Side::Bottom { even.high.y } else { even.low.x };
        let ends = [along(plate.low), along(plate.high)];
        for places in [distinct([ends[0], along(even.low), along(even.high), ends[1]], 0.1), ends.into()] {
            let texts: Vec<Words> =
                places.windows(2).map(|pair| Words::plain(&millimetres(pair[1] - pair[0]))).collect();
            let stop = |place: f64| {
                let from = if ends.contains(&place) { face } else { edge };
                Stop { along: place, from: from + 0.25 * outward }
            };
            let stops: Vec<Stop> = places.into_iter().map(stop).collect();
            board.chain(side, frame, &stops, &texts);
            if stops.len() == 2 {
                break;
            }
        }
    }
}

/// Draws the width of the strips where nothing cuts them; whether there is such a place.
fn draw_width(board: &mut Board, bearing: &Bearing, survey: &Survey) -> bool {
    let em = board.em;
    let words = Words::symbol("c", "").then(&format!(" {}", millimetres(bearing.c)));
    let is_free = |(_, to, _): &(Point, Point, Point)| survey.even.distance(*to) < 0.02 * bearing.c.max(0.1);
    let faces = bearing.column.faces().into_iter().map(|(face, outward)| {
        let from = survey.axis + face;
        (from, from + outward * bearing.c, outward)
    });
    let Some((from, to, outward)) = faces.filter(|_| bearing.c > 0.0).find(is_free) else {
        return false;
    };
    let beyond = outward * (1.1 * em);
    board.polyline("measure", &[from - beyond, to + beyond]);
    let across = outward.turned() * (0.55 * em);
    let mut ticks = Path::default();
    for end in [from, to] {
        let oblique = (outward + outward.turned()) * (0.27 * em);
        ticks.add([end - oblique, end + oblique]);
        board.polyline("measure", &[end - across, end + across]);
    }
    board.path("tick", ticks, Bounds::of([from, to]).grown(0.3 * em));
    board.keep_clear_of_line(from - beyond, to + beyond);
    let end = to + outward * (0.8 * em);
    let middle = (from + to) * 0.5;
    let mut places = Vec::new();
    if outward.y == 0.0 {
        // Above or below a level dimension, or behind its end.
        places.extend([-0.4, 1.1].map(|lift| Place {
            point: middle + at(0.0, lift * em),
            align: Align::Middle,
            turn: 0.0,
        }));
    }
    for aside in [0.45, 0.9] {
        for (sign, align) in [(1.0, Align::Start), (-1.0, Align::End)] {
            for (point, lift) in [(end, 0.3), (middle, 0.3), (end, -0.6)] {
                places.push(Place { point: point + at(sign * aside * em, lift * em), align, turn: 0.0 });
            }
        }
    }
    board.letter_where_clear("num", &words, &places);
    true
}

/// The area of a region whose loops lie within each other in turn, the first being the outermost.
fn area(region: &Region) -> f64 {
    let of_loop = |corners: &Vec<Point>| {
        let next = |index: usize| corners[(index + 1) % corners.len()];
        let double: f64 = corners.iter().enumerate().map(|(index, corner)| corner.turned().dot(next(index))).sum();
        (double / 2.0).abs()
    };
    region
        .loops
        .iter()
        .enumerate()
        .map(|(index, corners)| if index == 0 { of_loop(corners) } else { -of_loop(corners) })
        .sum()
}

/// A whole number in groups of three digits.
fn grouped(value: f64) -> String {
    let digits = format!("{value:.0}");
    let count = digits.len();
    let group = |(index, digit): (usize, char)| {
        let space = (index > 0 && (count - index) % 3 == 0 && count > 4).then_some('\u{202f}');
        space.into_iter().chain([digit])
    };
    digits.chars().enumerate().flat_map(group).collect()
}

/// What the drawing shows, in words.
fn describe(bearing: &Bearing) -> String {
    let [width, height] = bearing.plate.map(millimetres);
    let column = match bearing.column {
        Column::I { h, b, .. } => format!("I section {} by {}", millimetres(h), millimetres(b)),
        Column::Rectangle { x, y, .. } => format!("hollow section {} by {}", millimetres(x), millimetres(y)),
        Column::Circle { d, .. } => format!("circular hollow section {}", millimetres(d)),
    };
    let [x, y] = bearing.axis.map(millimetres);
    let mut parts = vec![
        format!("plate {width} by {height}"),
        format!("{column} at {x}, {y}"),
        format!("strips {} wide beside its walls", millimetres(bearing.c)),
    ];
    if let Some(area) = bearing.area {
        parts.push(format!("of them count {} mm²", grouped(area)));
    }
    format!("Strips of the plate that bear, dimensions in millimetres: {}.", parts.join("; "))
}
