//! The section: one anchor through plate, grout and member, to scale.
//!
//! In goes a [`Section`] in millimetres; out comes an SVG whose view box is in millimetres as well, with the axis of the
//! anchor at x = 0 and the surface of the concrete at y = 0, y pointing down.
//! Nut, washer and expansion end have the usual proportions of the diameter; everything dimensioned is to scale.

pub(super) mod parts;

use super::dimension::{Side, Stop, upright_turn};
use super::drawing::{Align, Board, Place, Words, fit, kilonewtons, millimetres};
use super::geometry::{Bounds, at};
use super::undrawn;
use crate::render::markup::Markup;

/// What a section shows; lengths in mm, the force in kN.
#[derive(Clone, Debug, Default)]
pub struct Section {
    /// Effective embedment.
    pub h_ef: f64,
    /// Thickness of the member.
    pub h: f64,
    /// Thickness of the plate.
    pub t_fix: f64,
    /// Diameter of the anchor.
    pub d: f64,
    /// Diameter of the hole in the plate.
    pub d_f: Option<f64>,
    /// Depth of the drilled hole.
    pub h_0: Option<f64>,
    /// Thickness of the grout.
    pub t_grout: Option<f64>,
    /// Diameter and thickness of the head of a cast-in bolt.
    pub head: Option<[f64; 2]>,
    /// Diameter of the drilled hole of a straight rod or screw; an anchor with neither this nor a head expands at its end.
    pub d_0: Option<f64>,
    /// Distance of the anchor to the edge.
    pub c_1: Option<f64>,
    /// Characteristic edge distance of the concrete cone: half its width.
    pub c_cr_n: Option<f64>,
    /// Tension.
    pub n: Option<f64>,
}

/// Half the width of the cone over the embedment, where no other is given.
const CONE: f64 = 1.5;
/// A member is broken off below this depth, times the embedment.
const DEEP: f64 = 3.2;
/// An edge farther away than this times half the cone's width is told in words.
const FAR: f64 = 2.2;
/// Sizes beyond these are not drawn, mm.
const SIZES: std::ops::RangeInclusive<f64> = 0.1..=1e5;
/// A part thinner than the embedment over this, or larger than the embedment times this, is not legible.
const LEGIBLE: f64 = 200.0;

/// Draws a section.
pub fn draw(section: &Section) -> Markup {
    match Cut::of(section) {
        Ok(cut) => fit(2.6 * cut.cone, |em| lay_out(section, &cut, em)).finish(&describe(section)),
        Err(reason) => undrawn("section", &reason),
    }
}

/// What follows from the sizes before anything is drawn.
struct Cut {
    /// Half the width of the cone.
    cone: f64,
    grout: f64,
    /// Level of the plate's upper face.
    top: f64,
    /// Depth of the anchor's end.
    end: f64,
    /// Depth to which the member is drawn.
    depth: f64,
    /// Whether the member goes on below.
    is_deep: bool,
    /// The edge, where it is in view.
    edge: Option<f64>,
}

impl Cut {
    fn of(section: &Section) -> Result<Self, String> {
        let required = [
            (Some(section.h_ef), "the embedment"),
            (Some(section.h), "the member's thickness"),
            (Some(section.t_fix), "the plate's thickness"),
            (Some(section.d), "the anchor's diameter"),
            (section.d_f, "the hole's diameter"),
            (section.h_0, "the hole's depth"),
            (section.d_0, "the drilled hole's diameter"),
            (section.head.map(|head| head[0]), "the head's diameter"),
            (section.head.map(|head| head[1]), "the head's thickness"),
            (section.c_1, "the edge distance"),
            (section.c_cr_n, "the characteristic edge distance"),
        ];
        for (value, what) in required {
            if value.is_some_and(|value| !(value.is_finite() && SIZES.contains(&value))) {
                return Err(format!("{what} is no size that can be drawn"));
            }
        }
        let grout = section.t_grout.unwrap_or(0.0);
        if !(grout.is_finite() && (0.0..=*SIZES.end()).contains(&grout)) {
            return Err("the grout's thickness is no size that can be drawn".to_owned());
        }
        if section.n.is_some_and(|force| !force.is_finite()) {
            return Err("the tension is no number".to_owned());
        }
        let h_ef = section.h_ef;
        if section.d < h_ef / LEGIBLE || section.d.max(section.t_fix).max(grout) > h_ef * LEGIBLE {
            return Err("the sizes are too far apart to be drawn at one scale".to_owned());
        }
        let cone = section.c_cr_n.unwrap_or(CONE * h_ef);
        if !(h_ef / LEGIBLE..=h_ef * LEGIBLE).contains(&cone) {
            return Err("the cone is too far from the embedment's size to be drawn".to_owned());
        }
        let end = match (section.head, section.h_0) {
            (Some([_, thickness]), _) => h_ef + thickness,
            (None, _) if section.d_0.is_some() => h_ef,
            (None, Some(h_0)) => (h_0 - 0.3 * section.d).clamp(h_ef, h_ef + 0.8 * section.d),
            (None, None) => h_ef + 0.8 * section.d,
        };
        let reach = section.h_0.unwrap_or(end).max(end);
        let is_deep = section.h > (DEEP * h_ef).max(1.5 * reach);
        Ok(Cut {
            cone,
            grout,
            top: -(grout + section.t_fix),
            end,
            depth: if is_deep { (2.1 * h_ef).max(1.25 * reach) } else { section.h },
            is_deep,
            edge: section.c_1.filter(|c_1| *c_1 <= FAR * cone.max(3.0 * section.d)),
        })
    }

