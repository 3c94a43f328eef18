//! The section through a column base: column, welds, plate, grout, anchors and concrete, to scale.
//!
//! In goes a [`BaseSection`] in millimetres; out comes an SVG whose view box is in millimetres as well, with the plate's
//! centre at x = 0 and the surface of the concrete at y = 0, y pointing down.
//! Nuts, washers and the height of column that is shown have usual proportions; everything dimensioned is to scale.

mod parts;
#[cfg(test)]
mod tests;

use crate::render::figure::dimension::{Side, Stop};
use crate::render::figure::drawing::{Align, Board, Place, Words, fit, millimetres};
use crate::render::figure::geometry::{Bounds, at, distinct};
use crate::render::figure::section::parts::{ABOVE_PLATE, draw_nut};
use crate::render::figure::undrawn;
use crate::render::markup::Markup;

/// What a section through a column base shows; lengths in mm.
#[derive(Clone, Debug, Default)]
pub struct BaseSection {
    /// Where the axes of the anchors are, from the plate's centre.
    pub anchors: Vec<f64>,
    /// Width of the plate.
    pub plate: f64,
    /// Its thickness.
    pub t_fix: f64,
    /// Diameter of the anchors.
    pub d: f64,
    /// Their effective embedment.
    pub h_ef: f64,
    /// Thickness of the member.
    pub h: f64,
    /// Thickness of the grout.
    pub t_grout: Option<f64>,
    /// Diameter of the holes in the plate.
    pub d_f: Option<f64>,
    /// Width of the column.
    pub column: Option<f64>,
    /// Its axis from the plate's centre.
    pub axis: f64,
    /// Thickness of the two walls of the column that are cut.
    pub t_wall: Option<f64>,
    /// Throat of the fillet welds.
    pub a: Option<f64>,
    /// Width of the shear key.
    pub key: Option<f64>,
    /// Length of the shear key below the plate.
    pub l_k: Option<f64>,
    /// Diameter and thickness of the anchors' heads.
    pub head: Option<[f64; 2]>,
}

/// Sizes that can be drawn, mm.
const SIZES: std::ops::RangeInclusive<f64> = 0.1..=1e5;
/// A part smaller than the largest over this is not legible.
const LEGIBLE: f64 = 400.0;
/// A member is broken off below this depth, times the deepest of what stands in it.
const DEEP: f64 = 2.0;
/// More anchors in a row than this would not be legible.
const MOST_ANCHORS: usize = 16;

/// Draws the section.
pub fn draw_base_section(section: &BaseSection) -> Markup {
    match Cut::of(section) {
        Ok(cut) => fit(1.5 * (cut.right - cut.left), |em| lay_out(section, &cut, em)).finish(&describe(section)),
        Err(reason) => undrawn("section", &reason),
    }
}

/// What follows from the sizes before anything is drawn.
struct Cut {
    anchors: Vec<f64>,
    grout: f64,
    /// Level of the plate's upper face.
    top: f64,
    /// The column's sides.
    column: Option<[f64; 2]>,
    /// The shear key.
    key: Option<Bounds>,
    /// The sides of all but the member.
    left: f64,
    right: f64,
    /// Depth to which the member is drawn.
    depth: f64,
    /// Whether the member goes on below.
    is_deep: bool,
}

