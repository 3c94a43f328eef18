//! Reports through a real sheet: one base, four anchors, each with another outcome.

use crate::compile::LineId;
use crate::evaluate::Trace;
use crate::package::{Built, Memory, Package, RestsOn};
use crate::render::address::Addresses;
use crate::render::json::{Circumstances, to_json};
use crate::render::markup::Markup;
use crate::render::provenance::provenance;
use crate::review::digest;

const SHEET: &str = "+++\ntitle = \"T\"\nnumber = \"1\"\nrevision = \"P01\"\npurpose = \"P.\"\nscope = \"S.\"\n+++\n\n\
    ```given\nanchors = table x in mm, y in mm @ s\n    A1: -75, -75\n    A2: 75, -75\n    A3: 75, 75\n    A4: -75, 75\n\
    log = records \"records/log.csv\"\n    columns anchor = \"Anchor\", time = \"Time\", calibrated = \"Until\", \
    torque = \"Torque\", remark = \"Remark\"\n    throughout tool = \"TW07\"\n    \
    works first = \"2026-11-01\", last = \"2026-11-05\"\n    with anchors = anchors, T_inst = 50 N·m, T_tol = 10 % @ s\n```\n";

/// A1 passes, A2 is low, A3 has two records, A4 none; A9 is of no base.
const LOG: &str = "Anchor;Time;Until;Torque (N·m);Remark\n\
    A1;02.11.2026 07:38;30.04.2027;51,2;on a shim?\n\
    A2;02.11.2026 07:42;30.04.2027;44,9;<b>&\n\
    A3;02.11.2026 07:45;30.04.2027;50,1;\n\
    A3;02.11.2026 07:46;30.04.2027;50,3;\n\
    A9;02.11.2026 07:50;30.04.2027;50,0;\n";

fn build(sheet: impl Into<String>, log: &str) -> Built {
    let files = Memory::default().with("s.md", sheet.into()).with("records/log.csv", log);
    let (package, _) = Package::open(Box::new(files)).unwrap();
    package.build("s.md")
}

#[track_caller]
fn sound(log: &str) -> Built {
    let built = build(SHEET, log);
    assert!(built.findings.is_empty(), "{:?}", built.findings);
    built
}

/// The lines of the JSON by their symbols.
fn json_lines(built: &Built) -> impl Fn(&str) -> serde_json::Value {
    let trace = built.trace.as_ref().unwrap_or_else(|| panic!("{:?}", built.findings));
    let front = &built.sheet.as_ref().unwrap().document.front;
    let json = to_json(front, trace, &Addresses::new(trace), Circumstances::default());
    let json: serde_json::Value = serde_json::from_slice(&json).unwrap();
    move |symbol| json["lines"].as_array().unwrap().iter().find(|line| line["symbol"] == symbol).unwrap().clone()
}

fn log_line(trace: &Trace) -> LineId {
    trace.compiled.notes.records[0].line
}

