//! Tests of drawings: what is measured in them, and that nothing makes them fail.

use super::geometry::{at, union_outline};
use super::plan::{self, Anchor, Edge, Plan};
use super::section::{self, Section};
use super::{bar, drawing};
use proptest::prelude::*;

fn anchors(places: &[(f64, f64)]) -> Vec<Anchor> {
    let named = |(index, (x, y)): (usize, &(f64, f64))| Anchor { label: format!("A{}", index + 1), x: *x, y: *y };
    places.iter().enumerate().map(named).collect()
}

fn edge(label: &str, degrees: f64, distance: f64) -> Edge {
    Edge { label: label.to_owned(), normal: degrees.to_radians(), distance }
}

/// Four M12 at 150 mm square, the east edge 195 mm from the centre.
fn base() -> Plan {
    Plan {
        anchors: anchors(&[(-75.0, 75.0), (75.0, 75.0), (75.0, -75.0), (-75.0, -75.0)]),
        plate: [220.0, 220.0],
        edges: vec![edge("east", 0.0, 195.0)],
        d: Some(12.0),
        d_f: Some(14.0),
        c_cr_n: Some(105.0),
        walls: Vec::new(),
        column: Some([100.0, 100.0]),
        shear: [Some(6.0), None],
    }
}

fn anchor() -> Section {
    Section {
        h_ef: 70.0,
        h: 200.0,
        t_fix: 15.0,
        d: 12.0,
        d_f: Some(14.0),
        h_0: Some(85.0),
        c_1: Some(120.0),
        n: Some(9.5),
        ..Section::default()
    }
}

/// The values of an attribute of all elements of a class.
pub(super) fn attributes(svg: &str, class: &str, attribute: &str) -> Vec<String> {
    let elements = svg.split('<').filter(|element| element.contains(&format!("class=\"{class}\"")));
    let value = |element: &str| Some(element.split(&format!(" {attribute}=\"")).nth(1)?.split('"').next()?.to_owned());
    elements.filter_map(value).collect()
}

/// The numbers in the data of a path.
pub(super) fn numbers(path: &str) -> Vec<f64> {
    let pieces = path.split(|c: char| "MLZ ".contains(c)).filter(|piece| !piece.is_empty());
    pieces.map(|piece| piece.parse().expect("a coordinate")).collect()
}

/// The texts of a class.
pub(super) fn texts(svg: &str, class: &str) -> Vec<String> {
    let starts = svg.split("<text class=\"").skip(1).filter(|text| text.starts_with(&format!("{class}\"")));
    let inner = |text: &str| {
        let text = text.split("</text>").next().unwrap_or_default();
        let pieces = text.split('>').skip(1).map(|piece| piece.split('<').next().unwrap_or_default());
        pieces.collect::<String>()
    };
    starts.map(inner).collect()
}

#[track_caller]
pub(super) fn check_sound(svg: &str) {
    for wrong in ["NaN", "inf", "\"-0\"", " -0 ", "e+", "e-"] {
        assert!(!svg.replace("infinite", "").contains(wrong), "{wrong} in {svg}");
    }
}

/// Every coordinate of lines and lettering lies in the view box.
#[track_caller]
pub(super) fn check_within_view(svg: &str) {
    let Some(view) = svg.split("viewBox=\"").nth(1) else {
        return;
    };
    let view: Vec<f64> = view.split('"').next().unwrap().split(' ').map(|number| number.parse().unwrap()).collect();
    let check = |x: f64, y: f64, what: &str| {
        let is_inside = (0.0..=view[2]).contains(&(x - view[0])) && (0.0..=view[3]).contains(&(y - view[1]));
        assert!(is_inside, "{x}, {y} of {what} lies outside of {view:?}");
    };
    for element in svg.split('<') {
        let value = |name: &str| Some(element.split(&format!(" {name}=\"")).nth(1)?.split('"').next()?.to_owned());
        if let Some(path) = value("d") {
            numbers(&path).chunks(2).for_each(|point| check(point[0], point[1], element));
        }
        for (x, y) in [("x", "y"), ("cx", "cy")] {
            if let Some((x, y)) = value(x).zip(value(y)) {
                check(x.parse().unwrap(), y.parse().unwrap(), element);
            }
        }
    }
}

