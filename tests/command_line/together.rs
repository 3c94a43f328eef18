//! Several people at one moment: what each marked or signed is kept.

use crate::run::{Folder, Run, head};
use crate::signing::{MANIFEST, Signing};
use soleplate::storage::{Locked, lock};
use std::process::Child;

/// A sheet with many lines to tick.
fn long_sheet(lines: usize) -> String {
    let givens: String = (1..=lines).map(|at| format!("x_{at} = {at} kN \"load\"\n")).collect();
    head("Many lines") + &format!("```given\n{givens}```\n")
}

fn start(folder: &Folder, arguments: &[&str]) -> Child {
    folder.command().args(arguments).spawn().unwrap()
}

/// What those say that came to no good end.
fn failures(children: Vec<Child>) -> Vec<String> {
    let ends = children.into_iter().map(|child| child.wait_with_output().unwrap());
    ends.filter(|end| !end.status.success()).map(|end| String::from_utf8_lossy(&end.stderr).into_owned()).collect()
}

#[test]
fn every_mark_of_many_at_one_moment_survives() {
    const MANY: usize = 24;
    let folder = Run::beside_package("satisfied");
    folder.write("depot/b4.md", long_sheet(MANY));
    let lines: Vec<String> = (1..=MANY).map(|line| line.to_string()).collect();
    // Each ticks a line of its own and asks about one that all ask about.
    let children = lines.iter().map(|line| {
        let (by, words) = (format!("P.{line}"), format!("question {line}"));
        start(&folder, &["review", "depot/b4.md", "--tick", line, "--query", "1", &words, "--by", &by])
    });
    let failed = failures(children.collect());
    assert!(failed.is_empty(), "{failed:#?}");
    let marks = folder.read("depot/b4.marks");
    for line in &lines {
        assert!(
            marks.contains(&format!("x_{line} ")) && marks.contains(&format!("\"question {line}\"")),
            "{line}: {marks}"
        );
    }
    assert_eq!(marks.matches(" ticked ").count(), MANY);
    assert_eq!(marks.matches(" queried ").count(), MANY);
    folder.arguments(["review", "depot/b4.md"]).stderr("").says("All 24 lines that need it are ticked.").exit(0);
}

#[test]
fn a_tick_taken_back_stays_so_while_others_mark() {
    let folder = Run::beside_package("satisfied");
    folder.write("depot/b4.md", long_sheet(9));
    let by = ["--by", "R.T.", "--date", "2026-11-20"];
    let folder = folder.arguments(["review", "depot/b4.md", "--tick", "1-4"].into_iter().chain(by)).exit(0);
    let untick =
        (1..=4).map(|line| start(&folder, &["review", "depot/b4.md", "--untick", &line.to_string(), "--by", "R.T."]));
    let tick =
        (5..=9).map(|line| start(&folder, &["review", "depot/b4.md", "--tick", &line.to_string(), "--by", "K.L."]));
    let children: Vec<Child> = untick.chain(tick).collect();
    let failed = failures(children);
    assert!(failed.is_empty(), "{failed:#?}");
    let marks = folder.read("depot/b4.marks");
    assert_eq!((marks.matches("R.T.").count(), marks.matches("K.L.").count()), (0, 5), "{marks}");
}

/// One person in two roles: whichever comes second is refused, and nothing that was signed is lost.
#[test]
fn two_who_sign_at_one_moment_are_judged_one_behind_the_other() {
    let signing = Signing::of("satisfied");
    let in_any_order = MANIFEST.replace("[sign_off.", "[sign_off]\nin_order = false\n[sign_off.");
    signing.folder.write("depot/soleplate.toml", in_any_order);
    signing.tick_all();
    let sign = |name: &str, role: &str| {
        let signer = format!("{name}@fellmere.example");
        start(&signing.folder, &["sign", "depot/b4.md", "--role", role, "--as", &signer, "--key", name])
    };
    let failed = failures(vec![sign("kl", "creator"), sign("rt", "checker")]);
    assert!(failed.is_empty(), "{failed:#?}");
    assert_eq!(signing.sign_offs().len(), 2);
    signing.run(&["verify", "depot", "--demand", "signed"]).expect(0);
    std::fs::remove_dir_all(signing.folder.path("depot/sign-offs")).unwrap();
    let failed = failures(vec![sign("kl", "creator"), sign("kl", "checker")]);
    assert_eq!(failed.len(), 1, "{failed:#?}");
    assert!(failed[0].contains("must be another person"), "{failed:#?}");
    assert_eq!(signing.sign_offs().len(), 1);
}

#[test]
fn whoever_waits_too_long_is_told_so_and_has_lost_nothing() {
    let folder = Run::beside_package("satisfied");
    let Locked::Yes(held) = lock(&folder.path("depot")).unwrap() else { panic!("nobody else is here") };
    let folder = folder
        .arguments(["review", "depot/b4.md", "--tick", "1", "--by", "R.T."])
        .tells("error: another process has been writing in depot/ for 10 s: nothing was marked\n")
        .tells("help: run this again")
        .exit(5);
    assert!(!folder.holds("depot/b4.marks"));
    // Whoever only reads does not wait.
    let folder = folder.arguments(["review", "depot/b4.md"]).exit(0);
    drop(held);
    folder.arguments(["review", "depot/b4.md", "--tick", "1", "--by", "R.T."]).exit(0);
}

#[cfg(unix)]
#[test]
fn a_lock_that_cannot_be_made_is_told() {
    let folder = Run::beside_package("satisfied");
    std::fs::create_dir(folder.path("depot/.soleplate.lock")).unwrap();
    let folder = folder
        .arguments(["review", "depot/b4.md", "--tick", "1", "--by", "R.T."])
        .tells("depot/.soleplate.lock cannot be locked")
        .tells("nothing was marked")
        .exit(5);
    assert!(!folder.holds("depot/b4.marks"));
}
