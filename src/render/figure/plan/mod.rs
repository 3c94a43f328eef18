//! The plan: plate, anchors and free edges of the member from above, to scale.
//!
//! In goes a [`Plan`] in millimetres with y to the north; out comes an SVG whose view box is in millimetres as well.
//! Start reading at [`draw`]; `survey` finds what is in view, `lay_out` is the order in which it is drawn.

mod forces;
mod lettering;
mod measures;
mod survey;

use super::drawing::{Board, Path, fit, kilonewtons, millimetres};
use super::geometry::{Bounds, Point, SAME, at, sides};
use super::undrawn;
use crate::render::markup::Markup;
use lettering::edge_name;
use survey::{FreeEdge, Survey};

/// What a plan shows; lengths in mm, angles in rad, forces in kN, y to the north.
#[derive(Clone, Debug, Default)]
pub struct Plan {
    /// The anchors.
    pub anchors: Vec<Anchor>,
    /// Size of the plate in x and y, centred on the origin.
    pub plate: [f64; 2],
    /// The free edges.
    pub edges: Vec<Edge>,
    /// Diameter of the anchors.
    pub d: Option<f64>,
    /// Diameter of the holes in the plate.
    pub d_f: Option<f64>,
    /// Characteristic edge distance of the concrete cone: half the side of each anchor's square.
    pub c_cr_n: Option<f64>,
    /// The centre lines of the column's walls, which are drawn in place of its footprint.
    pub walls: Vec<[[f64; 2]; 2]>,
    /// Size of the column's footprint in x and y, centred on the origin.
    pub column: Option<[f64; 2]>,
    /// Shear in x and y.
    pub shear: [Option<f64>; 2],
}

/// An anchor in plan.
#[derive(Clone, Debug)]
pub struct Anchor {
    /// Its name.
    pub label: String,
    /// Place in x.
    pub x: f64,
    /// Place in y.
    pub y: f64,
}

/// A straight free edge of the member.
#[derive(Clone, Debug)]
pub struct Edge {
    /// Its name.
    pub label: String,
    /// Direction of the outward normal, from x anticlockwise.
    pub normal: f64,
    /// Distance from the origin along the normal.
    pub distance: f64,
}

/// Draws a plan.
pub fn draw(plan: &Plan) -> Markup {
    match Survey::of(plan) {
        Ok(survey) => fit(1.5 * survey.core.width().max(survey.core.height()), |em| lay_out(plan, &survey, em))
            .finish(&describe(plan, &survey)),
        Err(reason) => undrawn("plan", &reason),
    }
}

fn lay_out(plan: &Plan, survey: &Survey, em: f64) -> Board {
    let mut board = Board::new(em);
    let arrows = forces::arrows(plan, survey, em);
    let view = survey.view(em, arrows.iter().flat_map(|arrow| arrow.extent(em)));
    let member = survey.member(view);
    let corners: Vec<Point> = member.iter().map(|(corner, _)| *corner).collect();
    let (mut drawn, mut breaks) = (Vec::new(), Vec::new());
    for (start, end, edge) in sides(&member) {
        match edge {
            Some(index) => drawn.push(FreeEdge { index, start, end }),
            None => breaks.push((start, end)),
        }
    }

    board.polygon("ground", &corners);
    board.rectangle("plate", survey.plate);
    if !plan.walls.is_empty() {
        let walls: Vec<[Point; 2]> = plan.walls.iter().map(|wall| wall.map(|[x, y]| at(x, -y))).collect();
        board.walls(&walls);
    } else if let Some([width, height]) = plan.column {
        let column = Bounds::about(at(0.0, 0.0), width / 2.0, height / 2.0);
        board.rectangle("column", column);
    }
    for corner in 0..4 {
        let corners = survey.plate.corners();
        board.keep_clear_of_line(corners[corner], corners[(corner + 1) % 4]);
    }
    draw_anchors(&mut board, plan, survey);
    draw_cone(&mut board, survey);
    draw_edges(&mut board, survey, &drawn);

    let mut frame = Bounds::of(corners);
    frame.join(survey.core);
    for edge in &drawn {
        let normal = survey.planes[edge.index].normal;
        let is_skew = normal.x != 0.0 && normal.y != 0.0;
        let beyond = normal * (em * if is_skew { 0.5 } else { lettering::NAME_OF_EDGE });
        frame.join(Bounds::of([edge.start + beyond, edge.end + beyond]));
    }
    for (start, end) in &breaks {
        // A zigzag is in the way of chains whose lettering stands inside of them.
        frame.join(Bounds::of([*start, *end]).grown_across(*end - *start, 0.5 * em));
    }
    let free_corner = measures::draw_chains(&mut board, survey, &drawn, &arrows, &mut frame);
    for arrow in &arrows {
        board.arrow(arrow.from, arrow.to);
    }
    for (start, end) in &breaks {
        board.break_line(*start, *end);
    }
    measures::draw_skew_distances(&mut board, survey, &drawn);
    for arrow in &arrows {
        arrow.letter(&mut board);
    }
    lettering::letter_anchors(&mut board, plan, survey);
    lettering::letter_edges(&mut board, plan, survey, &drawn);
    if let Some(half_side) = plan.c_cr_n {
        lettering::letter_cone(&mut board, survey, half_side);
    }
    board.axes(free_corner, frame);
    lettering::letter_remarks(&mut board, plan, survey, &drawn);
    board
}

