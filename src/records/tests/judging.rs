//! Anchors by their records: every verdict and every reason.

use super::*;
use uom::si::f64::Time;
use uom::si::time::{hour, minute};

/// How an anchor came out, in words.
pub(super) fn word(report: &Report, anchor: usize) -> String {
    match report.anchors[anchor].state {
        State::Fail(reasons) => reasons.iter().map(|reason| reason.to_string()).collect::<Vec<_>>().join("; "),
        state => format!("{state:?}"),
    }
}

/// Judges rows under the header `Anchor,Torque (Nm),` and more, and gives each anchor's outcome in words.
#[track_caller]
pub(super) fn outcomes(header: &str, rows: &str, mapping: &Mapping, specification: &Specification) -> Vec<String> {
    let report = accepted(format!("Anchor,Torque (Nm){header}\n{rows}").as_bytes(), mapping, specification);
    (0..report.anchors.len()).map(|anchor| word(&report, anchor)).collect()
}

fn day(day: u8) -> Day {
    Day::new(2026, 11, day).expect("a day of November")
}

#[test]
fn a_band_of_four_per_cent_holds_its_bounds_and_nothing_beyond() {
    // Computed independently: 60 N·m ± 4 % is 57.6 to 62.4; 8 N·m ± 6 % is 7.52 to 8.48; 110 N·m ± 4 % is 105.6 to 114.4.
    let cases = [(60.0, 4.0, "57.6", "62.4"), (8.0, 6.0, "7.52", "8.48"), (110.0, 4.0, "105.6", "114.4")];
    for (target, part, lower, upper) in cases {
        let band = TorqueBand::around(torque(target), Ratio::new::<percent>(part));
        let specification = specification(&["A1", "A2", "A3", "A4"], Demand { torque: band, ..plain_demand() });
        let below = lower.parse::<f64>().expect("a number") - 1e-6;
        let above = upper.parse::<f64>().expect("a number") + 1e-6;
        let rows = format!("A1,{lower}\nA2,{upper}\nA3,{below}\nA4,{above}\n");
        assert_eq!(
            outcomes("", &rows, &two_columns(), &specification),
            ["Pass", "Pass", "the torque is below its lower bound", "the torque is above its upper bound"]
        );
    }
}

#[test]
fn too_much_torque_fails_and_does_not_pass_for_being_above() {
    // 66 N·m where 60 N·m ± 4 % is asked for.
    let outcome = outcomes("", "A1,66\n", &two_columns(), &specification(&["A1"], plain_demand()));
    assert_eq!(outcome, ["the torque is above its upper bound"]);
}

#[test]
fn thirty_one_records_of_thirty_two_anchors_leave_one_missing() {
    let names: Vec<String> = (1..=32).map(|number| format!("A{number}")).collect();
    let rows: String = names.iter().filter(|name| *name != "A17").map(|name| format!("{name},60\n")).collect();
    let names: Vec<&str> = names.iter().map(String::as_str).collect();
    let text = format!("Anchor,Torque (Nm)\n{rows}");
    let report = accepted(text.as_bytes(), &two_columns(), &specification(&names, plain_demand()));
    assert_eq!((report.totals.passed, report.totals.missing), (31, 1));
    let missing: Vec<u32> =
        report.anchors.iter().filter(|verdict| verdict.state == State::Missing).map(|verdict| verdict.anchor).collect();
    assert_eq!(missing, [16]);
}

