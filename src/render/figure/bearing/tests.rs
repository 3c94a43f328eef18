//! Tests of drawings of bearing strips: their areas, and that nothing makes them fail.

use super::{Bearing, Column, Survey, area, draw_bearing, grouped};
use crate::render::figure::tests::{attributes, check_sound, check_within_view, texts};
use proptest::prelude::*;

fn bearing(column: Column, axis: [f64; 2], plate: [f64; 2], c: f64) -> Bearing {
    Bearing { column, axis, plate, c, area: None, anchors: Vec::new(), d: None }
}

/// The areas of all strips on the plate and of what stands evenly about the axis, in mm².
fn areas(bearing: &Bearing) -> [f64; 2] {
    let survey = Survey::of(bearing).unwrap_or_else(|reason| panic!("{reason}"));
    [area(&survey.all), area(&survey.even)]
}

#[track_caller]
fn check_areas(bearing: &Bearing, expected: [f64; 2], tolerance: f64) {
    for (area, expected) in areas(bearing).into_iter().zip(expected) {
        assert!((area / expected - 1.0).abs() < tolerance, "{area} for {expected}");
    }
}

/// The areas were computed independently, as those of the clauses of column bases in compression.
#[test]
fn what_is_drawn_has_the_area_that_counts() {
    let hollow = Column::Rectangle { x: 100.0, y: 200.0, t: 8.0 };
    check_areas(&bearing(hollow, [-50.0, 50.0], [220.0, 320.0], 30.0), [30_624.0, 23_424.0], 1e-9);
    let i_section = Column::I { h: 240.0, b: 240.0, t_w: 10.0, t_f: 17.0, is_along_x: false };
    check_areas(&bearing(i_section, [30.0, -40.0], [400.0, 400.0], 65.6696), [106_942.12, 93_967.84], 1e-6);
    // A circle of 96 straight pieces about it is larger by 0.04 %, and the hole within one smaller by 0.08 %.
    let round = Column::Circle { d: 168.3, t: 8.0 };
    check_areas(&bearing(round, [60.0, 0.0], [300.0, 300.0], 43.0), [42_740.501, 38_142.856], 1e-3);
    check_areas(&bearing(round, [0.0, -60.0], [300.0, 300.0], 43.0), [42_740.501, 38_142.856], 1e-3);
}

#[test]
fn a_turned_column_has_turned_strips() {
    let column = |is_along_x: bool| Column::I { h: 200.0, b: 120.0, t_w: 6.0, t_f: 10.0, is_along_x };
    let upright = bearing(column(false), [20.0, 0.0], [260.0, 340.0], 25.0);
    let level = bearing(column(true), [0.0, 20.0], [340.0, 260.0], 25.0);
    let (upright, level) = (Survey::of(&upright).unwrap(), Survey::of(&level).unwrap());
    assert!((area(&upright.even) - area(&level.even)).abs() < 1e-6);
    assert_eq!(upright.even.bounds().width(), level.even.bounds().height());
    assert_eq!(upright.even.bounds().height(), level.even.bounds().width());
}

#[test]
fn the_width_and_the_strips_are_dimensioned() {
    let column = Column::I { h: 200.0, b: 200.0, t_w: 9.0, t_f: 15.0, is_along_x: false };
    let mut drawn = bearing(column, [0.0, 0.0], [360.0, 340.0], 42.3);
    drawn.area = Some(61_440.4);
    let svg = draw_bearing(&drawn).into_string();
    // The strips are 284.6 in both directions.
    assert_eq!(texts(&svg, "num"), ["37.7", "284.6", "37.7", "360", "27.7", "284.6", "27.7", "340", "c 42.3"]);
    assert_eq!(texts(&svg, "soft"), ["hatched: Aeff 61\u{202f}440 mm²"]);
    assert!(attributes(&svg, "cone", "d").is_empty(), "nothing is left out");
    check_within_view(&svg);

    let eccentric = draw_bearing(&bearing(column, [0.0, 50.0], [360.0, 340.0], 42.3)).into_string();
    assert_eq!(attributes(&eccentric, "cone", "d").len(), 1);
    assert_eq!(texts(&eccentric, "soft")[1], "dashed: on the plate as well, not counted");
}

#[test]
fn a_width_that_no_strip_has_is_told_in_words() {
    let column = Column::Rectangle { x: 200.0, y: 200.0, t: 10.0 };
    let svg = draw_bearing(&bearing(column, [0.0, 0.0], [220.0, 220.0], 40.0)).into_string();
    assert_eq!(texts(&svg, "soft")[1], "c 40");
}

#[test]
fn what_cannot_be_drawn_gives_a_note() {
    let column = Column::Circle { d: 100.0, t: 5.0 };
    for wrong in [
        bearing(column, [0.0, 0.0], [f64::NAN, 200.0], 20.0),
        bearing(column, [0.0, 0.0], [200.0, 200.0], -1.0),
        bearing(column, [60.0, 0.0], [200.0, 200.0], 20.0),
        bearing(column, [f64::NAN, 0.0], [200.0, 200.0], 20.0),
        bearing(Column::Circle { d: 100.0, t: 60.0 }, [0.0, 0.0], [200.0, 200.0], 20.0),
    ] {
        let note = draw_bearing(&wrong).into_string();
        assert!(note.starts_with("<p class=\"undrawn\">The strips cannot be drawn: "), "{note}");
    }
}

#[test]
fn large_numbers_are_grouped() {
    assert_eq!(grouped(9999.0), "9999");
    assert_eq!(grouped(61_440.4), "61\u{202f}440");
    assert_eq!(grouped(1_234_567.0), "1\u{202f}234\u{202f}567");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_strips_fail_and_what_counts_is_part_of_all(
        sizes in (40.0..400.0, 40.0..400.0, 3.0..19.0),
        axis in (-80.0..80.0, -80.0..80.0),
        more in (0.0..200.0, 0.0..200.0),
        c in 0.0..200.0,
        kind in 0..3,
    ) {
        let (x, y, t) = sizes;
        let (column, size) = match kind {
            0 => (Column::I { h: x, b: y, t_w: 0.7 * t, t_f: t, is_along_x: true }, [x, y]),
            1 => (Column::Rectangle { x, y, t }, [x, y]),
            _ => (Column::Circle { d: x, t }, [x, x]),
        };
        let plate = [size[0] + 2.0 * f64::abs(axis.0) + more.0, size[1] + 2.0 * f64::abs(axis.1) + more.1];
        let drawn = bearing(column, [axis.0, axis.1], plate, c);
        let svg = draw_bearing(&drawn).into_string();
        prop_assert!(svg.starts_with("<svg"), "{}", svg);
        check_sound(&svg);
        check_within_view(&svg);
        let [all, even] = areas(&drawn);
        let steel = area(&column.grown(super::at(0.0, 0.0), 0.0, super::Bounds::about(super::at(0.0, 0.0), 1e3, 1e3)));
        prop_assert!(even <= all * (1.0 + 1e-9) && all <= plate[0] * plate[1] * (1.0 + 1e-9));
        prop_assert!(even >= steel * 0.998, "{} of steel on {}", steel, even);
    }
}