fn draw_anchors(board: &mut Board, plan: &Plan, survey: &Survey) {
    let em = board.em;
    let reach = survey.radius + 0.55 * em;
    let mut centre_lines = Path::default();
    for anchor in &survey.anchors {
        if let Some(hole) = plan.d_f {
            board.circle("hole", *anchor, hole / 2.0);
        }
        if let Some(bolt) = plan.d {
            board.circle("bolt", *anchor, bolt / 2.0);
        }
        for direction in [at(1.0, 0.0), at(0.0, 1.0)] {
            let ends = [*anchor - direction * reach, *anchor + direction * reach];
            centre_lines.add(ends);
            board.keep_clear_of_line(ends[0], ends[1]);
        }
        board.taken.push(Bounds::about(*anchor, survey.radius, survey.radius));
    }
    let bounds = Bounds::of(survey.anchors.iter().copied()).grown(reach);
    board.path("cl", centre_lines, bounds);
}

fn draw_cone(board: &mut Board, survey: &Survey) {
    let mut outline = Path::default();
    let mut run: Vec<Point> = Vec::new();
    let sides = survey.cone_sides();
    for (start, end) in &sides {
        // Sides that meet go into one stroke, so that the dashes turn the corner.
        if run.last().is_none_or(|last| (*last - *start).length() > SAME) {
            outline.add(std::mem::take(&mut run));
            run.push(*start);
        }
        run.push(*end);
        board.keep_clear_of_line(*start, *end);
    }
    outline.add(run);
    board.path("cone", outline, Bounds::of(sides.iter().flat_map(|(start, end)| [*start, *end])));
}

fn draw_edges(board: &mut Board, survey: &Survey, drawn: &[FreeEdge]) {
    let mut edges = Path::default();
    for edge in drawn {
        board.hatch_edge(edge.start, edge.end, survey.planes[edge.index].normal);
        board.keep_clear_of_line(edge.start, edge.end);
        edges.add([edge.start, edge.end]);
    }
    let bounds = Bounds::of(drawn.iter().flat_map(|edge| [edge.start, edge.end]));
    board.path("edge", edges, bounds);
}

/// What the plan shows, in words.
fn describe(plan: &Plan, survey: &Survey) -> String {
    let [width, height] = plan.plate;
    let mut parts = vec![format!("plate {} by {}", millimetres(width), millimetres(height))];
    let anchors: Vec<String> = plan
        .anchors
        .iter()
        .map(|anchor| format!("{} at {}, {}", anchor.label, millimetres(anchor.x), millimetres(anchor.y)))
        .collect();
    parts.push(format!("anchors {}", anchors.join("; ")));
    for (edge, (anchor, distance)) in plan.edges.iter().zip(&survey.nearest) {
        parts.push(match distance {
            distance if *distance > 0.0 => {
                format!("{} {} from {}", edge_name(&edge.label), millimetres(*distance), plan.anchors[*anchor].label)
            }
            _ => format!("{} lies outside the {}", plan.anchors[*anchor].label, edge_name(&edge.label)),
        });
    }
    if let Some(half_side) = plan.c_cr_n {
        parts.push(format!("projected area with c_cr,N {}", millimetres(half_side)));
    }
    for (force, axis) in plan.shear.iter().zip(["x", "y"]) {
        if let Some(force) = force {
            parts.push(format!("shear in {axis} {}", kilonewtons(*force)));
        }
    }
    format!("Plan, dimensions in millimetres: {}.", parts.join(". "))
}
