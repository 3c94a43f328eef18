//! What marks are worth after a change, and who may mark what.

use super::*;

const SHEET: &str = "```given\nN_Ed = 4 kN \"tension\" @ LS-03\nN_Rk = 12 kN \"pull-out\" @ AS-02\n\
    gamma = 1.5 \"partial factor\" @ Table 4.1\n```\n\n```derive\nN_Rd = N_Rk / gamma in kN \"resistance\" @ (7.1)\n```\n\n\
    ```verify\nN_Ed <= N_Rd \"pull-out\" @ Table 7.1\n```\n";

#[test]
fn a_change_is_to_be_checked_again_where_it_is_seen_and_nowhere_else() {
    let marks = all_ticked(&trace(SHEET));
    let after = |old: &str, new: &str| left(&trace(&SHEET.replace(old, new)), &marks);
    assert_eq!(after("x", "x"), "");
    assert_eq!(after("4 kN", "5 kN"), "N_Ed formula+value, check value");
    assert_eq!(after("= 1.5", "= 1.8"), "gamma formula+value, N_Rd value, check value");
    assert_eq!(after("(7.1)", "(7.2)"), "N_Rd reference");
    assert_eq!(after("\"tension\"", "\"tension on the bracket\""), "N_Ed description");
    assert_eq!(after("N_Rk / gamma in", "N_Rk / gamma * 1 in"), "N_Rd formula");
    assert_eq!(after("gamma", "gamma_Mp"), "gamma_Mp to check, N_Rd formula, gamma gone");
    assert_eq!(after("```derive", "Some prose.\n\n```derive"), "");
}

#[test]
fn old_and_new_are_shown() {
    let marks = all_ticked(&trace(SHEET));
    let changed = trace(&SHEET.replace("= 1.5", "= 1.8"));
    let review = state(&changed, &marks);
    let shown = |address: &str| match &review.line(line(&changed, address)).tick {
        Tick::Changed(change) => format!("{} | {}", change.was, change.now),
        other => panic!("{other:?}"),
    };
    assert_eq!(shown("gamma"), "1.5 | 1.8");
    assert_eq!(marks.all()[4].was, "1.5 @ Table 4.1");
    assert_eq!(shown("N_Rd"), "N_Rk / gamma = 8.00 kN | N_Rk / gamma = 6.67 kN");
    assert_eq!(
        shown("check"),
        "N_Ed <= N_Rd: 4 kN, 8.00 kN, satisfied, ratio 0.50 | N_Ed <= N_Rd: 4 kN, 6.67 kN, satisfied, ratio 0.60"
    );
}

#[test]
fn of_a_line_that_says_the_same_only_what_differs_is_shown() {
    let marks = all_ticked(&trace(SHEET));
    let shown = |old: &str, new: &str, address: &str| {
        let changed = trace(&SHEET.replace(old, new));
        match &state(&changed, &marks).line(line(&changed, address)).tick {
            Tick::Changed(change) => format!("{} | {}", change.was, change.now),
            other => panic!("{other:?}"),
        }
    };
    assert_eq!(shown("LS-03", "LS-04 [in doubt]", "N_Ed"), "LS-03 | LS-04 [in doubt]");
    assert_eq!(shown(" @ LS-03", "", "N_Ed"), "LS-03 | no reference");
    assert_eq!(shown("\"tension\"", "\"pull\"", "N_Ed"), " | ");
    assert_eq!(shown("4 kN \"tension\" @ LS-03", "5 kN \"tension\" @ LS-04", "N_Ed"), "4 kN @ LS-03 | 5 kN @ LS-04");
}

#[test]
fn a_tick_holds_again_where_the_line_is_again_as_it_was() {
    let (old, new) = (trace(SHEET), trace(&SHEET.replace("4 kN", "5 kN")));
    let marks = all_ticked(&old);
    let marks = marked(&new, &marks, "N_Ed", Action::Tick, &by("K.L."));
    assert_eq!(left(&new, &marks), "check value");
    assert_eq!(left(&old, &marks), "");
    // That it was another in between is told of the line on which somebody saw it, until it is ticked anew.
    let came_back = |trace: &Trace, marks: &Marks| {
        let review = state(trace, marks);
        let lines = trace.order.iter().filter(|id| review.line(**id).came_back);
        let shown = shown(&review);
        lines
            .map(|id| (Addresses::new(trace).line(*id).to_owned(), shown.lines[id.0 as usize].tick_word()))
            .collect::<Vec<_>>()
    };
    assert_eq!(came_back(&old, &marks), [("N_Ed".to_owned(), Some("ticked, changed since and back"))]);
    assert_eq!(came_back(&new, &marks), []);
    let anew = marked(&old, &marks, "N_Ed", Action::Tick, &by("R.T."));
    assert_eq!((came_back(&old, &anew), anew.all().len()), (vec![], marks.all().len() + 1));
}

