//! What was done at anchors beside installing them, whatever else their rows say.

use super::judging::{outcomes, word};
use super::*;

/// Headers and words of what was done.
fn with_words() -> Mapping {
    let words = [
        (Some(Deviation::Repaired), "Repaired"),
        (Some(Deviation::Moved), "verschoben"),
        (Some(Deviation::Substituted), "other type"),
        (Some(Deviation::Moved), "moved and mended"),
        (Some(Deviation::Repaired), "moved and mended"),
        (None, "ok"),
    ];
    let words = words.map(|(meaning, word)| (meaning, word.to_owned()));
    Mapping { words: words.to_vec(), ..two_columns().column(Field::Done, "Done") }
}

#[test]
fn an_anchor_that_was_substituted_never_passes_whichever_record_says_so() {
    let mapping = with_words().column(Field::Time, "Time");
    let mut specification = specification(&["A1", "A2", "A3", "A4", "A5", "A6"], plain_demand());
    specification.duplicates = DuplicateRule::LatestCounts;
    let rows = "A1,60,REPAIRED,2026-11-02 08:00\nA2,60,Verschoben,2026-11-02 08:00\nA3,60,Other Type,2026-11-02 08:00\n\
                A3,60,,2026-11-02 09:00\nA4,50,other type,2026-11-02 08:00\nA5,60,moved and mended,2026-11-02 08:00\n\
                A6,60,ok,2026-11-02 08:00\nA9,60,other type,2026-11-02 08:00\n";
    let text = format!("Anchor,Torque (Nm),Done,Time\n{rows}");
    let report = accepted(text.as_bytes(), &mapping, &specification);
    let void = Reason::Substituted.to_string();
    assert!(void.contains("the sign-off of the calculation is void until it has been verified in every value"));
    let outcomes: Vec<String> = (0..6).map(|anchor| word(&report, anchor)).collect();
    let both = format!("{void}; the torque is below its lower bound");
    assert_eq!(outcomes, ["Pass", "Pass", &void, &both, "Pass", "Pass"]);
    // A record of an anchor that nobody specified is told as such, and what it says was done counts beside.
    let totals = report.totals;
    assert_eq!((totals.repaired, totals.moved, totals.substituted, totals.rows_unlisted), (2, 2, 3, 1));
    assert_eq!((totals.passed, totals.passed_as_specified, totals.accepted, totals.failed), (4, 1, 2, 2));
    assert_eq!(report.deviating.iter().map(|told| told.anchor).collect::<Vec<_>>(), [0, 1, 2, 3, 4]);
    assert_eq!(report.deviating.iter().map(|told| told.line).collect::<Vec<_>>(), [2, 3, 4, 6, 7]);

    // Where none of several records counts, what was done is still told.
    specification.duplicates = DuplicateRule::NoneCounts;
    let report = accepted(text.as_bytes(), &mapping, &specification);
    assert_eq!((word(&report, 2).as_str(), report.totals.substituted), ("Duplicate", 3));
}

#[test]
fn a_word_that_the_sheet_does_not_know_is_told_with_row_and_column_and_its_anchor_does_not_pass() {
    let specification = specification(&["A1", "A2"], plain_demand());
    let text = "Anchor,Torque (Nm),Done\nA1,60,swapped\nA2,60,\n";
    let report = accepted(text.as_bytes(), &with_words(), &specification);
    assert_eq!([word(&report, 0), word(&report, 1)], ["Unreadable", "Pass"]);
    assert_eq!(
        report.mistakes[0].to_string(),
        "line 2: column `Done`: found `swapped`, expected nothing, or one or more of the words of the sheet: `Repaired`, \
         `verschoben`, `other type`, `moved and mended`, `ok`"
    );
}

#[test]
fn what_was_done_can_be_required_of_every_record() {
    let mut specification = specification(&["A1", "A2"], plain_demand());
    specification.required = vec![Field::Done];
    let outcome = outcomes(",Done", "A1,60,ok\nA2,60,\n", &with_words(), &specification);
    assert_eq!(outcome, ["Pass", "what was done is not recorded"]);
}

#[test]
fn words_that_contradict_one_another_or_the_columns_are_refused() {
    let specification = specification(&["A1"], plain_demand());
    let words = |words: &[(Option<Deviation>, &str)]| -> Mapping {
        let words = words.iter().map(|(meaning, word)| (*meaning, (*word).to_owned()));
        Mapping { words: words.collect(), ..with_words() }
    };
    let refused = |mapping: &Mapping| refusal(b"Anchor,Torque (Nm),Done\nA1,60,\n", mapping, &specification);
    assert!(refused(&words(&[])).starts_with("found a column for what was done and none of its words"));
    let both = refused(&words(&[(None, "Fine"), (Some(Deviation::Moved), "fine ")]));
    assert!(both.starts_with("found the word `Fine` both for as specified and for a deviation"), "{both}");
    assert!(refused(&words(&[(None, " ")])).starts_with("found an empty word for what was done"));
    let without = Mapping { words: vec![(None, "ok".to_owned())], ..two_columns() };
    assert!(refused(&without).starts_with("found words for what was done and no column for it"));
}