#[test]
fn of_two_records_none_counts_unless_the_rule_says_otherwise() {
    let mapping = two_columns().column(Field::Time, "Time");
    let text = "Anchor,Torque (Nm),Time\nA1,60,2026-11-02 09:00\nA2,60,2026-11-02 09:01\nA1,50,2026-11-02 08:00\n";
    let mut specification = specification(&["A1", "A2"], plain_demand());
    let report = accepted(text.as_bytes(), &mapping, &specification);
    assert_eq!([word(&report, 0), word(&report, 1)], ["Duplicate", "Pass"]);
    assert_eq!(report.duplicates, [Duplicate { anchor: 0, rows: vec![0, 2] }]);
    assert_eq!(report.totals.rows_held_back, 2);

    specification.duplicates = DuplicateRule::LatestCounts;
    let report = accepted(text.as_bytes(), &mapping, &specification);
    assert_eq!([word(&report, 0), word(&report, 1)], ["Pass", "Pass"]);
    assert_eq!((report.anchors[0].row, report.totals.rows_superseded), (Some(0), 1));

    let same_time = text.replace("08:00", "09:00");
    assert_eq!(word(&accepted(same_time.as_bytes(), &mapping, &specification), 0), "Duplicate");
    let without_time = text.replace("2026-11-02 08:00", "");
    assert_eq!(word(&accepted(without_time.as_bytes(), &mapping, &specification), 0), "Duplicate");
}

#[test]
fn a_record_that_cannot_be_read_holds_its_anchor_back() {
    let text = "Anchor,Torque (Nm)\nA1,60\nA1,6O\n";
    let report = accepted(text.as_bytes(), &two_columns(), &specification(&["A1"], plain_demand()));
    assert_eq!(word(&report, 0), "Unreadable");
    assert_eq!((report.totals.rows_held_back, report.totals.rows_in_error), (1, 1));
}

#[test]
fn a_tool_out_of_calibration_on_that_day_fails_its_anchors() {
    let mapping = two_columns().column(Field::Time, "Time").column(Field::CalibratedUntil, "Valid to");
    let throughout = vec![(Field::Tool, "TW-1".to_owned())];
    let mapping = Mapping { utc_offset: Some(-300), throughout, ..mapping };
    let mut specification = specification(&["A1", "A2", "A3", "A4"], plain_demand());
    specification.calibration = Calibration::Required;
    // Expired one day before use; valid on the last day, late in the evening of the site's clock.
    let rows = "A1,60,2026-11-02 07:41,2026-11-01\nA2,60,2026-11-02T23:59-05:00,2026-11-02\nA3,60,2026-11-02,\n\
                A4,60,,2026-11-02\n";
    let outcome = outcomes(",Time,Valid to", rows, &mapping, &specification);
    assert_eq!(
        outcome,
        [
            "the tool was out of calibration on that day",
            "Pass",
            "the end of calibration is not recorded",
            "the time is not recorded",
        ]
    );
    let report = accepted(format!("Anchor,Torque (Nm),Time,Valid to\n{rows}").as_bytes(), &mapping, &specification);
    assert_eq!(report.failing(Reason::OutOfCalibration).map(|verdict| verdict.anchor).collect::<Vec<_>>(), [0]);
    assert_eq!(report.by_reason[2], (Reason::OutOfCalibration, 1));
    specification.calibration = Calibration::WhereStated;
    let outcome = outcomes(",Time,Valid to", rows, &mapping, &specification);
    assert_eq!(outcome, ["the tool was out of calibration on that day", "Pass", "Pass", "Pass"]);
}

#[test]
fn tools_of_the_specification_bring_their_calibration_and_range() {
    let mapping = two_columns().column(Field::Time, "Time").column(Field::Tool, "Tool");
    let tool = |serial: &str, least: f64, until: u8| Tool {
        serial: serial.to_owned(),
        range: Some((torque(least), torque(100.0))),
        calibrated: Some((day(2), day(until))),
    };
    let mut specification = specification(&["A1", "A2", "A3", "A4", "A5", "A6"], plain_demand());
    specification.calibration = Calibration::Required;
    specification.tools = vec![tool("TW-1", 20.0, 30), tool("TW-2", 60.1, 30), tool("TW-3", 60.0, 2)];
    let rows = "A1,60,2026-11-02,TW-1\nA2,60,2026-11-02,TW-2\nA3,60,2026-11-03,TW-3\nA4,60,2026-11-02,TW-9\n\
                A5,60,2026-11-02,\nA6,60,2026-11-01,TW-3\n";
    assert_eq!(
        outcomes(",Time,Tool", rows, &mapping, &specification),
        [
            "Pass",
            "the target torque is outside the calibrated range of the tool",
            "the tool was out of calibration on that day",
            "the tool is not one of those specified",
            "the tool is not recorded",
            "the tool was out of calibration on that day",
        ]
    );
}

