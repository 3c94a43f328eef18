//! Properties that hold for every group and outline, tried on drawn plans.

use core::f64::consts::{FRAC_PI_2, PI};

use proptest::collection::vec;
use proptest::prelude::*;
use uom::si::angle::radian;
use uom::si::area::square_meter;
use uom::si::f64::{Angle, Length};
use uom::si::length::meter;

use crate::numerics::anchor_group::*;

/// A plan in metres and radians: half side, anchors (x, y, active) and edges (normal, distance).
#[derive(Debug, Clone)]
struct Drawn {
    half_side: f64,
    anchors: Vec<(f64, f64, bool)>,
    edges: Vec<(f64, f64)>,
}

/// The slices that the functions take.
struct Columns {
    x: Vec<Length>,
    y: Vec<Length>,
    active: Vec<bool>,
    normal: Vec<Angle>,
    distance: Vec<Length>,
}

impl Columns {
    fn anchors(&self) -> Anchors<'_> {
        Anchors { x: &self.x, y: &self.y, active: &self.active }
    }

    fn edges(&self) -> Edges<'_> {
        Edges { normal: &self.normal, distance: &self.distance }
    }
}

fn metres(value: f64) -> Length {
    Length::new::<meter>(value)
}

impl Drawn {
    fn columns(&self) -> Columns {
        Columns {
            x: self.anchors.iter().map(|anchor| metres(anchor.0)).collect(),
            y: self.anchors.iter().map(|anchor| metres(anchor.1)).collect(),
            active: self.anchors.iter().map(|anchor| anchor.2).collect(),
            normal: self.edges.iter().map(|edge| Angle::new::<radian>(edge.0)).collect(),
            distance: self.edges.iter().map(|edge| metres(edge.1)).collect(),
        }
    }

    /// The projected area, m².
    fn area(&self) -> f64 {
        let columns = self.columns();
        let half_side = metres(self.half_side);
        projected_area(columns.anchors(), half_side, columns.edges()).get::<square_meter>()
    }

    /// The sum of the active anchors' whole squares, m²: what rounding is measured by.
    fn whole_squares(&self) -> f64 {
        let active = self.anchors.iter().filter(|anchor| anchor.2).count();
        active as f64 * (2.0 * self.half_side) * (2.0 * self.half_side)
    }

    fn map(&self, anchor: impl Fn(f64, f64) -> (f64, f64), edge: impl Fn(f64, f64) -> (f64, f64)) -> Drawn {
        let anchors = self.anchors.iter().map(|(x, y, active)| {
            let (x, y) = anchor(*x, *y);
            (x, y, *active)
        });
        let edges = self.edges.iter().map(|(normal, distance)| edge(*normal, *distance));
        Drawn { half_side: self.half_side, anchors: anchors.collect(), edges: edges.collect() }
    }
}

/// Places lie on a coarse grid half of the time, so that sides of squares coincide.
fn place() -> impl Strategy<Value = f64> {
    prop_oneof![-0.5..0.5, (-4..=4_i32).prop_map(|step| f64::from(step) * 0.1)]
}

/// Normals are parallel to an axis half of the time, as most edges are.
fn normal() -> impl Strategy<Value = f64> {
    prop_oneof![0.0..2.0 * PI, (0..4_i32).prop_map(|turns| f64::from(turns) * FRAC_PI_2)]
}

fn drawn() -> impl Strategy<Value = Drawn> {
    let anchors = vec((place(), place(), any::<bool>()), 1..10);
    let edges = vec((normal(), -0.1..0.6), 0..6);
    (0.05..0.4, anchors, edges).prop_map(|(half_side, mut anchors, edges)| {
        anchors[0].2 = true;
        Drawn { half_side, anchors, edges }
    })
}

/// A regular grid of active anchors whose squares overlap.
fn grid() -> impl Strategy<Value = Drawn> {
    let edges = vec((normal(), -0.1..0.6), 0..6);
    (1..4_u32, 1..4_u32, 0.05..0.3, 0.05..0.3, 1.0..3.0, edges).prop_map(
        |(columns, rows, spacing_x, spacing_y, reach, edges)| {
            let places = (0..columns).flat_map(|column| (0..rows).map(move |row| (column, row)));
            let anchors = places.map(|(column, row)| (f64::from(column) * spacing_x, f64::from(row) * spacing_y, true));
            let half_side = reach * f64::max(spacing_x, spacing_y) / 2.0;
            Drawn { half_side, anchors: anchors.collect(), edges }
        },
    )
}

fn any_bits() -> impl Strategy<Value = f64> {
    prop_oneof![any::<u64>().prop_map(f64::from_bits), -1.0..1.0, Just(f64::MAX), Just(0.0)]
}

