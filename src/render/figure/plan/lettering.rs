//! The lettering of a plan: names, the directions of x and y, and what is told in words.

use super::survey::{FreeEdge, Survey};
use super::{Edge, Plan};
use crate::render::figure::dimension::upright_turn;
use crate::render::figure::drawing::{Align, Board, Place, Words, millimetres, turn};
use crate::render::figure::geometry::{Bounds, Point, SAME, at};

/// Room for an edge's name outside its hatching, em.
pub(super) const NAME_OF_EDGE: f64 = 1.5;

/// Writes the anchors' names, outside of the group where there is room.
pub(super) fn letter_anchors(board: &mut Board, plan: &Plan, survey: &Survey) {
    let em = board.em;
    let group = Bounds::of(survey.anchors.iter().copied()).centre();
    let (near, reach) = (survey.radius * 0.75 + 0.3 * em, survey.radius + 0.75 * em);
    for (anchor, name) in survey.anchors.iter().zip(&plan.anchors) {
        let right = if anchor.x < group.x - SAME { -1.0 } else { 1.0 };
        let down = if anchor.y <= group.y + SAME { -1.0 } else { 1.0 };
        let align = |x: f64| if x > 0.0 { Align::Start } else { Align::End };
        let mut places = Vec::new();
        for (x, y) in [(right, down), (-right, down), (right, -down), (-right, -down)] {
            let base = if y > 0.0 { near + 0.74 * em } else { -near };
            places.push(Place { point: *anchor + at(x * near, base), align: align(x), turn: 0.0 });
        }
        for x in [right, -right] {
            places.push(Place { point: *anchor + at(x * reach, 0.3 * em), align: align(x), turn: 0.0 });
        }
        board.letter_where_clear("lab", &Words::italic(&name.label), &places);
    }
}

/// Writes the edges' names along them: on the member where there is room, towards an end, so that no name stands
/// beside a dimension of the chains and is read with it, else outside the hatching.
pub(super) fn letter_edges(board: &mut Board, plan: &Plan, survey: &Survey, drawn: &[FreeEdge]) {
    let em = board.em;
    for edge in drawn {
        let normal = survey.planes[edge.index].normal;
        let words = Words::plain(&edge_name(&plan.edges[edge.index].label));
        let length = (edge.end - edge.start).length();
        let along = (edge.end - edge.start) * (1.0 / length);
        let turned = upright_turn(along);
        let (sin, cos) = turn(turned);
        let (inside, outside) = if normal.dot(at(sin, -cos)) > 0.0 { (-1.6, 0.7) } else { (-0.8, 1.4) };
        let inset = (words.width() / 2.0 + 0.3) * em;
        let place = |lift: f64, part: f64| Place {
            point: edge.start + along * (inset + (length - 2.0 * inset) * part) + normal * (lift * em),
            align: Align::Middle,
            turn: turned,
        };
        let parts: &[f64] = match length > 2.0 * inset {
            true => &[0.9, 0.1, 1.0, 0.0, 0.8, 0.2, 0.7, 0.3, 0.6, 0.4, 0.5],
            false => &[0.5],
        };
        let places: Vec<Place> =
            [inside, outside].iter().flat_map(|lift| parts.iter().map(|part| place(*lift, *part))).collect();
        board.letter_with_room("soft", &words, &places);
    }
}

/// Writes the characteristic edge distance on the outline of the squares.
pub(super) fn letter_cone(board: &mut Board, survey: &Survey, half_side: f64) {
    let em = board.em;
    let words = Words::symbol("c", "cr,N").then(&format!(" {}", millimetres(half_side)));
    let room = (words.width() + 0.5) * em;
    let mut level: Vec<(Point, Point)> = survey.cone_sides();
    level.retain(|(start, end)| (start.y - end.y).abs() < SAME && (start.x - end.x).abs() > room);
    level.sort_by(|a, b| b.0.y.total_cmp(&a.0.y));
    let mut places = Vec::new();
    for (start, end) in level {
        let (low, width) = (start.x.min(end.x), (start.x - end.x).abs() - room);
        let is_above = start.y < survey.core.centre().y;
        for lift in if is_above { [1.05, -0.45] } else { [-0.45, 1.05] } {
            for part in [1.0, 0.0, 0.875, 0.125, 0.75, 0.25, 0.625, 0.375, 0.5] {
                let point = at(low + room / 2.0 + width * part, start.y + lift * em);
                places.push(Place { point, align: Align::Middle, turn: 0.0 });
            }
        }
    }
    board.letter_where_clear("cone", &words, &places);
}

/// Tells in words which edges are not drawn, and which anchors lie outside one.
pub(super) fn letter_remarks(board: &mut Board, plan: &Plan, survey: &Survey, drawn: &[FreeEdge]) {
    let em = board.em;
    let (left, mut base) = (board.bounds.low.x, board.bounds.high.y + 0.6 * em);
    for (index, edge) in plan.edges.iter().enumerate() {
        let is_drawn = drawn.iter().any(|drawn| drawn.index == index);
        if let Some(remark) = remark(plan, edge, survey.nearest[index], is_drawn) {
            base += 1.15 * em;
            let place = Place { point: at(left, base), align: Align::Start, turn: 0.0 };
            board.letter("soft", &Words::plain(&remark), place);
        }
    }
}

fn remark(plan: &Plan, edge: &Edge, (anchor, distance): (usize, f64), is_drawn: bool) -> Option<String> {
    let (name, anchor) = (edge_name(&edge.label), &plan.anchors[anchor].label);
    match (is_drawn, distance > 0.0) {
        (_, false) => Some(format!("{anchor} lies outside the {name}")),
        (false, true) => Some(format!("not in view: {name}, {} from {anchor}", millimetres(distance))),
        (true, true) => None,
    }
}

/// What an edge is called.
pub(super) fn edge_name(label: &str) -> String {
    let label = label.replace('_', " ");
    if label.contains("edge") { label } else { format!("{label} edge") }
}