#[test]
fn what_a_row_that_cannot_be_read_says_was_done_counts_all_the_same() {
    let mapping = with_words().column(Field::Remark, "Remark");
    let specification = specification(&["A1", "A2", "A3", "A4", "A5"], plain_demand());
    // A torque that is none, a field too many that moves the others, a word that is not known beside one that is, no anchor; A5 is sound.
    let text = "Anchor,Torque (Nm),Done,Remark\nA1,6O,other type,ran out\nA2,60,5,verschoben,\nA3,60,\"repaired, swapped\",\n\
                ,60,other type,\nA5,60,,\nA5,x,,\n";
    let report = accepted(text.as_bytes(), &mapping, &specification);
    let states: Vec<String> = (0..5).map(|anchor| word(&report, anchor)).collect();
    assert_eq!(states, ["Unreadable", "Unreadable", "Unreadable", "Missing", "Unreadable"]);
    let done: Vec<Vec<Deviation>> = report.anchors.iter().map(|verdict| verdict.done.deviations().collect()).collect();
    let [repaired, moved, substituted] = Deviation::ALL;
    assert_eq!(done, [vec![substituted], vec![moved], vec![repaired], vec![], vec![]]);
    let totals = report.totals;
    assert_eq!((totals.repaired, totals.moved, totals.substituted), (1, 1, 2));
    // Of the row with a field too many and of the one with a strange word it is not known whether that is all.
    assert_eq!((totals.rows_in_error, totals.rows_silent), (5, 2));
    let told: Vec<(u32, &str)> = report.deviating.iter().map(|told| (told.line, report.remark(told))).collect();
    assert_eq!(told, [(2, "ran out"), (3, "verschoben"), (4, "")]);
    let rows: Vec<(u32, &str, bool)> =
        report.unreadable.iter().map(|row| (row.line, row.anchor.as_str(), row.is_of_anchor)).collect();
    assert_eq!(rows, [(2, "A1", true), (3, "A2", true), (4, "A3", true), (5, "", false), (7, "A5", true)]);
    assert_eq!(report.unreadable[0].remark, "ran out");
}

#[test]
fn several_words_may_stand_in_one_cell_but_not_against_one_another() {
    let specification = specification(&["A1", "A2", "A3"], plain_demand());
    let text =
        "Anchor;Torque (Nm);Done\nA1;60;Repaired, verschoben\nA2;60;repaired / other type\nA3;60;ok & verschoben\n";
    let report = accepted(text.as_bytes(), &with_words(), &specification);
    let states = [word(&report, 0), word(&report, 1), word(&report, 2)];
    assert_eq!(states, ["Pass".to_owned(), Reason::Substituted.to_string(), "Unreadable".to_owned()]);
    assert_eq!((report.totals.repaired, report.totals.moved, report.totals.substituted), (2, 2, 1));
}

#[test]
fn a_moved_anchor_is_accepted_where_it_was_verified_as_built() {
    let mut specification = specification(&["A1", "A2", "A3"], plain_demand());
    let text = "Anchor,Torque (Nm),Done\nA1,60,verschoben\nA2,60,verschoben\nA3,60,ok\n";
    specification.as_built = ["B4 A1".to_owned()].into();
    let report = accepted(text.as_bytes(), &with_words(), &specification);
    assert_eq!(report.anchors.iter().map(|verdict| verdict.is_accepted).collect::<Vec<_>>(), [true, false, true]);
    assert_eq!((report.totals.passed, report.totals.accepted), (3, 2));
    specification.as_built = ["A1".to_owned()].into();
    let told = refusal(text.as_bytes(), &with_words(), &specification);
    assert_eq!(
        told,
        "found `A1` among the anchors that were verified as built, expected anchors of the specification; where there are \
         bases, the label has both marks, such as `B3 A7`"
    );
}

#[test]
fn a_word_for_what_was_done_counts_in_a_remark_as_well() {
    let mapping = with_words().column(Field::Remark, "Remark");
    let specification = specification(&["A1", "A2", "A3", "A4", "A5", "A6", "A7", "A8"], plain_demand());
    let text = "Anchor,Torque (Nm),Done,Remark\nA1,60,,\"OTHER  type, from the other store\"\n\
                A2,60,ok,40 mm verschoben.\nA3,60,,unverschoben\nA4,60,repaired,other type!\n\
                A5,6O,,other type\nA6,60,other type\nA7,60,,\"other-type, other\u{ad}wise sound\"\nA8,60,an other type was used,\n";
    let report = accepted(text.as_bytes(), &mapping, &specification);
    let done: Vec<String> = report
        .anchors
        .iter()
        .map(|verdict| verdict.done.deviations().map(Deviation::word).collect::<Vec<_>>().join(" "))
        .collect();
    assert_eq!(
        done,
        [
            "substituted",
            "moved",
            "",
            "repaired substituted",
            "substituted",
            "substituted",
            "substituted",
            "substituted"
        ]
    );
    let void = Reason::Substituted.to_string();
    assert_eq!([0, 1, 2, 3].map(|at| word(&report, at)), [void.as_str(), "Pass", "Pass", &void]);
    assert!(!report.anchors[1].is_accepted && report.anchors[2].is_accepted);
    assert_eq!(report.totals.substituted, 6);
}
