//! What a section cuts through: plate, grout, anchor and member.

use super::{Cut, Section};
use crate::render::figure::drawing::{Board, Path};
use crate::render::figure::geometry::{Bounds, Point, at};

/// Thickness of a washer over the anchor's diameter.
const WASHER: f64 = 0.2;
/// Height of a nut over the anchor's diameter.
const NUT: f64 = 0.85;
/// How far the thread ends above the nut, over the anchor's diameter.
const THREAD_END: f64 = 0.55;
/// Height of all of these.
pub(in crate::render::figure) const ABOVE_PLATE: f64 = WASHER + NUT + THREAD_END;

/// Draws plate and grout on both sides of the hole, broken off outside.
pub(super) fn draw_plate(board: &mut Board, section: &Section, cut: &Cut, left: f64, right: f64) {
    let em = board.em;
    let hole = section.d_f.unwrap_or(section.d).max(section.d) / 2.0;
    let overhang = at(0.0, 0.4 * em);
    for (from, to) in [(left, -hole), (hole, right)] {
        if to - from < 0.05 * em {
            continue;
        }
        let steel = Bounds { low: at(from, cut.top), high: at(to, -cut.grout) };
        let outer = if from < 0.0 { from } else { to };
        board.rectangle("steel", steel);
        board.hatch_box(steel, 0.55 * em);
        let mut outline = Path::default();
        outline.add([
            at(outer, cut.top),
            at(from + to - outer, cut.top),
            at(from + to - outer, -cut.grout),
            at(outer, -cut.grout),
        ]);
        board.path("profile", outline, steel);
        if cut.grout > 0.0 {
            let grout = Bounds { low: at(from, -cut.grout), high: at(to, 0.0) };
            board.rectangle("grout", grout);
            board.dot(grout);
        }
        board.break_line(at(outer, cut.top) - overhang, at(outer, -cut.grout) + overhang * 0.5);
    }
    board.taken.push(Bounds { low: at(left, cut.top), high: at(right, 0.0) });
}

/// Draws anchor, nut, washer and drilled hole.
pub(super) fn draw_anchor(board: &mut Board, section: &Section, cut: &Cut) {
    let (em, d) = (board.em, section.d);
    let r = d / 2.0;
    let nut_top = cut.top - (WASHER + NUT) * d;
    let head = nut_top - THREAD_END * d;
    let end = cut.end.min(cut.depth);
    let bottom = cut.hole_end(section);

    let hole = section.d_0.map_or(r, |d_0| d_0 / 2.0);
    let point = (bottom + 0.6 * hole).min(cut.depth);
    if section.d_0.is_some() && hole > r {
        // A rod stands in the mortar of its hole.
        let mortar = Bounds { low: at(-hole, 0.0), high: at(hole, bottom) };
        board.polygon("grout", &[at(-hole, 0.0), at(hole, 0.0), at(hole, bottom), at(0.0, point), at(-hole, bottom)]);
        board.dot(mortar);
    } else if bottom > end {
        board.polygon("void", &[at(-hole, end), at(hole, end), at(hole, bottom), at(0.0, point), at(-hole, bottom)]);
    }
    let mut inner = Path::default();
    // The thread's root: two thin lines from the bolt's end to below the plate.
    let deepest = match (section.head, section.d_0) {
        (Some([diameter, _]), _) => {
            let low = section.h_ef.min(end);
            draw_shaft(board, [head, low], d);
            let half = (diameter / 2.0).max(r);
            let plate = Bounds { low: at(-half, low), high: at(half, end) };
            board.rectangle("bolt", plate);
            board.taken.push(plate);
            (0.15 * section.h_ef).min(low)
        }
        (None, Some(_)) => {
            draw_shaft(board, [head, end], d);
            end
        }
        (None, None) => {
            draw_expansion(board, [head, end], d, &mut inner);
            (0.15 * section.h_ef).min(sleeve_start(end, d))
        }
    };
    for sign in [-0.82, 0.82] {
        inner.add([at(sign * r, head + 0.12 * d), at(sign * r, nut_top)]);
        inner.add([at(sign * r, cut.top), at(sign * r, deepest)]);
    }
    board.path("thin", inner, Bounds { low: at(-r, head), high: at(r, end) });

    draw_nut(board, 0.0, cut.top, d);
    let axis = [at(0.0, head - 0.7 * em), at(0.0, (bottom + 0.3 * d).max(end) + 0.7 * em)];
    board.polyline("cl", &axis);
    board.taken.push(Bounds { low: at(-1.1 * d, head), high: at(1.1 * d, cut.top) });
    board.taken.push(Bounds { low: at(-r, cut.top), high: at(r, axis[1].y) });
}

