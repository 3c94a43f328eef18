use crate::run::{Folder, Run, head, sheet_that_is};

#[test]
fn every_way_to_come_out_has_its_exit_code() {
    Run::in_package("satisfied")
        .arguments(["verify"])
        .stdout("satisfied        0.40  b4.md: pull-out\n")
        .stderr("1 sheet: 1 satisfied\n")
        .exit(0);
    Run::in_package("not-satisfied")
        .arguments(["verify"])
        .stdout("not satisfied    1.20  b4.md: pull-out\n    b4.md:15: pull-out is not satisfied, ratio 1.20\n")
        .stderr("1 sheet: 1 not satisfied\n")
        .exit(1);
    Run::in_package("not-valid")
        .arguments(["verify"])
        .stdout(
            "not valid           –  b4.md: `N_Ed`\n    \
             b4.md:10: `N_Ed`: 60 kN lies outside 0 kN to 50 kN\n",
        )
        .stderr("1 sheet: 1 not valid\n")
        .exit(3);
    Run::in_package("errors")
        .arguments(["verify"])
        .stdout("has errors             b4.md\n")
        .stderr(
            "error[unknown-symbol]: nothing defines `N_Rt`
  --> b4.md:15:9
   |
15 | N_Ed <= N_Rt  \"pull-out\"
   |         ^^^^ not a symbol of this sheet
   |
   = help: did you mean `N_Rd`?

1 sheet: 1 has errors; 1 error
",
        )
        .exit(4);
}

#[test]
fn the_worst_sheet_of_a_package_counts_and_all_are_told_of() {
    let folder = Run::beside_package("satisfied");
    for kind in ["not-satisfied", "not-valid", "errors"] {
        folder.write(&format!("depot/frame/{kind}.md"), sheet_that_is(kind).replace("CALC-020", kind));
    }
    folder
        .arguments(["verify", "depot"])
        .says("satisfied        0.40  depot/b4.md")
        .says("not satisfied    1.20  depot/frame/not-satisfied.md")
        .tells("--> depot/frame/errors.md:15:9")
        .tells("4 sheets: 1 satisfied, 1 not satisfied, 1 not valid, 1 has errors; 1 error\n")
        .exit(4)
        .arguments(["verify", "depot/frame/not-valid.md", "depot/b4.md"])
        .tells("2 sheets: 1 satisfied, 1 not valid\n")
        .exit(3)
        .arguments(["verify", "depot/frame"])
        .tells("3 sheets")
        .exit(4);
}

#[test]
fn a_mistake_in_a_clause_is_told_once_for_all_its_users() {
    let folder = Run::beside_package("satisfied");
    let clause = head("C").replace("+++\ntitle", "+++\nkind = \"clause\"\ntitle");
    folder.write("depot/clauses/own/c.md", clause + "```derive\nx = (1\n```\n");
    let user = sheet_that_is("satisfied") + "\n```clause\nuse own/c\n```\n";
    folder.write("depot/b4.md", &user).write("depot/b5.md", &user);
    let (_, _, stderr) = folder.arguments(["verify", "depot"]).finish(4);
    assert_eq!(stderr.matches("error[syntax]").count(), 1, "{stderr}");
}

#[test]
fn a_sheet_that_checks_nothing_says_so() {
    let folder = Run::in_package("satisfied");
    folder.write("depot/b4.md", head("T") + "```given\nx = 1\n```\n");
    folder.arguments(["verify"]).stdout("satisfied              b4.md: nothing is checked\n").exit(0);
}

#[test]
fn a_package_without_sheets_is_no_mistake() {
    let folder = Folder::empty();
    folder.write("depot/soleplate.toml", "title = \"T\"\n").write("depot/README.md", "notes");
    folder.arguments(["verify", "depot"]).stdout("").stderr("no sheet\n").exit(0);
}

#[test]
fn paths_are_shown_from_where_the_command_was_typed() {
    let folder = Run::in_package("errors");
    folder.arguments(["verify", "b4.md"]).tells("--> b4.md:15:9").exit(4);
    let folder = Run::beside_package("errors");
    let folder = folder.arguments(["verify", "./depot/../depot/b4.md"]).tells("--> depot/b4.md:15:9").exit(4);
    std::fs::create_dir(folder.path("depot/frame")).unwrap();
    let output = folder.command().current_dir(folder.path("depot/frame")).args(["verify", ".."]).output().unwrap();
    assert!(String::from_utf8_lossy(&output.stderr).contains("--> ../b4.md:15:9"));
}

