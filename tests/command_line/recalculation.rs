//! A calculation that is made again with other values: it says what the calculation itself would say with them.

use crate::run::Folder;
use crate::signing::Signing;
use serde_json::Value;
use std::collections::BTreeMap;

const DEMO: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/sheets/fellmere-tram-depot/");

/// The demo's mast and its survey, in a package of their own.
fn mast() -> Folder {
    let folder = Folder::empty();
    for path in [
        "soleplate.toml",
        "signal-mast-m1.md",
        "signal-mast-m1-as-built.md",
        "records/m1-survey.csv",
        "data/hd-20.toml",
    ] {
        let text = std::fs::read_to_string(format!("{DEMO}{path}")).unwrap();
        folder.write(&format!("depot/{path}"), text);
    }
    folder
}

/// The lines of a rendered sheet by their scope, their symbol or words, and how often that stood before.
fn lines(folder: &Folder, sheet: &str, scope: &str) -> BTreeMap<(String, String, usize), Value> {
    let json: Value = serde_json::from_str(&folder.read(&format!("out/{sheet}.json"))).unwrap();
    let mut all: BTreeMap<_, Value> = BTreeMap::new();
    for line in json["lines"].as_array().unwrap() {
        let text = |field: &str| line[field].as_str().unwrap_or_default().to_owned();
        let Some(inner) = text("scope").strip_prefix(scope).map(|inner| inner.trim_matches('.').to_owned()) else {
            continue;
        };
        let name = format!("{} {}", text("symbol"), text("description"));
        let before = all.keys().filter(|(own, other, _): &&(String, String, usize)| *own == inner && *other == name);
        let key = (inner.clone(), name.clone(), before.count());
        all.insert(key, line.clone());
    }
    all
}

fn number(line: &Value, field: &str) -> Option<f64> {
    line[field].as_f64()
}

#[test]
fn it_says_what_the_calculation_says_when_the_values_are_written_into_it() {
    let folder = mast();
    let text = folder.read("depot/signal-mast-m1.md");
    let edited = text
        .replace("A1: -125, -125", "A1: -127, -124")
        .replace("A2:  125, -125", "A2: 126.5, -126")
        .replace("A3: -125,  125", "A3: -123.5, 126.5")
        .replace("A4:  125,  125", "A4: 133, 124.5")
        // By hand: the middle of the bolts is at x = 2.25 mm and y = 0.25 mm.
        .replace("M_x  = 0 kN·m", "M_x  = -0.02375 kN·m")
        .replace("M_y  = 0 kN·m", "M_y  = -0.21375 kN·m")
        .replace("T    = 0 kN·m", "T    = 0.011 kN·m");
    folder.write("depot/edited.md", edited);
    let folder = folder.arguments(["render", "depot"]).exit(0);
    let again = lines(&folder, "signal-mast-m1-as-built", "signal-mast-m1");
    let edited = lines(&folder, "edited", "");
    let before = lines(&folder, "signal-mast-m1", "");
    let mut compared = 0;
    for (id, line) in &edited {
        let made = again.get(id).unwrap_or_else(|| panic!("{id:?} is missing"));
        assert_eq!(made["verdict"], line["verdict"], "{id:?}");
        for field in ["value", "ratio"] {
            if let Some(value) = number(line, field) {
                let other = number(made, field).unwrap();
                assert!((value - other).abs() <= 1e-9 * value.abs().max(1e-3), "{id:?}: {value} and {other}");
                compared += 1;
            }
        }
        // Beside each ratio stands what it is without the survey.
        if line["verdict"] == "satisfied" {
            assert_eq!(made["ratio_before"], before[id]["ratio"], "{id:?}");
        }
    }
    assert!(compared > 150, "{compared}");
    assert_eq!(edited.len(), again.len());
    let changed = edited.iter().filter(|(id, line)| line["ratio"] != before[*id]["ratio"]);
    assert!(changed.count() >= 7);
}

#[test]
fn the_same_values_give_the_same_ratios() {
    let folder = mast();
    let survey = folder.read("depot/records/m1-survey.csv");
    let as_designed: Vec<String> = survey
        .lines()
        .map(|line| {
            let cells: Vec<&str> = line.split(';').collect();
            match cells.as_slice() {
                [bolt @ ("A1" | "A2" | "A3" | "A4"), x, y, ..] => format!("{bolt};{x};{y};{x};{y};95"),
                _ => line.to_owned(),
            }
        })
        .collect();
    folder.write("depot/records/m1-survey.csv", as_designed.join("\n"));
    let folder = folder.arguments(["render", "depot"]).exit(0);
    let again = lines(&folder, "signal-mast-m1-as-built", "signal-mast-m1");
    let ratios: Vec<&Value> = again.values().filter(|line| line["ratio_before"].is_f64()).collect();
    assert!(ratios.len() >= 7);
    for line in ratios {
        assert_eq!(line["ratio"], line["ratio_before"], "{}", line["id"]);
    }
    let page = folder.read("out/signal-mast-m1-as-built.html");
    let section = &page[page.find("Every ratio; checks whose verdict changed come first").unwrap()..];
    let section = &section[..section.find("</table>").unwrap()];
    assert!(!section.contains('%') && section.matches("same").count() >= 7);
    assert!(page.contains(SAME), "the page says that nothing is other");
}

