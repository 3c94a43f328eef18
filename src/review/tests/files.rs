//! The file of marks: what is written is read, merges of lines are read, and mistakes are told at their place.

use super::*;
use crate::diagnostic::Diagnostic;
use crate::text::SourceFile;
use proptest::prelude::*;
use std::collections::BTreeSet;

const DIGEST: &str = "29bc34fc9f91a130378cbbc85964bc905c2c58a56b94fe60eafcbdc06963f018:5ab614-891432-973707-d55ec6";

fn read(text: &str) -> (Marks, Vec<Diagnostic>) {
    Marks::read(&SourceFile::new("b4.marks", text))
}

fn file(lines: &[&str]) -> String {
    let lines: Vec<String> = lines.iter().map(|line| line.replace("DIGEST", DIGEST)).collect();
    format!("{HEADER}\n{}\n", lines.join("\n"))
}

/// What is said about a file, with the characters that it is said of.
fn told(text: &str) -> Vec<String> {
    let (_, findings) = read(text);
    let tell = |finding: &Diagnostic| {
        let label = &finding.labels[0];
        format!("{finding} ⟨{}⟩", label.source.slice(label.span).replace(DIGEST, "DIGEST"))
    };
    findings.iter().map(tell).collect()
}

#[test]
fn a_file_reads_as_it_is_shown_in_the_documents() {
    let text = file(&[
        "N_Ed 1 ticked 2026-11-20 R.T. \"38 kN\" DIGEST",
        "N_Ed 2 queried 2026-11-21 \"K. Lund\" \"38 kN\" \"which \\\"case\\\"?\\nand \\\\ why\" DIGEST",
        "cone-2.check 1 accepted 2026-11-20 rt@fellmere.example \"\" DIGEST",
    ]);
    let (marks, findings) = read(&text);
    assert_eq!(findings, []);
    assert_eq!(marks.write(), text);
    let query = &marks.all()[1];
    assert_eq!((query.who.as_str(), query.number, query.kind), ("K. Lund", 2, MarkKind::Queried));
    assert_eq!(query.remark, "which \"case\"?\nand \\ why");
}

#[test]
fn line_ends_of_other_systems_and_empty_lines_are_read() {
    let text = file(&["a 1 ticked 2026-11-20 R.T. \"1\" DIGEST", "", "b 1 ticked 2026-11-20 R.T. \"1\" DIGEST"]);
    let (marks, findings) = read(&text.replace('\n', "\r\n"));
    assert_eq!(findings, []);
    assert_eq!(marks, read(&text).0);
    assert_eq!(marks.all().len(), 2);
    let (_, findings) = read(text.trim_end());
    assert_eq!(findings, [], "the last line needs no end");
}

