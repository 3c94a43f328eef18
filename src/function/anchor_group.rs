//! Functions of a group of anchors: projected areas, distances, rows.
//!
//! Each unpacks lists of SI values into typed quantities, calls `numerics` and packs the result again.

use super::unpack::{Group, Unpack, fill};
use super::{Function, Gives, Parameter, Signature, TypedRoutine};
use crate::numerics::anchor_group;
use crate::program::Routine;
use crate::quantity::Dimension;
use uom::si::f64::Length;

use Parameter::{Anchors, Counts, Edge, Edges};

const LENGTH: Parameter = Parameter::Quantity(Dimension::LENGTH);

/// The family.
pub(super) const FUNCTIONS: &[Function] = &[
    Function {
        name: "projected_area",
        usage: "projected_area(anchors, counts, half_side, edges)",
        summary: "the area of the union of the squares of side 2 `half_side` about the anchors that count, cut off at the edges",
        signature: Signature::Routine(&TypedRoutine {
            parameters: &[("anchors", Anchors), ("counts", Counts), ("half_side", LENGTH), ("edges", Edges)],
            gives: Gives::Quantity(Dimension::AREA),
            routine: Routine { name: "projected_area", function: projected_area },
        }),
        examples: &[],
    },
    Function {
        name: "virtual_edge_areas",
        usage: "virtual_edge_areas(anchors, half_side, edges)",
        summary: "the same for each anchor alone, cut off also halfway to its neighbours",
        signature: Signature::Routine(&TypedRoutine {
            parameters: &[("anchors", Anchors), ("half_side", LENGTH), ("edges", Edges)],
            gives: Gives::PerAnchor(Dimension::AREA),
            routine: Routine { name: "virtual_edge_areas", function: virtual_edge_areas },
        }),
        examples: &[],
    },
    Function {
        name: "edge_distances",
        usage: "edge_distances(anchors, counts, edges)",
        summary: "for each edge the distance of the nearest anchor that counts",
        signature: Signature::Routine(&TypedRoutine {
            parameters: &[("anchors", Anchors), ("counts", Counts), ("edges", Edges)],
            gives: Gives::PerEdge(Dimension::LENGTH),
            routine: Routine { name: "edge_distances", function: edge_distances },
        }),
        examples: &[],
    },
    Function {
        name: "largest_spacing",
        usage: "largest_spacing(anchors, counts)",
        summary: "the largest spacing of neighbouring rows or columns; zero for one anchor",
        signature: Signature::Routine(&TypedRoutine {
            parameters: &[("anchors", Anchors), ("counts", Counts)],
            gives: Gives::Quantity(Dimension::LENGTH),
            routine: Routine { name: "largest_spacing", function: largest_spacing },
        }),
        examples: &[],
    },
    Function {
        name: "smallest_spacing",
        usage: "smallest_spacing(anchors, counts, none)",
        summary: "the smallest distance between two anchors that count; `none` where fewer than two do",
        signature: Signature::Routine(&TypedRoutine {
            parameters: &[("anchors", Anchors), ("counts", Counts), ("none", LENGTH)],
            gives: Gives::Quantity(Dimension::LENGTH),
            routine: Routine { name: "smallest_spacing", function: smallest_spacing },
        }),
        examples: &[],
    },
    Function {
        name: "row_at_edge",
        usage: "row_at_edge(anchors, counts, edge)",
        summary: "which of the anchors that count stand nearest the edge",
        signature: Signature::Routine(&TypedRoutine {
            parameters: &[("anchors", Anchors), ("counts", Counts), ("edge", Edge)],
            gives: Gives::TruthPerAnchor,
            routine: Routine { name: "row_at_edge", function: row_at_edge },
        }),
        examples: &[],
    },
    Function {
        name: "edge_face_area",
        usage: "edge_face_area(anchors, row, c_1, h, edge, edges)",
        summary: "the area on the side face: bands of 1.5 `c_1` to either side of each anchor of the row, cut off at the other edges, times the smaller of 1.5 `c_1` and `h`",
        signature: Signature::Routine(&TypedRoutine {
            parameters: &[
                ("anchors", Anchors),
                ("row", Counts),
                ("c_1", LENGTH),
                ("h", LENGTH),
                ("edge", Edge),
                ("edges", Edges),
            ],
            gives: Gives::Quantity(Dimension::AREA),
            routine: Routine { name: "edge_face_area", function: edge_face_area },
        }),
        examples: &[],
    },
    Function {
        name: "side_distances",
        usage: "side_distances(anchors, row, edge, edges, limit)",
        summary: "the distances of the row from the side edges on its left and right, looking outward; `limit` where they are larger or there is none",
        signature: Signature::Routine(&TypedRoutine {
            parameters: &[("anchors", Anchors), ("row", Counts), ("edge", Edge), ("edges", Edges), ("limit", LENGTH)],
            gives: Gives::Two(Dimension::LENGTH),
            routine: Routine { name: "side_distances", function: side_distances },
        }),
        examples: &[],
    },
    Function {
        name: "row_spacing",
        usage: "row_spacing(anchors, row, edge)",
        summary: "the largest spacing of neighbours in the row, along the edge; zero for one anchor",
        signature: Signature::Routine(&TypedRoutine {
            parameters: &[("anchors", Anchors), ("row", Counts), ("edge", Edge)],
            gives: Gives::Quantity(Dimension::LENGTH),
            routine: Routine { name: "row_spacing", function: row_spacing },
        }),
        examples: &[],
    },
];