#[test]
fn walls_stand_in_a_plan_in_place_of_the_columns_footprint() {
    let walls = vec![[[-50.0, -40.0], [-50.0, 40.0]], [[-50.0, 0.0], [50.0, 0.0]]];
    let svg = plan::draw(&Plan { walls, ..base() }).into_string();
    assert!(attributes(&svg, "column", "d").is_empty() && attributes(&svg, "column", "points").is_empty());
    assert_eq!(
        attributes(&svg, "wall", "d").iter().flat_map(|path| numbers(path)).collect::<Vec<_>>(),
        [-50.0, 40.0, -50.0, -40.0, -50.0, 0.0, 50.0, 0.0]
    );
    check_within_view(&svg);
    for nowhere in [f64::NAN, f64::INFINITY, 1e9] {
        let walls = vec![[[0.0, 0.0], [nowhere, 0.0]]];
        assert!(plan::draw(&Plan { walls, ..base() }).into_string().contains("a wall of the column"));
    }
}

#[test]
fn a_headed_bolt_ends_in_its_head_and_a_rod_stands_in_its_hole() {
    let svg = section::draw(&Section { head: Some([30.0, 10.0]), h_0: None, ..anchor() }).into_string();
    let heads: Vec<Vec<f64>> = attributes(&svg, "bolt", "d").iter().map(|path| numbers(path)).collect();
    assert!(heads.contains(&vec![-15.0, 70.0, 15.0, 70.0, 15.0, 80.0, -15.0, 80.0]), "{heads:?}");
    check_within_view(&svg);
    assert!(!section::draw(&anchor()).into_string().contains("diameter of the head"));
    let svg = section::draw(&Section { d_0: Some(14.0), ..anchor() }).into_string();
    let mortar = numbers(&attributes(&svg, "grout", "d")[0]);
    assert_eq!(mortar[..6], [-7.0, 0.0, 7.0, 0.0, 7.0, 85.0], "a rod in its hole: {mortar:?}");
    check_within_view(&svg);
    let svg = section::draw(&Section { head: Some([f64::NAN, 10.0]), ..anchor() }).into_string();
    assert!(svg.contains("diameter is no size"), "{svg}");
}

#[test]
fn a_plan_is_to_scale_in_the_units_of_its_view_box() {
    let svg = plan::draw(&base()).into_string();
    let holes: Vec<(f64, f64)> = attributes(&svg, "hole", "cx")
        .iter()
        .zip(attributes(&svg, "hole", "cy"))
        .map(|(x, y)| (x.parse().unwrap(), y.parse().unwrap()))
        .collect();
    assert_eq!(holes, [(-75.0, -75.0), (75.0, -75.0), (75.0, 75.0), (-75.0, 75.0)], "y points down in SVG");
    assert_eq!(attributes(&svg, "hole", "r"), ["7"; 4]);
    let edge = numbers(&attributes(&svg, "edge", "d")[0]);
    assert_eq!((edge[0], edge[2]), (195.0, 195.0));

    // Each dimension text equals the distance between the ends of the steps that it stands between.
    assert_eq!(texts(&svg, "num"), ["150", "120", "220", "150", "220"]);
    let ticks: Vec<Vec<f64>> = attributes(&svg, "tick", "d").iter().map(|path| numbers(path)).collect();
    let middles = |path: &[f64], axis: usize| -> Vec<f64> {
        path.chunks(4).map(|tick| ((tick[axis] + tick[axis + 2]) / 2.0).round()).collect()
    };
    assert_eq!(middles(&ticks[0], 0), [-75.0, 75.0, 195.0]);
    assert_eq!(middles(&ticks[1], 0), [-110.0, 110.0]);
    assert_eq!(middles(&ticks[2], 1), [-75.0, 75.0]);
}

