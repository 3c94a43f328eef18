//! A column in section, and what lies within a distance of its walls.

use crate::render::figure::drawing::turn;
use crate::render::figure::geometry::{Bounds, HalfPlane, Point, at, clipped};
use crate::render::figure::region::Region;

/// A column in section.
#[derive(Copy, Clone, Debug)]
pub enum Column {
    /// An I or H section.
    I {
        /// Depth.
        h: f64,
        /// Width of the flanges.
        b: f64,
        /// Thickness of the web.
        t_w: f64,
        /// Thickness of the flanges.
        t_f: f64,
        /// Whether the web runs along x.
        is_along_x: bool,
    },
    /// A rectangular hollow section.
    Rectangle {
        /// Size in x.
        x: f64,
        /// Size in y.
        y: f64,
        /// Thickness of the walls.
        t: f64,
    },
    /// A circular hollow section.
    Circle {
        /// Outside diameter.
        d: f64,
        /// Thickness of the wall.
        t: f64,
    },
}

/// Straight pieces that a circle is drawn with.
const PIECES: usize = 96;

impl Column {
    /// Half its size in x and y.
    pub(super) fn half_size(self) -> Point {
        match self {
            Column::I { h, b, is_along_x: true, .. } => at(h / 2.0, b / 2.0),
            Column::I { h, b, is_along_x: false, .. } => at(b / 2.0, h / 2.0),
            Column::Rectangle { x, y, .. } => at(x / 2.0, y / 2.0),
            Column::Circle { d, .. } => at(d / 2.0, d / 2.0),
        }
    }

    /// What lies within `c` of its walls, with square corners but for a round one, and within limits.
    pub(super) fn grown(self, axis: Point, c: f64, limits: Bounds) -> Region {
        let half = self.half_size() + at(c, c);
        let within = |point: Point| {
            let point = axis + point;
            at(point.x.clamp(limits.low.x, limits.high.x), point.y.clamp(limits.low.y, limits.high.y))
        };
        let mut loops = Vec::new();
        match self {
            Column::I { h, t_w, t_f, is_along_x, .. } => {
                // u runs along the flanges, v along the web.
                let (u, v) = if is_along_x { (half.y, half.x) } else { (half.x, half.y) };
                let (web, inner) = (t_w / 2.0 + c, h / 2.0 - t_f - c);
                let corners = if inner > 0.0 {
                    let side = [(u, v), (u, inner), (web, inner), (web, -inner), (u, -inner), (u, -v)];
                    let other = side.into_iter().rev().map(|(u, v)| (-u, v));
                    side.into_iter().chain(other).collect()
                } else {
                    vec![(u, v), (u, -v), (-u, -v), (-u, v)]
                };
                let place = |(u, v): (f64, f64)| within(if is_along_x { at(v, u) } else { at(u, v) });
                loops.push(corners.into_iter().map(place).collect());
            }
            Column::Rectangle { t, .. } => {
                loops.push(Bounds::about(at(0.0, 0.0), half.x, half.y).corners().map(within).into());
                let hole = half - at(t + 2.0 * c, t + 2.0 * c);
                if hole.x > 0.0 && hole.y > 0.0 {
                    loops.push(Bounds::about(axis, hole.x, hole.y).corners().into());
                }
            }
            Column::Circle { t, .. } => {
                let planes = around().map(|normal| HalfPlane { normal, distance: half.x + normal.dot(axis) });
                let outside = clipped(limits, &planes.collect::<Vec<_>>());
                loops.push(outside.into_iter().map(|(corner, _)| corner).collect());
                let hole = half.x - t - 2.0 * c;
                if hole > 0.0 {
                    loops.push(around().map(|normal| axis + normal * hole).collect());
                }
            }
        }
        Region { loops }
    }

    /// Where the width of the strips can be measured: from a wall, and outward from it. The better places come first.
    pub(super) fn faces(self) -> Vec<(Point, Point)> {
        let half = self.half_size();
        let (right, down) = (at(1.0, 0.0), at(0.0, 1.0));
        match self {
            Column::I { t_w, t_f, is_along_x, .. } => {
                let along = |u: f64, v: f64| if is_along_x { at(v, u) } else { at(u, v) };
                let (u, v) = if is_along_x { (half.y, half.x) } else { (half.x, half.y) };
                let (across, outward) = (along(1.0, 0.0), along(0.0, 1.0));
                vec![
                    (along(0.5 * u, -v), outward * -1.0),
                    (along(0.5 * u, v), outward),
                    (along(u, t_f / 2.0 - v), across),
                    (along(-u, t_f / 2.0 - v), across * -1.0),
                    (along(t_w / 2.0, 0.0), across),
                ]
            }
            Column::Rectangle { .. } => vec![
                (at(0.5 * half.x, -half.y), down * -1.0),
                (at(0.5 * half.x, half.y), down),
                (at(half.x, -0.5 * half.y), right),
                (at(-half.x, -0.5 * half.y), right * -1.0),
            ],
            Column::Circle { .. } => {
                let slanting = at(1.0, -1.0) * std::f64::consts::FRAC_1_SQRT_2;
                [slanting, slanting * -1.0, slanting.turned(), slanting.turned() * -1.0]
                    .map(|out| (out * half.x, out))
                    .into()
            }
        }
    }
}

/// Directions all round.
fn around() -> impl Iterator<Item = Point> {
    (0..PIECES).map(|piece| {
        let (sin, cos) = turn(360.0 * piece as f64 / PIECES as f64);
        at(cos, sin)
    })
}