#[test]
fn a_target_below_the_range_of_the_tool_fails() {
    // 18 N·m by a tool marked from 20 N·m to 100 N·m.
    let band = TorqueBand::around(torque(18.0), Ratio::new::<percent>(4.0));
    let mut specification = specification(&["A1"], Demand { torque: band, ..plain_demand() });
    let range = Some((torque(20.0), torque(100.0)));
    specification.tools = vec![Tool { serial: "TW-1".to_owned(), range, calibrated: None }];
    let mapping = two_columns().column(Field::Tool, "Tool");
    let outcome = outcomes(",Tool", "A1,18,TW-1\n", &mapping, &specification);
    assert_eq!(outcome, ["the target torque is outside the calibrated range of the tool"]);
}

#[test]
fn a_click_passes_without_a_number() {
    let text = "Anchor,Torque (Nm)\nA1,Click\nA2,60\nA3,59\nA4,\n";
    let report = accepted(text.as_bytes(), &two_columns(), &specification(&["A1", "A2", "A3", "A4"], plain_demand()));
    assert_eq!([word(&report, 0), word(&report, 3)], ["Pass", "the torque is not recorded"]);
    assert_eq!((report.totals.passed, report.totals.passed_by_click, report.totals.exactly_on_target), (3, 1, 1));
    assert_eq!(report.record(0).torque, TorqueReading::Click);
    assert_eq!(report.overall.torque.count, 2);
}

#[test]
fn embedment_may_be_short_by_its_tolerance() {
    let demand = Demand { embedment: Some(depth()), ..plain_demand() };
    let mapping = two_columns().column(Field::Embedment, "Embedment");
    let specification = specification(&["A1", "A2", "A3", "A4"], demand);
    let rows = "A1,60,68\nA2,60,67.9\nA3,60,\nA4,70,90\n";
    assert_eq!(
        outcomes(",Embedment/mm", rows, &mapping, &specification),
        [
            "Pass",
            "the embedment is short by more than its tolerance",
            "the embedment is not recorded",
            "the torque is above its upper bound",
        ]
    );
}

#[test]
fn torque_before_the_end_of_curing_fails() {
    let demand = Demand { cure: Some(Time::new::<hour>(1.0) + Time::new::<minute>(30.0)), ..plain_demand() };
    let specification = specification(&["A1", "A2", "A3", "A4"], demand);
    let mapping = two_columns().column(Field::Set, "Set").column(Field::Time, "Time");
    let rows = "A1,60,2026-11-02 07:00,2026-11-02 08:30\nA2,60,2026-11-02 07:00:01,2026-11-02 08:30\n\
                A3,60,,2026-11-02 08:30\nA4,60,2026-11-02 23:00,2026-11-03\n";
    let text = format!("Anchor,Torque (Nm),Set,Time\n{rows}");
    let report = accepted(text.as_bytes(), &mapping, &specification);
    let words: Vec<String> = (0..4).map(|anchor| word(&report, anchor)).collect();
    let early = "torque was applied before the end of curing";
    // A day alone cannot tell whether the time was over.
    assert_eq!(words, ["Pass", early, "the time of setting is not recorded", "Unreadable"]);

    let zones = text.replace("2026-11-02 08:30", "2026-11-02T08:30Z");
    let told = refusal(zones.as_bytes(), &mapping, &specification);
    assert!(
        told.starts_with("line 2: column `Time`: found `2026-11-02T08:30Z` here and `2026-11-03` on line 5"),
        "{told}"
    );
    let zones = zones.replace("2026-11-03", "");
    let told = refusal(zones.as_bytes(), &mapping, &specification);
    assert!(told.starts_with("found times with a zone in `Time` and without one in `Set`"), "{told}");
    let mapping = Mapping { utc_offset: Some(60), ..mapping };
    let report = accepted(zones.as_bytes(), &mapping, &specification);
    assert_eq!([word(&report, 0), word(&report, 1)], ["Pass", "Pass"]);
}

