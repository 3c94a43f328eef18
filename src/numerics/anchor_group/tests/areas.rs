//! Areas and spacings seen from above: hand cases, and areas from the polygon operations of an independent library
//! (`tests/references/projected_areas_shapely.py`).

use uom::si::angle::radian;
use uom::si::area::square_meter;
use uom::si::f64::{Angle, Length};
use uom::si::length::{meter, millimeter};

use super::*;

#[test]
fn a_single_anchor_far_from_edges_has_the_reference_area() {
    check_area(Plan::of(&[(0.0, 0.0)], &[]).area(105.0), 44_100.0); // C02, C03
    check_area(Plan::of(&[(0.0, 0.0)], &[]).area(90.0), 32_400.0); // C15
}

#[test]
fn a_near_edge_cuts_the_area() {
    let single = Plan::of(&[(0.0, 0.0)], &[(LEFT, 90.0)]); // C04
    check_area(single.area(150.0), 72_000.0);
    check_lengths(&edge_distances(single.anchors(), single.edges()), &[90.0]);

    let pair = Plan::of(&[(0.0, 0.0), (0.0, 160.0)], &[(LEFT, 90.0)]); // C05
    check_area(pair.area(150.0), 110_400.0);
    check_lengths(&edge_distances(pair.anchors(), pair.edges()), &[90.0]);
}

#[test]
fn four_anchors_with_no_to_two_near_edges() {
    check_area(Plan::four(200.0, 150.0, &[]).area(165.0), 254_400.0); // C06
    check_area(Plan::four(200.0, 150.0, &[(LEFT, 100.0)]).area(165.0), 223_200.0); // C07
    let corner = Plan::four(200.0, 150.0, &[(LEFT, 100.0), (BELOW, 130.0)]); // C08, C10
    check_area(corner.area(165.0), 206_925.0);
    check_lengths(&edge_distances(corner.anchors(), corner.edges()), &[100.0, 130.0]);
    let strip = Plan::four(200.0, 150.0, &[(LEFT, 100.0), (RIGHT, 320.0)]); // C09
    check_area(strip.area(165.0), 201_600.0);
    check_lengths(&edge_distances(strip.anchors(), strip.edges()), &[100.0, 120.0]);
    check_area(Plan::four(150.0, 150.0, &[(LEFT, 120.0)]).area(160.0), 202_100.0); // C25
    check_area(Plan::four(300.0, 300.0, &[]).area(450.0), 1_440_000.0); // P4
    check_area(Plan::four(900.0, 900.0, &[]).area(450.0), 4.0 * 810_000.0); // P4, s = 900
}

#[test]
fn only_tensioned_anchors_count() {
    let plan = Plan::four(200.0, 150.0, &[]).with_active(&[true, false, true, false]); // C11
    check_area(plan.area(165.0), 158_400.0);
    check_length(largest_spacing(plan.anchors()), 150.0);
    check_area(Plan::of(&[(0.0, 0.0), (150.0, 0.0)], &[]).area(375.0), 675_000.0); // C16, C17
}

/// h_ef' of a narrow member (EN 1992-4, 7.2.1.4), from the functions that feed it, mm.
fn reduced_embedment(plan: &Plan, embedment: f64) -> f64 {
    let reach = 1.5 * embedment;
    let distances = edge_distances(plan.anchors(), plan.edges());
    let distances = distances.iter().map(|distance| distance.get::<millimeter>());
    let furthest = distances.filter(|distance| *distance <= reach).fold(0.0, f64::max);
    let spacing = largest_spacing(plan.anchors()).get::<millimeter>();
    (furthest / reach).max(spacing / (2.0 * reach)) * embedment
}

#[test]
fn narrow_members_have_a_reduced_embedment() {
    let edges = [(LEFT, 110.0), (RIGHT, 310.0), (BELOW, 120.0), (ABOVE, 80.0)];
    let pair = Plan::of(&[(0.0, 0.0), (210.0, 0.0)], &edges); // P2, C12
    check_lengths(&edge_distances(pair.anchors(), pair.edges()), &[110.0, 100.0, 120.0, 80.0]);
    check_length(mm(reduced_embedment(&pair, 200.0)), 80.0);
    check_area(pair.area(120.0), 84_000.0);

    let edges = [(LEFT, 150.0), (RIGHT, 330.0), (BELOW, 140.0), (ABOVE, 5_000.0)];
    let four = Plan::four(180.0, 120.0, &edges); // C13
    check_length(largest_spacing(four.anchors()), 180.0);
    check_length(mm(reduced_embedment(&four, 150.0)), 100.0);
    check_area(four.area(150.0), 196_800.0);

    let edges = [(LEFT, 100.0), (RIGHT, 380.0), (BELOW, 110.0), (ABOVE, 390.0)];
    let four = Plan::four(280.0, 280.0, &edges); // C14
    check_length(mm(reduced_embedment(&four, 200.0)), 280.0 / 3.0);
    check_area(four.area(140.0), 240_000.0);
}

