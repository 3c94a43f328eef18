//! Files that should not be there, should not be read, or cannot be.

use crate::run::{Folder, Run, head, sheet, sheet_that_is};

fn sheet_with_data(path: &str) -> String {
    head("Bracket") + &format!("```given\nanchor = data \"{path}\"\n```\n\n```derive\nx = anchor.h_ef\n```\n")
}

const DATA: &str = "title = \"D\"\n\n[values]\nh_ef = { value = \"70 mm\", source = \"invented\" }\n";

#[test]
fn a_sheet_reaches_no_file_above_its_package() {
    let folder = Run::beside_package("satisfied");
    folder.write("secret.toml", DATA).write("depot/b4.md", sheet_with_data("../secret.toml"));
    let folder = folder
        .arguments(["verify", "depot"])
        .tells("error[outside-package]: `../secret.toml` leads outside the package")
        .exit(4);
    let absolute = folder.path("secret.toml").display().to_string();
    folder.write("depot/b4.md", sheet_with_data(&absolute));
    folder.arguments(["verify", "depot"]).tells("leads outside the package").exit(4);
}

#[cfg(unix)]
#[test]
fn links_that_lead_outside_are_not_followed() {
    use std::os::unix::fs::symlink;
    let folder = Run::beside_package("satisfied");
    folder.write("secret.toml", DATA).write("secret.md", sheet_that_is("satisfied"));
    folder.write("depot/b4.md", sheet_with_data("data/link.toml"));
    std::fs::create_dir_all(folder.path("depot/data")).unwrap();
    std::fs::create_dir_all(folder.path("depot/clauses/own")).unwrap();
    symlink(folder.path("secret.toml"), folder.path("depot/data/link.toml")).unwrap();
    symlink(folder.path("secret.md"), folder.path("depot/linked.md")).unwrap();
    let folder = folder
        .arguments(["verify", "depot"])
        .tells("`data/link.toml` leads outside the package")
        .tells("this sheet is a link that leads outside the package")
        .exit(4)
        .arguments(["verify", "depot/linked.md"])
        .tells("this sheet is a link that leads outside the package")
        .exit(4);
    symlink(folder.path("secret.md"), folder.path("depot/clauses/own/c.md")).unwrap();
    folder.arguments(["verify", "depot"]).tells("this clause is a link that leads outside the package").exit(4);
}

#[cfg(unix)]
#[test]
fn links_that_stay_inside_are_followed() {
    let folder = Run::beside_package("satisfied");
    std::os::unix::fs::symlink("b4.md", folder.path("depot/b5.md")).unwrap();
    folder.arguments(["verify", "depot"]).tells("2 sheets: 2 satisfied").exit(0);
}

#[test]
fn text_that_is_not_utf_8_is_told_with_its_place() {
    let folder = Run::beside_package("satisfied");
    folder.write("depot/b4.md", b"+++\ntitle = \"Br\xfccke\"\n+++\n");
    folder
        .arguments(["verify", "depot"])
        .tells("error[not-utf8]: this file is not text in UTF-8 from here on")
        .tells("--> depot/b4.md:2:12")
        .exit(4);
}

#[test]
fn a_clause_that_is_not_utf_8_is_no_clause() {
    let folder = Run::beside_package("satisfied");
    // Up to the broken byte this is a whole clause.
    let mut clause = b"+++\nkind = \"clause\"\ntitle = \"T\"\nstandard = \"S\"\nclause = \"1\"\nversion = \"1\"\n\
                       scope = \"s\"\nbasis = \"b\"\n+++\n\n"
        .to_vec();
    clause.push(0xff);
    folder.write("depot/clauses/own/c.md", clause);
    folder.write("depot/b4.md", sheet("1 kN") + "\n```clause\nuse own/c\n```\n");
    folder.arguments(["verify", "depot"]).says("has errors").tells("error[not-utf8]").exit(4);
}

#[test]
fn a_sheet_of_50_mb_is_refused_by_its_size() {
    let folder = Run::beside_package("satisfied");
    folder.write("depot/huge.md", vec![b'x'; 50_000_000]);
    folder
        .arguments(["verify", "depot"])
        .says("satisfied        0.40  depot/b4.md")
        .tells("error[too-large]: this file is 50 MB long")
        .exit(4);
}

#[test]
fn an_empty_or_half_saved_sheet_has_errors_and_nothing_worse() {
    let text = sheet_that_is("satisfied");
    for length in (0..text.len()).step_by(9).chain(text.len() - 4..text.len() - 1) {
        let folder = Run::beside_package("satisfied");
        folder.write("depot/b4.md", &text[..length]);
        let output = folder.command().args(["verify", "depot"]).output().unwrap();
        let code = output.status.code();
        // What is cut between two blocks is still a sheet, though one with less in it.
        let has_front_matter = text[..length].matches("+++").count() == 2;
        let is_between = has_front_matter && text[..length].matches("```").count().is_multiple_of(2);
        assert!(code == Some(4) || code == Some(0) && is_between, "{length}: {output:?}");
    }
}

#[test]
fn deep_nesting_is_refused_before_it_exhausts_anything() {
    let folder = Run::beside_package("satisfied");
    let deep = "(".repeat(100_000);
    folder.write("depot/b4.md", head("T") + &format!("```derive\nx = {deep}1\ny = {}1\n```\n", "-".repeat(100_000)));
    folder.write("depot/b5.md", head("T") + &">".repeat(100_000));
    folder.arguments(["verify", "depot"]).tells("2 has errors").exit(4);
}

#[test]
fn text_of_a_sheet_cannot_steer_the_terminal() {
    let folder = Run::beside_package("satisfied");
    let text = sheet_that_is("not-satisfied").replace("pull-out", "pull\x1b[2J\x1b]0;x\x07out");
    folder.write("depot/b4.md", text.clone()).write("depot/b5.md", text.replace("<= N_Rd", "<= N\x1b[31m"));
    folder.arguments(["verify", "depot"]).exit(4);
}

#[cfg(unix)]
#[test]
fn a_file_that_cannot_be_read_is_told() {
    let folder = Run::beside_package("satisfied");
    std::os::unix::fs::symlink("nowhere.md", folder.path("depot/gone.md")).unwrap();
    folder
        .arguments(["verify", "depot"])
        .says("not readable           depot/gone.md")
        .tells("error[unreadable]: this sheet cannot be read")
        .tells("2 sheets: 1 satisfied, 1 not readable; 1 error\n")
        .exit(5);
}

#[test]
fn a_folder_named_like_a_sheet_is_a_folder() {
    let folder = Run::beside_package("satisfied");
    folder.write("depot/frame.md/base.md", sheet_that_is("satisfied"));
    folder.arguments(["verify", "depot"]).tells("2 sheets: 2 satisfied").exit(0);
}

#[cfg(unix)]
#[test]
fn a_reader_that_has_seen_enough_is_no_failure() {
    use std::process::Stdio;
    let folder = Folder::empty();
    let mut child = folder.command().arg("clauses").stdout(Stdio::piped()).spawn().unwrap();
    drop(child.stdout.take());
    let output = child.wait_with_output().unwrap();
    assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
}