#[test]
fn an_anchor_before_its_turn_is_out_of_order() {
    let mut specification = specification(&["A1", "A2", "A3", "A4", "A5"], plain_demand());
    let order = ["A1", "A3", "A2", "A5"].map(str::to_owned).to_vec();
    specification.bases[0].order = Order::Listed(order);
    let mapping = two_columns().column(Field::Time, "Time");
    // A5 came before A3, A2 at the same minute as A3; A4 may come at any time.
    let text = "Anchor,Torque (Nm),Time\nA4,60,2026-11-02 07:00\nA5,60,2026-11-02 08:05\nA1,60,2026-11-02 08:00\n\
                A2,60,2026-11-02 08:10\nA3,60,2026-11-02 08:10\n";
    let report = accepted(text.as_bytes(), &mapping, &specification);
    let words: Vec<String> = (0..5).map(|anchor| word(&report, anchor)).collect();
    assert_eq!(words, ["Pass", "Pass", "Pass", "Pass", "torque was applied before an anchor that comes first"]);
    let [(early, late)] = report.out_of_order[..] else { panic!("{:?}", report.out_of_order) };
    assert_eq!(early, 4);
    assert!([1, 2].contains(&late));
}

#[test]
fn batches_may_be_limited_and_fields_required() {
    let demand = Demand { batches: Some(vec!["L7".to_owned(), "L8".to_owned()]), ..plain_demand() };
    let mut specification = specification(&["A1", "A2", "A3"], demand);
    specification.required = vec![Field::Operative];
    let mapping = two_columns().column(Field::Batch, "Batch").column(Field::Operative, "By");
    assert_eq!(
        outcomes(",Batch,By", "A1,60,L8,JD\nA2,60,L9,JD\nA3,60,,\n", &mapping, &specification),
        ["Pass", "the batch is not one of those allowed", "the operative is not recorded; the batch is not recorded"]
    );
}

#[test]
fn all_reasons_of_an_anchor_are_told() {
    let demand = Demand {
        embedment: Some(depth()),
        batches: Some(vec!["L7".to_owned()]),
        cure: Some(Time::new::<hour>(1.0)),
        ..plain_demand()
    };
    let mut specification = specification(&["A1", "A2"], demand);
    specification.calibration = Calibration::Required;
    specification.bases[0].order = Order::Listed(vec!["A1".to_owned(), "A2".to_owned()]);
    let mapping = two_columns()
        .column(Field::Embedment, "Depth")
        .column(Field::Batch, "Batch")
        .column(Field::Set, "Set")
        .column(Field::Time, "Time")
        .column(Field::CalibratedUntil, "Valid to");
    let mapping = Mapping { throughout: vec![(Field::Tool, "TW-1".to_owned())], ..mapping };
    let rows = "A1,60,70,L7,2026-11-02 06:00,2026-11-02 08:00,2026-12-31\n\
                A2,50,60,L1,2026-11-02 07:00,2026-11-02 07:30,2026-10-31\n";
    let outcome = outcomes(",Depth (mm),Batch,Set,Time,Valid to", rows, &mapping, &specification);
    assert_eq!(
        outcome,
        [
            "Pass",
            "the torque is below its lower bound; the embedment is short by more than its tolerance; the batch is not one \
             of those allowed; torque was applied before the end of curing; the tool was out of calibration on that day; \
             torque was applied before an anchor that comes first"
        ]
    );
}

