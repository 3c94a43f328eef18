//! A rigid plate from the caller's quantities to the state of equilibrium and back.
//!
//! Start reading at [`rigid_plate`].

use uom::si::angle::radian;
use uom::si::area::square_meter;
use uom::si::f64::{Angle, Area, Force, Length, Pressure, Ratio};
use uom::si::force::newton;
use uom::si::length::meter;
use uom::si::pressure::pascal;
use uom::si::ratio::ratio;

use super::contact::cut;
use super::equilibrium::{Solution, length, solve};
use super::shape::Shape;
use super::{Anchors, BedStiffness, Input, Loads, NoState, Outline, Place, Point};
use crate::numerics::tension::Resultant;

/// An anchor with less than this, relative to the largest force there is, stands on the zero line and is not in tension.
const SLACK: f64 = 1e-9;
/// A bed with less than this is not in contact. The zone shrinks with the rise, so that rounding makes less of it.
const NO_CONTACT: f64 = 1e-12;

/// A rigid plate in equilibrium.
#[derive(Debug, Clone, PartialEq)]
pub struct RigidState {
    /// Tension F of each anchor, N, in the order of the anchors; never negative.
    pub anchor_forces: Vec<Force>,
    /// How the plate rises. Where forces alone leave it open, as with one anchor in plain tension, it is one of those
    /// that give the forces.
    pub plane: Plane,
    /// The anchors in tension; `None` when there are none.
    pub tension: Option<Tension>,
    /// The bed in compression; `None` when the plate touches nowhere.
    pub contact: Option<Contact>,
    /// Pieces of the neutral axis in the plate, between outline and holes; empty without contact or when all is in contact.
    pub neutral_axis: Vec<[Point; 2]>,
    /// What is left of N, M_x and M_y about the middle of the plate, moments by half its larger side, relative to the
    /// load; below 1e-9.
    pub residual: Ratio,
    /// Steps of Newton's method.
    pub iterations: usize,
}

/// The plane w = a + b x + c y.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plane {
    /// Rise at the origin, m.
    pub a: Length,
    /// Rise by length along x.
    pub b: Angle,
    /// Rise by length along y.
    pub c: Angle,
}

/// The anchors in tension.
#[derive(Debug, Clone, PartialEq)]
pub struct Tension {
    /// Whether each anchor is in tension: with more than 1e-9 of the largest force there is.
    pub anchors: Vec<bool>,
    /// Sum of the tensions, N.
    pub force: Force,
    /// Where their resultant passes, m.
    pub point: Point,
    /// Centroid of the anchors in tension, each counted once, m.
    pub centroid: Point,
    /// Eccentricity e_N,x of the resultant from the centroid (EN 1992-4, 7.2.1.4), m; a distance without sign.
    pub eccentricity_x: Length,
    /// Eccentricity e_N,y likewise, m.
    pub eccentricity_y: Length,
}

/// The bed in compression.
#[derive(Debug, Clone, PartialEq)]
pub struct Contact {
    /// Area in contact, m².
    pub area: Area,
    /// Outlines of the area in contact, anticlockwise, and the holes in it, clockwise, m.
    pub polygons: Vec<Vec<Point>>,
    /// Resultant C of the pressure, N.
    pub force: Force,
    /// Where it passes, m.
    pub point: Point,
    /// Largest pressure, Pa.
    pub largest_pressure: Pressure,
    /// The corner of the plate where it acts, m; the first when there are several.
    pub largest_pressure_point: Point,
}

/// Forces of the anchors and pressure below a rigid plate (EN 1992-4, 6.2.1; linear, without friction).
///
/// An anchor of 200 kN/mm in the middle of a plate of 160 mm by 160 mm, pulled with 20 kN at its place, takes just that:
///
/// ```
/// use soleplate::numerics::base_plate::{Anchors, Loads, Outline, Point, rigid_plate};
/// use uom::si::f64::{Force, Length, Pressure, Torque};
/// use uom::si::{force::kilonewton, length::millimeter, pressure::megapascal, torque::newton_meter};
///
/// let mm = Length::new::<millimeter>;
/// let corners = [(-80.0, -80.0), (80.0, -80.0), (80.0, 80.0), (-80.0, 80.0)];
/// let points = corners.map(|(x, y)| Point { x: mm(x), y: mm(y) });
/// let outline = Outline { points: &points, holes: &[], clearance_holes: &[] };
/// let stiffness = [Force::new::<kilonewton>(200.0) / mm(1.0)];
/// let anchors = Anchors { x: &[mm(0.0)], y: &[mm(0.0)], stiffness: &stiffness };
/// let bed = Pressure::new::<megapascal>(150.0) / mm(1.0);
/// let moment = Torque::new::<newton_meter>(0.0);
/// let loads = Loads { n: Force::new::<kilonewton>(20.0), m_x: moment, m_y: moment };
///
/// let state = rigid_plate(outline, anchors, bed, loads)?;
/// assert!((state.anchor_forces[0].get::<kilonewton>() - 20.0).abs() < 1e-9);
/// assert!(state.contact.is_none());
/// # Ok::<(), soleplate::numerics::base_plate::NoState>(())
/// ```
///
/// # Errors
///
/// Any [`NoState`]. Without a load, the plate rests without a force.
pub fn rigid_plate(outline: Outline, anchors: Anchors, bed: BedStiffness, loads: Loads) -> Result<RigidState, NoState> {
    let shape = Shape::new(outline, anchors, bed)?;
    let load = shape.scale.to_load(loads);
    let largest = load.iter().fold(0.0, |largest: f64, value| largest.max(value.abs()));
    if !load.iter().all(|value| value.is_finite()) {
        return Err(NoState::NotFinite(Input::Load));
    }
    if largest == 0.0 {
        return Ok(at_rest(&shape));
    }
    // Divided by its largest part first, a load keeps its digits however small or large it is.
    let direction = load.map(|value| value / largest);
    let size = length(direction);
    let solution = solve(&shape, direction.map(|value| value / size))?;
    let state = State { shape: &shape, solution: &solution, load: size * largest };
    Ok(state.in_quantities())
}