#[test]
fn a_sheet_outside_any_package_is_built_by_itself() {
    let folder = Folder::empty();
    folder.write("b4.md", sheet_that_is("satisfied")).write("other.md", "no sheet at all");
    folder.arguments(["verify", "b4.md"]).stderr("1 sheet: 1 satisfied\n").exit(0);
}

#[test]
fn what_is_no_sheet_is_refused_with_the_reason() {
    let folder = Run::beside_package("satisfied");
    folder.write("depot/clauses/own/c.md", "").write("depot/Notes.md", "").write("depot/a.txt", "");
    folder.write("plain/x.txt", "");
    folder
        .arguments(["verify", "depot/clauses/own/c.md"])
        .tells("clauses are shown by the sheets that use them")
        .exit(2)
        .arguments(["verify", "depot/Notes.md"])
        .tells("names that start with a capital or an underscore are notes")
        .exit(2)
        .arguments(["verify", "depot/a.txt"])
        .tells("names of sheets end in `.md`")
        .exit(2)
        .arguments(["verify", "plain"])
        .tells("`plain` is no package: it holds no soleplate.toml")
        .exit(2);
}

#[test]
fn misspelt_paths_are_answered_with_near_ones() {
    Run::beside_package("satisfied")
        .arguments(["verify", "dpot/b4.md"])
        .stderr("error: there is no `dpot/b4.md`\nhelp: did you mean `depot/b4.md`?\n")
        .exit(5)
        .arguments(["verify", "depot/b4"])
        .tells("help: did you mean `depot/b4.md`?")
        .exit(5)
        .arguments(["verify", "nothing-like-it"])
        .stderr("error: there is no `nothing-like-it`\n")
        .exit(5);
}

#[test]
fn a_clause_among_the_sheets_is_pointed_out() {
    let folder = Run::beside_package("satisfied");
    let clause = "+++\nkind = \"clause\"\ntitle = \"T\"\nstandard = \"S\"\nclause = \"1\"\nversion = \"1\"\n\
                  scope = \"s\"\nbasis = \"b\"\n+++\n";
    folder.write("depot/own.md", clause);
    folder
        .arguments(["verify", "depot"])
        .tells("warning[unknown-clause]: this clause lies outside `clauses/`")
        .tells("2 sheets: 1 a clause, 1 satisfied; 1 warning\n")
        .exit(0);
}

#[test]
fn a_report_for_pipelines_holds_every_check() {
    let folder = Run::beside_package("satisfied");
    let text = head("Bracket & <base>").replace("020", "021")
        + "```given\nN = 4 kN \"tension\"\nV = 5 kN \"shear\"\n```\n\n```verify\nN <= 10 kN \"pull-out\"\n\
           N <= 2 kN \"cone <edge>\"\nV <= 6 kN \"pry-out\" when V > 8 kN otherwise \"shear is small\"\n```\n";
    folder.write("depot/frame/c.md", text).write("depot/not-valid.md", sheet_that_is("not-valid"));
    folder.write("depot/errors.md", sheet_that_is("errors"));
    let folder = folder.arguments(["verify", "depot", "--junit", "out/verify.xml"]).exit(4);
    let report = without_digests(&folder.read("out/verify.xml"));
    insta::assert_snapshot!("junit", report);
}

/// The report without the digests, which change with the program's version.
fn without_digests(report: &str) -> String {
    let lines = report.lines().map(|line| match line.split_once("name=\"digest\" value=\"") {
        Some((before, rest)) => {
            let digest = rest.split('"').next().unwrap_or("");
            assert_eq!(digest.len(), 79, "sixteen groups of four digits");
            format!("{before}name=\"digest\"/>")
        }
        None if line.contains("name=\"program\"") => String::new(),
        None => line.to_owned(),
    });
    lines.filter(|line| !line.is_empty()).collect::<Vec<_>>().join("\n")
}

