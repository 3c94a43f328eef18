use crate::run::{Run, sheet_that_is};

#[test]
fn the_register_says_what_is_open_in_each_sheet() {
    let folder = Run::in_package("satisfied");
    folder.write("depot/b5.md", sheet_that_is("not-satisfied").replace("020", "021"));
    let folder = folder
        .arguments(["review", "b4.md", "--query", "N_Ed", "which case?", "--tick", "N_Rd", "--by", "R.T."])
        .exit(0)
        .arguments(["register"])
        .stdout(
            "satisfied        0.40  b4.md: pull-out
    FTD-ST-CALC-020 P01 Bracket (draft, unchecked)
    2 lines to check
    1 query open
not satisfied    1.20  b5.md: pull-out
    FTD-ST-CALC-021 P01 Bracket (draft, unchecked)
",
        )
        .stderr("2 sheets: 1 satisfied, 1 not satisfied\n")
        .exit(0);
    let (folder, stdout, _) = folder.arguments(["register", "--json", "-"]).finish(0);
    let json: serde_json::Value = serde_json::from_str(&stdout).unwrap();
    assert_eq!(json["title"], "Tram depot");
    assert_eq!(json["sheets"][0]["review"]["open"], 1);
    assert_eq!(json["sheets"][0]["governing"]["check"], "pull-out");
    assert_eq!(json["sheets"][1]["verdict"], "not satisfied");
    assert!(json["sheets"][1]["review"].is_null());
    // The index page is the same register.
    let folder = folder.arguments(["render"]).exit(1);
    let page = folder.read("depot/out/index.html");
    assert!(page.contains("2 lines to check") && page.contains("1 query open"));
    folder.write("depot/b6.md", sheet_that_is("errors"));
    folder.arguments(["register"]).tells("unknown-symbol").exit(4);
}
