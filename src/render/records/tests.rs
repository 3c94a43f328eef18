//! Reports through a real sheet: one base, four anchors, each with another outcome.

use crate::compile::LineId;
use crate::evaluate::Trace;
use crate::package::{Built, Memory, Package, RestsOn};
use crate::render::address::Addresses;
use crate::render::json::to_json;
use crate::render::markup::Markup;
use crate::render::provenance::provenance;
use crate::review::digest;

const SHEET: &str = "+++\ntitle = \"T\"\nnumber = \"1\"\nrevision = \"P01\"\npurpose = \"P.\"\nscope = \"S.\"\n+++\n\n\
    ```given\nanchors = table x in mm, y in mm @ s\n    A1: -75, -75\n    A2: 75, -75\n    A3: 75, 75\n    A4: -75, 75\n\
    log = records \"records/log.csv\"\n    columns anchor = \"Anchor\", time = \"Time\", calibrated = \"Until\", \
    torque = \"Torque\", remark = \"Remark\"\n    with anchors = anchors, T_inst = 50 N·m, T_tol = 10 % @ s\n```\n";

/// A1 passes, A2 is low, A3 has two records, A4 none; A9 is of no base.
const LOG: &str = "Anchor;Time;Until;Torque (N·m);Remark\n\
    A1;02.11.2026 07:38;30.04.2027;51,2;\n\
    A2;02.11.2026 07:42;30.04.2027;44,9;<b>&\n\
    A3;02.11.2026 07:45;30.04.2027;50,1;\n\
    A3;02.11.2026 07:46;30.04.2027;50,3;\n\
    A9;02.11.2026 07:50;30.04.2027;50,0;\n";

#[track_caller]
fn build(log: &str) -> Built {
    let files = Memory::default().with("s.md", SHEET).with("records/log.csv", log);
    let (package, _) = Package::open(Box::new(files)).unwrap();
    let built = package.build("s.md");
    assert!(built.findings.is_empty(), "{:?}", built.findings);
    built
}

fn log_line(trace: &Trace) -> LineId {
    trace.compiled.notes.records[0].line
}

#[test]
fn every_anchor_that_does_not_pass_is_told_with_its_reasons_and_lines() {
    let built = build(LOG);
    let trace = built.trace.as_ref().unwrap();
    let mut out = Markup::new();
    super::report(&mut out, &trace.compiled.notes.records[0]);
    let html = out.as_str();
    let count = |what: &str| html.matches(what).count();
    for row in [
        "<td>A2</td><td>fails: the torque is below its lower bound</td><td>3</td><td class=\"q\">44.9</td>",
        "<td>A3</td><td>several records, none counts</td><td>4, 5</td>",
        "<td>A4</td><td>missing</td><td></td>",
        "<td>A9</td><td>6</td>",
        "<td>&lt;b&gt;&amp;</td>",
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
fn the_json_lists_the_anchors_that_do_not_pass() {
    let built = build(LOG);
    let trace = built.trace.as_ref().unwrap();
    let front = &built.sheet.as_ref().unwrap().document.front;
    let json = to_json(front, trace, &Addresses::new(trace), &[], None, "");
    let json: serde_json::Value = serde_json::from_slice(&json).unwrap();
    let line = json["lines"].as_array().unwrap().iter().find(|line| line["symbol"] == "log").unwrap();
    assert_eq!(line["shown"], "1 of 4 anchors pass");
    assert_eq!(line["value"]["n_unlisted"], 1.0);
    let open = line["records"]["not_passing"].as_array().unwrap();
    let told: Vec<String> =
        open.iter().map(|anchor| format!("{} {} {}", anchor["anchor"], anchor["state"], anchor["lines"])).collect();
    assert_eq!(
        told,
        ["\"A2\" \"fails\" [3]", "\"A3\" \"several records, none counts\" [4,5]", "\"A4\" \"missing\" null"]
    );
    assert_eq!(open[0]["torque"], 44.9);
}

#[test]
fn a_sheet_rests_on_its_records() {
    let built = build(LOG);
    let RestsOn::Files(files) = built.rests_on() else { panic!("it was built") };
    assert!(files.contains("records/log.csv"), "{files:?}");
    let other = build(&LOG.replace("<b>&", "loose"));
    let [one, two] = [&built, &other].map(|built| built.trace.as_ref().unwrap());
    let source = &built.sheet.as_ref().unwrap().document.source;
    assert_ne!(provenance(one, source).digest, provenance(two, source).digest);
    // Counts are the same, but a tick on the line was given to other records.
    assert_ne!(digest(one, log_line(one)), digest(two, log_line(two)));
    assert_eq!(digest(one, log_line(one)), digest(build(LOG).trace.as_ref().unwrap(), log_line(one)));
}