#[test]
fn the_name_of_an_edge_stands_on_the_member_and_beside_no_dimension_of_the_plate() {
    for degrees in [0.0_f64, 90.0, 180.0, 270.0] {
        let plan = Plan { edges: vec![edge("quay", degrees, 195.0)], c_cr_n: None, shear: [None, None], ..base() };
        let svg = plan::draw(&plan).into_string();
        let text = svg.split("<text ").find(|text| text.contains(">quay edge<")).expect("the name of the edge");
        let number = |name: &str| -> f64 {
            text.split(&format!(" {name}=\"")).nth(1).and_then(|rest| rest.split('"').next()).unwrap().parse().unwrap()
        };
        let (sin, cos) = degrees.to_radians().sin_cos();
        let (x, y) = (number("x"), -number("y"));
        let (outward, along) = (x * cos + y * sin, y * cos - x * sin);
        assert!(outward < 195.0 && outward > 110.0, "{degrees}: {x}, {y}");
        // The plate's own dimension stands at its middle.
        assert!(along.abs() > 40.0, "{degrees}: {x}, {y}");
    }
}

#[test]
fn a_section_is_to_scale_in_the_units_of_its_view_box() {
    let svg = section::draw(&anchor()).into_string();
    assert_eq!(texts(&svg, "num"), ["tfix 15", "hef 70", "h0 85", "h 200", "c1 120"]);
    let ticks = numbers(&attributes(&svg, "tick", "d")[0]);
    let levels: Vec<f64> = ticks.chunks(4).map(|tick| ((tick[1] + tick[3]) / 2.0).round()).collect();
    assert_eq!(levels, [-15.0, 0.0, 70.0]);
    assert_eq!(texts(&svg, "cone"), ["1.5 hef = 105"]);
}

#[test]
fn a_mirrored_layout_gives_a_mirrored_drawing() {
    let mut mirrored = base();
    for anchor in &mut mirrored.anchors {
        anchor.x = -anchor.x;
    }
    mirrored.edges = vec![edge("west", 180.0, 195.0)];
    mirrored.shear = [Some(-6.0), None];
    let (east, west) = (plan::draw(&base()).into_string(), plan::draw(&mirrored).into_string());
    for class in ["hole", "bolt"] {
        let negated: Vec<String> =
            attributes(&east, class, "cx").iter().map(|x| drawing::coordinate(-x.parse::<f64>().unwrap())).collect();
        assert_eq!(attributes(&west, class, "cx"), negated);
    }
    for class in ["ground", "plate", "edge", "cone", "force"] {
        let points = |svg: &str, sign: f64| {
            let mut points: Vec<(i64, i64)> = attributes(svg, class, "d")
                .iter()
                .flat_map(|path| numbers(path))
                .collect::<Vec<f64>>()
                .chunks(2)
                .map(|point| ((sign * point[0]).round() as i64, point[1].round() as i64))
                .collect();
            points.sort_unstable();
            points.dedup();
            points
        };
        let (expected, found) = (points(&east, -1.0), points(&west, 1.0));
        assert_eq!(found.len(), expected.len(), "{class}");
        // The names of the edges differ in width, and with them the margins a little.
        for (found, expected) in found.iter().zip(&expected) {
            assert!((found.0 - expected.0).abs() <= 3 && (found.1 - expected.1).abs() <= 3, "{class}");
        }
    }
}

#[test]
fn lettering_is_of_one_size_on_paper() {
    let mut wide = base();
    wide.edges = vec![edge("east", 0.0, 350.0), edge("west", 180.0, 350.0)];
    for plan in [base(), wide] {
        let svg = plan::draw(&plan).into_string();
        let view: Vec<f64> = svg
            .split("viewBox=\"")
            .nth(1)
            .unwrap()
            .split('"')
            .next()
            .unwrap()
            .split(' ')
            .map(|n| n.parse().unwrap())
            .collect();
        let size: f64 = svg.split("font-size=\"").nth(1).unwrap().split('"').next().unwrap().parse().unwrap();
        let points = size / view[2] * 85.0 / 25.4 * 72.0;
        assert!((7.5..=8.0).contains(&points), "{points} pt");
    }
}