#[test]
fn records_outside_the_specification_are_told() {
    let mapping = two_columns().column(Field::Base, "Base");
    let text = "Base,Anchor,Torque (Nm)\nB4,A1,60\nB5,A1,60\nB4,a1,60\n";
    let report = accepted(text.as_bytes(), &mapping, &specification(&["A1"], plain_demand()));
    let unlisted = |line, base: &str, anchor: &str| Unlisted {
        line,
        base: base.to_owned(),
        anchor: anchor.to_owned(),
        done: Done::default(),
        remark: String::new(),
    };
    assert_eq!(report.unlisted, [unlisted(3, "B5", "A1"), unlisted(4, "B4", "a1")]);
    assert_eq!((report.totals.passed, report.totals.rows_unlisted), (1, 2));
}

#[test]
fn bases_have_figures_of_their_own() {
    let mut specification = specification(&["A1", "A2"], plain_demand());
    let second = Base { id: "B5".to_owned(), ..specification.bases[0].clone() };
    specification.bases.push(second);
    let mapping = two_columns().column(Field::Base, "Base");
    let text = "Base,Anchor,Torque (Nm)\nB4,A1,60\nB5,A1,58\nB4,A2,62\nB5,A2,90\n";
    let report = accepted(text.as_bytes(), &mapping, &specification);
    let means: Vec<_> = report.bases.iter().map(|base| base.torque.mean.expect("a mean")).collect();
    assert_eq!(means, [torque(61.0), torque(74.0)]);
    assert_eq!((report.bases[1].passed, report.bases[1].failed, report.overall.specified), (1, 1, 4));

    let without = refusal(b"Anchor,Torque (Nm)\nA1,60\n", &two_columns(), &specification);
    assert!(without.contains("found the anchor `A1` on several bases, and no column for the base"), "{without}");
}

#[test]
fn a_specification_that_contradicts_itself_is_refused() {
    let mut wrong = specification(&["A1", "A1"], Demand { cure: Some(Time::new::<hour>(-1.0)), ..plain_demand() });
    let demand = Arc::make_mut(&mut wrong.bases[0].demand);
    demand.torque.lower = torque(61.0);
    demand.embedment = Some(EmbedmentBand { lower: Length::default(), ..depth() });
    wrong.bases[0].order = Order::Listed(vec!["A9".to_owned()]);
    wrong.tools = vec![
        Tool { serial: "T".to_owned(), range: Some((torque(2.0), torque(1.0))), calibrated: None },
        Tool { serial: "T".to_owned(), range: None, calibrated: Some((day(2), day(1))) },
    ];
    let told = refusal(b"", &two_columns(), &wrong);
    for part in [
        "the anchor `A1` twice on base `B4`",
        "the tool `T` twice in the specification",
        "the torque of base `B4` and its bounds, expected 0 < lower bound ≤ target ≤ upper bound",
        "the embedment of base `B4` and its bounds",
        "the curing time of base `B4`",
        "`A9` in the order of base `B4`",
        "a range or calibration of tool `T` that ends before it starts",
        "no header for the embedment, expected one, since the specification asks for it",
        "no header for the time of setting",
        "no header for the time,",
        "no header for the tool,",
    ] {
        assert!(told.contains(part), "{part} is not in:\n{told}");
    }
}

#[test]
fn bounds_that_nobody_means_are_refused() {
    let wide = TorqueBand { lower: torque(20.0), ..plain_demand().torque };
    let deep = EmbedmentBand { upper: Length::new::<millimeter>(5000.0), ..depth() };
    let demand = Demand { torque: wide, embedment: Some(deep), ..plain_demand() };
    let told = refusal(b"", &two_columns().column(Field::Embedment, "Depth"), &specification(&["A1"], demand));
    let expected = "expected bounds between half and twice what is asked for";
    for part in ["the torque of base `B4` and its bounds", "the embedment of base `B4` and its bounds"] {
        assert!(told.contains(&format!("{part}, {expected}")), "{part} is not in:\n{told}");
    }
}