impl Cut {
    fn of(section: &BaseSection) -> Result<Self, String> {
        let sizes = [
            (Some(section.plate), "the plate's width"),
            (Some(section.t_fix), "the plate's thickness"),
            (Some(section.d), "the anchor's diameter"),
            (Some(section.h_ef), "the embedment"),
            (Some(section.h), "the member's thickness"),
            (section.d_f, "the hole's diameter"),
            (section.column, "the column's width"),
            (section.t_wall, "the thickness of the column's walls"),
            (section.a, "the weld's throat"),
            (section.key, "the shear key's width"),
            (section.l_k, "the shear key's length"),
            (section.head.map(|[diameter, _]| diameter), "the head's diameter"),
            (section.head.map(|[_, thickness]| thickness), "the head's thickness"),
        ];
        for (value, what) in sizes {
            if value.is_some_and(|value| !SIZES.contains(&value)) {
                return Err(format!("{what} is no size that can be drawn"));
            }
        }
        let grout = section.t_grout.unwrap_or(0.0);
        if !(0.0..=*SIZES.end()).contains(&grout) {
            return Err("the grout's thickness is no size that can be drawn".to_owned());
        }
        if section.anchors.is_empty() {
            return Err("there is no anchor".to_owned());
        }
        if section.anchors.iter().chain([&section.axis]).any(|place| place.is_nan() || place.abs() > *SIZES.end()) {
            return Err("an anchor or the column has no place that can be drawn".to_owned());
        }
        let anchors = distinct(section.anchors.iter().copied(), 0.01);
        if anchors.len() > MOST_ANCHORS {
            return Err(format!("there are more than {MOST_ANCHORS} anchors in a row"));
        }
        let half = section.plate / 2.0;
        let column = section.column.map(|width| [section.axis - width / 2.0, section.axis + width / 2.0]);
        if column.is_some_and(|[left, right]| left < -half - 0.01 || right > half + 0.01) {
            return Err("the column does not stand on the plate".to_owned());
        }
        if section.t_wall.zip(section.column).is_some_and(|(wall, width)| 2.0 * wall >= width) {
            return Err("the column's walls are thicker than the column".to_owned());
        }
        let bottom = -grout;
        let key = section.key.zip(section.l_k).map(|(width, length)| Bounds {
            low: at(section.axis - width / 2.0, bottom),
            high: at(section.axis + width / 2.0, bottom + length),
        });
        let reach = section.head.map_or(section.d, |[diameter, _]| diameter.max(section.d)) / 2.0;
        let (first, last) = (anchors[0], anchors[anchors.len() - 1]);
        let (left, right) = ((-half).min(first - reach), half.max(last + reach));
        let deepest = (section.h_ef + section.head.map_or(0.0, |[_, thickness]| thickness))
            .max(key.map_or(0.0, |key| key.high.y));
        if deepest > section.h {
            return Err("the member is thinner than what stands in it".to_owned());
        }
        let is_deep = section.h > DEEP * deepest;
        let size = (right - left).max(section.h_ef);
        if size > LEGIBLE * section.d.min(section.t_fix) || size > 12.0 * (right - left) || grout > size {
            return Err("the sizes are too far apart to be drawn at one scale".to_owned());
        }
        Ok(Cut {
            anchors,
            grout,
            top: bottom - section.t_fix,
            column,
            key,
            left,
            right,
            depth: if is_deep { 1.45 * deepest } else { section.h },
            is_deep,
        })
    }
}

fn lay_out(section: &BaseSection, cut: &Cut, em: f64) -> Board {
    let mut board = Board::new(em);
    let margin = (0.35 * section.h_ef).max(1.6 * em);
    let member = Bounds { low: at(cut.left - margin, 0.0), high: at(cut.right + margin, cut.depth) };
    let column_top = cut.top - (ABOVE_PLATE * section.d + 1.5 * em).max(0.22 * (cut.right - cut.left));

    board.rectangle("ground", member);
    parts::draw_grout(&mut board, section, cut);
    parts::draw_key(&mut board, cut);
    parts::draw_anchors(&mut board, section, cut);
    let faces = [member.low, at(member.high.x, 0.0)];
    parts::draw_plate(&mut board, section, cut);
    for anchor in &cut.anchors {
        draw_nut(&mut board, *anchor, cut.top, section.d);
    }
    parts::draw_centre_lines(&mut board, section, cut);
    parts::draw_surface(&mut board, section, cut, faces);
    let welded = parts::draw_column(&mut board, section, cut, column_top);
    if !cut.is_deep {
        board.polyline("edge", &[at(member.low.x, cut.depth), member.high]);
    }

    let mut frame = member;
    frame.low.y = if cut.column.is_some() { column_top - 0.4 * em } else { cut.top - ABOVE_PLATE * section.d };
    draw_dimensions(&mut board, section, cut, &mut frame, member);
    let [top_left, top_right, bottom_right, bottom_left] = member.corners();
    board.break_line(bottom_left, top_left);
    board.break_line(top_right, bottom_right);
    if cut.is_deep {
        board.break_line(bottom_right, bottom_left);
    }
    if let (Some(a), Some(foot)) = (section.a, welded) {
        let words = Words::symbol("a", "").then(&format!(" {}", millimetres(a)));
        let elbow = foot + at(0.9 * em, -1.3 * em);
        board.polyline("dim", &[foot, elbow, elbow + at((words.width() + 0.3) * em, 0.0)]);
        let place = Place { point: elbow + at(0.2 * em, -0.25 * em), align: Align::Start, turn: 0.0 };
        board.letter("num", &words, place);
    }
    board.concrete = Some(member);
    board
}