#[test]
fn mistakes_are_told_at_their_characters() {
    let mistakes = [
        "N_Ed",
        "N_Ed 0 ticked 2026-11-20 R.T. \"38 kN\" DIGEST",
        "N_Ed 1 tickd 2026-11-20 R.T. \"38 kN\" DIGEST",
        "N_Ed 1 ticked 2026-11-31 R.T. \"38 kN\" DIGEST",
        "N_Ed 1 ticked 2026-11-20 \"\" \"38 kN\" DIGEST",
        "N_Ed 1 ticked 2026-11-20 R.T. 38 kN DIGEST",
        "N_Ed 1 ticked 2026-11-20 R.T. \"38 kN DIGEST",
        "N_Ed 1 ticked 2026-11-20 R.T. \"38 \\x kN\" DIGEST",
        "N_Ed 1 ticked 2026-11-20 R.T. \"38 kN\"",
        "N_Ed 1 ticked 2026-11-20 R.T. \"38 kN\" \"right\"",
        "N_Ed 1 ticked 2026-11-20 R.T. \"38 kN\" 29bc34",
        "N_Ed 1 ticked 2026-11-20 R.T. \"38 kN\" \"right\" DIGEST more",
    ];
    let all: Vec<String> = mistakes.iter().flat_map(|line| told(&file(&[line]))).collect();
    insta::assert_snapshot!(all.join("\n"), @r#"
    b4.marks:2:5: error[bad-mark]: expected the number of the mark ⟨⟩
    b4.marks:2:6: error[bad-mark]: `0` is no number of a mark: they count from 1 ⟨0⟩
    b4.marks:2:8: error[bad-mark]: there is no mark `tickd` ⟨tickd⟩
    b4.marks:2:15: error[bad-mark]: `2026-11-31` is no day of the calendar ⟨2026-11-31⟩
    b4.marks:2:26: error[bad-mark]: expected who made the mark ⟨""⟩
    b4.marks:2:31: error[bad-mark]: expected the line as it was, in quotes ⟨38⟩
    b4.marks:2:31: error[bad-mark]: these quotes are not closed ⟨"38 kN DIGEST⟩
    b4.marks:2:35: error[bad-mark]: `\x` means nothing in quotes ⟨\x⟩
    b4.marks:2:38: error[bad-mark]: the digest is missing at the end of this mark ⟨⟩
    b4.marks:2:46: error[bad-mark]: the digest is missing at the end of this mark ⟨⟩
    b4.marks:2:39: error[bad-mark]: this is no digest of a line ⟨29bc34⟩
    b4.marks:2:140: error[bad-mark]: nothing stands behind the digest of a mark ⟨more⟩
    "#);
    let (marks, findings) = read(&file(&mistakes));
    assert_eq!((marks.all().len(), findings.len()), (0, mistakes.len()), "all are told at once");
}

#[test]
fn a_file_says_what_it_is() {
    let mark = "N_Ed 1 ticked 2026-11-20 R.T. \"38 kN\" DIGEST";
    let text = file(&[mark]);
    insta::assert_snapshot!(told("").join("\n"), @"b4.marks:1:1: error[bad-mark]: a file of marks begins with a line that says so ⟨⟩");
    insta::assert_snapshot!(told(&text.replace("marks 2", "marks 3")).join("\n"), @"b4.marks:1:1: error[bad-mark]: these marks are written in a form that this program does not know ⟨# soleplate marks 3: what was checked and asked, line by line⟩");
    insta::assert_snapshot!(told(&text.lines().skip(1).collect::<Vec<_>>().join("\n")).join("\n"), @r#"b4.marks:1:1: error[bad-mark]: a file of marks begins with a line that says so ⟨N_Ed 1 ticked 2026-11-20 R.T. "38 kN" DIGEST⟩"#);
    assert_eq!(told(&text.replace("what was checked and asked, line by line", "other words")), Vec::<String>::new());
}

#[test]
fn what_an_unfinished_merge_left_is_told_once_a_place() {
    let text = file(&[
        "a 1 ticked 2026-11-20 R.T. \"1\" DIGEST",
        "<<<<<<< HEAD",
        "b 1 ticked 2026-11-20 R.T. \"1\" DIGEST",
        "=======",
        "b 1 ticked 2026-11-20 R.T. \"1\" DIGEST",
        ">>>>>>> other",
        "=======",
        "<<<<<<< HEAD",
    ]);
    insta::assert_snapshot!(told(&text).join("\n"), @r"
    b4.marks:3:1: error[merge-conflict]: a merge was not finished here ⟨<<<<<<< HEAD⟩
    b4.marks:8:1: error[merge-conflict]: a merge was not finished here ⟨=======⟩
    b4.marks:9:1: error[merge-conflict]: a merge was not finished here ⟨<<<<<<< HEAD⟩
    ");
}

#[test]
fn a_mark_that_stands_twice_is_told() {
    let mark = "a 1 ticked 2026-11-20 R.T. \"1\" DIGEST";
    let (marks, findings) = read(&file(&[mark, mark]));
    assert_eq!(marks.all().len(), 1);
    assert!(findings[0].is_error());
    assert_eq!(findings[0].to_string(), "b4.marks:3:1: error[bad-mark]: this mark stands twice");
    assert_eq!(findings[0].labels.len(), 2);
}

#[test]
fn marks_out_of_order_are_read_with_one_warning() {
    let lines = [
        "b 1 ticked 2026-11-20 R.T. \"1\" DIGEST",
        "a 2 answered 2026-11-20 K.L. \"1\" \"so\" DIGEST",
        "a 1 queried 2026-11-20 R.T. \"1\" \"why\" DIGEST",
    ];
    let (marks, findings) = read(&file(&lines));
    assert_eq!(findings.len(), 1);
    assert!(!findings[0].is_error());
    assert_eq!(findings[0].position().unwrap().line, 3);
    assert_eq!(marks.write(), file(&[lines[2], lines[1], lines[0]]));
}

fn any_mark() -> impl Strategy<Value = Mark> {
    let text = "[ -~éγ²–]{0,12}|a\nb|\"\\\\";
    let digest = prop::sample::select(vec![DIGEST.to_owned(), DIGEST.replace('2', "3")]);
    (
        "[a-zA-Zγ][a-z_0-9.]{0,4}(-[2-9])?",
        1u32..4,
        prop::sample::select(MarkKind::ALL.to_vec()),
        1u32..29,
        "[A-Z][A-Z. ]{0,3}[A-Z]",
        text,
        text,
        digest,
    )
        .prop_map(|(address, number, kind, day, who, was, remark, digest)| Mark {
            address,
            number,
            kind,
            date: Day::parse(&format!("2026-11-{day:02}")).unwrap(),
            who,
            was,
            remark,
            digest: LineDigest::parse(&digest).unwrap(),
        })
}

proptest! {
    #[test]
    fn what_is_written_is_read(marks in prop::collection::vec(any_mark(), 0..12)) {
        let marks = Marks::new(marks);
        let (back, findings) = read(&marks.write());
        prop_assert_eq!(findings, vec![]);
        prop_assert_eq!(back, marks);
    }

    /// Two people add marks to one file: the lines of both, each once, in whatever order, are the marks of both.
    #[test]
    fn the_union_of_the_lines_of_two_files_is_a_file(
        common in prop::collection::vec(any_mark(), 0..6),
        ours in prop::collection::vec(any_mark(), 0..6),
        theirs in prop::collection::vec(any_mark(), 0..6),
        is_reversed in any::<bool>(),
    ) {
        let joined = |more: &[Mark]| Marks::new([common.as_slice(), more].concat());
        let (ours, theirs) = (joined(&ours), joined(&theirs));
        let (a, b) = (ours.write(), theirs.write());
        let mut lines: Vec<&str> = a.lines().chain(b.lines()).skip(1).collect::<BTreeSet<_>>().into_iter().collect();
        lines.retain(|line| *line != HEADER);
        if is_reversed {
            lines.reverse();
        }
        let (merged, findings) = read(&file(&lines));
        prop_assert!(findings.iter().all(|finding| !finding.is_error()), "{:?}", findings);
        prop_assert_eq!(merged, Marks::new([ours.all(), theirs.all()].concat()));
    }

    /// A mark changes one line of the file and no other.
    #[test]
    fn a_mark_is_one_line_of_a_difference(marks in prop::collection::vec(any_mark(), 0..8), mark in any_mark()) {
        let before = Marks::new(marks);
        let (old, new) = (before.write(), before.with(mark.clone()).write());
        let rest: Vec<&str> = new.lines().filter(|line| *line != mark.to_string()).collect();
        let old: Vec<&str> = old.lines().filter(|line| *line != mark.to_string()).collect();
        prop_assert_eq!(rest, old);
    }

    #[test]
    fn no_text_makes_the_reader_fail(text in "(# soleplate marks 2\n)?([ -~\n\"\\\\γ]{0,80})") {
        let _ = read(&text);
    }
}