#[test]
fn the_projected_area_ends_at_the_edges() {
    let mut plan = base();
    plan.edges = vec![edge("east", 0.0, 135.0)];
    let svg = plan::draw(&plan).into_string();
    let outline = numbers(&attributes(&svg, "cone", "d")[0]);
    let xs: Vec<f64> = outline.chunks(2).map(|point| point[0]).collect();
    assert_eq!(xs.iter().copied().fold(f64::MIN, f64::max), 135.0);
    assert_eq!(xs.iter().copied().fold(f64::MAX, f64::min), -180.0);
}

#[test]
fn overlapping_squares_have_one_outline() {
    let corners = |loops: Vec<Vec<super::geometry::Point>>| -> Vec<usize> { loops.iter().map(Vec::len).collect() };
    assert_eq!(corners(union_outline(&[at(0.0, 0.0), at(10.0, 10.0)], 6.0)), [9], "eight corners and the first again");
    assert_eq!(corners(union_outline(&[at(0.0, 0.0), at(20.0, 0.0)], 6.0)), [5, 5]);
    let ring: Vec<_> =
        (0..9).filter(|i| *i != 4).map(|i| at(f64::from(i % 3) * 10.0, f64::from(i / 3) * 10.0)).collect();
    assert_eq!(corners(union_outline(&ring, 5.0)), [5, 5], "outside and the hole");
}

#[test]
fn far_edges_are_told_in_words() {
    let mut plan = base();
    plan.edges.push(edge("north_side", 90.0, 2400.0));
    let svg = plan::draw(&plan).into_string();
    assert!(texts(&svg, "soft").contains(&"not in view: north side edge, 2325 from A1".to_owned()), "{svg}");
    let mut section = anchor();
    section.c_1 = Some(900.0);
    section.h = 900.0;
    let svg = section::draw(&section).into_string();
    assert_eq!(texts(&svg, "soft"), ["not in view: edge at c1 900"]);
    assert!(texts(&svg, "num").contains(&"h 900".to_owned()), "a broken-off member still tells its thickness");
}

#[test]
fn anchors_outside_the_member_are_told_in_words() {
    let mut plan = base();
    plan.edges = vec![edge("east", 0.0, 60.0)];
    let svg = plan::draw(&plan).into_string();
    assert!(texts(&svg, "soft").contains(&"A2 lies outside the east edge".to_owned()), "{svg}");
}

#[test]
fn a_skew_edge_is_dimensioned_along_its_normal() {
    let mut plan = base();
    plan.edges = vec![edge("skew", 30.0, 230.0)];
    let svg = plan::draw(&plan).into_string();
    // 230 - 75 cos 30° - 75 sin 30°
    assert!(texts(&svg, "num").contains(&"127.5".to_owned()), "{svg}");
}

#[test]
fn drawings_say_what_they_show() {
    let svg = plan::draw(&base()).into_string();
    assert_eq!(
        attributes(&svg, "drawing", "aria-label"),
        [
            "Plan, dimensions in millimetres: plate 220 by 220. anchors A1 at −75, 75; A2 at 75, 75; A3 at 75, −75; A4 at \
          −75, −75. east edge 120 from A2. projected area with c_cr,N 105. shear in x 6 kN."
        ]
    );
    assert_eq!(attributes(&svg, "drawing", "role"), ["img"]);
}

#[test]
fn what_cannot_be_drawn_gives_a_note() {
    let note = |change: fn(&mut Plan)| {
        let mut plan = base();
        change(&mut plan);
        let markup = plan::draw(&plan).into_string();
        assert!(markup.starts_with("<p class=\"undrawn\">"), "{markup}");
        markup
    };
    note(|plan| plan.plate = [0.0, 220.0]);
    note(|plan| plan.plate = [f64::NAN, 220.0]);
    note(|plan| plan.plate = [220.0, 1e300]);
    note(|plan| plan.anchors.clear());
    note(|plan| plan.anchors[1].x = f64::INFINITY);
    note(|plan| plan.edges[0].distance = f64::NAN);
    note(|plan| plan.c_cr_n = Some(-1.0));
    note(|plan| plan.shear = [Some(f64::NAN), None]);
    note(|plan| plan.edges = vec![edge("east", 0.0, -200.0), edge("west", 180.0, -200.0)]);
    let note = note(|plan| plan.anchors[1] = Anchor { label: "A<2>".to_owned(), ..plan.anchors[0].clone() });
    assert_eq!(note, "<p class=\"undrawn\">The plan cannot be drawn: A1 and A&lt;2&gt; are at the same place.</p>");

    let sections: [fn(&mut Section); 5] = [
        |section| section.h_ef = 0.0,
        |section| section.d = f64::NAN,
        |section| section.t_fix = 1e9,
        |section| section.t_grout = Some(-3.0),
        |section| section.n = Some(f64::INFINITY),
    ];
    for change in sections {
        let mut section = anchor();
        change(&mut section);
        assert!(section::draw(&section).as_str().starts_with("<p class=\"undrawn\">The section cannot be drawn"));
    }
}

