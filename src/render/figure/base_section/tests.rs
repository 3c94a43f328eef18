//! Tests of sections through a column base: what is measured in them, and that nothing makes them fail.

use super::{BaseSection, draw_base_section};
use crate::render::figure::tests::{attributes, check_sound, check_within_view, numbers, texts};
use proptest::prelude::*;

fn section() -> BaseSection {
    BaseSection {
        anchors: vec![-140.0, 140.0, 140.0, -140.0],
        plate: 360.0,
        t_fix: 25.0,
        d: 24.0,
        h_ef: 250.0,
        h: 400.0,
        t_grout: Some(30.0),
        d_f: Some(26.0),
        column: Some(200.0),
        t_wall: Some(15.0),
        a: Some(6.0),
        key: Some(60.0),
        l_k: Some(130.0),
        head: Some([50.0, 20.0]),
        ..BaseSection::default()
    }
}

#[test]
fn a_base_is_to_scale_in_the_units_of_its_view_box() {
    let svg = draw_base_section(&section()).into_string();
    let expected = ["tfix 25", "tgrout 30", "hef 250", "lk 130", "h 400", "40", "280", "40", "360", "a 6"];
    assert_eq!(texts(&svg, "num"), expected);
    let ticks = |index: usize, axis: usize| -> Vec<f64> {
        let path = numbers(&attributes(&svg, "tick", "d")[index]);
        path.chunks(4).map(|tick| ((tick[axis] + tick[axis + 2]) / 2.0).round()).collect()
    };
    assert_eq!(ticks(0, 1), [-55.0, -30.0, 0.0, 250.0]);
    assert_eq!(ticks(1, 1), [-30.0, 100.0], "the key is measured from the plate, through the grout");
    assert_eq!(ticks(3, 0), [-180.0, -140.0, 140.0, 180.0]);
    // Four anchors stand on two axes: each has a washer and a nut, and the head is drawn with the rod.
    assert_eq!((attributes(&svg, "nut", "d").len(), attributes(&svg, "bolt", "d").len()), (4, 4));
    // Welds have the legs of their throat, on both sides of each wall that is cut.
    let welds = numbers(&attributes(&svg, "weld", "d")[0]);
    assert_eq!(welds.len(), 4 * 6);
    assert!((welds[0] - welds[2] - 6.0 * std::f64::consts::SQRT_2).abs() < 0.01, "{welds:?}");
    check_within_view(&svg);
}

#[test]
fn a_deep_member_is_broken_off_and_still_tells_its_thickness() {
    let deep = BaseSection { h: 1200.0, ..section() };
    let svg = draw_base_section(&deep).into_string();
    assert!(texts(&svg, "num").contains(&"h 1200".to_owned()));
    let lowest = attributes(&svg, "ground", "d").iter().flat_map(|path| numbers(path)).fold(0.0, f64::max);
    assert!(lowest < 500.0, "{lowest}");
}

#[test]
fn what_cannot_be_drawn_gives_a_note() {
    let changes: [fn(&mut BaseSection); 8] = [
        |section| section.anchors.clear(),
        |section| section.anchors[0] = f64::NAN,
        |section| section.plate = 0.0,
        |section| section.t_grout = Some(f64::NAN),
        |section| section.axis = 90.0,
        |section| section.t_wall = Some(100.0),
        |section| section.h = 200.0,
        |section| section.plate = 9e4,
    ];
    for change in changes {
        let mut section = section();
        change(&mut section);
        let note = draw_base_section(&section).into_string();
        assert!(note.starts_with("<p class=\"undrawn\">The section cannot be drawn: "), "{note}");
    }
}

/// Mostly usual lengths, now and then none.
fn length() -> impl Strategy<Value = f64> {
    prop_oneof![20 => 5.0..600.0, 1 => Just(0.0), 1 => Just(f64::NAN), 1 => Just(1e12)]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_base_fails_and_each_is_the_same_twice(
        anchors in prop::collection::vec(-300.0..300.0, 0..5),
        sizes in (length(), length(), length(), 300.0..2000.0),
        more in (prop::option::of(length()), prop::option::of(length()), prop::option::of(length()), prop::option::of(length())),
    ) {
        let section = BaseSection {
            anchors,
            plate: sizes.0,
            t_fix: sizes.1 / 10.0,
            d: 20.0,
            h_ef: sizes.2,
            h: sizes.3,
            t_grout: more.0,
            column: more.1,
            t_wall: more.1.map(|width| width / 12.0),
            a: more.2.map(|length| length / 50.0),
            key: more.3,
            l_k: more.3,
            ..BaseSection::default()
        };
        let svg = draw_base_section(&section).into_string();
        check_sound(&svg);
        check_within_view(&svg);
        prop_assert_eq!(svg, draw_base_section(&section).into_string());
    }
}