#[test]
fn a_row_that_does_not_name_its_base_belongs_to_none() {
    let mapping = two_columns().column(Field::Base, "Base");
    let text = "Base,Anchor,Torque (Nm)\n,A1,60\nB4,A1,60\n";
    let report = accepted(text.as_bytes(), &mapping, &specification(&["A1"], plain_demand()));
    assert_eq!((word(&report, 0).as_str(), report.totals.rows_in_error), ("Pass", 1));
}

#[test]
fn an_anchor_that_is_deeper_than_its_upper_bound_fails() {
    let upper = Length::new::<millimeter>(75.0);
    let demand = Demand { embedment: Some(EmbedmentBand { upper, ..depth() }), ..plain_demand() };
    let mapping = two_columns().column(Field::Embedment, "Depth");
    let outcome = outcomes(
        ",Depth (mm)",
        "A1,60,68\nA2,60,75\nA3,60,75.1\nA4,60,67.9\n",
        &mapping,
        &specification(&["A1", "A2", "A3", "A4"], demand),
    );
    let [deep, short] = [Reason::EmbedmentDeep, Reason::EmbedmentShort].map(|reason| reason.to_string());
    assert_eq!(outcome, ["Pass", "Pass", &deep, &short]);
}

#[test]
fn a_calibrated_tool_has_a_serial_number() {
    let mapping = two_columns()
        .column(Field::Time, "Time")
        .column(Field::Tool, "Tool")
        .column(Field::CalibratedUntil, "Valid to");
    let mut specification = specification(&["A1", "A2"], plain_demand());
    let rows = "A1,60,2026-11-02,TW-1,2026-12-31\nA2,60,2026-11-02,,2026-12-31\n";
    specification.calibration = Calibration::Required;
    assert_eq!(outcomes(",Time,Tool,Valid to", rows, &mapping, &specification), ["Pass", "the tool is not recorded"]);
    specification.calibration = Calibration::WhereStated;
    assert_eq!(outcomes(",Time,Tool,Valid to", rows, &mapping, &specification), ["Pass", "Pass"]);
}

#[test]
fn what_no_column_has_may_hold_throughout() {
    let mut specification = specification(&["A1", "A2"], plain_demand());
    specification.calibration = Calibration::Required;
    let mapping = two_columns().column(Field::Time, "Time");
    let text = "Anchor,Torque (Nm),Time\nA1,60,2026-11-02\nA2,60,2026-11-04\n";
    let told = refusal(text.as_bytes(), &mapping, &specification);
    for part in [
        "no header for the tool, expected one, since the specification asks for it; where the file has no such column, say \
         what the tool of every record is",
        "no header for the end of calibration",
    ] {
        assert!(told.contains(part), "{part} is not in:\n{told}");
    }
    let all = [(Field::Tool, "TW-1"), (Field::CalibratedUntil, "2026-11-03"), (Field::Base, "B4")];
    let mapping = Mapping { throughout: all.map(|(field, text)| (field, text.to_owned())).to_vec(), ..mapping };
    let over = Reason::OutOfCalibration.to_string();
    assert_eq!(outcomes(",Time", "A1,60,2026-11-02\nA2,60,2026-11-04\n", &mapping, &specification), ["Pass", &over]);
    let report = accepted(text.as_bytes(), &mapping, &specification);
    assert_eq!(report.record(0).tool, "TW-1");
    // A row that does not fit names its anchor all the same.
    let broken = accepted(b"Anchor,Torque (Nm),Time\nA1,60,2026-11-02,x\n", &mapping, &specification);
    assert_eq!(word(&broken, 0), "Unreadable");
    let twice = refusal(text.as_bytes(), &mapping.column(Field::Tool, "Tool"), &specification);
    assert!(twice.contains("two headers for the tool, or one and a value throughout"), "{twice}");
}