#[test]
fn opposing_shears_leave_one_anchor_its_share() {
    let plan = Plan::four(120.0, 120.0, &[]); // C35
    for index in 0..4 {
        check_area(projected_area_single(plan.anchors(), index, mm(135.0), plan.edges()), 38_025.0);
    }

    // F17: a pair with side edge c_2 = 90 and end edge c_1 = 80; s_cr,N = 270, s_1 = 120.
    let pair = Plan::of(&[(0.0, 0.0), (120.0, 0.0)], &[(RIGHT, 200.0), (BELOW, 90.0)]);
    let share = |index| projected_area_single(pair.anchors(), index, mm(135.0), pair.edges());
    check_area(share(0), (135.0 + 60.0) * (135.0 + 90.0));
    check_area(share(1), (60.0 + 80.0) * (135.0 + 90.0));
    assert!(share(2).is_nan());
}

#[test]
fn an_anchor_that_does_not_count_is_no_neighbour() {
    let plan = Plan::four(120.0, 120.0, &[]).with_active(&[true, false, true, true]);
    // Cut half way towards the two that count, at (0, 120) and, along the diagonal, at (120, 120).
    let whole = projected_area_single(plan.anchors(), 0, mm(135.0), plan.edges());
    let straight = 270.0 * 195.0;
    let corner = 0.5 * (135.0 - 60.0) * (135.0 - 60.0);
    check_area(whole, straight - corner);
    assert!(projected_area_single(plan.anchors(), 1, mm(135.0), plan.edges()).is_nan());
}

#[test]
fn concrete_between_squares_that_do_not_meet_is_not_counted() {
    check_area(Plan::of(&[(0.0, 0.0), (400.0, 0.0)], &[]).area(150.0), 180_000.0); // C50
}

#[test]
fn largest_gap_counts_neighbours_only() {
    let plan = Plan::of(&[(0.0, 0.0), (100.0, 5.0), (350.0, 0.0)], &[]);
    check_length(largest_spacing(plan.anchors()), 250.0);
    check_length(row_spacing(plan.anchors(), angle(ABOVE)), 250.0);
    check_length(row_spacing(plan.anchors(), angle(RIGHT)), 5.0);
    check_length(smallest_spacing(plan.anchors(), mm(0.0)), 10_025_f64.sqrt());
    let single = plan.with_active(&[false, true, false]);
    check_length(largest_spacing(single.anchors()), 0.0);
    check_length(row_spacing(single.anchors(), angle(ABOVE)), 0.0);
    check_length(smallest_spacing(single.anchors(), mm(7.0)), 7.0);
}

#[test]
fn squares_outside_the_member_have_no_area() {
    let plan = Plan::of(&[(0.0, 0.0)], &[(LEFT, -200.0)]);
    check_area(plan.area(100.0), 0.0);
    check_lengths(&edge_distances(plan.anchors(), plan.edges()), &[-200.0]);
    check_area(plan.area(200.0 + 1.0), 402.0);
}

#[test]
fn areas_agree_with_polygon_operations() {
    let lines = include_str!("../../../../tests/references/projected_areas_shapely.txt");
    let mut cases = 0;
    for line in lines.lines() {
        let fields: Vec<Vec<&str>> = line.split("; ").map(|field| field.split_whitespace().collect()).collect();
        let numbers = |index: usize| fields[index].iter().map(|word| word.parse().expect("a number"));
        let lengths = |index| numbers(index).map(Length::new::<meter>).collect();
        let plan = Plan {
            x: lengths(2),
            y: lengths(3),
            active: fields[4].iter().map(|word| *word == "1").collect(),
            normal: numbers(5).map(Angle::new::<radian>).collect(),
            distance: lengths(6),
        };
        let half_side = lengths(1)[0];
        let expected: f64 = fields[7][0].parse().expect("an area");
        let area = projected_area(plan.anchors(), half_side, plan.edges()).get::<square_meter>();
        assert!((area - expected).abs() <= 1e-9 * expected, "{area} m2, expected {expected} m2: {line}");
        cases += 1;
    }
    assert!(cases >= 60);
}

#[test]
fn a_turned_grid_is_cut_as_a_straight_one() {
    // Squares small enough to lie within the cuts' corner circles differ by the turn of the square only; the cuts of a
    // grid of spacing 120 leave at most 120 x 120 plus what lies outside the group.
    let (cos, sin) = (0.866_025_403_784_438_6, 0.5);
    let turned: Vec<(f64, f64)> = [(0.0, 0.0), (120.0, 0.0), (0.0, 120.0), (120.0, 120.0)]
        .map(|(x, y): (f64, f64)| (x * cos - y * sin, x * sin + y * cos))
        .to_vec();
    let plan = Plan::of(&turned, &[]);
    let area = projected_area_single(plan.anchors(), 0, mm(135.0), plan.edges());
    assert!(area.get::<square_millimeter>() < 0.6 * 72_900.0);
}
