//! What a section through a base cuts through: grout, shear key, anchors, plate, column and welds.

use super::{BaseSection, Cut};
use crate::render::figure::drawing::{Board, Path};
use crate::render::figure::geometry::{Bounds, Point, at};
use crate::render::figure::section::parts::ABOVE_PLATE;

pub(super) fn draw_grout(board: &mut Board, section: &BaseSection, cut: &Cut) {
    if cut.grout > 0.0 {
        let half = section.plate / 2.0;
        let grout = Bounds { low: at(-half, -cut.grout), high: at(half, 0.0) };
        board.rectangle("grout", grout);
        board.dot(grout);
        board.taken.push(grout);
    }
}

pub(super) fn draw_key(board: &mut Board, cut: &Cut) {
    if let Some(key) = cut.key {
        board.rectangle("steel", key);
        board.hatch_box(key, 0.55 * board.em);
        board.rectangle("profile", key);
        board.taken.push(key);
    }
}

/// Draws the rods with their heads; the plate comes over them.
pub(super) fn draw_anchors(board: &mut Board, section: &BaseSection, cut: &Cut) {
    let r = section.d / 2.0;
    let tip = cut.top - ABOVE_PLATE * section.d;
    let (mut inner, mut bounds) = (Path::default(), Bounds::NONE);
    for x in cut.anchors.iter().copied() {
        if let Some([diameter, thickness]) = section.head {
            let head = Bounds {
                low: at(x - diameter / 2.0, section.h_ef),
                high: at(x + diameter / 2.0, section.h_ef + thickness),
            };
            board.rectangle("bolt", head);
            board.taken.push(head);
        }
        board.polygon(
            "bolt",
            &[
                at(x - r, tip + 0.12 * section.d),
                at(x - 0.76 * r, tip),
                at(x + 0.76 * r, tip),
                at(x + r, tip + 0.12 * section.d),
                at(x + r, section.h_ef),
                at(x - r, section.h_ef),
            ],
        );
        // The thread's root.
        for side in [-0.82, 0.82] {
            inner.add([at(x + side * r, tip + 0.12 * section.d), at(x + side * r, 0.25 * section.h_ef)]);
        }
        let rod = Bounds { low: at(x - r, tip), high: at(x + r, section.h_ef) };
        bounds.join(rod);
        board.taken.push(rod);
    }
    board.path("thin", inner, bounds);
}

/// Draws the plate between the holes for the anchors.
pub(super) fn draw_plate(board: &mut Board, section: &BaseSection, cut: &Cut) {
    let hole = section.d_f.unwrap_or(section.d).max(section.d) / 2.0;
    let half = section.plate / 2.0;
    let mut from = -half;
    let holes = cut.anchors.iter().filter(|anchor| anchor.abs() < half).map(|anchor| [anchor - hole, anchor + hole]);
    for [end, next] in holes.chain([[half, half]]) {
        if end - from > 0.01 {
            let steel = Bounds { low: at(from, cut.top), high: at(end, -cut.grout) };
            board.rectangle("steel", steel);
            board.hatch_box(steel, 0.55 * board.em);
            board.rectangle("profile", steel);
        }
        from = from.max(next);
    }
    board.taken.push(Bounds { low: at(-half, cut.top), high: at(half, -cut.grout) });
}

pub(super) fn draw_centre_lines(board: &mut Board, section: &BaseSection, cut: &Cut) {
    let em = board.em;
    let (tip, end) =
        (cut.top - ABOVE_PLATE * section.d, section.h_ef + section.head.map_or(0.0, |[_, thickness]| thickness));
    let mut lines = Path::default();
    for x in &cut.anchors {
        lines.add([at(*x, tip - 0.6 * em), at(*x, end + 0.6 * em)]);
    }
    let bounds = Bounds { low: at(cut.anchors[0], tip), high: at(cut.anchors[cut.anchors.len() - 1], end) };
    board.path("cl", lines, bounds.grown(0.6 * em));
}

/// Draws the surface of the concrete, between key and anchors.
pub(super) fn draw_surface(board: &mut Board, section: &BaseSection, cut: &Cut, ends: [Point; 2]) {
    let r = section.d / 2.0;
    let mut gaps: Vec<[f64; 2]> = cut.anchors.iter().map(|x| [x - r, x + r]).collect();
    gaps.extend(cut.key.map(|key| [key.low.x, key.high.x]));
    gaps.sort_by(|a, b| a[0].total_cmp(&b[0]));
    let mut surface = Path::default();
    let mut from = ends[0].x;
    for [end, next] in gaps.into_iter().chain([[ends[1].x, ends[1].x]]) {
        if end > from {
            surface.add([at(from, 0.0), at(end, 0.0)]);
        }
        from = from.max(next);
    }
    board.path("edge", surface, Bounds::of(ends));
}

/// Draws the column with its welds, broken off above; gives the middle of a weld with room to its right.
pub(super) fn draw_column(board: &mut Board, section: &BaseSection, cut: &Cut, top: f64) -> Option<Point> {
    let [left, right] = cut.column?;
    let em = board.em;
    let shaft = Bounds { low: at(left, top), high: at(right, cut.top) };
    board.rectangle("steel", shaft);
    let mut sides = Path::line(at(left, top), at(left, cut.top));
    sides.add([at(right, top), at(right, cut.top)]);
    if let Some(wall) = section.t_wall {
        for side in [[left, left + wall], [right - wall, right]] {
            let cut_wall = Bounds { low: at(side[0], top), high: at(side[1], cut.top) };
            board.hatch_box(cut_wall, 0.55 * em);
        }
        sides.add([at(left + wall, top), at(left + wall, cut.top)]);
        sides.add([at(right - wall, top), at(right - wall, cut.top)]);
    }
    board.path("profile", sides, shaft);
    board.break_line(at(left - 0.4 * em, top), at(right + 0.4 * em, top));
    board.taken.push(shaft);
    let leg = section.a? * std::f64::consts::SQRT_2;
    let mut welds = Path::default();
    let mut feet = vec![(left, -1.0), (right, 1.0)];
    feet.extend(section.t_wall.into_iter().flat_map(|wall| [(left + wall, 1.0), (right - wall, -1.0)]));
    for (x, outward) in feet {
        welds.add_around([at(x, cut.top), at(x + outward * leg, cut.top), at(x, cut.top - leg)]);
    }
    board.path("weld", welds, Bounds { low: at(left - leg, cut.top - leg), high: at(right + leg, cut.top) });
    // Nuts stand close to the column, so there is more room between its walls.
    let x = section.t_wall.filter(|wall| right - left - 2.0 * wall > 5.0 * em).map_or(right, |wall| left + wall);
    Some(at(x + leg / 3.0, cut.top - leg / 3.0))
}