#[test]
fn a_ratio_is_drawn_on_its_scale() {
    let bar = bar::draw(0.5, "0.50", 1.5).into_string();
    assert_eq!(attributes(&bar, "bar", "aria-label"), ["ratio 0.50, limit 1"]);
    assert_eq!(attributes(&bar, "dot", "cx"), ["40"], "a third of the way from 4 to 112");
    assert_eq!(attributes(&bar, "limit", "d"), ["M76 0V10"]);
    assert!(bar::draw(1.7, "1.70", 1.5).as_str().contains("class=\"head\""), "an arrow leads off the scale");
    assert!(bar::draw(1.2, "1.20", 1.5).as_str().contains("class=\"dot over\""));
    assert!(bar::draw(f64::NAN, "–", 1.5).is_empty());
    check_sound(bar::draw(f64::INFINITY, "–", f64::NAN).as_str());
    check_sound(bar::scale(7.3).as_str());
}

#[test]
fn numbers_are_trimmed_and_never_minus_zero() {
    assert_eq!(drawing::coordinate(-0.001), "0");
    assert_eq!(drawing::coordinate(120.0), "120");
    assert_eq!(drawing::millimetres(127.46), "127.5");
    assert_eq!(drawing::millimetres(-12.0), "−12");
    assert_eq!(drawing::kilonewtons(4.256), "4.26 kN");
    assert_eq!(drawing::kilonewtons(123.4), "123 kN");
}

/// Mostly usual lengths, now and then none.
fn length() -> impl Strategy<Value = f64> {
    prop_oneof![20 => 0.5..2000.0, 1 => Just(0.0), 1 => Just(f64::NAN), 1 => Just(-5.0), 1 => Just(1e12)]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_plan_fails_and_each_is_the_same_twice(
        places in prop::collection::vec((-400.0..400.0, -400.0..400.0), 0..12),
        plate in (length(), length()),
        edges in prop::collection::vec((0.0..7.0, -50.0..1500.0), 0..6),
        c_cr_n in prop::option::of(length()),
        shear in prop::option::of(-100.0..100.0),
    ) {
        let plan = Plan {
            anchors: anchors(&places),
            plate: [plate.0, plate.1],
            edges: edges.iter().map(|(normal, distance)| Edge { label: "e".to_owned(), normal: *normal, distance: *distance }).collect(),
            c_cr_n,
            shear: [shear, shear],
            ..Plan::default()
        };
        let svg = plan::draw(&plan).into_string();
        check_sound(&svg);
        prop_assert_eq!(svg, plan::draw(&plan).into_string());
    }

    #[test]
    fn no_section_fails_and_each_is_the_same_twice(
        sizes in (length(), length(), length(), length()),
        more in (prop::option::of(length()), prop::option::of(length()), prop::option::of(length()), prop::option::of(length())),
        n in prop::option::of(-100.0..100.0),
    ) {
        let section = Section {
            h_ef: sizes.0,
            h: sizes.1,
            t_fix: sizes.2,
            d: sizes.3,
            d_f: more.0,
            h_0: more.1,
            t_grout: more.2,
            c_1: more.3,
            n,
            ..Section::default()
        };
        let svg = section::draw(&section).into_string();
        check_sound(&svg);
        prop_assert_eq!(svg, section::draw(&section).into_string());
    }
}
