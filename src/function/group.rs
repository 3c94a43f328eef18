//! Functions of a group of anchors: projected areas, distances, rows.
//!
//! Each unpacks lists of SI values into typed quantities, calls `numerics` and packs the result again.

use super::{Function, Gives, GroupRoutine, Parameter, Signature};
use crate::numerics::anchor_group::{self, Anchors, Edges};
use crate::program::Routine;
use crate::quantity::{Dimension, typed};
use uom::si::f64::{Angle, Length};

use Parameter::{Anchors as AnchorTable, Counts, Edge, Edges as EdgeTable, Length as ALength};

/// The family.
pub(super) const FUNCTIONS: &[Function] = &[
    Function {
        name: "projected_area",
        usage: "projected_area(anchors, counts, half_side, edges)",
        summary: "the area of the union of the squares of side 2 `half_side` about the anchors that count, cut off at the edges",
        signature: Signature::Group(&GroupRoutine {
            parameters: &[("anchors", AnchorTable), ("counts", Counts), ("half_side", ALength), ("edges", EdgeTable)],
            gives: Gives::Area,
            routine: Routine { name: "projected_area", function: projected_area },
        }),
        examples: &[],
    },
    Function {
        name: "virtual_edge_areas",
        usage: "virtual_edge_areas(anchors, half_side, edges)",
        summary: "the same for each anchor alone, cut off also halfway to its neighbours",
        signature: Signature::Group(&GroupRoutine {
            parameters: &[("anchors", AnchorTable), ("half_side", ALength), ("edges", EdgeTable)],
            gives: Gives::AreaPerAnchor,
            routine: Routine { name: "virtual_edge_areas", function: virtual_edge_areas },
        }),
        examples: &[],
    },
    Function {
        name: "edge_distances",
        usage: "edge_distances(anchors, counts, edges)",
        summary: "for each edge the distance of the nearest anchor that counts",
        signature: Signature::Group(&GroupRoutine {
            parameters: &[("anchors", AnchorTable), ("counts", Counts), ("edges", EdgeTable)],
            gives: Gives::LengthPerEdge,
            routine: Routine { name: "edge_distances", function: edge_distances },
        }),
        examples: &[],
    },
    Function {
        name: "largest_spacing",
        usage: "largest_spacing(anchors, counts)",
        summary: "the largest spacing of neighbouring rows or columns; zero for one anchor",
        signature: Signature::Group(&GroupRoutine {
            parameters: &[("anchors", AnchorTable), ("counts", Counts)],
            gives: Gives::Length,
            routine: Routine { name: "largest_spacing", function: largest_spacing },
        }),
        examples: &[],
    },
    Function {
        name: "smallest_spacing",
        usage: "smallest_spacing(anchors, counts, none)",
        summary: "the smallest distance between two anchors that count; `none` where fewer than two do",
        signature: Signature::Group(&GroupRoutine {
            parameters: &[("anchors", AnchorTable), ("counts", Counts), ("none", ALength)],
            gives: Gives::Length,
            routine: Routine { name: "smallest_spacing", function: smallest_spacing },
        }),
        examples: &[],
    },
    Function {
        name: "row_at_edge",
        usage: "row_at_edge(anchors, counts, edge)",
        summary: "which of the anchors that count stand nearest the edge",
        signature: Signature::Group(&GroupRoutine {
            parameters: &[("anchors", AnchorTable), ("counts", Counts), ("edge", Edge)],
            gives: Gives::TruthPerAnchor,
            routine: Routine { name: "row_at_edge", function: row_at_edge },
        }),
        examples: &[],
    },
    Function {
        name: "edge_face_area",
        usage: "edge_face_area(anchors, row, c_1, h, edge, edges)",
        summary: "the area on the side face: bands of 1.5 `c_1` to either side of each anchor of the row, cut off at the other edges, times the smaller of 1.5 `c_1` and `h`",
        signature: Signature::Group(&GroupRoutine {
            parameters: &[
                ("anchors", AnchorTable),
                ("row", Counts),
                ("c_1", ALength),
                ("h", ALength),
                ("edge", Edge),
                ("edges", EdgeTable),
            ],
            gives: Gives::Area,
            routine: Routine { name: "edge_face_area", function: edge_face_area },
        }),
        examples: &[],
    },
    Function {
        name: "side_distances",
        usage: "side_distances(anchors, row, edge, edges, limit)",
        summary: "the distances of the row from the side edges on its left and right, looking outward; `limit` where they are larger or there is none",
        signature: Signature::Group(&GroupRoutine {
            parameters: &[
                ("anchors", AnchorTable),
                ("row", Counts),
                ("edge", Edge),
                ("edges", EdgeTable),
                ("limit", ALength),
            ],
            gives: Gives::TwoLengths,
            routine: Routine { name: "side_distances", function: side_distances },
        }),
        examples: &[],
    },
    Function {
        name: "row_spacing",
        usage: "row_spacing(anchors, row, edge)",
        summary: "the largest spacing of neighbours in the row, along the edge; zero for one anchor",
        signature: Signature::Group(&GroupRoutine {
            parameters: &[("anchors", AnchorTable), ("row", Counts), ("edge", Edge)],
            gives: Gives::Length,
            routine: Routine { name: "row_spacing", function: row_spacing },
        }),
        examples: &[],
    },
];

