//! The shear of a plan, as arrows on its line of action beside the plate.

use super::Plan;
use super::survey::Survey;
use crate::render::figure::drawing::{Align, Board, Place, Words, kilonewtons};
use crate::render::figure::geometry::{Point, SAME, at, clipped_line};

/// A shear force as an arrow.
pub(super) struct Arrow {
    pub from: Point,
    pub to: Point,
    /// From the plate to where the arrow stands; none where it had to be put over the plate.
    away: Option<Point>,
    words: Words,
}

/// The arrows of a plan: ahead of the plate, behind it where there is more room, or else over it.
pub(super) fn arrows(plan: &Plan, survey: &Survey, em: f64) -> Vec<Arrow> {
    let mut arrows = Vec::new();
    for (force, axis, subscript) in [(plan.shear[0], at(1.0, 0.0), "x"), (plan.shear[1], at(0.0, -1.0), "y")] {
        let Some(force) = force.filter(|force| *force != 0.0) else {
            continue;
        };
        let words = Words::symbol("V", subscript).then(&format!(" {}", kilonewtons(force.abs())));
        let forward = if force > 0.0 { axis } else { axis * -1.0 };
        let length = 3.0 * em;
        let start = |direction: Point| {
            // The plate's centre is the origin, so the line of action is an axis; anchors may stand beyond the plate.
            let corners = survey.core.corners().map(|corner| corner.dot(direction));
            direction * (corners.into_iter().fold(0.0, f64::max) + 0.5 * em)
        };
        let needed = if axis.y == 0.0 { length.max(words.width() * em) } else { length } + 0.7 * em;
        let has_room = |direction: Point| {
            let start = start(direction);
            let room = clipped_line(start, start + direction * 1e6, &survey.planes);
            room.is_some_and(|(from, to)| (from - start).length() <= SAME && (to - from).length() >= needed)
        };
        let backward = forward * -1.0;
        let (from, to, away) = if has_room(forward) {
            (start(forward), start(forward) + forward * length, Some(forward))
        } else if has_room(backward) {
            (start(backward) + backward * length, start(backward), Some(backward))
        } else {
            (at(0.0, 0.0), forward * length, None)
        };
        arrows.push(Arrow { from, to, away, words });
    }
    arrows
}

impl Arrow {
    /// What must be in view to show the arrow with its lettering.
    pub(super) fn extent(&self, em: f64) -> [Point; 3] {
        let Some(away) = self.away else {
            return [self.from, self.to, self.to];
        };
        let outer = if (self.to - self.from).dot(away) > 0.0 { self.to } else { self.from };
        let inner = self.from + self.to - outer;
        let beside = if away.y == 0.0 { away } else { at(1.0, 0.0) };
        [self.from, self.to, inner + beside * (self.words.width() * em)]
    }

    /// Writes the force beside the arrow.
    pub(super) fn letter(&self, board: &mut Board) {
        let em = board.em;
        let middle = (self.from + self.to) * 0.5;
        let place = |point: Point, align: Align| Place { point, align, turn: 0.0 };
        let places: Vec<Place> = if (self.from.y - self.to.y).abs() < SAME {
            let (x, align) = match self.away {
                Some(away) if away.x > 0.0 => (self.from.x.min(self.to.x), Align::Start),
                Some(_) => (self.from.x.max(self.to.x), Align::End),
                None => (middle.x, Align::Middle),
            };
            [-0.5, 1.25, -1.6, 2.3].map(|lift| place(at(x, middle.y + lift * em), align)).into()
        } else {
            let sides = [(0.55, Align::Start), (-0.55, Align::End)];
            let heights = [0.3, -0.7, 1.2];
            let all = heights.into_iter().flat_map(|height| sides.map(|(aside, align)| (aside, align, height)));
            all.map(|(aside, align, height)| place(middle + at(aside * em, height * em), align)).collect()
        };
        board.letter_where_clear("force", &self.words, &places);
    }
}
