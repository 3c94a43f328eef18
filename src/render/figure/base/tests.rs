//! Tests of drawings of base plates: what is measured in them, and that nothing makes them fail.

use super::Base;
use super::pressure::{Below, Pressure, Resultant, draw_pressure};
use super::stress::{Stress, draw_stress};
use crate::render::figure::contour::{Grid, Steps, simplified};
use crate::render::figure::geometry::{Bounds, Point, at};
use crate::render::figure::plan::Anchor;
use crate::render::figure::region::Region;
use crate::render::figure::tests::{attributes, check_sound, check_within_view, numbers, texts};
use proptest::prelude::*;

fn anchors(places: &[(f64, f64)]) -> Vec<Anchor> {
    let named = |(index, (x, y)): (usize, &(f64, f64))| Anchor { label: format!("A{}", index + 1), x: *x, y: *y };
    places.iter().enumerate().map(named).collect()
}

/// A plate of 400 by 300 with four anchors.
fn base() -> Base {
    Base {
        outline: vec![[-200.0, -150.0], [200.0, -150.0], [200.0, 150.0], [-200.0, 150.0]],
        walls: vec![[[-60.0, 0.0], [60.0, 0.0]]],
        anchors: anchors(&[(-150.0, -100.0), (150.0, -100.0), (150.0, 100.0), (-150.0, 100.0)]),
        d: Some(20.0),
        ..Base::default()
    }
}

/// The pressure falls from 10 N/mm² at the left side to nothing at x = 50.
fn tilted() -> Pressure {
    Pressure {
        base: base(),
        forces: vec![0.0, 40.0, 40.0, 0.0],
        below: Below::Plane([-0.05, 0.001, 0.0]),
        compression: Resultant { force: 375.0, at: [-116.7, 0.0] },
        tension: Some(Resultant { force: 80.0, at: [150.0, 0.0] }),
        largest: 10.0,
        largest_at: [-200.0, 0.0],
    }
}

/// The same as samples.
fn sampled() -> Pressure {
    let sample = |index: usize| (10.0 * (0.5 - 4.0 * ((index % 41) as f64 / 40.0 - 0.5)) / 2.5).max(0.0);
    Pressure { below: Below::Samples((0..41 * 41).map(sample).collect()), tension: None, ..tilted() }
}

/// Ends of the strokes of each path of a class.
fn strokes(svg: &str, class: &str) -> Vec<Vec<(f64, f64)>> {
    let paths = attributes(svg, class, "d");
    let points = |path: &String| numbers(path).chunks(2).map(|point| (point[0], point[1])).collect();
    paths.iter().map(points).collect()
}

#[test]
fn contours_of_a_plane_are_straight_lines_where_the_values_are() {
    let svg = draw_pressure(&tilted()).into_string();
    // The step is 2; the pressure is 10 (50 - x) / 250.
    let lines = strokes(&svg, "iso");
    let expected = [2.0, 4.0, 6.0, 8.0].map(|level| 50.0 - 25.0 * level);
    assert_eq!(lines.len(), 4);
    for (line, x) in lines.iter().zip(expected) {
        let mut ends = line.clone();
        ends.sort_by(|a, b| a.1.total_cmp(&b.1));
        assert_eq!(ends, [(x, -150.0), (x, 150.0)]);
    }
    for level in ["2", "4", "6", "8"] {
        let written = texts(&svg, "num").iter().filter(|text| *text == level).count();
        assert_eq!(written, 2, "{level} stands on its line and on the scale");
    }
    // The neutral axis goes on beyond the plate.
    let zero = &strokes(&svg, "zero")[0];
    assert!(zero.iter().all(|(x, y)| *x == 50.0 && y.abs() > 155.0), "{zero:?}");
    assert_eq!(texts(&svg, "soft")[..1], ["neutral axis"]);
    check_within_view(&svg);
}

#[test]
fn samples_are_read_from_the_south_west() {
    let mut pressure = sampled();
    let svg = draw_pressure(&pressure).into_string();
    for (line, x) in strokes(&svg, "iso").iter().zip([0.0, -50.0, -100.0, -150.0]) {
        assert!(line.iter().all(|point| (point.0 - x).abs() < 0.02), "{line:?}");
    }
    // Where the samples were cut off at zero the pressure still ends where it would have, at x = 50.
    let zero = &strokes(&svg, "zero")[0];
    assert!(zero.iter().all(|(x, _)| (x - 50.0).abs() < 0.02), "{zero:?}");
    assert_eq!(texts(&svg, "soft")[..1], ["edge of contact"]);

    // Pressure in the south only: its lines stand low in the drawing.
    pressure.below = Below::Samples((0..41 * 41).map(|index| (10.0 - (index / 41) as f64).max(0.0)).collect());
    let svg = draw_pressure(&pressure).into_string();
    // 8 N/mm² are reached two rows of 7.5 mm above the lower side.
    let lowest = strokes(&svg, "iso").pop().unwrap();
    assert!(lowest.iter().all(|(_, y)| (y - 135.0).abs() < 0.02), "{lowest:?}");
}