#[test]
fn who_has_ticked_a_line_as_it_is_does_not_tick_it_twice() {
    let trace = trace(SHEET);
    let marks = all_ticked(&trace);
    assert_eq!(marked(&trace, &marks, "N_Ed", Action::Tick, &by("R.T.")), marks);
    let both = marked(&trace, &marks, "N_Ed", Action::Tick, &by("K.L."));
    assert_eq!(both.all().len(), marks.all().len() + 1);
    let back = marked(&trace, &both, "N_Ed", Action::Untick, &by("K.L."));
    assert_eq!(back, marks);
    let refused = mark(&trace, &back, &[line(&trace, "N_Ed")], Action::Untick, &by("K.L.")).unwrap_err();
    assert_eq!(refused.to_string(), "line 1 (`N_Ed`) has no tick of K.L. that holds");
}

#[test]
fn counts_tell_what_is_done_and_what_is_left() {
    let sheet = format!("{SHEET}\n```clause\nuse outer with N = N_Ed\n```\n");
    let trace = trace(&sheet);
    let none = state(&trace, &Marks::default());
    // N_Ed, N_Rk, gamma, N_Rd, the check; outer.N; share.k, share.R and the check of the share.
    assert_eq!(none.counts, Counts { needed: 9, ..Counts::default() });
    assert_eq!(none.counts.tally(), "Nothing is ticked: 9 lines are to check.");
    let marks = all_ticked(&trace);
    assert_eq!(state(&trace, &marks).counts.tally(), "All 9 lines that need it are ticked.");
    let marks = marked(&trace, &marks, "gamma", Action::Query, &saying("R.T.", "1.8?"));
    let marks = marked(&trace, &marks, "N_Rk", Action::Query, &saying("R.T.", "which schedule?"));
    let marks = marked(&trace, &marks, "N_Rk", Action::Answer, &saying("K.L.", "the second"));
    let changed = super::trace(&sheet.replace("4 kN", "5 kN"));
    let counts = state(&changed, &marks).counts;
    assert_eq!(
        counts.tally(),
        "4 of the 9 lines that need a tick are ticked, 5 lines are to check. 5 lines have changed since the tick. \
         1 query waits for an answer. 1 query waits to be closed."
    );
}

#[test]
fn a_line_that_only_passes_a_value_on_counts_with_its_source() {
    let trace = trace("```given\nN = 4 kN @ s\n```\n\n```clause\nuse outer\n```\n");
    let review = state(&trace, &Marks::default());
    assert!(!review.line(line(&trace, "share.N")).needs_tick);
    assert!(review.line(line(&trace, "outer.N")).needs_tick);
    assert!(!review.line(line(&trace, "use-outer")).needs_tick);
    let refused = mark(&trace, &Marks::default(), &[line(&trace, "share.N")], Action::Tick, &by("R.T.")).unwrap_err();
    let number = trace.number(line(&trace, "outer.N"));
    assert_eq!(refused.reason, Reason::Passes(number));
}

