//! Dimensions of a plan: chains along its sides, and slanting ones to skew edges.

use super::forces::Arrow;
use super::survey::{FreeEdge, Survey};
use crate::render::figure::dimension::{Side, Stop};
use crate::render::figure::drawing::{Board, Words, millimetres};
use crate::render::figure::geometry::{Bounds, Point, SAME, at, distinct};

/// Draws the chains outside of `frame`, which grows by them; gives the corner where the plate's chains meet, as signs.
///
/// Anchors and the edges parallel to an axis make one chain in x and one in y; the plate's sizes stand opposite.
pub(super) fn draw_chains(
    board: &mut Board,
    survey: &Survey,
    drawn: &[FreeEdge],
    arrows: &[Arrow],
    frame: &mut Bounds,
) -> Point {
    let is_left = is_low_side(survey, *frame, arrows, board.em, |point| point.x, |point| point.y);
    let is_top = is_low_side(survey, *frame, arrows, board.em, |point| point.y, |point| point.x);
    let (top, bottom) = if is_top { (Side::Top, Side::Bottom) } else { (Side::Bottom, Side::Top) };
    draw_pair(board, survey, drawn, frame, [top, bottom]);
    let (left, right) = if is_left { (Side::Left, Side::Right) } else { (Side::Right, Side::Left) };
    draw_pair(board, survey, drawn, frame, [left, right]);
    at(if is_left { 1.0 } else { -1.0 }, if is_top { 1.0 } else { -1.0 })
}

/// Whether the anchors' chain stands on the low side: the nearer one, but not where its lines would run into an arrow.
fn is_low_side(
    survey: &Survey,
    frame: Bounds,
    arrows: &[Arrow],
    em: f64,
    across: fn(Point) -> f64,
    along: fn(Point) -> f64,
) -> bool {
    let in_the_way = arrows.iter().find(|arrow| {
        (along(arrow.from) - along(arrow.to)).abs() < SAME
            && survey.anchors.iter().any(|anchor| (along(*anchor) - along(arrow.from)).abs() < 0.7 * em)
    });
    if let Some(arrow) = in_the_way {
        return across(arrow.from) + across(arrow.to) > 2.0 * across(survey.core.centre());
    }
    let anchors = Bounds::of(survey.anchors.iter().copied());
    across(anchors.low) - across(frame.low) <= across(frame.high) - across(anchors.high) + SAME
}

/// Draws the chain of the anchors on the first side and that of the plate on the second.
fn draw_pair(board: &mut Board, survey: &Survey, drawn: &[FreeEdge], frame: &mut Bounds, sides: [Side; 2]) {
    let em = board.em;
    let is_level = sides[0].is_level();
    let along = |point: Point| if is_level { point.x } else { point.y };
    let across = |point: Point| if is_level { point.y } else { point.x };

    let outward = sides[0].outward();
    let outer = |a: f64, b: f64| if (a - b) * outward > 0.0 { a } else { b };
    let mut stops: Vec<Stop> = Vec::new();
    for place in distinct(survey.anchors.iter().map(|anchor| along(*anchor)), 0.01) {
        let in_line = survey.anchors.iter().filter(|anchor| (along(**anchor) - place).abs() <= 0.011);
        let Some(last) = in_line.map(|anchor| across(*anchor)).reduce(outer) else {
            continue;
        };
        stops.push(Stop { along: place, from: last + outward * (survey.radius + 0.8 * em) });
    }
    for edge in drawn {
        if across(survey.planes[edge.index].normal) == 0.0 && survey.nearest[edge.index].1 > 0.0 {
            let end = outer(across(edge.start), across(edge.end));
            stops.push(Stop { along: along(edge.start), from: end + outward * (0.25 * em) });
        }
    }
    stops.sort_by(|a, b| a.along.total_cmp(&b.along));
    board.chain(sides[0], frame, &stops, &steps(&stops));

    let outward = sides[1].outward();
    let face = if outward < 0.0 { across(survey.plate.low) } else { across(survey.plate.high) };
    let stop = |along: f64| Stop { along, from: face + outward * (0.25 * em) };
    let (low, high) = (along(survey.plate.low), along(survey.plate.high));
    let anchors = Bounds::of(survey.anchors.iter().copied());
    let (first, last) = (along(anchors.low), along(anchors.high));
    if (first + last).abs() > 0.05 && low < first && last < high {
        // A group off the plate's centre is tied to the plate's sides.
        let stops: Vec<Stop> = distinct([low, first, last, high], 0.01).into_iter().map(stop).collect();
        board.chain(sides[1], frame, &stops, &steps(&stops));
    }
    let stops = [stop(low), stop(high)];
    board.chain(sides[1], frame, &stops, &steps(&stops));
}

/// Draws the distance to each edge that is parallel to neither axis, from its nearest anchor.
pub(super) fn draw_skew_distances(board: &mut Board, survey: &Survey, drawn: &[FreeEdge]) {
    for edge in drawn {
        let plane = survey.planes[edge.index];
        let (anchor, distance) = survey.nearest[edge.index];
        if plane.normal.x == 0.0 || plane.normal.y == 0.0 || distance <= 0.0 {
            continue;
        }
        let anchor = survey.anchors[anchor];
        let foot = plane.foot(anchor);
        if let Some(end) = end_before(foot, edge) {
            let overrun = (foot - end) * (0.4 * board.em / (foot - end).length());
            board.polyline("dim", &[end, foot + overrun]);
        }
        let rim = anchor + plane.normal * survey.radius;
        board.slanting_dimension(anchor, rim, foot, &Words::plain(&millimetres(distance)));
    }
}

/// The end of an edge beyond which a point of its line lies.
fn end_before(point: Point, edge: &FreeEdge) -> Option<Point> {
    let along = edge.end - edge.start;
    let part = (point - edge.start).dot(along) / along.dot(along);
    match part {
        part if part < -SAME => Some(edge.start),
        part if part > 1.0 + SAME => Some(edge.end),
        _ => None,
    }
}

fn steps(stops: &[Stop]) -> Vec<Words> {
    let step = |pair: &[Stop]| Words::plain(&millimetres(pair[1].along - pair[0].along));
    stops.windows(2).map(step).collect()
}