#[test]
fn forces_stand_beside_their_anchors_and_in_the_areas_of_rings() {
    let mut pressure = tilted();
    pressure.forces = vec![0.0, 40.0, 10.0, 0.0];
    let svg = draw_pressure(&pressure).into_string();
    assert_eq!(texts(&svg, "name")[..4], ["A1 0", "A2 40 kN", "A3 10 kN", "A4 0"]);
    let radii: Vec<f64> = attributes(&svg, "ring", "r").iter().map(|radius| radius.parse().unwrap()).collect();
    assert_eq!(radii.len(), 2);
    // The anchors have a radius of 10.
    let areas: Vec<f64> = radii.iter().map(|radius| radius * radius - 100.0).collect();
    assert!((areas[0] / areas[1] - 4.0).abs() < 0.05, "areas are as the forces: {areas:?}");
    assert_eq!(texts(&svg, "force"), ["C 375 kN", "Ng 80 kN"]);
    assert!(texts(&svg, "name").contains(&"pmax 10".to_owned()));
}

#[test]
fn without_contact_there_are_neither_lines_nor_a_compression() {
    let mut pressure = tilted();
    pressure.below = Below::Plane([0.5, 0.001, 0.0]);
    pressure.compression = Resultant::default();
    (pressure.largest, pressure.largest_at) = (0.0, [0.0, 0.0]);
    let svg = draw_pressure(&pressure).into_string();
    assert!(strokes(&svg, "iso").is_empty() && strokes(&svg, "zero").is_empty() && strokes(&svg, "tint").is_empty());
    assert_eq!(texts(&svg, "force"), ["Ng 80 kN"]);
    assert_eq!(texts(&svg, "soft"), ["no contact: the plate presses nowhere; areas of rings as the tension"]);
}

#[test]
fn full_contact_has_no_neutral_axis() {
    let mut pressure = tilted();
    pressure.below = Below::Plane([-0.5, 0.001, 0.0]);
    let svg = draw_pressure(&pressure).into_string();
    assert!(strokes(&svg, "zero").is_empty());
    // From 10 N/mm² at x = -200 the pressure falls to 3/7 of it at x = 200.
    assert_eq!(strokes(&svg, "iso").len(), 2, "6 and 8");
}

#[test]
fn lines_end_at_the_outline_and_at_holes() {
    let mut pressure = tilted();
    // The plate lacks its north-west quarter, and has a hole in the south-west.
    pressure.base.outline =
        vec![[-200.0, -150.0], [200.0, -150.0], [200.0, 150.0], [-60.0, 150.0], [-60.0, 20.0], [-200.0, 20.0]];
    pressure.base.holes = vec![vec![[-160.0, -100.0], [-90.0, -100.0], [-90.0, -40.0], [-160.0, -40.0]]];
    pressure.base.anchors.truncate(3);
    pressure.forces.truncate(3);
    let svg = draw_pressure(&pressure).into_string();
    // 6 N/mm² at x = -100: from the south side to the hole, and from it to the corner cut out; y points down.
    let line = strokes(&svg, "iso").into_iter().find(|line| line[0].0 == -100.0).expect("the line of 6");
    let mut levels: Vec<f64> = line.iter().map(|(_, y)| *y).collect();
    levels.sort_by(f64::total_cmp);
    assert_eq!(levels, [-20.0, 40.0, 100.0, 150.0]);
}

#[test]
fn the_stress_has_its_largest_place_and_the_line_of_the_strength() {
    // A ridge along x = 0: 200 N/mm² there, nothing at the sides.
    let sample = |index: usize| 200.0 * (1.0 - ((index % 41) as f64 / 20.0 - 1.0).abs()) + 1e-3;
    let stress = Stress {
        base: base(),
        samples: (0..41 * 41).map(sample).collect(),
        m_max: 13.3,
        m_max_at: [0.0, 50.0],
        sigma_max: None,
        f_yd: Some(150.0),
    };
    let svg = draw_stress(&stress).into_string();
    assert!(texts(&svg, "name").contains(&"mmax 13.3 kN·m/m".to_owned()), "{svg}");
    let strength = &strokes(&svg, "yield")[0];
    assert!(strength.iter().all(|(x, _)| (x.abs() - 50.0).abs() < 0.02), "{strength:?}");
    assert!(texts(&svg, "num").contains(&"fyd 150".to_owned()));
    let named = draw_stress(&Stress { sigma_max: Some(199.5), ..stress }).into_string();
    assert!(texts(&named, "name").contains(&"σmax 200".to_owned()));
    check_within_view(&named);
}

