//! The door: quantities in, plain numbers in coherent SI out, everything checked once.

use uom::si::f64::{Length, Torque};
use uom::si::force::newton;
use uom::si::length::meter;
use uom::si::pressure::pascal;
use uom::si::ratio::ratio;
use uom::si::torque::newton_meter;

use super::equilibrium::can_be_balanced;
use super::polygon::{Point, Polygon, bounds, distance_to_segment, length};
use super::{Model, Place, PlateError};

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
    pub(super) rings: Vec<Polygon>,
    pub(super) tolerance: f64,
}

impl Region {
    /// Whether a point lies in the plate or on its edge.
    pub(super) fn contains(&self, point: Point) -> bool {
        let mut rings = self.rings.iter();
        rings.next().is_some_and(|outline| outline.contains(point, self.tolerance))
            && rings.all(|hole| !hole.encloses(point) || hole.distance_to_ring(point) <= self.tolerance)
    }

    /// Lowest and highest coordinates of the plate.
    pub(super) fn bounds(&self) -> [Point; 2] {
        self.rings.first().map_or([[0.0; 2]; 2], Polygon::bounds)
    }
}

/// Where the column holds the plate rigid.
#[derive(Debug, Clone)]
pub(super) struct Footprint {
    pub(super) walls: Vec<[Point; 2]>,
    pub(super) filled: Vec<Polygon>,
    pub(super) reference: Point,
}

impl Footprint {
    /// Distance of a point from the nearest wall or filled area, zero inside.
    pub(super) fn distance(&self, point: Point) -> f64 {
        let walls = self.walls.iter().map(|wall| distance_to_segment(point, *wall));
        let areas =
            self.filled.iter().map(|area| if area.encloses(point) { 0.0 } else { area.distance_to_ring(point) });
        walls.chain(areas).fold(f64::INFINITY, f64::min)
    }

    fn corners(&self) -> impl Iterator<Item = Point> {
        self.walls.iter().flatten().chain(self.filled.iter().flat_map(|area| &area.corners)).copied()
    }

    /// Lowest and highest coordinates of the footprint.
    pub(super) fn bounds(&self) -> [Point; 2] {
        bounds(&self.corners().collect::<Vec<Point>>())
    }

    /// The direction of the line that the footprint is, when it is nothing more than a line.
    pub(super) fn line(&self, tolerance: f64) -> Option<Point> {
        let &[from, to] = self.walls.first()?;
        let unit = [(to[0] - from[0]) / length([from, to]), (to[1] - from[1]) / length([from, to])];
        let offset = |point: Point| unit[0] * (point[1] - from[1]) - unit[1] * (point[0] - from[0]);
        self.corners().all(|corner| offset(corner).abs() <= tolerance).then_some(unit)
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
        let outline = self.region.rings.first().map_or(&[][..], |outline| &outline.corners);
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
    let tolerance = SAME_PLACE * length(outline.bounds());
    if !is_sound(&outline, tolerance) {
        return Err(PlateError::Outline);
    }
    let mut rings = vec![outline];
    for (index, hole) in model.plate.holes.iter().enumerate() {
        let hole = ring(hole, true)?;
        let is_inside = |corner: &Point| rings[0].encloses(*corner) && rings[0].distance_to_ring(*corner) > tolerance;
        let apart = rings[1..].iter().all(|other| {
            let outside = |corner: &Point, ring: &Polygon| !ring.contains(*corner, tolerance);
            hole.corners.iter().all(|corner| outside(corner, other))
                && other.corners.iter().all(|corner| outside(corner, &hole))
        });
        let crossed = rings.iter().any(|ring| hole.sides().any(|side| ring.is_crossed_by(side, tolerance)));
        if !is_sound(&hole, tolerance) || !hole.corners.iter().all(is_inside) || !apart || crossed {
            return Err(PlateError::Hole { index });
        }
        rings.push(hole);
    }
    Ok(Region { rings, tolerance })
}

/// The ring through places, turned clockwise or anticlockwise.
fn ring(places: &[Place], clockwise: bool) -> Result<Polygon, PlateError> {
    let mut corners = places.iter().map(point).collect::<Result<Vec<Point>, PlateError>>()?;
    if (super::polygon::signed_area(&corners) < 0.0) != clockwise {
        corners.reverse();
    }
    Ok(Polygon { corners })
}

fn is_sound(ring: &Polygon, tolerance: f64) -> bool {
    let extent = length(ring.bounds());
    ring.corners.len() >= 3
        && ring.area() > tolerance * extent
        && ring.sides().all(|side| length(side) > tolerance)
        && !ring.crosses_itself(tolerance)
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
    let filled: Vec<Polygon> =
        model.footprint.filled.iter().map(|area| ring(area, false)).collect::<Result<_, PlateError>>()?;
    let has_no_extent = walls.iter().any(|wall| length(*wall) <= tolerance)
        || filled.iter().any(|area| !is_sound(area, tolerance))
        || (walls.is_empty() && filled.is_empty());
    if has_no_extent {
        return Err(PlateError::FootprintEmpty);
    }
    let stays_inside = |side: [Point; 2]| {
        let middle = [(side[0][0] + side[1][0]) / 2.0, (side[0][1] + side[1][1]) / 2.0];
        [side[0], middle, side[1]].iter().all(|place| region.contains(*place))
            && !region.rings.iter().any(|ring| ring.is_crossed_by(side, tolerance))
    };
    let sides = walls.iter().copied().chain(filled.iter().flat_map(Polygon::sides));
    let covers_a_hole = region.rings[1..]
        .iter()
        .flat_map(|hole| &hole.corners)
        .any(|corner| filled.iter().any(|area| area.encloses(*corner) && area.distance_to_ring(*corner) > tolerance));
    if covers_a_hole || !sides.into_iter().all(stays_inside) {
        return Err(PlateError::FootprintOutside);
    }
    Ok(Footprint { walls, filled, reference })
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
