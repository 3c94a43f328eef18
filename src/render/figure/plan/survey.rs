//! What follows from a plan before anything is drawn: places in drawing coordinates, what is in view, what is too far.

use super::Plan;
use crate::render::figure::geometry::{
    Bounds, HalfPlane, Outline, Point, SAME, at, clipped, clipped_line, union_outline,
};

/// Nothing larger than this is drawn, mm: 100 m.
const LARGEST: f64 = 1e5;

/// More anchors than this would not be legible.
const MOST_ANCHORS: usize = 64;

/// An edge that is farther from plate and anchors than this times their size is told in words.
const FAR: f64 = 1.25;

/// The same, times the characteristic edge distance.
const FAR_OF_CONE: f64 = 1.5;

/// A squares' outline larger than this times the size of plate and anchors is left out.
const WIDE_CONE: f64 = 6.0;

/// Sine or cosine of a normal below which an edge counts as parallel to an axis.
const PARALLEL: f64 = 1e-9;

/// The plan in drawing coordinates, y down.
pub(super) struct Survey {
    pub anchors: Vec<Point>,
    /// Radius of the largest circle about an anchor.
    pub radius: f64,
    pub plate: Bounds,
    /// Plate and anchors.
    pub core: Bounds,
    pub planes: Vec<HalfPlane>,
    /// For each edge its nearest anchor and the distance between them, negative for an anchor outside.
    pub nearest: Vec<(usize, f64)>,
    /// For each edge whether it is near enough to be drawn.
    is_near: Vec<bool>,
    /// The outline of the squares about the anchors.
    pub cone: Vec<Vec<Point>>,
}

/// A free edge where it bounds the member in view.
pub(super) struct FreeEdge {
    /// Its number in the plan.
    pub index: usize,
    pub start: Point,
    pub end: Point,
}

impl Survey {
    pub(super) fn of(plan: &Plan) -> Result<Self, String> {
        let size = |value: f64, what: &str| match value {
            value if value.is_finite() && (0.1..=LARGEST).contains(&value) => Ok(value),
            _ => Err(format!("{what} is no size that can be drawn")),
        };
        let [width, height] = plan.plate;
        size(width, "the plate's size in x")?;
        size(height, "the plate's size in y")?;
        let optional = [
            (plan.d, "the anchor's diameter"),
            (plan.d_f, "the hole's diameter"),
            (plan.c_cr_n, "the characteristic edge distance"),
            (plan.walls.iter().flatten().flatten().map(|place| place.abs()).reduce(farther), "a wall of the column"),
            (plan.column.map(|[x, _]| x), "the column's size in x"),
            (plan.column.map(|[_, y]| y), "the column's size in y"),
        ];
        for (value, what) in optional {
            value.map_or(Ok(0.0), |value| size(value, what))?;
        }
        if plan.shear.iter().flatten().any(|force| !force.is_finite()) {
            return Err("the shear is no number".to_owned());
        }
        if plan.anchors.is_empty() {
            return Err("there is no anchor".to_owned());
        }
        if plan.anchors.len() > MOST_ANCHORS {
            return Err(format!("there are more than {MOST_ANCHORS} anchors"));
        }
        let anchors: Vec<Point> = plan.anchors.iter().map(|anchor| at(anchor.x, -anchor.y)).collect();
        for (index, anchor) in anchors.iter().enumerate() {
            let label = &plan.anchors[index].label;
            if !(anchor.x.abs() <= LARGEST && anchor.y.abs() <= LARGEST) {
                return Err(format!("{label} has no place that can be drawn"));
            }
            if let Some(other) = anchors[..index].iter().position(|other| (*other - *anchor).length() < 0.01) {
                return Err(format!("{} and {label} are at the same place", plan.anchors[other].label));
            }
        }
        let mut planes = Vec::new();
        for edge in &plan.edges {
            if !(edge.normal.is_finite() && edge.distance.is_finite()) {
                return Err(format!("the edge {} has no place", edge.label));
            }
            let snapped = |value: f64| if value.abs() < PARALLEL { 0.0 } else { value };
            let (sin, cos) = libm::sincos(edge.normal);
            planes.push(HalfPlane { normal: at(snapped(cos), -snapped(sin)), distance: edge.distance });
        }
        let radius = plan.d_f.unwrap_or(0.0).max(plan.d.unwrap_or(0.0)) / 2.0;
        let plate = Bounds::about(at(0.0, 0.0), width / 2.0, height / 2.0);
        let mut core = plate;
        core.join(Bounds::of(anchors.iter().copied()).grown(radius));
        let reach = core.width().max(core.height());
        let nearest: Vec<(usize, f64)> = planes.iter().map(|plane| nearest(&anchors, *plane)).collect();
        let far = (FAR * reach).max(FAR_OF_CONE * plan.c_cr_n.unwrap_or(0.0).min(WIDE_CONE * reach));
        let is_near = |plane: &HalfPlane| {
            let gap = core.corners().into_iter().map(|corner| plane.depth(corner)).fold(f64::INFINITY, f64::min);
            gap.abs() <= far
        };
        let cone = match plan.c_cr_n {
            Some(half_side) if half_side <= WIDE_CONE * reach => union_outline(&anchors, half_side),
            _ => Vec::new(),
        };
        let survey = Survey {
            is_near: planes.iter().map(is_near).collect(),
            anchors,
            radius,
            plate,
            core,
            planes,
            nearest,
            cone,
        };
        if survey.member(survey.core.grown(far)).is_empty() {
            return Err("the edges leave no member under the plate".to_owned());
        }
        Ok(survey)
    }

    /// The part of the member in view.
    pub(super) fn member(&self, view: Bounds) -> Outline {
        clipped(view, &self.planes)
    }

    /// The sides of the squares' outline that lie in the member.
    pub(super) fn cone_sides(&self) -> Vec<(Point, Point)> {
        let pairs = self.cone.iter().flat_map(|corners| corners.windows(2));
        pairs.filter_map(|pair| clipped_line(pair[0], pair[1], &self.planes)).collect()
    }

    /// How much of the member is shown: plate, anchors, squares, the nearest point of each near edge, and the arrows.
    pub(super) fn view(&self, em: f64, arrows: impl IntoIterator<Item = Point>) -> Bounds {
        let mut view = self.core.grown(1.6 * em);
        for (start, end) in self.cone_sides() {
            view.join(Bounds::of([start, end]).grown(0.9 * em));
        }
        for (index, plane) in self.planes.iter().enumerate() {
            if self.is_near[index] {
                let foot = plane.foot(self.anchors[self.nearest[index].0]);
                let along = plane.normal.turned() * (2.5 * em);
                view.join(Bounds::of([foot + plane.normal * em, foot + along, foot - along]));
            }
        }
        view.join(Bounds::of(arrows).grown(0.7 * em));
        view
    }
}

/// The anchor nearest to an edge, and its distance from it.
fn nearest(anchors: &[Point], plane: HalfPlane) -> (usize, f64) {
    let mut nearest = (0, f64::INFINITY);
    for (index, anchor) in anchors.iter().enumerate() {
        if plane.depth(*anchor) < nearest.1 - SAME {
            nearest = (index, plane.depth(*anchor));
        }
    }
    nearest
}

/// The larger of two distances; no number where one is none.
fn farther(a: f64, b: f64) -> f64 {
    if a.is_nan() || a > b { a } else { b }
}