#[test]
fn what_cannot_be_drawn_gives_a_note() {
    let changes: [fn(&mut Pressure); 9] = [
        |pressure| pressure.base.outline.truncate(2),
        |pressure| pressure.base.outline[1] = [f64::NAN, 0.0],
        |pressure| pressure.base.outline.iter_mut().for_each(|corner| corner[1] = 0.0),
        |pressure| pressure.base.anchors[0].x = 1e7,
        |pressure| pressure.forces[0] = f64::NAN,
        |pressure| pressure.forces.push(1.0),
        |pressure| pressure.largest = f64::INFINITY,
        |pressure| pressure.below = Below::Samples(Vec::new()),
        |pressure| pressure.below = Below::Plane([0.5, 0.0, 0.0]),
    ];
    for change in changes {
        let mut pressure = tilted();
        change(&mut pressure);
        let note = draw_pressure(&pressure).into_string();
        assert!(note.contains("<p class=\"undrawn\">The pressure cannot be drawn: "), "{note}");
    }
}

#[test]
fn a_base_without_results_is_drawn_as_far_as_it_is_known() {
    let mut pressure = tilted();
    pressure.base.outline = vec![[-100.0, -100.0], [100.0, 100.0], [100.0, -100.0], [-100.0, 100.0]];
    pressure.forces.fill(f64::NAN);
    let drawn = draw_pressure(&pressure).into_string();
    assert_eq!(strokes(&drawn, "profile")[0].len(), 4, "the outline that crosses itself is seen: {drawn}");
    assert_eq!(texts(&drawn, "name").len(), pressure.base.anchors.len());
    assert!(drawn.ends_with("The pressure cannot be drawn: its forces are no numbers.</p>"), "{drawn}");
    check_sound(&drawn);
    check_within_view(&drawn);
    // Nothing at all is drawn of a plate that has no size.
    pressure.base.outline.truncate(2);
    assert!(draw_pressure(&pressure).into_string().starts_with("<p class=\"undrawn\">"));
}

fn box_of(size: f64) -> Bounds {
    Bounds { low: at(0.0, 0.0), high: at(size, size) }
}

#[test]
fn a_saddle_is_joined_where_its_middle_is_higher() {
    // Corners 4, 0, 4, 0: the bilinear surface is 2 in the middle.
    let grid = Grid::new(box_of(1.0), 2, 2, vec![4.0, 0.0, 0.0, 4.0]).unwrap();
    let cuts_off = |level: f64, corner: Point| {
        grid.lines(level).iter().any(|line| line.iter().all(|point| (*point - corner).length() < 0.5))
    };
    // Below the saddle the low corners are cut off, above it the high ones.
    assert!(cuts_off(1.0, at(1.0, 0.0)) && cuts_off(1.0, at(0.0, 1.0)));
    assert!(cuts_off(3.0, at(0.0, 0.0)) && cuts_off(3.0, at(1.0, 1.0)));
    assert_eq!((grid.loops(1.0).len(), grid.loops(3.0).len()), (1, 2));
}

#[test]
fn values_are_carried_on_in_straight_lines() {
    // A slope of 2 to the right whose last column is not known, and below 1 was cut off at zero.
    let slope = |point: Point| 2.0 * point.x - 3.0;
    let mut grid =
        Grid::of(box_of(4.0), 5, 5, |point| if point.x > 3.5 { 0.0 } else { slope(point).max(0.0) }).unwrap();
    grid.carry_on(|point, value| (value > 0.0, if point.x > 3.5 { f64::INFINITY } else { -1e-3 }));
    assert_eq!(grid.value_at(at(4.0, 2.0)), Some(5.0));
    assert_eq!(grid.value_at(at(1.0, 2.0)), Some(-1.0));
    assert!(grid.lines(0.0)[0].iter().all(|point| (point.x - 1.5).abs() < 1e-9));
    assert!(grid.value_at(at(0.0, 2.0)).unwrap().is_nan(), "nothing is known two steps away");
}