    /// The member's depth in view at most, whichever is less.
    fn hole_end(&self, section: &Section) -> f64 {
        section.h_0.unwrap_or(self.end).min(self.depth)
    }
}

fn lay_out(section: &Section, cut: &Cut, em: f64) -> Board {
    let mut board = Board::new(em);
    let d = section.d;
    let plate_half = (3.6 * d).max(0.45 * cut.cone);
    let reach = (cut.cone + 1.2 * em).max(plate_half + 1.5 * em);
    let right = cut.edge.unwrap_or(reach);
    let plate_right = if right < plate_half + 0.8 * em { plate_half.min(right * 0.8).max(1.2 * d) } else { plate_half };
    let member = Bounds { low: at(-reach, 0.0), high: at(right, cut.depth) };

    board.rectangle("ground", member);
    let (words, places) = draw_cone(&mut board, section, cut, member);
    parts::draw_plate(&mut board, section, cut, -plate_half, plate_right);
    parts::draw_anchor(&mut board, section, cut);
    let breaks = parts::draw_faces(&mut board, cut, member);

    let mut frame = member;
    frame.join(Bounds { low: at(-plate_half, cut.top), high: at(plate_right, 0.0) });
    draw_dimensions(&mut board, section, cut, &mut frame, [-plate_half, plate_right], member);
    draw_tension(&mut board, section, cut);
    for (start, end) in breaks {
        board.break_line(start, end);
    }
    board.letter_where_clear("cone", &words, &places);
    board.concrete = Some(member);
    if let Some(c_1) = section.c_1.filter(|_| cut.edge.is_none()) {
        let place =
            Place { point: at(board.bounds.low.x, board.bounds.high.y + 1.2 * em), align: Align::Start, turn: 0.0 };
        let words = Words::plain("not in view: edge at ")
            .followed_by(Words::symbol("c", "1"))
            .then(&format!(" {}", millimetres(c_1)));
        board.letter("soft", &words, place);
    }
    board
}

/// Draws the cone; gives its lettering and the places for it.
fn draw_cone(board: &mut Board, section: &Section, cut: &Cut, member: Bounds) -> (Words, Vec<Place>) {
    let em = board.em;
    let apex = at(0.0, section.h_ef.min(cut.depth));
    let mut sides = Vec::new();
    for sign in [-1.0, 1.0] {
        let limit = if sign < 0.0 { cut.cone } else { cut.cone.min(member.high.x) };
        let rim = at(sign * limit, apex.y * (1.0 - limit / cut.cone));
        board.polyline("cone", &[rim, apex]);
        board.keep_clear_of_line(rim, apex);
        sides.push((rim, apex));
    }
    let words = match section.c_cr_n {
        Some(c_cr_n) => Words::symbol("c", "cr,N").then(&format!(" {}", millimetres(c_cr_n))),
        None => {
            Words::plain("1.5 ").followed_by(Words::symbol("h", "ef")).then(&format!(" = {}", millimetres(cut.cone)))
        }
    };
    let mut places = Vec::new();
    for (rim, apex) in sides.into_iter().rev() {
        let along = (apex - rim) * (1.0 / (apex - rim).length());
        let turn = upright_turn(along);
        let (sin, cos) = super::drawing::turn(turn);
        let down = at(-sin, cos);
        for (part, lift) in [(0.45, 1.05), (0.35, 1.05), (0.55, 1.05), (0.4, -0.4)] {
            let point = rim + (apex - rim) * part + down * (lift * em);
            places.push(Place { point, align: Align::Middle, turn });
        }
    }
    (words, places)
}