fn projected_area(arguments: &[Vec<f64>], results: &mut [f64]) -> Result<(), String> {
    let mut take = Unpack::new(arguments);
    let (group, half_side, outline) = (take.group(), take.one(), take.edges());
    fill(results, [anchor_group::projected_area(group.view(), half_side, outline.view()).value]);
    Ok(())
}

fn virtual_edge_areas(arguments: &[Vec<f64>], results: &mut [f64]) -> Result<(), String> {
    let mut take = Unpack::new(arguments);
    let (x, y) = (take.all(), take.all());
    let active = vec![true; x.len()];
    let group = Group { x, y, active };
    let (half_side, outline) = (take.one(), take.edges());
    let areas = (0..results.len())
        .map(|index| anchor_group::projected_area_single(group.view(), index, half_side, outline.view()).value);
    fill(results, areas.collect::<Vec<f64>>());
    Ok(())
}

fn edge_distances(arguments: &[Vec<f64>], results: &mut [f64]) -> Result<(), String> {
    let mut take = Unpack::new(arguments);
    let (group, outline) = (take.group(), take.edges());
    let distances = anchor_group::edge_distances(group.view(), outline.view());
    fill(results, distances.into_iter().map(|distance| distance.value));
    Ok(())
}

fn largest_spacing(arguments: &[Vec<f64>], results: &mut [f64]) -> Result<(), String> {
    let group = Unpack::new(arguments).group();
    fill(results, [anchor_group::largest_spacing(group.view()).value]);
    Ok(())
}

fn smallest_spacing(arguments: &[Vec<f64>], results: &mut [f64]) -> Result<(), String> {
    let mut take = Unpack::new(arguments);
    let (group, none) = (take.group(), take.one());
    fill(results, [anchor_group::smallest_spacing(group.view(), none).value]);
    Ok(())
}

fn row_at_edge(arguments: &[Vec<f64>], results: &mut [f64]) -> Result<(), String> {
    let mut take = Unpack::new(arguments);
    let (group, normal, distance) = (take.group(), take.one(), take.one());
    let row = anchor_group::front_row(group.view(), normal, distance);
    fill(results, row.into_iter().map(|stands| f64::from(u8::from(stands))));
    Ok(())
}

fn edge_face_area(arguments: &[Vec<f64>], results: &mut [f64]) -> Result<(), String> {
    let mut take = Unpack::new(arguments);
    let (row, c_1, h) = (take.group(), take.one(), take.one());
    let (normal, distance, outline) = (take.one(), take.one(), take.edges());
    let area = anchor_group::edge_breakout_area(row.view(), c_1, h, normal, distance, outline.view());
    fill(results, [area.value]);
    Ok(())
}

fn side_distances(arguments: &[Vec<f64>], results: &mut [f64]) -> Result<(), String> {
    let mut take = Unpack::new(arguments);
    let (row, normal) = (take.group(), take.one());
    let _distance: Length = take.one();
    let (outline, limit) = (take.edges(), take.one());
    let sides = anchor_group::side_distances(row.view(), normal, outline.view(), limit);
    fill(results, sides.map(|side| side.value));
    Ok(())
}

fn row_spacing(arguments: &[Vec<f64>], results: &mut [f64]) -> Result<(), String> {
    let mut take = Unpack::new(arguments);
    let (row, normal) = (take.group(), take.one());
    fill(results, [anchor_group::row_spacing(row.view(), normal).value]);
    Ok(())
}
