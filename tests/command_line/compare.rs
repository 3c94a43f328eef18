use crate::run::{Folder, Run, head, sheet};
use insta::assert_snapshot;
use std::process::Command;

/// Runs git in the folder of a package.
#[track_caller]
fn git(folder: &Folder, arguments: &[&str]) {
    let output = Command::new("git")
        .args(arguments)
        .current_dir(folder.path("depot"))
        .envs(crate::run::GIT)
        .output()
        .expect("git can be started");
    assert!(output.status.success(), "{arguments:?}: {}", String::from_utf8_lossy(&output.stderr));
}

/// A package under version control, whose sheet had a demand of 4 kN at the tag `P01` and has one of 12 kN now.
fn with_history() -> Folder {
    let folder = Run::beside_package("satisfied");
    git(&folder, &["init", "--quiet"]);
    git(&folder, &["add", "."]);
    git(&folder, &["commit", "--quiet", "-m", "Begin"]);
    git(&folder, &["tag", "P01"]);
    folder.write("depot/b4.md", sheet("12 kN").replace("\"P01\"", "\"P02\""));
    folder
}

#[test]
fn two_folders_are_told_apart_in_few_lines() {
    let folder = Run::beside_package("satisfied");
    folder.write("new/soleplate.toml", "title = \"Tram depot\"\n");
    folder.write("new/frame/b4.md", sheet("12 kN").replace("N_Ed <= N_Rd", "1.1 * N_Ed <= N_Rd"));
    folder.write("new/b5.md", sheet("1 kN").replace("020", "021"));
    folder.write("depot/b6.md", sheet("1 kN").replace("020", "022"));
    let (folder, stdout, stderr) = folder.arguments(["compare", "depot", "new"]).finish(1);
    assert_snapshot!("compare_folders", format!("{stdout}---\n{stderr}"));
    folder
        .arguments(["compare", "depot", "depot"])
        .stdout("")
        .stderr("2 sheets: 2 equal; marks and sign-offs are not compared\n")
        .exit(0);
}

#[test]
fn single_sheets_are_compared_whatever_they_are_called() {
    let folder = Folder::empty();
    folder.write("old.md", sheet("4 kN")).write("new.md", sheet("4  kN").replace("```given\n", "```given\n\n"));
    folder
        .arguments(["compare", "old.md", "new.md"])
        .stdout("")
        .stderr("1 sheet: 1 equal; marks and sign-offs are not compared\n")
        .exit(0)
        .and_write("new.md", sheet("5 kN"))
        .arguments(["compare", "old.md", "new.md"])
        .says("     1  N_Ed, tension: 4\u{202f}kN → 5\u{202f}kN  +25.0\u{202f}%\n")
        .exit(1);
}

impl Folder {
    /// Writes a file and gives the folder on, between two runs.
    fn and_write(self, path: &str, text: String) -> Self {
        self.write(path, text);
        self
    }
}

#[test]
fn a_change_under_the_same_revision_is_told() {
    let folder = with_history();
    folder.write("depot/b4.md", sheet("12 kN"));
    let folder = folder
        .arguments(["compare", "P01", "depot", "--html", "out/changes.html", "--json", "out/changes.json"])
        .says("  is  P01, not satisfied, 1.20: pull-out\n  both are revision P01, although the content differs\n")
        .exit(1);
    assert!(folder.read("out/changes.html").contains("Both are revision P01, although the content differs."));
    assert!(folder.read("out/changes.json").contains("\"kept_revision\": \"P01\""));
    // Another revision is what a change takes, and two calculations may well bear the same.
    let (folder, stdout, _) = with_history().arguments(["compare", "P01", "depot", "--json", "changes.json"]).finish(1);
    assert!(!stdout.contains("both are revision") && !folder.read("changes.json").contains("kept_revision"));
    folder.write("old.md", sheet("4 kN")).write("new.md", sheet("5 kN").replace("020", "021"));
    let (_, stdout, _) = folder.arguments(["compare", "old.md", "new.md"]).finish(1);
    assert!(!stdout.contains("both are revision"), "{stdout}");
}

#[test]
fn a_revision_stands_for_the_package_as_it_was() {
    with_history()
        .arguments(["compare", "P01", "depot"])
        .says("b4.md  FTD-ST-CALC-020 Bracket\n  was P01, satisfied, 0.40: pull-out\n  is  P02, not satisfied, 1.20: pull-out\n")
        .says("pull-out: 0.40 satisfied → 1.20 not satisfied  +200\u{202f}%\n")
        .exit(1)
        .arguments(["compare", "git:HEAD", "depot/b4.md"])
        .stderr("1 sheet: 1 changed; marks and sign-offs are not compared\n")
        .exit(1);
    let folder = with_history();
    git(&folder, &["commit", "--quiet", "-am", "Raise"]);
    // A sheet that got another name is known by its number.
    git(&folder, &["mv", "b4.md", "c4.md"]);
    git(&folder, &["commit", "--quiet", "-m", "Rename"]);
    let inside = folder.inside();
    inside
        .arguments(["compare", "P01", "HEAD"])
        .says("c4.md  FTD-ST-CALC-020 Bracket\n  was b4.md\n")
        .exit(1)
        .arguments(["compare", "HEAD~1", "c4.md"])
        .stdout("")
        .stderr("1 sheet: 1 equal; marks and sign-offs are not compared\n")
        .exit(0)
        .arguments(["compare", "HEAD"])
        .stderr("1 sheet: 1 equal; marks and sign-offs are not compared\n")
        .exit(0);
}