/// The plate without a load.
fn at_rest(shape: &Shape) -> RigidState {
    let none = Angle::new::<radian>(0.0);
    RigidState {
        anchor_forces: vec![Force::new::<newton>(0.0); shape.springs.len()],
        plane: Plane { a: Length::new::<meter>(0.0), b: none, c: none },
        tension: None,
        contact: None,
        neutral_axis: Vec::new(),
        residual: Ratio::new::<ratio>(0.0),
        iterations: 0,
    }
}

/// A solution and what it must be multiplied by.
struct State<'a> {
    shape: &'a Shape,
    solution: &'a Solution,
    /// The load that stands for 1, N.
    load: f64,
}

impl State<'_> {
    fn in_quantities(&self) -> RigidState {
        let forces: Vec<f64> = self
            .shape
            .springs
            .iter()
            .map(|spring| spring.stiffness * self.solution.plane.rise(spring.place).max(0.0))
            .collect();
        let compression = -self.solution.response.bed[0];
        let largest = forces.iter().sum::<f64>().max(compression).max(1.0);
        let is_in_contact = compression > NO_CONTACT * largest;
        let (contact, neutral_axis) = if is_in_contact { self.contact() } else { (None, Vec::new()) };
        RigidState {
            anchor_forces: forces.iter().map(|force| self.force(*force)).collect(),
            plane: self.plane(),
            tension: self.tension(&forces, SLACK * largest),
            contact,
            neutral_axis,
            residual: Ratio::new::<ratio>(self.solution.residual),
            iterations: self.solution.iterations,
        }
    }

    fn rise(&self, place: Place) -> f64 {
        let axes = &self.solution.response.axes;
        axes.rise(axes.local(place))
    }

    fn force(&self, relative: f64) -> Force {
        Force::new::<newton>(relative * self.load)
    }

    /// What 1 means as a rise, m.
    fn unit_rise(&self) -> f64 {
        self.load / self.shape.stiffness
    }

    fn plane(&self) -> Plane {
        let [_, b, c] = self.solution.plane.rounded().map(|value| value * self.unit_rise());
        let a = self.shape.scale.at_origin(self.solution.plane.rounded()) * self.unit_rise();
        let angle = |rise: f64| Angle::new::<radian>(rise / self.shape.scale.size);
        Plane { a: Length::new::<meter>(a), b: angle(b), c: angle(c) }
    }

    fn tension(&self, forces: &[f64], slack: f64) -> Option<Tension> {
        let places = self.shape.springs.iter().map(|spring| spring.place);
        let tensions: Vec<(Place, f64)> = places.zip(forces.iter().copied()).collect();
        let resultant = Resultant::of(&tensions, slack)?;
        let [eccentricity_x, eccentricity_y] =
            resultant.eccentricities().map(|value| Length::new::<meter>(value * self.shape.scale.size));
        Some(Tension {
            anchors: forces.iter().map(|force| *force > slack).collect(),
            force: self.force(resultant.force),
            point: self.shape.scale.to_point(resultant.point),
            centroid: self.shape.scale.to_point(resultant.centroid),
            eccentricity_x,
            eccentricity_y,
        })
    }

    /// The bed in compression, and the neutral axis. The lowest place of a plate is a corner of its outline.
    fn contact(&self) -> (Option<Contact>, Vec<[Point; 2]>) {
        let (scale, response) = (self.shape.scale, &self.solution.response);
        let [force, m_y, m_x] = response.bed;
        let mut lowest = (0.0, [m_y / force, m_x / force]);
        for corner in &self.shape.rings[0] {
            let rise = self.rise(*corner);
            if rise < lowest.0 {
                lowest = (rise, *corner);
            }
        }
        let size = scale.size;
        let pressure = -lowest.0 * self.shape.bed * self.load / (size * size);
        let cut = cut(&self.shape.rings, &response.axes);
        let contact = Contact {
            area: Area::new::<square_meter>(response.area * size * size),
            polygons: (cut.polygons.iter())
                .map(|polygon| polygon.iter().map(|corner| scale.to_point(*corner)).collect())
                .collect(),
            force: self.force(-force),
            point: scale.to_point([m_y / force, m_x / force]),
            largest_pressure: Pressure::new::<pascal>(pressure),
            largest_pressure_point: scale.to_point(lowest.1),
        };
        (Some(contact), cut.zero_line.iter().map(|ends| ends.map(|end| scale.to_point(end))).collect())
    }
}
