//! Why a plate has no state of equilibrium, in words for an engineer.
//!
//! A reason holds places in the caller's lists, from 0; its sentence counts from 1.

use core::fmt;

/// Why [`rigid_plate`](super::rigid_plate) gives no state.
///
/// One anchor inside the outline suffices for every load: a plate that tilts about it comes to rest on one of its edges,
/// also when all anchors stand in a line. A load that nothing balances therefore needs a plate without anchors.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NoState {
    /// A value is infinite, no number, or so large that a sum overflows.
    NotFinite(Input),
    /// A stiffness is zero, negative, or vanishes beside the others.
    NotPositive(Input),
    /// The lists of coordinates and stiffnesses of the anchors are not equally long.
    UnequalLists,
    /// A polygon has no area: fewer than three corners, or all in one line.
    ZeroArea(Ring),
    /// Two edges of a polygon cross, overlap or touch elsewhere than at their common corner.
    CrossesItself(Ring),
    /// A hole reaches to or beyond the edge of the plate.
    OutsidePlate(Ring),
    /// Two holes overlap or touch, or one lies in the other.
    Overlap(Ring, Ring),
    /// An anchor, by its place in the list, stands outside the plate or on its edge: within a four-hundredth of the larger
    /// side, which no shaft leaves beside it.
    AnchorOutside(usize),
    /// An anchor stands in a hole that is not a clearance hole; both by their place in the lists.
    AnchorInHole(usize, usize),
    /// Without anchors nothing holds a plate against tension.
    LiftsOff,
    /// Without anchors the resultant must pass inside the convex hull of the plate, and it passes outside or on its edge:
    /// within five millionths of the larger side.
    Overturns,
    /// The iterations ended at this residual, relative to the load.
    IterationLimit(f64),
}

/// A value that goes into [`rigid_plate`](super::rigid_plate).
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Input {
    /// A corner of a polygon.
    Corner(Ring),
    /// A coordinate of an anchor, by its place in the list.
    Anchor(usize),
    /// The stiffness of an anchor, by its place in the list.
    AnchorStiffness(usize),
    /// The stiffness of the bed.
    BedStiffness,
    /// N, M_x or M_y.
    Load,
}

/// A polygon of the plate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Ring {
    /// The outline.
    Outline,
    /// A hole without anchor, by its place in the list.
    Hole(usize),
    /// A clearance hole, by its place in the list.
    ClearanceHole(usize),
}

impl fmt::Display for NoState {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            NoState::NotFinite(input) => write!(f, "{input} is no finite number, or too large to compute with"),
            NoState::NotPositive(input) => {
                write!(f, "{input} must be greater than zero, and not vanish beside the others")
            }
            NoState::UnequalLists => {
                write!(f, "each anchor needs x, y and a stiffness, and the three lists are not equally long")
            }
            NoState::ZeroArea(ring) => write!(f, "{ring} has no area: it needs three corners that are not in one line"),
            NoState::CrossesItself(ring) => write!(f, "{ring} crosses or touches itself"),
            NoState::OutsidePlate(ring) => write!(f, "{ring} reaches to or beyond the edge of the plate"),
            NoState::Overlap(one, other) => write!(f, "{one} and {other} overlap or touch"),
            NoState::AnchorOutside(anchor) => {
                write!(f, "anchor {} stands outside the plate or on its edge", anchor + 1)
            }
            NoState::AnchorInHole(anchor, hole) => {
                write!(f, "anchor {} stands in hole {}, which is no clearance hole", anchor + 1, hole + 1)
            }
            NoState::LiftsOff => {
                write!(f, "the plate lifts off: no anchor takes tension, and the load does not press it down")
            }
            NoState::Overturns => write!(
                f,
                "the plate overturns: no anchor takes tension, and the resultant does not pass inside the plate"
            ),
            NoState::IterationLimit(residual) => write!(
                f,
                "no equilibrium was found: the iterations ended with {residual:.1e} of the load not balanced; \
                 look for an anchor very close to an edge, or for stiffnesses that differ by many powers of ten"
            ),
        }
    }
}

impl core::error::Error for NoState {}

impl fmt::Display for Input {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Input::Corner(ring) => write!(f, "a corner of {ring}"),
            Input::Anchor(anchor) => write!(f, "a coordinate of anchor {}", anchor + 1),
            Input::AnchorStiffness(anchor) => write!(f, "the stiffness of anchor {}", anchor + 1),
            Input::BedStiffness => write!(f, "the stiffness of the bed"),
            Input::Load => write!(f, "a load"),
        }
    }
}

impl fmt::Display for Ring {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Ring::Outline => write!(f, "the outline"),
            Ring::Hole(hole) => write!(f, "hole {}", hole + 1),
            Ring::ClearanceHole(hole) => write!(f, "clearance hole {}", hole + 1),
        }
    }
}