/// Takes typed arguments off a list of lists, one after the other.
struct Unpack<'a> {
    arguments: std::slice::Iter<'a, Vec<f64>>,
}

/// The columns of a table of anchors with what counts.
struct Group {
    x: Vec<Length>,
    y: Vec<Length>,
    active: Vec<bool>,
}

impl Group {
    fn view(&self) -> Anchors<'_> {
        Anchors { x: &self.x, y: &self.y, active: &self.active }
    }
}

/// The columns of a table of edges.
struct Outline {
    normal: Vec<Angle>,
    distance: Vec<Length>,
}

impl Outline {
    fn view(&self) -> Edges<'_> {
        Edges { normal: &self.normal, distance: &self.distance }
    }
}

fn length(value: f64) -> Length {
    typed(value, Dimension::LENGTH).unwrap_or(Length { value: f64::NAN, ..Length::default() })
}

fn angle(value: f64) -> Angle {
    typed(value, Dimension::NONE).unwrap_or_default()
}

impl<'a> Unpack<'a> {
    fn new(arguments: &'a [Vec<f64>]) -> Self {
        Self { arguments: arguments.iter() }
    }

    fn list(&mut self) -> &'a [f64] {
        self.arguments.next().map_or(&[], Vec::as_slice)
    }

    fn lengths(&mut self) -> Vec<Length> {
        self.list().iter().copied().map(length).collect()
    }

    fn angles(&mut self) -> Vec<Angle> {
        self.list().iter().copied().map(angle).collect()
    }

    fn length(&mut self) -> Length {
        length(self.list().first().copied().unwrap_or(f64::NAN))
    }

    fn angle(&mut self) -> Angle {
        angle(self.list().first().copied().unwrap_or(f64::NAN))
    }

    /// Anchors with the counts that follow them.
    fn group(&mut self) -> Group {
        let (x, y) = (self.lengths(), self.lengths());
        let active = self.list().iter().map(|&count| count > 0.0).collect();
        Group { x, y, active }
    }

    fn outline(&mut self) -> Outline {
        Outline { normal: self.angles(), distance: self.lengths() }
    }
}

/// Writes results; what a routine does not give stays NaN.
fn fill(results: &mut [f64], values: impl IntoIterator<Item = f64>) {
    for (place, value) in results.iter_mut().zip(values) {
        *place = value;
    }
}

fn projected_area(arguments: &[Vec<f64>], results: &mut [f64]) {
    let mut take = Unpack::new(arguments);
    let (group, half_side, outline) = (take.group(), take.length(), take.outline());
    fill(results, [anchor_group::projected_area(group.view(), half_side, outline.view()).value]);
}

fn virtual_edge_areas(arguments: &[Vec<f64>], results: &mut [f64]) {
    let mut take = Unpack::new(arguments);
    let (x, y) = (take.lengths(), take.lengths());
    let active = vec![true; x.len()];
    let group = Group { x, y, active };
    let (half_side, outline) = (take.length(), take.outline());
    let areas = (0..results.len())
        .map(|index| anchor_group::projected_area_single(group.view(), index, half_side, outline.view()).value);
    fill(results, areas.collect::<Vec<f64>>());
}

fn edge_distances(arguments: &[Vec<f64>], results: &mut [f64]) {
    let mut take = Unpack::new(arguments);
    let (group, outline) = (take.group(), take.outline());
    let distances = anchor_group::edge_distances(group.view(), outline.view());
    fill(results, distances.into_iter().map(|distance| distance.value));
}

fn largest_spacing(arguments: &[Vec<f64>], results: &mut [f64]) {
    let group = Unpack::new(arguments).group();
    fill(results, [anchor_group::largest_spacing(group.view()).value]);
}

fn smallest_spacing(arguments: &[Vec<f64>], results: &mut [f64]) {
    let mut take = Unpack::new(arguments);
    let (group, none) = (take.group(), take.length());
    fill(results, [anchor_group::smallest_spacing(group.view(), none).value]);
}

fn row_at_edge(arguments: &[Vec<f64>], results: &mut [f64]) {
    let mut take = Unpack::new(arguments);
    let (group, normal, distance) = (take.group(), take.angle(), take.length());
    let row = anchor_group::front_row(group.view(), normal, distance);
    fill(results, row.into_iter().map(|stands| f64::from(u8::from(stands))));
}

fn edge_face_area(arguments: &[Vec<f64>], results: &mut [f64]) {
    let mut take = Unpack::new(arguments);
    let (row, c_1, h) = (take.group(), take.length(), take.length());
    let (normal, distance, outline) = (take.angle(), take.length(), take.outline());
    let area = anchor_group::edge_breakout_area(row.view(), c_1, h, normal, distance, outline.view());
    fill(results, [area.value]);
}

fn side_distances(arguments: &[Vec<f64>], results: &mut [f64]) {
    let mut take = Unpack::new(arguments);
    let (row, normal, _distance) = (take.group(), take.angle(), take.length());
    let (outline, limit) = (take.outline(), take.length());
    let sides = anchor_group::side_distances(row.view(), normal, outline.view(), limit);
    fill(results, sides.map(|side| side.value));
}

fn row_spacing(arguments: &[Vec<f64>], results: &mut [f64]) {
    let mut take = Unpack::new(arguments);
    let (row, normal) = (take.group(), take.angle());
    fill(results, [anchor_group::row_spacing(row.view(), normal).value]);
}