proptest! {
    #[test]
    fn the_area_never_exceeds_the_whole_squares(plan in drawn()) {
        let area = plan.area();
        prop_assert!((0.0..=plan.whole_squares() * (1.0 + 1e-12)).contains(&area));
    }

    #[test]
    fn scaling_all_lengths_scales_the_area_by_the_square(plan in drawn(), scale in 0.01..100.0) {
        let mut scaled = plan.map(
            |x, y| (x * scale, y * scale),
            |normal, distance| (normal, distance * scale),
        );
        scaled.half_side *= scale;
        let difference: f64 = scaled.area() - plan.area() * scale * scale;
        prop_assert!(difference.abs() <= 1e-12 * scaled.whole_squares());
    }

    #[test]
    fn mirroring_turning_and_moving_keep_the_area(plan in drawn(), shift in -0.5..0.5) {
        let images = [
            plan.map(|x, y| (-x, y), |normal, distance| (PI - normal, distance)),
            plan.map(|x, y| (x, -y), |normal, distance| (-normal, distance)),
            plan.map(|x, y| (-y, x), |normal, distance| (normal + FRAC_PI_2, distance)),
            plan.map(
                |x, y| (x + shift, y),
                |normal, distance| (normal, distance + shift * libm::cos(normal)),
            ),
        ];
        for image in images {
            prop_assert!((image.area() - plan.area()).abs() <= 1e-12 * plan.whole_squares());
        }
    }

    #[test]
    fn the_order_of_anchors_and_edges_does_not_matter(plan in drawn(), first in any::<prop::sample::Index>()) {
        let mut permuted = plan.clone();
        let middle = first.index(plan.anchors.len());
        permuted.anchors.rotate_left(middle);
        permuted.anchors[..].reverse();
        permuted.edges.reverse();
        prop_assert!((permuted.area() - plan.area()).abs() <= 1e-12 * plan.whole_squares());
    }

    #[test]
    fn another_edge_never_adds_area(plan in drawn(), edge in (normal(), -0.5..0.6)) {
        let mut cut = plan.clone();
        cut.edges.push(edge);
        prop_assert!(cut.area() <= plan.area() + 1e-12 * plan.whole_squares());
    }

    #[test]
    fn an_edge_and_its_reverse_share_the_area(plan in drawn(), edge in (normal(), -0.5..0.6)) {
        let (mut one, mut other) = (plan.clone(), plan.clone());
        one.edges.push(edge);
        other.edges.push((edge.0 + PI, -edge.1));
        let sum = one.area() + other.area();
        prop_assert!((sum - plan.area()).abs() <= 1e-12 * plan.whole_squares());
    }

    #[test]
    fn the_shares_of_a_grid_add_up_to_the_area_of_the_group(plan in grid()) {
        let columns = plan.columns();
        let half_side = metres(plan.half_side);
        let share = |index| projected_area_single(columns.anchors(), index, half_side, columns.edges());
        let sum: f64 = (0..plan.anchors.len()).map(|index| share(index).get::<square_meter>()).sum();
        prop_assert!((sum - plan.area()).abs() <= 1e-12 * plan.whole_squares());
    }

    #[test]
    fn turning_the_plan_keeps_the_breakout_body(plan in drawn(), turn in 0.0..2.0 * PI, depth in 0.05..0.5) {
        let turned = plan.map(
            |x, y| (x * libm::cos(turn) - y * libm::sin(turn), x * libm::sin(turn) + y * libm::cos(turn)),
            |normal, distance| (normal + turn, distance),
        );
        let results = [(&plan, 0.0), (&turned, turn)].map(|(plan, turn)| {
            let (columns, normal) = (plan.columns(), Angle::new::<radian>(FRAC_PI_2 + turn));
            let (anchors, edges, distance) = (columns.anchors(), columns.edges(), metres(0.3));
            let depth = metres(depth);
            let area = edge_breakout_area(anchors, metres(plan.half_side), depth, normal, distance, edges);
            let spacing = row_spacing(anchors, normal).get::<meter>();
            (area.get::<square_meter>(), spacing)
        });
        prop_assert!((results[0].0 - results[1].0).abs() <= 1e-9);
        prop_assert!((results[0].1 - results[1].1).abs() <= 1e-8);
    }

    #[test]
    fn no_bits_make_a_function_panic(
        anchors in vec((any_bits(), any_bits(), any::<bool>()), 0..6),
        edges in vec((any_bits(), any_bits()), 0..6),
        sizes in [any_bits(), any_bits(), any_bits(), any_bits()],
        index in 0..8_usize,
    ) {
        let plan = Drawn { half_side: sizes[0], anchors, edges };
        let columns = plan.columns();
        let (anchors, edges) = (columns.anchors(), columns.edges());
        let [size, other, distance] = [sizes[0], sizes[1], sizes[2]].map(metres);
        let normal = Angle::new::<radian>(sizes[3]);

        let areas = [
            projected_area(anchors, size, edges),
            projected_area_single(anchors, index, size, edges),
            edge_breakout_area(anchors, size, other, normal, distance, edges),
        ];
        for area in areas {
            prop_assert!(area.is_nan() || (area.is_finite() && area.get::<square_meter>() >= 0.0));
        }
        prop_assert_eq!(edge_distances(anchors, edges).len(), plan.edges.len());
        prop_assert_eq!(front_row(anchors, normal, distance).len(), plan.anchors.len());
        let lengths = [largest_spacing(anchors), row_spacing(anchors, normal)];
        prop_assert!(lengths.iter().all(|length| length.is_nan() || length.get::<meter>() >= 0.0));
        side_distances(anchors, normal, edges, size);
        smallest_spacing(anchors, size);
    }
}
