//! The door: quantities in, plain numbers in coherent SI out, everything checked once.

use uom::si::f64::{Length, Torque};
use uom::si::force::newton;
use uom::si::length::meter;
use uom::si::pressure::pascal;
use uom::si::ratio::ratio;
use uom::si::torque::newton_meter;

use super::equilibrium::can_be_balanced;
use super::{Model, Place, PlateError};
use crate::numerics::polygon::{
    Point, Segment, at_share, bounds, contains, cross, distance, distance_to_segment, edges, is_crossed, is_flat,
    length, meeting, signed_area, way,
};

/// Two places nearer than this part of the plate's diagonal are one place.
const SAME_PLACE: f64 = 1e-7;

/// A moment below this part of all that acts is none: what remains of one that a caller moved to another point.
const NO_MOMENT: f64 = 1e-9;

/// A model that holds together: finite, positive, everything inside the plate, actions that can be balanced.
#[derive(Debug, Clone)]
pub(super) struct Problem {
    pub(super) region: Region,
    pub(super) thickness: f64,
    pub(super) rigidity: f64,
    pub(super) poisson: f64,
    pub(super) bed: f64,
    pub(super) anchors: Vec<PointSpring>,
    pub(super) footprint: Footprint,
    /// Normal force, moment about y (pulling where x > 0) and about x (pulling where y > 0), at the footprint's reference.
    pub(super) actions: [f64; 3],
    /// Within this distance two places are one, m.
    pub(super) tolerance: f64,
}

/// A spring at a point of the plate.
#[derive(Debug, Clone, Copy)]
pub(super) struct PointSpring {
    pub(super) at: Point,
    pub(super) stiffness: f64,
}

/// The plan of the plate: the outline anticlockwise, then the holes clockwise, so that integrals over all rings add up.
#[derive(Debug, Clone)]
pub(super) struct Region {
    pub(super) rings: Vec<Vec<Point>>,
    pub(super) tolerance: f64,
}

impl Region {
    /// Whether a point lies in the plate or on its edge.
    pub(super) fn contains(&self, point: Point) -> bool {
        let mut rings = self.rings.iter();
        rings.next().is_some_and(|outline| is_in_or_on(outline, point, self.tolerance))
            && rings.all(|hole| !contains(hole, point) || distance(hole, point) <= self.tolerance)
    }

    /// Lowest and highest coordinates of the plate.
    pub(super) fn bounds(&self) -> [Point; 2] {
        self.rings.first().map_or([[0.0; 2]; 2], |outline| bounds(outline))
    }
}

/// Whether a point lies inside a ring or on it.
pub(super) fn is_in_or_on(ring: &[Point], point: Point, tolerance: f64) -> bool {
    contains(ring, point) || distance(ring, point) <= tolerance
}

/// Where the column holds the plate rigid.
#[derive(Debug, Clone)]
pub(super) struct Footprint {
    pub(super) walls: Vec<Segment>,
    pub(super) filled: Vec<Vec<Point>>,
    pub(super) reference: Point,
}

impl Footprint {
    /// The walls and the sides of the filled areas.
    pub(super) fn sides(&self) -> impl Iterator<Item = Segment> {
        self.walls.iter().copied().chain(self.filled.iter().flat_map(|area| edges(area)))
    }

    /// Distance of a point from the nearest wall or filled area, zero inside.
    pub(super) fn distance(&self, point: Point) -> f64 {
        if self.filled.iter().any(|area| contains(area, point)) {
            return 0.0;
        }
        self.sides().map(|side| distance_to_segment(point, side)).fold(f64::INFINITY, f64::min)
    }

    /// Lowest and highest coordinates of the footprint.
    pub(super) fn bounds(&self) -> [Point; 2] {
        bounds(&self.sides().flatten().collect::<Vec<Point>>())
    }

    /// The direction of the line that the footprint is, when it is nothing more than a line.
    pub(super) fn line(&self, tolerance: f64) -> Option<Point> {
        let &wall = self.walls.first()?;
        let unit = way(wall).map(|part| part / length(wall));
        let offset = |point: Point| cross(unit, way([wall[0], point]));
        self.sides().flatten().all(|end| offset(end).abs() <= tolerance).then_some(unit)
    }
}

impl Problem {
    /// The checked model, or what is wrong with it.
    pub(super) fn new(model: &Model) -> Result<Problem, PlateError> {
        let thickness = positive("thickness of the plate", model.plate.thickness.get::<meter>())?;
        let modulus = positive("modulus of elasticity", model.plate.modulus.get::<pascal>())?;
        let bed = positive("stiffness of the bed", model.bed.value)?;
        let poisson = model.plate.poisson.get::<ratio>();
        if !(0.0..=0.5).contains(&poisson) {
            return Err(PlateError::PoissonRatio);
        }
        let region = region(model)?;
        let tolerance = region.tolerance;
        let anchors = anchors(model, &region)?;
        let footprint = footprint(model, &region)?;
        let moment = |moment: Torque| finite("moment of the column", moment.get::<newton_meter>());
        let actions = [
            finite("normal force of the column", model.actions.normal.get::<newton>())?,
            moment(model.actions.moment_y)?,
            moment(model.actions.moment_x)?,
        ];
        let rigidity = modulus * thickness * thickness * thickness / (12.0 * (1.0 - poisson * poisson));
        let problem = Problem { region, thickness, rigidity, poisson, bed, anchors, footprint, actions, tolerance };
        problem.check_actions(model)?;
        Ok(problem)
    }

    /// The length of the diagonal of the bounding rectangle.
    pub(super) fn diagonal(&self) -> f64 {
        length(self.region.bounds())
    }