#[test]
fn an_end_of_calibration_that_nobody_can_have_certified_fails() {
    let mapping = two_columns()
        .column(Field::Time, "Time")
        .column(Field::Tool, "Tool")
        .column(Field::CalibratedUntil, "Valid to");
    let mut specification = specification(&["A1", "A2"], plain_demand());
    specification.calibration = Calibration::Required;
    let rows = "A1,60,2026-11-02,T,2027-11-02\nA2,60,2026-11-02,T,2037-04-30\n";
    assert_eq!(outcomes(",Time,Tool,Valid to", rows, &mapping, &specification), ["Pass"; 2]);
    specification.longest_calibration = Some(Time::new::<uom::si::time::day>(365.0));
    let long = Reason::CalibrationTooLong.to_string();
    assert_eq!(outcomes(",Time,Tool,Valid to", rows, &mapping, &specification), ["Pass", &long]);
    specification.longest_calibration = Some(Time::default());
    let told = refusal(b"", &mapping, &specification);
    assert!(
        told.contains("the longest time of a calibration, expected a time of more than 0 and at most 731 d"),
        "{told}"
    );
}

#[test]
fn days_outside_the_works_fail() {
    let limit = |number| Limit { day: day(number), what: "a day" };
    let mapping = two_columns().column(Field::Time, "Time").column(Field::Set, "Set");
    let demand = Demand { cure: Some(Time::default()), ..plain_demand() };
    let mut specification = specification(&["A1", "A2", "A3", "A4", "A5"], demand);
    let rows = "A1,60,2026-11-02 9:00,2026-11-02 8:00\nA2,60,2026-11-05 9:00,2026-11-05 8:00\n\
                A3,60,1931-11-03 9:00,1931-11-03 8:00\nA4,60,2031-11-03 9:00,2031-11-03 8:00\n\
                A5,60,2026-11-03 9:00,2025-11-03 8:00\n";
    assert_eq!(outcomes(",Time,Set", rows, &mapping, &specification), ["Pass"; 5]);
    specification.works = Some(Works { first: limit(2), last: limit(5) });
    let [early, late] = [Reason::TooEarly, Reason::TooLate].map(|reason| reason.to_string());
    assert_eq!(outcomes(",Time,Set", rows, &mapping, &specification), ["Pass", "Pass", &early, &late, &early]);
    specification.works = Some(Works { first: limit(5), last: limit(2) });
    let text = format!("Anchor,Torque (Nm),Time,Set\n{rows}");
    let told = refusal(text.as_bytes(), &mapping, &specification);
    assert_eq!(told, "found a day, 2026-11-05, after a day, 2026-11-02, expected the start first");
}

#[test]
fn a_unit_in_a_cell_is_told_apart_from_what_is_no_number() {
    let report =
        accepted(b"Anchor,Torque (Nm)\nA1,60 Nm\nA2,x\n", &two_columns(), &specification(&["A1"], plain_demand()));
    let told: Vec<String> = report.mistakes.iter().map(ToString::to_string).collect();
    assert!(told[0].ends_with("in N·m, or `click`; the header alone says the unit"), "{told:?}");
    assert!(told[1].ends_with("in N·m, or `click`"), "{told:?}");
}