const SAME: &str = "Every value is the same as in FTD-ST-CALC-018";

#[test]
fn a_survey_that_is_not_handed_on_is_told() {
    let mut folder = mast();
    let text = folder.read("depot/signal-mast-m1-as-built.md");
    let (above, _) = text.split_once("use \"signal-mast-m1.md\"").unwrap();
    let mut render = |with: &str| {
        let words = "\"with the bolts as surveyed\"";
        let sheet = format!("{above}use \"signal-mast-m1.md\"{with} {words}\n```\n");
        folder.write("depot/signal-mast-m1-as-built.md", sheet);
        let run = std::mem::replace(&mut folder, Folder::empty()).arguments(["render", "depot"]);
        let (again, said, _) = run.finish(0);
        folder = again;
        let page = folder.read("out/signal-mast-m1-as-built.html");
        (said.contains("is made again and every value is the same as before"), page.contains(SAME))
    };
    for with in ["", " with anchors = layout", " with anchors = layout, V_y = V_y"] {
        assert_eq!(render(with), (true, true), "{with}");
    }
    assert_eq!(render(" with anchors = as_set"), (false, false));
}

#[test]
fn another_product_is_compared_in_every_value_and_what_flips_stands_first() {
    let folder = mast();
    let weaker = folder.read("depot/data/hd-20.toml").replacen("title = \"", "title = \"Other ", 1).replacen(
        "value = \"519 N·m\"",
        "value = \"265 N·m\"",
        1,
    );
    folder.write("depot/data/other.toml", weaker);
    let head = "+++\ntitle = \"Mast on other bolts\"\nnumber = \"C-1\"\nrevision = \"P01\"\npurpose = \"p\"\nscope = \"s\"\n+++\n\n";
    let body = "```given\nother = data \"data/other.toml\" \"bolt offered\" @ letter of the contractor\n```\n\n\
                ```clause\nuse \"signal-mast-m1.md\" with anchor = other \"on the bolts offered\"\n```\n";
    folder.write("depot/other.md", format!("{head}{body}"));
    let folder = folder.arguments(["render", "depot/other.md"]).exit(1);
    let page = folder.read("out/other.html");
    let caption = &page[page.find("Every value of Other").unwrap()..];
    let caption = &caption[..caption.find("</caption>").unwrap()];
    assert!(caption.contains(": 1 of ") && caption.ends_with("differs"), "{caption}");
    let table = &page[page.find("Every ratio; checks").unwrap()..];
    let first = &table[table.find("<tbody").unwrap()..];
    let first = &first[..first.find("</tr>").unwrap()];
    assert!(first.contains("satisfied, now ") && first.contains("not satisfied"), "{first}");
    assert!(page.contains("What was signed there covers none of the values below."));
}

#[test]
fn an_issued_page_carries_the_calculation_that_it_makes_again() {
    let folder = mast();
    folder.write("depot/allowed_signers", "");
    let folder = folder.arguments(["render", "--issue", "depot/signal-mast-m1-as-built.md"]).exit(0);
    let alone = Folder::empty();
    alone.write("page.html", folder.read("out/signal-mast-m1-as-built.html"));
    alone.arguments(["verify", "page.html"]).says("every byte is as its sources give it").exit(0);
}

#[test]
fn a_signature_is_void_once_the_calculation_made_again_is_another() {
    let signing = Signing::of("satisfied");
    let base = signing.folder.read("depot/b4.md");
    signing.folder.write("depot/base.md", &base);
    let head = &base[..base.rfind("+++").unwrap() + 4];
    let uses = "\n```clause\nuse \"base.md\" with N_Ed = 5 kN \"as weighed\"\n```\n";
    signing.folder.write("depot/b4.md", format!("{head}{uses}"));
    signing.sign("rt", "creator", &[]).expect(0);
    signing.run(&["verify", "depot/b4.md"]).expect(0);
    signing.folder.write("depot/base.md", base.replace("N_Rd = 10 kN", "N_Rd = 11 kN"));
    signing.run(&["register", "depot"]).says("void");
}