#[test]
fn a_package_below_the_top_of_its_repository_is_found() {
    let folder = Run::beside_package("satisfied");
    folder.write("depot/inner/soleplate.toml", "title = \"Inner\"\n").write("depot/inner/a.md", sheet("4 kN"));
    git(&folder, &["init", "--quiet"]);
    git(&folder, &["add", "."]);
    git(&folder, &["commit", "--quiet", "-m", "Begin"]);
    folder.write("depot/inner/a.md", sheet("5 kN"));
    folder
        .arguments(["compare", "HEAD", "depot/inner"])
        .says("a.md")
        .stderr("1 sheet: 1 changed; marks and sign-offs are not compared\n")
        .exit(1)
        .arguments(["compare", "HEAD", "depot"])
        .stderr("1 sheet: 1 equal; marks and sign-offs are not compared\n")
        .exit(0);
}

#[test]
fn an_issued_page_stands_for_the_sheet_that_it_was_made_of() {
    let folder = Run::beside_package("satisfied").arguments(["render", "depot", "--issue"]).finish(0).0;
    folder
        .arguments(["compare", "out/b4.html", "depot/b4.md"])
        .stdout("")
        .stderr("1 sheet: 1 equal; marks and sign-offs are not compared\n")
        .exit(0)
        .and_write("depot/b4.md", sheet("12 kN"))
        .arguments(["compare", "out/b4.html", "depot"])
        .says("pull-out: 0.40 satisfied → 1.20 not satisfied  +200\u{202f}%\n")
        .exit(1);
}

#[test]
fn what_cannot_be_compared_says_why() {
    with_history()
        .arguments(["compare", "P09", "depot"])
        .tells("error: `P09` is neither a file nor a revision")
        .exit(5)
        .arguments(["compare", "depott", "depot"])
        .tells("help: did you mean `depot`?")
        .exit(5);
    let folder = Run::beside_package("satisfied");
    folder
        .arguments(["compare", "git:HEAD", "depot"])
        .tells("lies in no repository of git")
        .exit(5)
        .arguments(["compare", "HEAD", "depot"])
        .tells("error: there is no `HEAD`")
        .exit(5)
        .and_write("page.html", "<!doctype html>".to_owned())
        .arguments(["compare", "page.html", "depot"])
        .tells("`page.html` cannot be compared")
        .exit(5);
    let folder = with_history();
    folder.write("depot/late/soleplate.toml", "title = \"Late\"\n").write("depot/late/a.md", sheet("4 kN"));
    folder.arguments(["compare", "P01", "depot/late"]).tells("the revision holds no `late`").exit(5);
    let folder = Run::in_package("errors");
    folder.write("c.md", sheet("4 kN"));
    folder.arguments(["compare", "../c.md", "b4.md"]).tells("unknown-symbol").exit(4);
}

#[test]
fn every_change_is_in_the_json_and_on_the_page() {
    let folder = Run::beside_package("satisfied");
    let with = |demand: &str, formula: &str| {
        head("Bracket <b>")
            + &format!(
                "```given\nN_Ed = {demand} \"tension\" @ s\nN_Rk = 10 kN \"resistance\" @ s\n```\n\n\
                 ```derive\nN_Rd = {formula} \"design <resistance>\" @ s\n```\n\n```verify\nN_Ed <= N_Rd \"pull-out\"\n```\n"
            )
    };
    folder.write("depot/b4.md", with("4 kN", "N_Rk / 1.5")).write("new.md", with("8 kN", "N_Rk / sqrt(4)"));
    let (folder, stdout, _) = folder.arguments(["compare", "depot/b4.md", "new.md", "--json", "-"]).finish(1);
    let json: serde_json::Value = serde_json::from_str(&stdout).unwrap();
    let comparison = &json["sheets"][0]["comparison"];
    assert_eq!(json["sheets"][0]["state"], "changed");
    assert_eq!(comparison["changes"][0]["kind"], "flipped");
    assert_eq!(comparison["changes"][0]["new"]["outcome"], "not satisfied");
    assert_eq!(comparison["changes"][1]["percent"], 100.0);
    let folder = folder.arguments(["compare", "depot/b4.md", "new.md", "--html", "out/changes.html"]).exit(1);
    let page = folder.read("out/changes.html");
    assert_eq!(page.matches("<math").count(), page.matches("</math>").count());
    for part in ["<msqrt", "<mfrac", "+100\u{202f}%", "class=\"verdict not-satisfied\"", "design &lt;resistance&gt;"] {
        assert!(page.contains(part), "{part}");
    }
    assert!(!page.contains("<b>") && !page.contains("href="), "nothing on the page leads anywhere");
}