#[test]
fn every_anchor_that_is_not_accepted_is_told_with_its_reasons_and_lines() {
    let built = sound(LOG);
    let trace = built.trace.as_ref().unwrap();
    let mut out = Markup::new();
    super::report(&mut out, &trace.compiled.notes.records[0]);
    let html = out.as_str();
    let count = |what: &str| html.matches(what).count();
    let cell = |head: &str, cell: &str| format!("<td data-head=\"{head}\">{cell}</td>");
    let row = |anchor: &str, outcome: &str, line: &str| {
        cell("anchor", anchor) + &cell("outcome and reasons", outcome) + &cell("line", line)
    };
    let low = row("A2", "fails: the torque is below its lower bound: 44.9 N·m against 45 N·m", "3");
    for row in [
        format!("{low}<td class=\"q\" data-head=\"torque, N·m\">44.9</td>").as_str(),
        &row("A3", "several records, none counts", "4, 5"),
        &row("A4", "missing", ""),
        &(cell("anchor", "A9") + &cell("line", "6") + &cell("what was done", "")),
        &cell("remark", "&lt;b&gt;&amp;"),
        &(cell("anchor", "A1") + &cell("line", "2") + &cell("remark", "on a shim?")),
        "Each record was held against: torque from 45 N·m to 55 N·m; a tool that was calibrated on that day; a day from \
         2026-11-01 (the first day of the works) to 2026-11-05 (the last day of the works). Not asked for: embedment, \
         batches, a curing time, an order of torque, a list of tools, how long a calibration lasts, what was done at an anchor.",
        "aria-label=\"1 of 4 anchors pass; A2 fails, A3 several, A4 missing\"",
        "the decimal mark of the torque is a comma, as line 2 shows",
        "and their band from 45 to 55 N·m</figcaption>",
    ] {
        assert_eq!(count(row), 1, "{row} in {html}");
    }
    // One disc for the anchor that passes, one in the series; two rings, one cross of two strokes, two triangles.
    assert_eq!((count("class=\"passes\""), count("<circle class=\"fault\"")), (2, 2), "{html}");
    assert_eq!(count("<path class=\"fault\""), 4, "{html}");
    assert!(!html.contains("NaN"), "{html}");
}

#[test]
fn the_json_lists_the_anchors_that_are_not_accepted_and_what_rows_say_beside() {
    let built = sound(LOG);
    let line = json_lines(&built)("log");
    assert_eq!(line["shown"], "1 of 4 anchors pass");
    assert_eq!(line["value"]["n_unlisted"], 1.0);
    let open = line["records"]["not_accepted"].as_array().unwrap();
    let told: Vec<String> =
        open.iter().map(|anchor| format!("{} {} {}", anchor["anchor"], anchor["state"], anchor["lines"])).collect();
    assert_eq!(
        told,
        ["\"A2\" \"fails\" [3]", "\"A3\" \"several records, none counts\" [4,5]", "\"A4\" \"missing\" null"]
    );
    assert_eq!(open[0]["torque"], 44.9);
    assert_eq!(open[0]["tool"], "TW07");
    let records = &line["records"];
    assert_eq!(records["unlisted"], serde_json::json!([{ "anchor": "A9", "line": 6 }]));
    assert_eq!(records["remarks"], serde_json::json!([{ "anchor": "A1", "line": 2, "remark": "on a shim?" }]));
    assert_eq!(records["asked"][0], "torque from 45 N·m to 55 N·m");
}

#[test]
fn a_sheet_rests_on_its_records() {
    let built = sound(LOG);
    let RestsOn::Files(files) = built.rests_on() else { panic!("it was built") };
    assert!(files.contains("records/log.csv"), "{files:?}");
    let other = sound(&LOG.replace("<b>&", "loose"));
    let [one, two] = [&built, &other].map(|built| built.trace.as_ref().unwrap());
    let source = &built.sheet.as_ref().unwrap().document.source;
    assert_ne!(provenance(one, source).digest, provenance(two, source).digest);
    // Counts are the same, but a tick on the line was given to other records.
    assert_ne!(digest(one, log_line(one)), digest(two, log_line(two)));
    assert_eq!(digest(one, log_line(one)), digest(sound(LOG).trace.as_ref().unwrap(), log_line(one)));
}

/// A1 was moved and passes; A2 was repaired first and torqued again without a word; A3 is another fastener; A4 is as specified.
const DONE: &str = "Anchor;Time;Until;Torque (N·m);What;Lot;Remark\n\
    A1;02.11.2026 07:38;30.04.2027;51,2;MOVED 20 mm;L-1;bar in the hole\n\
    A2;02.11.2026 07:42;30.04.2027;44,9;made good;L-1;\n\
    A2;02.11.2026 09:42;30.04.2027;50,9;;L-1;\n\
    A3;02.11.2026 07:45;30.04.2027;50,1;other type;L-2;\n\
    A4;02.11.2026 07:46;30.04.2027;50,3;ok;;\n";