fn draw_dimensions(
    board: &mut Board,
    section: &Section,
    cut: &Cut,
    frame: &mut Bounds,
    plate: [f64; 2],
    member: Bounds,
) {
    let em = board.em;
    let symbol = |letter: &str, subscript: &str, value: f64| {
        Words::symbol(letter, subscript).then(&format!(" {}", millimetres(value)))
    };
    let d = section.d;
    // Hatching or a zigzag stands outside of the member, where the dimension's lettering would be.
    frame.high.x += 0.5 * em;

    let outside = plate[0] - 0.25 * em;
    let mut stops = vec![Stop { along: cut.top, from: outside }];
    let mut texts = vec![symbol("t", "fix", section.t_fix)];
    if cut.grout > 0.0 {
        stops.push(Stop { along: -cut.grout, from: outside });
        texts.push(symbol("t", "grout", cut.grout));
    }
    stops.push(Stop { along: 0.0, from: member.low.x - 0.25 * em });
    if section.h_ef <= cut.depth {
        stops.push(Stop { along: section.h_ef, from: -0.75 * d });
        texts.push(symbol("h", "ef", section.h_ef));
    }
    board.chain(Side::Left, frame, &stops, &texts);
    if let Some(h_0) = section.h_0.filter(|h_0| *h_0 <= cut.depth) {
        let stops = [Stop { along: 0.0, from: member.low.x - 0.25 * em }, Stop { along: h_0, from: -0.75 * d }];
        board.chain(Side::Left, frame, &stops, &[symbol("h", "0", h_0)]);
    }

    let from = member.high.x + 0.25 * em;
    let stops = [Stop { along: 0.0, from }, Stop { along: cut.depth, from }];
    if cut.is_deep {
        board.broken_dimension(frame, at(from, 0.0), cut.depth, &symbol("h", "", section.h));
    } else {
        board.chain(Side::Right, frame, &stops, &[symbol("h", "", section.h)]);
    }

    if let Some(c_1) = cut.edge {
        let axis = cut.hole_end(section).max(cut.end) + 0.3 * d + em;
        let stops =
            [Stop { along: 0.0, from: axis.min(member.high.y) }, Stop { along: c_1, from: member.high.y + 0.25 * em }];
        board.chain(Side::Bottom, frame, &stops, &[symbol("c", "1", c_1)]);
    }
}

fn draw_tension(board: &mut Board, section: &Section, cut: &Cut) {
    let Some(force) = section.n.filter(|force| *force != 0.0) else {
        return;
    };
    let em = board.em;
    let foot = cut.top - 1.6 * section.d - 0.5 * em;
    let (near, away) = (at(0.0, foot), at(0.0, foot - 2.8 * em));
    let (from, to) = if force > 0.0 { (near, away) } else { (away, near) };
    board.arrow(from, to);
    let words = Words::symbol("N", "").then(&format!(" {}", kilonewtons(force.abs())));
    let place = Place { point: at(0.6 * em, foot - 1.4 * em), align: Align::Start, turn: 0.0 };
    board.letter("force", &words, place);
}

/// What the section shows, in words.
fn describe(section: &Section) -> String {
    let mut parts = vec![
        format!("effective embedment {}", millimetres(section.h_ef)),
        format!("member {} thick", millimetres(section.h)),
        format!("plate {} thick", millimetres(section.t_fix)),
        format!("anchor diameter {}", millimetres(section.d)),
    ];
    let optional = [
        (section.d_f, "hole in the plate"),
        (section.h_0, "hole depth"),
        (section.t_grout, "grout"),
        (section.head.map(|head| head[0]), "diameter of the head"),
        (section.d_0, "diameter of the drilled hole"),
        (section.c_1, "edge at"),
        (section.c_cr_n, "half width of the cone"),
    ];
    for (value, what) in optional {
        if let Some(value) = value {
            parts.push(format!("{what} {}", millimetres(value)));
        }
    }
    if let Some(force) = section.n {
        parts.push(format!("tension {}", kilonewtons(force)));
    }
    format!("Section through one anchor, dimensions in millimetres: {}.", parts.join("; "))
}