#[test]
fn what_no_later_torque_mends_stays() {
    let mapping = two_columns()
        .column(Field::Time, "Time")
        .column(Field::Embedment, "Depth")
        .column(Field::Batch, "Batch")
        .column(Field::Set, "Set");
    let band = EmbedmentBand { upper: Length::new::<millimeter>(75.0), ..depth() };
    let demand = Demand {
        embedment: Some(band),
        batches: Some(vec!["L7".to_owned()]),
        cure: Some(Time::new::<hour>(1.0)),
        ..plain_demand()
    };
    let mut specification = specification(&["A1", "A2", "A3", "A4", "A5", "A6"], demand);
    specification.duplicates = DuplicateRule::LatestCounts;
    let sound = "70,L7,2026-11-02 06:00";
    let late: String = (1..=6).map(|at| format!("A{at},60,2026-11-02 09:00,{sound}\n")).collect();
    // Too little is mended by more; too much, a wrong depth or batch and mortar that was not hard are not.
    let rows = format!(
        "A1,50,2026-11-02 08:00,{sound}\nA2,90,2026-11-02 08:00,{sound}\nA3,60,2026-11-02 08:00,90,L7,2026-11-02 06:00\n\
         A4,60,2026-11-02 08:00,70,L8,2026-11-02 06:00\nA5,60,2026-11-02 06:30,{sound}\n\
         A6,60,2026-11-02 08:00,60,L7,2026-11-02 06:00\n{late}"
    );
    let not_mended = Reason::NotMended.to_string();
    let differs = format!("{not_mended}; {}", Reason::Differs);
    let expected = ["Pass", &not_mended, &not_mended, &differs, &not_mended, &not_mended];
    assert_eq!(outcomes(",Time,Depth (mm),Batch,Set", &rows, &mapping, &specification), expected);
    // Nor does anybody know what a tool that is not recorded has done, or which of two times of setting is true.
    let again = "A1,60,2026-11-02 08:00,70,,2026-11-02 06:00\nA1,60,2026-11-02 09:00,70,L7,2026-11-02 06:00\n\
                 A2,50,2026-11-02 08:00,70,L7,2026-11-02 06:00\nA2,60,2026-11-02 09:00,70,L7,2026-11-02 07:00\n";
    let two = Specification {
        bases: vec![Base { anchors: vec!["A1".into(), "A2".into()], ..specification.bases[0].clone() }],
        ..specification.clone()
    };
    let differs = Reason::Differs.to_string();
    assert_eq!(outcomes(",Time,Depth (mm),Batch,Set", again, &mapping, &two), [not_mended, differs]);
    let text = format!("Anchor,Torque (Nm),Time,Depth (mm),Batch,Set\n{rows}");
    let report = accepted(text.as_bytes(), &mapping, &specification);
    let told = |place| -> Vec<String> {
        let earlier = report.not_mended(place);
        earlier.flat_map(|(record, reasons)| reasons.iter().map(move |r| format!("{} {r}", record.line))).collect()
    };
    assert_eq!(told(0), Vec::<String>::new());
    assert_eq!(told(1), ["3 the torque is above its upper bound"]);
    assert_eq!(told(4), ["6 torque was applied before the end of curing"]);
    assert_eq!(
        report.replaced().map(|(place, record)| (place, record.line)).collect::<Vec<_>>()[..2],
        [(0, 2), (1, 3)]
    );
}

#[test]
fn a_cell_that_is_filled_in_and_names_nothing_is_not_recorded() {
    let mapping = two_columns()
        .column(Field::Time, "Time")
        .column(Field::Tool, "Tool")
        .column(Field::Operative, "By")
        .column(Field::CalibratedUntil, "Valid to");
    let mut specification = specification(&["A1", "A2", "A3", "A4"], plain_demand());
    specification.calibration = Calibration::Required;
    specification.required = vec![Field::Operative];
    let rows = "A1,60,2026-11-02,T-1,K.L.,2026-12-31\nA2,60,2026-11-02,-,K.L.,2026-12-31\n\
                A3,60,2026-11-02,T-1,N/A,2026-12-31\nA4,60,2026-11-02,??,–,2026-12-31\n";
    assert_eq!(
        outcomes(",Time,Tool,By,Valid to", rows, &mapping, &specification),
        [
            "Pass",
            "the tool is not recorded",
            "the operative is not recorded",
            "the operative is not recorded; the tool is not recorded"
        ]
    );
}

#[test]
fn a_depth_or_a_time_of_setting_that_nothing_is_held_against_is_refused() {
    let mapping = two_columns().column(Field::Embedment, "Depth").column(Field::Set, "Set");
    let told = refusal(b"", &mapping, &specification(&["A1"], plain_demand()));
    for part in
        ["a header for the embedment and nothing that it is held against", "a header for the time of setting and"]
    {
        assert!(told.contains(part), "{part} is not in:\n{told}");
    }
}