#[test]
fn what_was_done_is_counted_and_told_one_by_one_and_a_substituted_anchor_does_not_pass() {
    let sheet = SHEET
        .replace("remark = \"Remark\"", "remark = \"Remark\", done = \"What\", batch = \"Lot\"")
        .replace(
            "works",
            "words moved = \"moved 20 mm\", repaired = \"made good\", substituted = \"other type\", as_specified = \"ok\"\n    \
             works",
        )
        .replace("T_tol = 10 %", "T_tol = 10 %, latest_counts = yes");
    let sheet = format!("{sheet}\n```derive\nmoved = log.moved\nbatches = log.batches\nline = log.moved.line\n```\n");
    let built = build(sheet, DONE);
    let trace = built.trace.as_ref().unwrap_or_else(|| panic!("{:?}", built.findings));
    let line = json_lines(&built);
    let log = line("log");
    let count = |name: &str| log["value"][name].as_f64().unwrap();
    let counts =
        ["n_pass", "n_accepted", "n_fail", "n_as_specified", "n_repaired", "n_moved", "n_substituted"].map(count);
    assert_eq!(counts, [3.0, 2.0, 1.0, 1.0, 1.0, 1.0, 1.0]);
    let labels =
        |name: &str| log["value"][name].as_array().unwrap().iter().map(|row| row["label"].clone()).collect::<Vec<_>>();
    assert_eq!(["repaired", "moved", "substituted"].map(labels), [["A2"], ["A1"], ["A3"]]);
    assert_eq!(
        [line("moved")["shown"].clone(), line("batches")["shown"].clone()],
        ["A1", "L-1, L-2, not\u{a0}recorded"]
    );
    assert_eq!(line("line")["value"], serde_json::json!([2.0]));
    let open = log["records"]["not_accepted"].as_array().unwrap();
    let open: Vec<String> = open.iter().map(|row| format!("{} {}", row["anchor"], row["state"])).collect();
    assert_eq!(open, ["\"A1\" \"passes, not accepted yet\"", "\"A3\" \"substituted\""]);
    let done: Vec<String> = log["records"]["deviating"]
        .as_array()
        .unwrap()
        .iter()
        .map(|row| format!("{} {} {} {}", row["anchor"], row["done"], row["state"], row["line"]))
        .collect();
    let told = [
        "\"A1\" [\"moved\"] \"passes, not accepted yet\" 2",
        "\"A2\" [\"repaired\"] \"passes\" 3",
        "\"A3\" [\"substituted\"] \"substituted\" 5",
    ];
    assert_eq!(done, told);
    let mut out = Markup::new();
    super::report(&mut out, &trace.compiled.notes.records[0]);
    let html = out.as_str();
    for part in [
        "substituted: another fastener than the one specified: the sign-off of the calculation is void until it has been verified in every value</td>",
        "aria-label=\"3 of 4 anchors pass, 1 not accepted yet; A1 moved, A3 substituted\"",
        "Ring: passes, moved, not verified in its place as built.",
        "passes, not accepted yet: it was moved and is not verified in its place as built</td>",
        "<td class=\"q\" data-head=\"pass, not accepted yet\">1</td>",
        "<td class=\"q\" data-head=\"pass as specified\">1</td>",
        "a moved anchor is accepted once it was verified in its place as built",
        "Diamond: substituted.",
    ] {
        assert_eq!(html.matches(part).count(), 1, "{part} in {html}");
    }
}

/// A1 cannot be read and is another fastener; A2 was moved and has a strange word; A9 is of no base and was mended.
const BROKEN: &str = "Anchor;Time;Until;Torque (N·m);What;Lot;Remark\n\
    A1;02.11.2026 07:38;30.04.2027;5l,2;other type;L-1;ran out of the first\n\
    A2;02.11.2026 07:42;30.04.2027;50,9;hammered;L-1;\n\
    A3;02.11.2026 07:45;30.04.2027;50,1;;L-1;\n\
    A4;02.11.2026 07:46;30.04.2027;50,3;;L-1;\n\
    A9;02.11.2026 07:49;30.04.2027;50,3;made good;L-1;near the wall\n";

