//! Whether tension in anchors and pressure on the bed can balance what the column brings, whatever their stiffness.

use crate::numerics::polygon::{Point, bounds, length};

/// Points that matter are the outermost ones; those outermost in this many directions stand for all.
const DIRECTIONS: u32 = 48;

/// Rounding allowed, as part of the actions.
const ROUNDING: f64 = 1e-9;

/// Whether pulls at some points and pushes anywhere within a hull give the actions (N, M_y, M_x about the origin).
///
/// The actions that can be balanced form a cone; its edges are one unit pull at each anchor and one unit push at each
/// corner of the outline.
/// Actions in the cone are a sum of three edges with positive factors (Carathéodory), so that it suffices to try all threes.
pub(super) fn can_be_balanced(actions: [f64; 3], pulls: &[Point], pushes: &[Point]) -> bool {
    let [low, high] = bounds(pushes);
    let (centre, size) = ([(low[0] + high[0]) / 2.0, (low[1] + high[1]) / 2.0], length([low, high]));
    let edge = |sign: f64| move |p: Point| [sign, sign * (p[0] - centre[0]) / size, sign * (p[1] - centre[1]) / size];
    let edges: Vec<[f64; 3]> =
        outermost(pulls).into_iter().map(edge(1.0)).chain(outermost(pushes).into_iter().map(edge(-1.0))).collect();
    let [normal, about_y, about_x] = actions;
    let wanted = [normal, (about_y - normal * centre[0]) / size, (about_x - normal * centre[1]) / size];
    let scale = wanted.iter().map(|part| part.abs()).sum::<f64>();
    if scale == 0.0 {
        return true;
    }
    (0..edges.len()).any(|one| {
        (0..one).any(|two| {
            (0..two).any(|three| {
                let [a, b, c] = [edges[one], edges[two], edges[three]];
                let volume = determinant(a, b, c);
                volume.abs() > ROUNDING
                    && [determinant(wanted, b, c), determinant(a, wanted, c), determinant(a, b, wanted)]
                        .iter()
                        .all(|part| part / volume >= -ROUNDING * scale)
            })
        })
    })
}

fn determinant(a: [f64; 3], b: [f64; 3], c: [f64; 3]) -> f64 {
    a[0] * (b[1] * c[2] - b[2] * c[1]) - a[1] * (b[0] * c[2] - b[2] * c[0]) + a[2] * (b[0] * c[1] - b[1] * c[0])
}

/// The points themselves when they are few, else those that lie furthest in some direction.
fn outermost(points: &[Point]) -> Vec<Point> {
    if points.len() <= DIRECTIONS as usize {
        return points.to_vec();
    }
    let furthest = |direction: u32| {
        let angle = core::f64::consts::TAU * f64::from(direction) / f64::from(DIRECTIONS);
        let reach = |point: &Point| point[0] * libm::cos(angle) + point[1] * libm::sin(angle);
        points.iter().copied().max_by(|one, other| reach(one).total_cmp(&reach(other)))
    };
    (0..DIRECTIONS).filter_map(furthest).collect()
}