/// Draws a straight shaft from its tip to a depth.
fn draw_shaft(board: &mut Board, [head, low]: [f64; 2], d: f64) {
    let r = d / 2.0;
    let outline = [
        at(-r, head + 0.12 * d),
        at(-r + 0.12 * d, head),
        at(r - 0.12 * d, head),
        at(r, head + 0.12 * d),
        at(r, low),
        at(-r, low),
    ];
    board.polygon("bolt", &outline);
}

/// Where the sleeve of an expansion anchor starts.
fn sleeve_start(end: f64, d: f64) -> f64 {
    (end - 1.75 * d).max(0.25 * end)
}

/// Draws the shaft of an expansion anchor from its tip to its end, and adds the lines on it.
fn draw_expansion(board: &mut Board, [head, end]: [f64; 2], d: f64, inner: &mut Path) {
    let r = d / 2.0;
    // The neck, over which the sleeve slides, widens to the expansion end.
    let (sleeve, neck) = (sleeve_start(end, d), 0.36 * d);
    let outline = [
        at(-r, head + 0.12 * d),
        at(-r + 0.12 * d, head),
        at(r - 0.12 * d, head),
        at(r, head + 0.12 * d),
        at(r, end - 0.12 * d),
        at(r - 0.12 * d, end),
        at(-r + 0.12 * d, end),
        at(-r, end - 0.12 * d),
    ];
    board.polygon("bolt", &outline);
    let cone_start = sleeve + (end - sleeve) * 0.42;
    inner.add([at(-r, sleeve), at(r, sleeve)]);
    for sign in [-1.0, 1.0] {
        inner.add([at(sign * neck, sleeve), at(sign * neck, cone_start), at(sign * r, end - 0.3 * d)]);
    }
    inner.add([at(-r, end - 0.3 * d), at(r, end - 0.3 * d)]);
}

/// Draws nut and washer of an anchor of diameter `d` with its axis at x, on a surface at a level.
pub(in crate::render::figure) fn draw_nut(board: &mut Board, x: f64, surface: f64, d: f64) {
    let low = surface - WASHER * d;
    let top = low - NUT * d;
    board.rectangle("nut", Bounds { low: at(x - 1.15 * d, low), high: at(x + 1.15 * d, surface) });
    let (flat, corner) = (0.46 * d, 0.92 * d);
    board.polygon(
        "nut",
        &[
            at(x - corner, top + 0.14 * d),
            at(x - corner + 0.2 * d, top),
            at(x + corner - 0.2 * d, top),
            at(x + corner, top + 0.14 * d),
            at(x + corner, low),
            at(x - corner, low),
        ],
    );
    let mut flats = Path::line(at(x - flat, top + 0.07 * d), at(x - flat, low));
    flats.add([at(x + flat, top + 0.07 * d), at(x + flat, low)]);
    board.path("thin", flats, Bounds { low: at(x - flat, top), high: at(x + flat, low) });
}

/// Draws the member's faces and its free edge; gives the sides on which it goes on.
pub(super) fn draw_faces(board: &mut Board, cut: &Cut, member: Bounds) -> Vec<(Point, Point)> {
    let [top_left, top_right, bottom_right, bottom_left] = member.corners();
    let mut breaks = vec![(bottom_left, top_left)];
    let mut faces = vec![top_left, top_right];
    if cut.edge.is_some() {
        faces.push(bottom_right);
        board.hatch_edge(top_right, bottom_right, at(1.0, 0.0));
        board.keep_clear_of_line(top_right, bottom_right);
    } else {
        breaks.push((top_right, bottom_right));
    }
    if cut.is_deep {
        breaks.push((bottom_right, bottom_left));
    } else if cut.edge.is_some() {
        faces.push(bottom_left);
    } else {
        board.polyline("edge", &[bottom_left, bottom_right]);
    }
    board.polyline("edge", &faces);
    breaks
}