#[test]
fn a_summit_has_closed_lines() {
    let grid = Grid::of(box_of(4.0), 5, 5, |point| 4.0 - (point - at(2.0, 2.0)).length()).unwrap();
    let lines = grid.lines(2.5);
    assert_eq!(lines.len(), 1);
    assert_eq!(lines[0].first(), lines[0].last());
    assert!(lines[0].iter().all(|point| ((*point - at(2.0, 2.0)).length() - 1.5).abs() < 0.1));
}

#[test]
fn steps_are_one_two_or_five_times_a_power_of_ten() {
    let step = |top: f64| Steps::up_to(top, 8.0).map(|steps| (steps.level(1), steps.decimals));
    assert_eq!(step(15.4), Some((2.0, 0)));
    assert_eq!(step(8.0), Some((1.0, 0)));
    assert_eq!(step(312.0), Some((50.0, 0)));
    assert_eq!(step(0.031), Some((0.005, 3)));
    assert_eq!(step(4000.0), Some((500.0, 0)));
    assert_eq!(step(0.0), None);
    assert_eq!(step(f64::NAN), None);
    assert_eq!(Steps::up_to(0.8, 8.0).unwrap().levels_below(0.4), [0.1, 0.2, 0.3]);
}

#[test]
fn a_simplified_line_keeps_its_corners() {
    let line: Vec<Point> = (0..=10).map(|x| at(f64::from(x), (f64::from(x) - 5.0).abs())).collect();
    assert_eq!(simplified(&line, 0.01), [at(0.0, 5.0), at(5.0, 0.0), at(10.0, 5.0)]);
}

/// Mostly usual numbers, now and then none.
fn number() -> impl Strategy<Value = f64> {
    prop_oneof![20 => -400.0..400.0, 1 => Just(0.0), 1 => Just(f64::NAN), 1 => Just(1e12)]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_pressure_fails_and_each_is_the_same_twice(
        corners in prop::collection::vec((number(), number()), 0..7),
        places in prop::collection::vec((number(), 0.0..90.0), 0..6),
        samples in prop::collection::vec(prop_oneof![3 => 0.0..20.0, 1 => Just(0.0)], 25),
        peak in (0.0..20.0, number(), number()),
        plane in prop::option::of((number(), -1.0..1.0, -1.0..1.0)),
    ) {
        let base = Base {
            outline: corners.iter().map(|(x, y)| [*x, *y]).collect(),
            anchors: anchors(&places),
            ..Base::default()
        };
        let pressure = Pressure {
            base: base.clone(),
            forces: places.iter().map(|(_, force)| force.max(0.0)).collect(),
            below: plane.map_or(Below::Samples(samples.clone()), |(a, b, c)| Below::Plane([a, b, c])),
            compression: Resultant { force: 10.0, at: [peak.1, peak.2] },
            tension: None,
            largest: peak.0,
            largest_at: [peak.1, peak.2],
        };
        let svg = draw_pressure(&pressure).into_string();
        check_sound(&svg);
        check_within_view(&svg);
        prop_assert_eq!(svg, draw_pressure(&pressure).into_string());
        let stress = Stress { base, samples, m_max: peak.0, m_max_at: [peak.1, peak.2], sigma_max: plane.map(|(a, ..)| a), f_yd: Some(9.0) };
        let svg = draw_stress(&stress).into_string();
        check_sound(&svg);
        check_within_view(&svg);
    }

    /// What is filled above a level and below it makes up the box; lines lie where the value is.
    #[test]
    fn loops_enclose_what_is_higher(values in prop::collection::vec(0.0..10.0, 16), level in 0.5..9.5, x in 0.01..2.99, y in 0.01..2.99) {
        let grid = Grid::new(box_of(3.0), 4, 4, values).unwrap();
        let region = Region { loops: grid.loops(level) };
        let point = at(x, y);
        let value = grid.value_at(point).unwrap();
        // Within a cell the loop is straight where the level of the bilinear surface bends, so only the sides are exact.
        let on_side = at(x.round(), y);
        let there = grid.value_at(on_side).unwrap();
        if (there - level).abs() > 1e-6 && x.round() > 0.5 && x.round() < 2.5 {
            let beside = region.contains(on_side + at(1e-7, 0.0));
            prop_assert_eq!(beside, there > level, "{} at {:?}, {}", there, on_side, value);
        }
        for line in grid.lines(level) {
            for point in line {
                prop_assert!((grid.value_at(point).unwrap() - level).abs() < 1e-9);
            }
        }
    }
}