#[test]
fn what_unreadable_and_unlisted_rows_say_was_done_is_on_the_page_and_none_is_not_claimed() {
    let sheet = SHEET.replace("remark = \"Remark\"", "remark = \"Remark\", done = \"What\", batch = \"Lot\"").replace(
        "works",
        "words moved = \"moved 20 mm\", repaired = \"made good\", substituted = \"other type\"\n    works",
    );
    let built = build(sheet, BROKEN);
    let trace = built.trace.as_ref().unwrap_or_else(|| panic!("{:?}", built.findings));
    let log = json_lines(&built)("log");
    let counts = ["n_repaired", "n_moved", "n_substituted", "n_rows_unreadable", "n_open"]
        .map(|name| log["value"][name].clone());
    assert_eq!(counts, [1.0, 0.0, 1.0, 2.0, 2.0]);
    let rows = serde_json::json!([
        { "anchor": "A1", "done": ["substituted"], "is_done_known": true, "line": 2, "remark": "ran out of the first" },
        { "anchor": "A2", "is_done_known": false, "line": 3 },
    ]);
    assert_eq!(log["records"]["unreadable"], rows);
    let stray = serde_json::json!([{ "anchor": "A9", "done": ["repaired"], "line": 6, "remark": "near the wall" }]);
    assert_eq!(log["records"]["unlisted"], stray);
    let labels =
        |name: &str| log["value"][name].as_array().unwrap().iter().map(|row| row["label"].clone()).collect::<Vec<_>>();
    let silent = "2 rows cannot be read";
    assert_eq!(labels("substituted"), ["A1", silent]);
    assert_eq!(labels("repaired"), ["A9 (no anchor specified)", silent]);
    assert_eq!(labels("moved"), [silent]);
    let mut out = Markup::new();
    super::report(&mut out, &trace.compiled.notes.records[0]);
    let html = out.as_str();
    for part in [
        "data-head=\"line\">6</td><td data-head=\"what was done\">repaired</td><td data-head=\"remark\">near the wall</td>",
        "data-head=\"line\">2</td><td data-head=\"what was done\">substituted</td><td data-head=\"remark\">ran out of the first</td>",
        "data-head=\"line\">3</td><td data-head=\"what was done\">not known</td>",
        "What was done is not known of 1 of the 2 rows that cannot be read",
        "found\">“5l,2”</td>",
    ] {
        assert_eq!(html.matches(part).count(), 1, "{part} in {html}");
    }
}

#[test]
fn small_and_large_readings_keep_their_powers_of_ten() {
    let built = sound(&LOG.replace(";44,9;", ";0,00000001;").replace(";51,2;", ";99999999999;"));
    let open = json_lines(&built)("log")["records"]["not_accepted"].clone();
    let reasons = [0, 1].map(|at: usize| open[at]["reasons"][0].as_str().unwrap().to_owned());
    assert!(
        reasons[0].ends_with("99 999 999 999 N·m against 55 N·m".replace(' ', "\u{202f}").as_str())
            || reasons[0].contains("×10"),
        "{reasons:?}"
    );
    assert!(reasons[1].contains("1×10⁻⁸ N·m against 45 N·m"), "{reasons:?}");
}

#[test]
fn a_waiting_time_is_told_in_a_unit_in_which_it_is_whole() {
    for (given, told) in [("3 h", "3 h"), ("90 min", "90 min"), ("3 s", "3 s"), ("0 h", "0 s")] {
        let sheet = SHEET
            .replace("remark = \"Remark\"", "remark = \"Remark\", set = \"Time\"")
            .replace("T_tol = 10 %", &format!("T_tol = 10 %, t_cure = {given}"));
        let asked = json_lines(&build(sheet, LOG))("log")["records"]["asked"].clone();
        assert_eq!(asked[1], format!("torque at least {told} after setting"));
    }
}