#[test]
fn a_sheet_that_is_not_checked_can_be_refused() {
    let folder = Run::in_package("satisfied")
        .arguments(["verify", "--demand", "checked"])
        .stdout("satisfied        0.40  b4.md: pull-out\n    not checked: nothing is ticked\n")
        .exit(6)
        .arguments(["review", "b4.md", "--tick", "N_Ed", "N_Rd", "--by", "R.T."])
        .exit(0)
        .arguments(["verify", "--demand", "checked", "--junit", "verify.xml"])
        .says("    not checked: 1 line to check\n")
        .exit(6);
    assert!(folder.read("depot/verify.xml").contains("<failure message=\"1 line to check\"/>"));
    let folder = folder
        .arguments(["review", "b4.md", "--tick", "check", "--by", "R.T."])
        .exit(0)
        .arguments(["verify", "--demand", "checked"])
        .stdout("satisfied        0.40  b4.md: pull-out\n")
        .exit(0);
    folder.write("depot/b4.md", sheet_that_is("not-satisfied"));
    folder
        .arguments(["verify", "--demand", "checked"])
        .says("changed since ticked")
        .exit(1)
        .arguments(["verify", "--demand", "signed"])
        .says("    not signed: its status is draft")
        .exit(1);
}

#[test]
fn demands_are_made_together() {
    let folder = Run::in_package("satisfied");
    // A clause of a standard brings the standard's failure modes with it.
    let clause = "+++\nkind = \"clause\"\ntitle = \"crushing\"\nstandard = \"S\"\nclause = \"1\"\nversion = \"1\"\n\
                  scope = \"s\"\nbasis = \"b\"\nshows = [\"NAME\"]\n+++\n\n```clause\ntakes q : number\n```\n\n\
                  ```verify\nq <= 2 \"check\"\n```\n";
    folder.write("depot/clauses/s/crushing.md", clause.replace("NAME", "crushing"));
    folder.write("depot/clauses/s/tearing.md", clause.replace("NAME", "tearing"));
    let user = sheet_that_is("satisfied") + "\n```clause\nuse s/crushing with q = 1\n```\n";
    folder.write("depot/b4.md", &user);
    let both = ["verify", "--demand", "answered", "--demand", "checked", "--junit", "verify.xml"];
    let folder = folder
        .arguments(both)
        .says("    not answered: tearing\n    not checked: nothing is ticked\n")
        .says("b4.md: unanswered: tearing; use a clause")
        .exit(6);
    let report = folder.read("depot/verify.xml");
    assert!(report.contains("<failure message=\"tearing\"/>") && report.contains("nothing is ticked"), "{report}");
    folder.write("depot/b4.md", user.replace("scope =", "not_verified = [\"tearing: elsewhere\"]\nscope ="));
    let ask = ["review", "b4.md", "--query", "1", "which case?", "--by", "R.T."];
    let folder = folder.arguments(["verify", "--demand", "answered"]).exit(0).arguments(ask).exit(0);
    let answer = ["review", "b4.md", "--answer", "1", "case 7", "--by", "K.L."];
    folder
        .arguments(["verify", "--demand", "answered"])
        .says("    not answered: 1 query open\n")
        .exit(6)
        .arguments(answer)
        .exit(0)
        .arguments(["verify", "--demand", "answered"])
        .exit(0)
        .arguments(["render"])
        .exit(0);
}

#[test]
fn two_sheets_of_one_number_are_told_of_by_every_verb_that_looks_at_both() {
    let mut folder = Run::in_package("satisfied");
    folder.write("depot/b5.md", sheet_that_is("satisfied"));
    let told = "warning: FTD-ST-CALC-020 is the number of b4.md and of b5.md\n";
    for verb in ["verify", "render", "register"] {
        folder = folder.arguments([verb]).tells(told).tells("2 sheets: 2 satisfied; 1 warning").exit(0);
    }
    folder.write("depot/b5.md", sheet_that_is("satisfied").replace("020", "021"));
    folder.arguments(["verify"]).tells("2 sheets: 2 satisfied\n").exit(0);
}

/// A card whose words are open, and one of records that count against it.
#[test]
fn what_stands_against_a_card_is_told() {
    let folder = Run::in_package("satisfied");
    let sheet = sheet_that_is("satisfied");
    folder.write("depot/b4.md", format!("{sheet}\n```card\nuse en-1992-4/expansion-anchor \"Card of B4\"\n```\n"));
    folder
        .arguments(["verify"])
        .tells("warning[missing-value]: the card leaves open: diameter of the drill (`d_0`)")
        .tells("1 sheet: 1 satisfied; 1 warning")
        .exit(0)
        .arguments(["verify", "--demand", "usable"])
        .says("not usable: Card of B4: open: diameter of the drill, depth of the hole, setting depth")
        .exit(6);
}
