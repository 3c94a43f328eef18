//! Shear and torsion shared by anchors of equal stiffness, by polar stiffness.
//!
//! In go the anchors, each with the directions in which it carries, and the shear; out comes what each takes.

use core::fmt;

use uom::si::f64::{Force, Length, Torque};
use uom::si::force::newton;
use uom::si::length::meter;
use uom::si::torque::newton_meter;

use super::Point;

/// A lever arm shorter than this, relative to the extent of the anchors and the point of the load, is rounding.
const NO_ARM: f64 = 1e-9;

/// The anchors of a group and the directions in which each carries shear.
///
/// A slot lets an anchor carry across it alone; an anchor that takes no shear carries in neither direction.
#[derive(Debug, Clone, Copy)]
pub struct ShearAnchors<'a> {
    /// Coordinate x of each anchor, m.
    pub x: &'a [Length],
    /// Coordinate y of each anchor, m.
    pub y: &'a [Length],
    /// Whether each anchor carries along x.
    pub carries_x: &'a [bool],
    /// Whether each anchor carries along y.
    pub carries_y: &'a [bool],
}

/// A shear force at a point, and torsion.
#[derive(Debug, Clone, Copy)]
pub struct ShearLoads {
    /// Shear V_x, N.
    pub v_x: Force,
    /// Shear V_y, N.
    pub v_y: Force,
    /// Torsion T, Nm; positive anticlockwise.
    pub torsion: Torque,
    /// Where V_x and V_y act, m.
    pub at: Point,
}

/// What one anchor takes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AnchorShear {
    /// Shear along x, N.
    pub v_x: Force,
    /// Shear along y, N.
    pub v_y: Force,
}

/// Why a shear cannot be shared.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoShearPath {
    /// A coordinate, a force or the torsion is infinite, no number, or too large to compute with.
    NotFinite,
    /// The lists of coordinates and directions are not equally long.
    UnequalLists,
    /// There is V_x, and no anchor carries along x.
    AlongX,
    /// There is V_y, and no anchor carries along y.
    AlongY,
    /// There is torsion about the centre of the anchors, and none carries across an arm to that centre.
    Torsion,
}

impl fmt::Display for NoShearPath {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            NoShearPath::NotFinite => "a coordinate or a load is no finite number, or too large to compute with",
            NoShearPath::UnequalLists => "each anchor needs x, y and two directions, and the lists are not equally long",
            NoShearPath::AlongX => "there is shear along x, and no anchor carries along x",
            NoShearPath::AlongY => "there is shear along y, and no anchor carries along y",
            NoShearPath::Torsion => {
                "there is torsion about the centre of the anchors that carry shear, and none of them has an arm against it"
            }
        })
    }
}

impl core::error::Error for NoShearPath {}

/// The share of each anchor, in their order (EN 1992-4, 6.2.2; polar stiffness).
///
/// The centre of stiffness lies where V_y is shared evenly by the anchors that carry along y and V_x by those that carry
/// along x; torsion about it turns the plate, and each anchor resists by its arm.
///
/// # Errors
///
/// A [`NoShearPath`] when nothing can carry a part of the load.
pub fn share_shear(anchors: ShearAnchors, loads: ShearLoads) -> Result<Vec<AnchorShear>, NoShearPath> {
    let count = anchors.x.len();
    if [anchors.y.len(), anchors.carries_x.len(), anchors.carries_y.len()].iter().any(|length| *length != count) {
        return Err(NoShearPath::UnequalLists);
    }
    let (v_x, v_y) = (loads.v_x.get::<newton>(), loads.v_y.get::<newton>());
    let torsion = loads.torsion.get::<newton_meter>();
    let metres = |lengths: &[Length]| lengths.iter().map(|length| length.get::<meter>()).collect::<Vec<f64>>();
    let (x, y) = (metres(anchors.x), metres(anchors.y));
    let (at_x, at_y) = (loads.at.x.get::<meter>(), loads.at.y.get::<meter>());
    let is_finite = |values: &[f64]| values.iter().all(|value| value.is_finite());
    if !(is_finite(&x) && is_finite(&y) && is_finite(&[v_x, v_y, torsion, at_x, at_y])) {
        return Err(NoShearPath::NotFinite);
    }

    let (along_x, middle_y) = centre(&y, anchors.carries_x);
    let (along_y, middle_x) = centre(&x, anchors.carries_y);
    if along_x == 0.0 && v_x != 0.0 {
        return Err(NoShearPath::AlongX);
    }
    if along_y == 0.0 && v_y != 0.0 {
        return Err(NoShearPath::AlongY);
    }
    let torsion = torsion + v_y * (at_x - middle_x) - v_x * (at_y - middle_y);
    let carried = |carries: &[bool], places: &[f64], middle: f64| {
        let arms = places.iter().zip(carries).filter(|(_, carries)| **carries).map(|(place, _)| place - middle);
        arms.map(|arm| arm * arm).sum::<f64>()
    };
    let polar = carried(anchors.carries_x, &y, middle_y) + carried(anchors.carries_y, &x, middle_x);

    let places = x.iter().chain(&y).chain([&at_x, &at_y]);
    let extent = places.fold(0.0, |extent: f64, place| extent.max(place.abs()));
    let no_arm = NO_ARM * extent;
    // By the largest shear there is, since the torsion may be what rounding left of two parts.
    let no_torsion = no_arm * v_x.abs().max(v_y.abs());
    if !polar.is_finite() {
        return Err(NoShearPath::NotFinite);
    }
    let turn = if polar > no_arm * no_arm {
        torsion / polar
    } else if torsion.abs() <= no_torsion {
        0.0
    } else {
        return Err(NoShearPath::Torsion);
    };
    let shares: Vec<AnchorShear> = (0..count)
        .map(|index| {
            let share = |carries: bool, force: f64, count: f64, arm: f64| {
                Force::new::<newton>(if carries { force / count + turn * arm } else { 0.0 })
            };
            AnchorShear {
                v_x: share(anchors.carries_x[index], v_x, along_x, middle_y - y[index]),
                v_y: share(anchors.carries_y[index], v_y, along_y, x[index] - middle_x),
            }
        })
        .collect();
    let is_finite = shares.iter().all(|share| share.v_x.is_finite() && share.v_y.is_finite());
    if is_finite { Ok(shares) } else { Err(NoShearPath::NotFinite) }
}

/// How many carry, and the mean of their places; zero when none does.
fn centre(places: &[f64], carries: &[bool]) -> (f64, f64) {
    let carrying = || places.iter().zip(carries).filter(|(_, carries)| **carries).map(|(place, _)| place);
    let count = carrying().count() as f64;
    (count, if count > 0.0 { carrying().sum::<f64>() / count } else { 0.0 })
}