fn draw_dimensions(board: &mut Board, section: &BaseSection, cut: &Cut, frame: &mut Bounds, member: Bounds) {
    let em = board.em;
    let symbol = |letter: &str, subscript: &str, value: f64| {
        Words::symbol(letter, subscript).then(&format!(" {}", millimetres(value)))
    };
    let half = section.plate / 2.0;
    // A zigzag stands outside of the member, where the dimension's lettering would be.
    frame.high.x += 0.5 * em;
    frame.low.x -= 0.4 * em;

    let outside = -half - 0.25 * em;
    let mut stops = vec![Stop { along: cut.top, from: outside }];
    let mut texts = vec![symbol("t", "fix", section.t_fix)];
    if cut.grout > 0.0 {
        stops.push(Stop { along: -cut.grout, from: outside });
        texts.push(symbol("t", "grout", cut.grout));
    }
    stops.push(Stop { along: 0.0, from: member.low.x - 0.25 * em });
    let first = cut.anchors[0] - section.head.map_or(section.d, |[diameter, _]| diameter) / 2.0;
    stops.push(Stop { along: section.h_ef, from: first - 0.3 * em });
    texts.push(symbol("h", "ef", section.h_ef));
    board.chain(Side::Left, frame, &stops, &texts);

    if let Some((key, length)) = cut.key.zip(section.l_k) {
        let stops = [
            Stop { along: key.low.y, from: half + 0.25 * em },
            Stop { along: key.high.y, from: key.high.x + 0.25 * em },
        ];
        board.chain(Side::Right, frame, &stops, &[symbol("l", "k", length)]);
    }
    let from = member.high.x + 0.25 * em;
    if cut.is_deep {
        board.broken_dimension(frame, at(from, 0.0), cut.depth, &symbol("h", "", section.h));
    } else {
        let stops = [Stop { along: 0.0, from }, Stop { along: cut.depth, from }];
        board.chain(Side::Right, frame, &stops, &[symbol("h", "", section.h)]);
    }

    let below = section.h_ef + section.head.map_or(0.0, |[_, thickness]| thickness) + 0.8 * em;
    let mut places: Vec<f64> = cut.anchors.clone();
    places.extend([-half, half]);
    let places = distinct(places, 0.1);
    let stop = |place: f64| {
        let is_anchor = cut.anchors.iter().any(|anchor| (anchor - place).abs() <= 0.1);
        Stop { along: place, from: if is_anchor { below } else { member.high.y + 0.25 * em } }
    };
    let texts: Vec<Words> = places.windows(2).map(|pair| Words::plain(&millimetres(pair[1] - pair[0]))).collect();
    let stops: Vec<Stop> = places.into_iter().map(stop).collect();
    board.chain(Side::Bottom, frame, &stops, &texts);
    let ends = [-half, half].map(|along| Stop { along, from: frame.high.y });
    board.chain(Side::Bottom, frame, &ends, &[Words::plain(&millimetres(section.plate))]);
}

/// What the section shows, in words.
fn describe(section: &BaseSection) -> String {
    let mut parts = vec![
        format!("plate {} wide and {} thick", millimetres(section.plate), millimetres(section.t_fix)),
        format!("anchors {} with an effective embedment of {}", millimetres(section.d), millimetres(section.h_ef)),
        format!("member {} thick", millimetres(section.h)),
    ];
    let optional = [
        (section.t_grout, "grout"),
        (section.column, "column"),
        (section.a, "weld throat"),
        (section.l_k, "shear key below the plate"),
    ];
    for (value, what) in optional {
        if let Some(value) = value {
            parts.push(format!("{what} {}", millimetres(value)));
        }
    }
    format!("Section through the column base, dimensions in millimetres: {}.", parts.join("; "))
}