#[test]
fn a_query_stays_open_until_it_is_closed() {
    let trace = trace(SHEET);
    let stands = |marks: &Marks| {
        let review = state(&trace, marks);
        let threads = &review.line(line(&trace, "gamma")).threads;
        threads
            .iter()
            .map(|thread| format!("{}:{}", thread.state.words(), thread.marks.len()))
            .collect::<Vec<_>>()
            .join(" ")
    };
    let marks = marked(&trace, &Marks::default(), "gamma", Action::Query, &saying("R.T.", "why?"));
    assert_eq!(stands(&marks), "query open:1");
    let marks = marked(&trace, &marks, "gamma", Action::Answer, &saying("K.L.", "so"));
    assert_eq!(stands(&marks), "query answered:2");
    let marks = marked(&trace, &marks, "gamma", Action::Query, &saying("R.T.", "where is that said?"));
    assert_eq!(stands(&marks), "query open:3");
    let marks = marked(&trace, &marks, "gamma", Action::Close, &by("R.T."));
    assert_eq!(stands(&marks), "query closed:4");
    let marks = marked(&trace, &marks, "gamma", Action::Query, &saying("R.T.", "another matter"));
    assert_eq!(stands(&marks), "query closed:4 query open:1");
    // Others close it with words alone, and the page says for whom.
    let refused = mark(&trace, &marks, &[line(&trace, "gamma")], Action::Close, &by("K.L.")).unwrap_err();
    assert_eq!(
        refused.to_string(),
        "the query about line 3 (`gamma`) was asked by R.T.: who closes it for them says why"
    );
    let settled = marked(&trace, &marks, "gamma", Action::Close, &saying("K.L.", "settled on site"));
    let shown = shown(&state(&trace, &settled));
    let said: Vec<&str> =
        shown.lines[line(&trace, "gamma").0 as usize].talks[1].entries.iter().map(|entry| entry.by.as_str()).collect();
    assert_eq!(said, ["R.T., 2026-11-20", "K.L., 2026-11-20, for R.T."]);
    // All of it on one day, and read back from the file.
    let source = crate::text::SourceFile::new("a.marks", marks.write());
    assert_eq!(stands(&Marks::read(&source).0), "query closed:4 query open:1");
    // A change of the line closes no query.
    let changed = super::trace(&SHEET.replace("= 1.5", "= 1.8"));
    assert_eq!(state(&changed, &marks).counts.open, 1);
}

#[test]
fn a_query_made_while_another_is_closed_stays_open() {
    let trace = trace(SHEET);
    let asked = marked(&trace, &Marks::default(), "gamma", Action::Query, &saying("R.T.", "why?"));
    let closed = marked(&trace, &asked, "gamma", Action::Close, &by("R.T."));
    let late = By { date: Day::parse("2026-11-19").unwrap(), ..saying("K.L.", "and where?") };
    let again = marked(&trace, &asked, "gamma", Action::Query, &late);
    let merged = Marks::new([closed.all(), again.all()].concat());
    assert_eq!(state(&trace, &merged).counts.open, 1);
}

#[test]
fn what_cannot_be_marked_is_refused_and_nothing_is_marked_then() {
    let trace = trace(&format!(
        "{SHEET}\n```figure\nsection \"S\" with h_ef = 70 mm, h = 200 mm, t_fix = 15 mm, d = 12 mm\n```\n"
    ));
    let none = Marks::default();
    let refusal = |address: &str, action, by: &By| {
        mark(&trace, &none, &[line(&trace, "N_Ed"), line(&trace, address)], action, by).unwrap_err().reason
    };
    assert_eq!(refusal("figure", Action::Tick, &by("R.T.")), Reason::Figure);
    let asked =
        |action| mark(&trace, &none, &[line(&trace, "gamma")], action, &saying("R.T.", "x")).unwrap_err().reason;
    assert_eq!(asked(Action::Answer), Reason::NothingAsked);
    assert_eq!(asked(Action::Close), Reason::NothingAsked);
    assert_eq!(asked(Action::Accept), Reason::NotInherited);
    assert_eq!(refusal("gamma", Action::Query, &saying("R.T.", " \n ")), Reason::NoWords);
}

#[test]
fn words_cannot_break_the_file_or_steer_a_terminal() {
    let trace = trace(SHEET);
    let words = "one\r\ntwo \x1b[31m\"three\" \\ four\n# five";
    let marks = marked(&trace, &Marks::default(), "gamma", Action::Query, &saying("R\nT \"x\"", words));
    let (back, findings) = Marks::read(&crate::text::SourceFile::new("a.marks", marks.write()));
    assert_eq!(findings, []);
    assert_eq!(back, marks);
    assert_eq!(marks.all()[0].remark, "one\ntwo  [31m\"three\" \\ four\n# five");
    assert_eq!(marks.all()[0].who, "R T \"x\"");
}
