//! The resultant of the anchors in tension, and how far it passes from their middle.

use super::polygon::Point;

/// The anchors in tension together.
#[derive(Debug, Clone, Copy)]
pub(super) struct Resultant {
    /// Sum of the tensions.
    pub(super) force: f64,
    /// Where it passes.
    pub(super) point: Point,
    /// Centroid of the anchors in tension, each counted once.
    pub(super) centroid: Point,
}

impl Resultant {
    /// The resultant of tensions at points; none where none exceeds `slack`.
    pub(super) fn of(tensions: &[(Point, f64)], slack: f64) -> Option<Resultant> {
        let taut = || tensions.iter().filter(|(_, force)| *force > slack);
        taut().next()?;
        let mean = |weight: fn(f64) -> f64| {
            let weights: f64 = taut().map(|(_, force)| weight(*force)).sum();
            [0, 1].map(|axis| taut().map(|(point, force)| point[axis] * weight(*force)).sum::<f64>() / weights)
        };
        let force = taut().map(|(_, force)| force).sum();
        Some(Resultant { force, point: mean(|force| force), centroid: mean(|_| 1.0) })
    }

    /// The eccentricities e_N,x and e_N,y (EN 1992-4, 7.2.1.4), distances without sign.
    pub(super) fn eccentricities(&self) -> Point {
        [0, 1].map(|axis| (self.point[axis] - self.centroid[axis]).abs())
    }
}
