use crate::run::{Folder, Run, sheet, sheet_that_is};
use std::collections::BTreeMap;
use std::path::Path;

/// Every file below a folder with its bytes.
fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        if path.is_dir() {
            found.extend(files(&path).into_iter().map(|(inside, bytes)| (format!("{name}/{inside}"), bytes)));
        } else {
            found.insert(name, std::fs::read(path).unwrap());
        }
    }
    found
}

#[test]
fn a_package_gives_a_page_and_data_for_each_sheet_and_an_index() {
    let folder = Run::beside_package("satisfied");
    folder.write("depot/frame/base.md", sheet_that_is("satisfied").replace("020", "021"));
    let folder = folder.arguments(["render", "depot"]).stderr("2 sheets: 2 satisfied; pages in out\n").exit(0);
    let names: Vec<String> = files(&folder.path("out")).into_keys().collect();
    assert_eq!(names, ["b4.html", "b4.json", "frame/base.html", "frame/base.json", "index.html"]);
}

#[test]
fn computed_tables_and_records_are_data_in_the_units_that_the_page_shows() {
    let folder = Run::in_package("satisfied");
    let plate = "\n```derive\noutline = rectangle(500 mm, 360 mm)\ncorner = outline.\"2\"\n```\n";
    folder.write("depot/b4.md", format!("{}{plate}", sheet_that_is("satisfied")));
    let folder = folder.arguments(["render"]).exit(0);
    let json: serde_json::Value = serde_json::from_str(&folder.read("depot/out/b4.json")).unwrap();
    let line = |symbol: &str| json["lines"].as_array().unwrap().iter().find(|line| line["symbol"] == symbol).unwrap();
    assert_eq!(line("outline")["value"][1], serde_json::json!({ "label": "2", "x": 250.0, "y": -180.0 }));
    assert_eq!(line("outline")["units"], serde_json::json!({ "x": "mm", "y": "mm" }));
    assert_eq!(line("corner")["value"], serde_json::json!({ "x": 250.0, "y": -180.0 }));
    assert_eq!(line("corner")["units"], serde_json::json!({ "x": "mm", "y": "mm" }));
}

#[test]
fn pages_go_where_out_says_and_single_sheets_leave_the_index_alone() {
    let folder = Run::in_package("satisfied");
    folder.write("depot/b5.md", sheet_that_is("not-satisfied"));
    let folder = folder
        .arguments(["render", "b4.md", "--out", "../pages/today"])
        .stderr("1 sheet: 1 satisfied; pages in ../pages/today\n")
        .exit(0);
    let names: Vec<String> = files(&folder.path("pages/today")).into_keys().collect();
    assert_eq!(names, ["b4.html", "b4.json"]);
}

#[test]
fn the_current_folder_is_the_package_where_nothing_is_named() {
    let folder =
        Run::in_package("not-satisfied").arguments(["render"]).says("not satisfied    1.20  b4.md: pull-out").exit(1);
    assert!(folder.holds("depot/out/index.html"));
}

#[test]
fn several_packages_get_a_folder_each() {
    let folder = Run::beside_package("satisfied");
    folder.write("yard/soleplate.toml", "title = \"Yard\"\n").write("yard/c1.md", sheet("5 kN"));
    folder.write("old/yard/soleplate.toml", "title = \"Yard\"\n").write("old/yard/c1.md", sheet("5 kN"));
    let folder = folder.arguments(["render", "depot", "yard"]).exit(0);
    assert!(folder.holds("out/depot/index.html") && folder.holds("out/yard/c1.html"));
    folder.arguments(["render", "yard", "old/yard"]).tells("two packages would be written to").exit(2);
}

#[test]
fn the_old_page_stays_when_a_sheet_breaks() {
    let folder = Run::beside_package("satisfied").arguments(["render", "depot"]).exit(0);
    let before = folder.read("out/b4.html");
    folder.write("depot/b4.md", sheet_that_is("errors"));
    let folder = folder.arguments(["render", "depot"]).exit(4);
    assert_eq!(folder.read("out/b4.html"), before);
    folder.write("depot/b4.md", &sheet_that_is("satisfied")[..150]);
    let folder = folder.arguments(["render", "depot"]).exit(4);
    assert_eq!(folder.read("out/b4.html"), before);
    // A result that is not satisfied is a result.
    folder.write("depot/b4.md", sheet_that_is("not-satisfied"));
    let folder = folder.arguments(["render", "depot"]).exit(1);
    assert_ne!(folder.read("out/b4.html"), before);
}

#[test]
fn a_broken_manifest_keeps_every_page_as_it_was() {
    let folder = Run::beside_package("satisfied").arguments(["render", "depot"]).exit(0);
    let before = files(&folder.path("out"));
    folder.write("depot/b4.md", sheet("5 kN")).write("depot/soleplate.toml", "figures = 40\n");
    let folder = folder
        .arguments(["render", "depot"])
        .tells("error[front-matter]: `figures` must be from 2 to 12")
        .tells("no page was written, since the package itself has errors")
        .exit(4);
    assert_eq!(files(&folder.path("out")), before);
}

#[test]
fn the_same_input_gives_the_same_bytes_in_two_folders_and_leaves_them_alone() {
    let build = || {
        let folder = Run::beside_package("satisfied");
        folder.write("depot/frame/base.md", sheet("7 kN"));
        folder.arguments(["render", "depot"]).exit(0)
    };
    let (one, two) = (build(), build());
    assert_eq!(files(&one.path("out")), files(&two.path("out")));
    let changed = |folder: &Folder| std::fs::metadata(folder.path("out/b4.html")).unwrap().modified().unwrap();
    let before = changed(&one);
    let one = one.arguments(["render", "depot"]).exit(0);
    assert_eq!(changed(&one), before);
}

#[test]
fn pages_that_cannot_be_written_are_told() {
    let folder = Run::beside_package("satisfied");
    folder.write("out", "a file where the folder should be");
    folder.arguments(["render", "depot"]).tells("error: out/").exit(5);
}

#[test]
fn a_sheet_cannot_take_the_place_of_the_index() {
    let folder = Run::beside_package("satisfied");
    folder.write("depot/index.md", sheet("1 kN")).write("depot/frame/index.md", sheet("1 kN"));
    let folder = folder.arguments(["render", "depot"]).tells("error[reserved-name]").tells("1 has errors").exit(4);
    assert!(folder.holds("out/index.html") && folder.holds("out/frame/index.html"));
}

#[test]
fn many_sheets_are_told_in_the_order_of_their_paths() {
    let folder = Run::beside_package("satisfied");
    for at in 0..60 {
        folder.write(
            &format!("depot/s{at:02}.md"),
            sheet(&format!("{} kN", 11 + at % 30)).replace("020", &format!("1{at:02}")),
        );
    }
    let (_, stdout, stderr) = folder.arguments(["render", "depot"]).finish(1);
    let names: Vec<&str> = stdout.lines().filter(|line| line.starts_with("not ")).collect();
    assert_eq!(names.len(), 60);
    assert!(names.is_sorted_by_key(|line| line.split("depot/").nth(1)), "{stdout}");
    assert_eq!(stderr, "61 sheets: 1 satisfied, 60 not satisfied; pages in out\n");
}