    fn check_actions(&self, model: &Model) -> Result<(), PlateError> {
        let [normal, about_y, about_x] = self.actions;
        if let Some([along_x, along_y]) = self.footprint.line(self.tolerance) {
            // The moment about the line turns the plate across it.
            let scale = normal.abs() * self.diagonal() + about_y.abs() + about_x.abs();
            if (about_x * along_x - about_y * along_y).abs() > NO_MOMENT * scale {
                return Err(PlateError::FootprintLine);
            }
        }
        let [x, y] = self.footprint.reference;
        let about_origin = [normal, about_y + normal * x, about_x + normal * y];
        let outline = self.region.rings.first().map_or(&[][..], Vec::as_slice);
        let pulls: Vec<Point> = self.anchors.iter().map(|anchor| anchor.at).collect();
        if !can_be_balanced(about_origin, &pulls, outline) {
            let (anchors, normal) = (self.anchors.len(), model.actions.normal);
            return Err(PlateError::NoEquilibrium { anchors, normal });
        }
        Ok(())
    }
}

fn region(model: &Model) -> Result<Region, PlateError> {
    let outline = ring(model.plate.outline, false)?;
    let tolerance = SAME_PLACE * length(bounds(&outline));
    let mut rings = vec![outline];
    if !are_sound(&rings, tolerance) {
        return Err(PlateError::Outline);
    }
    for (index, hole) in model.plate.holes.iter().enumerate() {
        rings.push(ring(hole, true)?);
        // Where no edges meet, one corner tells where a whole ring lies.
        let is_inside =
            |ring: &Vec<Point>, other: &Vec<Point>| ring.first().is_some_and(|corner| contains(other, *corner));
        let is_apart = |hole: &Vec<Point>, other: &Vec<Point>| !is_inside(hole, other) && !is_inside(other, hole);
        let is_placed = rings.split_last().is_some_and(|(hole, others)| {
            is_inside(hole, &others[0]) && others[1..].iter().all(|other| is_apart(hole, other))
        });
        if !are_sound(&rings, tolerance) || !is_placed {
            return Err(PlateError::Hole { index });
        }
    }
    Ok(Region { rings, tolerance })
}

/// The ring through places, turned clockwise or anticlockwise.
fn ring(places: &[Place], clockwise: bool) -> Result<Vec<Point>, PlateError> {
    let mut corners = places.iter().map(point).collect::<Result<Vec<Point>, PlateError>>()?;
    if (signed_area(&corners) < 0.0) != clockwise {
        corners.reverse();
    }
    Ok(corners)
}

/// Whether rings have areas and sides with lengths, and no edges meet.
fn are_sound(rings: &[Vec<Point>], tolerance: f64) -> bool {
    let has_area = |ring: &Vec<Point>| {
        ring.len() >= 3 && !is_flat(ring, tolerance) && edges(ring).all(|side| length(side) > tolerance)
    };
    rings.iter().all(has_area) && meeting(rings, tolerance).is_none()
}

fn anchors(model: &Model, region: &Region) -> Result<Vec<PointSpring>, PlateError> {
    let anchors = model.anchors.iter().enumerate().map(|(index, anchor)| {
        let at = point(&anchor.place)?;
        let stiffness = positive("stiffness of an anchor", anchor.stiffness.value)?;
        if !region.contains(at) {
            return Err(PlateError::AnchorOutside { index });
        }
        Ok(PointSpring { at, stiffness })
    });
    anchors.collect()
}

fn footprint(model: &Model, region: &Region) -> Result<Footprint, PlateError> {
    let tolerance = region.tolerance;
    let reference = point(&model.footprint.reference)?;
    let mut walls = Vec::with_capacity(model.footprint.walls.len());
    for [from, to] in model.footprint.walls {
        walls.push([point(from)?, point(to)?]);
    }
    let filled: Vec<Vec<Point>> =
        model.footprint.filled.iter().map(|area| ring(area, false)).collect::<Result<_, PlateError>>()?;
    let footprint = Footprint { walls, filled, reference };
    let has_no_extent = footprint.walls.iter().any(|wall| length(*wall) <= tolerance)
        || footprint.filled.iter().any(|area| !are_sound(core::slice::from_ref(area), tolerance))
        || (footprint.walls.is_empty() && footprint.filled.is_empty());
    if has_no_extent {
        return Err(PlateError::FootprintEmpty);
    }
    let stays_inside = |side: Segment| {
        [side[0], at_share(side, 0.5), side[1]].iter().all(|place| region.contains(*place))
            && !region.rings.iter().any(|ring| is_crossed(ring, side, tolerance))
    };
    let covers_a_hole = region.rings[1..].iter().flatten().any(|corner| {
        footprint.filled.iter().any(|area| contains(area, *corner) && distance(area, *corner) > tolerance)
    });
    if covers_a_hole || !footprint.sides().all(stays_inside) {
        return Err(PlateError::FootprintOutside);
    }
    Ok(footprint)
}

fn point(place: &Place) -> Result<Point, PlateError> {
    let coordinate = |length: Length| finite("coordinate of a point", length.get::<meter>());
    Ok([coordinate(place.x)?, coordinate(place.y)?])
}

fn positive(what: &'static str, value: f64) -> Result<f64, PlateError> {
    if finite(what, value)? > 0.0 { Ok(value) } else { Err(PlateError::NotPositive { what }) }
}

fn finite(what: &'static str, value: f64) -> Result<f64, PlateError> {
    if value.is_finite() { Ok(value) } else { Err(PlateError::NotFinite { what }) }
}
