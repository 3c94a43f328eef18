//! Marks follow lines that move, and only to lines that say the same.

use super::*;
use proptest::prelude::*;
use std::sync::LazyLock;

const GIVEN: &str = "```given\nN = 4 kN @ s\nk = 0.5 @ s\nM = 6 kN @ s\nj = 0.25 @ s\n```\n\n";
const FIRST: &str = "```verify\nN <= 10 kN \"first\"\n```\n\n";
const SECOND: &str = "```verify\nN <= 20 kN \"second\"\n```\n\n";
const THIRD: &str = "```verify\nN <= 30 kN \"third\"\n```\n\n";
const USE: &str = "```clause\nuse share with N = N, k = k\n```\n\n";
const OTHER_USE: &str = "```clause\nuse share with N = M, k = j\n```\n\n";

fn sheet(blocks: &[&str]) -> Trace {
    trace(&format!("{GIVEN}{}", blocks.concat()))
}

#[test]
fn marks_of_checks_follow_where_one_is_put_before_them() {
    let marks = all_ticked(&sheet(&[FIRST, SECOND]));
    assert_eq!(left(&sheet(&[THIRD, FIRST, SECOND]), &marks), "check to check");
    assert_eq!(left(&sheet(&[SECOND]), &marks), "check gone");
    assert_eq!(left(&sheet(&[SECOND, FIRST]), &marks), "");
}

#[test]
fn marks_of_a_use_of_a_clause_follow_it_as_a_whole() {
    let marks = all_ticked(&sheet(&[USE, OTHER_USE]));
    assert_eq!(left(&sheet(&[OTHER_USE, USE]), &marks), "");
    let gone = left(&sheet(&[OTHER_USE]), &marks);
    assert_eq!(gone, "share.N gone, share.R gone, share.check gone, share.k gone");
    let one = all_ticked(&sheet(&[USE]));
    let new = "share.N to check, share.k to check, share.R to check, share.check to check";
    assert_eq!(left(&sheet(&[OTHER_USE, USE]), &one), new);
}

#[test]
fn a_change_in_a_use_that_moved_is_told_in_its_new_place() {
    let marks = all_ticked(&sheet(&[USE]));
    let moved = trace(&format!("{}{OTHER_USE}{USE}", GIVEN.replace("k = 0.5", "k = 0.4")));
    let told = left(&moved, &marks);
    assert!(told.contains("share-2.R value"), "{told}");
    assert!(told.contains("share.R to check"), "{told}");
}

#[test]
fn what_another_line_says_by_chance_is_not_ticked_for_it() {
    // Both uses take the same share; only that of the first was ticked, and it changes.
    let same = "```clause\nuse share with N = M, k = k\n```\n\n";
    let before = sheet(&[USE, same]);
    let lines: Vec<LineId> =
        ["share.N", "share.k", "share.R", "share.check"].iter().map(|address| line(&before, address)).collect();
    let marks = mark(&before, &Marks::default(), &lines, Action::Tick, &by("R.T.")).unwrap();
    let after = sheet(&["```clause\nuse share with N = N, k = j\n```\n\n", same]);
    let review = state(&after, &marks);
    assert!(matches!(review.line(line(&after, "share.k")).tick, Tick::Changed(_)));
    assert!(matches!(review.line(line(&after, "share-2.k")).tick, Tick::Missing));
}

#[test]
fn what_could_be_either_of_two_lines_is_neither() {
    let equal = "```verify\nN <= 10 kN \"first\"\nN <= 10 kN \"first\"\n```\n\n";
    let marks = all_ticked(&sheet(&[SECOND, FIRST]));
    let told = left(&sheet(&[SECOND, THIRD, equal]), &marks);
    assert_eq!(told, "check-2 formula+value+description, check-3 to check, check-4 to check");
}

#[test]
fn a_mark_on_a_line_that_moved_brings_its_marks_up_to_date() {
    let marks = all_ticked(&sheet(&[FIRST, SECOND]));
    let after = sheet(&[THIRD, FIRST, SECOND]);
    let marks = marked(&after, &marks, "check-2", Action::Query, &saying("R.T.", "why?"));
    let at = |address: &str| marks.all().iter().filter(|mark| mark.address == address).count();
    assert_eq!((at("check"), at("check-2")), (0, 2), "its tick and its query");
    assert_eq!(left(&after, &marks), "check to check");
}

#[test]
fn marks_of_a_line_that_is_gone_do_not_pass_to_the_one_in_its_place() {
    let before = sheet(&[FIRST, SECOND]);
    let marks = marked(&before, &all_ticked(&before), "check", Action::Query, &saying("R.T.", "why?"));
    let after = sheet(&[SECOND]);
    let review = state(&after, &marks);
    assert_eq!((review.orphans.len(), review.counts.open), (2, 0));
    // Once the file is written anew they stand under an address of their own, and come back with their line.
    let marks = marked(&after, &marks, "N", Action::Query, &saying("R.T.", "and this?"));
    assert_eq!(left(&after, &marks), "check-gone gone, check-gone gone");
    assert_eq!(left(&before, &marks), "");
    assert_eq!(state(&before, &marks).counts.open, 2);
}

const BLOCKS: [&str; 5] = [FIRST, SECOND, THIRD, USE, OTHER_USE];
static MARKS: LazyLock<Marks> = LazyLock::new(|| all_ticked(&sheet(&BLOCKS)));

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, ..ProptestConfig::default() })]

    #[test]
    fn marks_survive_any_order_of_blocks(order in Just(vec![0, 1, 2, 3, 4]).prop_shuffle()) {
        let blocks = BLOCKS;
        let marks = &*MARKS;
        let shuffled: Vec<&str> = order.iter().map(|at| blocks[*at]).collect();
        prop_assert_eq!(left(&sheet(&shuffled), marks), "");
    }

    /// Whatever of a sheet changes, no tick stands on a line that says something else.
    #[test]
    fn a_tick_never_holds_on_another_line(
        order in Just(vec![0, 1, 2, 3, 4]).prop_shuffle(),
        kept in 0usize..6,
        force in 3u32..6,
    ) {
        let blocks = BLOCKS;
        let marks = &*MARKS;
        let shuffled: Vec<&str> = order.iter().take(kept).map(|at| blocks[*at]).collect();
        let after = trace(&format!("{}{}", GIVEN.replace("N = 4", &format!("N = {force}")), shuffled.concat()));
        let review = state(&after, marks);
        let known: Vec<LineDigest> = marks.all().iter().map(|mark| mark.digest).collect();
        for line in &review.lines {
            if matches!(line.tick, Tick::Holds(_)) {
                prop_assert!(known.contains(&line.digest));
            }
        }
        let all: usize = review.lines.iter().map(|line| line.marks.len()).sum();
        prop_assert_eq!(all + review.orphans.len(), marks.all().len(), "no mark is lost");
    }
}
