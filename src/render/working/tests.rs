//! Structure, names and escaping of the working, through real sheets.

use super::*;
use crate::evaluate::Trace;
use crate::package::{Memory, Package};
use crate::render::address::Addresses;
use crate::render::html::Html;
use crate::render::review::{Changed, Entry, LineRemarks, PageReview, Talk, ThreadState};
use std::collections::BTreeSet;

const HEAD: &str =
    "+++\ntitle = \"T\"\nnumber = \"FTD-1\"\nrevision = \"P01\"\npurpose = \"P.\"\nscope = \"S.\"\n+++\n\n";

const CLAUSE: &str = "+++\nkind = \"clause\"\ntitle = \"Twice the force\"\nstandard = \"Invented standard\"\n\
    clause = \"7.2\"\nversion = \"1\"\nscope = \"Any.\"\nbasis = \"Written for the test.\"\n+++\n\n\
    ```clause\ntakes N : force \"the force\"\ngives R \"its double\"\n```\n\n## A heading of the clause\n\n\
    ```derive\nR = 2 * N in kN \"its double\" @ Invented standard, (7.1) [in doubt: the factor]\n```\n\n\
    ```verify\nN <= R \"force\" @ Invented standard, (7.2)\n```\n";

#[track_caller]
fn trace(blocks: &str) -> Trace {
    let files = Memory::default().with("a.md", format!("{HEAD}{blocks}")).with("clauses/twice.md", CLAUSE);
    let (package, findings) = Package::open(Box::new(files)).unwrap();
    assert!(findings.is_empty(), "{findings:#?}");
    let built = package.build("a.md");
    let findings: Vec<String> = built.findings.iter().map(ToString::to_string).collect();
    built.trace.unwrap_or_else(|| panic!("{findings:#?}"))
}

#[track_caller]
fn html(blocks: &str) -> String {
    let trace = trace(blocks);
    let addresses = Addresses::new(&trace);
    let (working, footnotes) = working(&Wording::new(&trace, &addresses), &|_| None);
    format!("<!doctype html>{}{}", working.as_str(), footnotes.as_str())
}

const TWO_USES: &str = "```given\nN_Ed = 18 kN \"uplift\"\n```\n\n## A heading\n\nThe force `N_Ed` acts upwards[^1].\n\n\
    [^1]: A note.\n\n```clause\nuse twice with N = N_Ed gives R \"at the pit\"\nuse twice with N = R \"at the wall\"\n```\n";

#[test]
fn every_address_is_unique_and_every_link_arrives() {
    let html = Html::read(&html(TWO_USES));
    let mut ids = BTreeSet::new();
    for id in html.attributes("id") {
        assert!(ids.insert(id.clone()), "`{id}` names two elements");
    }
    for href in html.attributes("href") {
        assert!(ids.contains(href.trim_start_matches('#')), "`{href}` leads nowhere");
    }
    for id in ["N_Ed", "twice.R", "twice-2.R", "twice-2.check", "clause-twice-2", "use-twice", "note-1"] {
        assert!(ids.contains(id), "{id} in {ids:?}");
    }
}

#[test]
fn a_value_that_with_states_has_no_source_unless_the_use_has_one() {
    let stated = |used: &str| {
        let trace = trace(&format!("```clause\nuse twice with N = {used}\n```\n"));
        let addresses = Addresses::new(&trace);
        let page = working(&Wording::new(&trace, &addresses), &|_| None).0;
        (page.as_str().contains("source not stated"), page.as_str().matches("load schedule LS-03").count())
    };
    assert_eq!(stated("7 kN"), (true, 0));
    assert_eq!(stated("7 kN @ load schedule LS-03"), (false, 2));
}

#[test]
fn headings_of_a_clause_stand_below_its_own() {
    let html = Html::read(&html(TWO_USES));
    insta::assert_snapshot!(html.headings().join("\n"), @r"
    h2 A heading
    h3 Twice the force
    h3 A heading of the clause
    h3 Twice the force
    h3 A heading of the clause
    ");
}

#[test]
fn a_check_is_a_group_named_with_its_verdict_and_its_use() {
    let html = html(TWO_USES);
    assert!(
        html.contains(
            "id=\"twice-2.check\" role=\"group\" \
         aria-label=\"check, line 9: force, at the wall, satisfied, ratio 0.50\""
        ),
        "{html}"
    );
}

#[test]
fn a_line_shows_where_it_comes_from_and_where_it_is_used() {
    let html = html(TWO_USES);
    assert!(html.contains("<span class=\"mark\">source not stated</span>"));
    assert!(
        html.contains("<span class=\"reference\">Invented standard, (7.1)</span> <span class=\"mark\">in doubt</span>")
    );
    assert!(html.contains("<p class=\"used\">used in <a href=\"#twice.N\">3</a></p>"), "{html}");
}

#[test]
fn text_of_a_sheet_never_becomes_markup() {
    let hostile = "</p></style><script>alert(1)</script><img src=x> & '";
    let sheet = |words: &str| {
        format!(
            "```given\nN = 1 kN \"{words}\" @ {words}\n```\n\n```derive\nrequire N < 0 kN \"{words}\" @ {words}\n```\n\n\
             ```verify\nN <= 2 kN \"{words}\" when N > 5 kN otherwise \"{words}\" @ {words} [in doubt: {words}]\n```\n"
        )
    };
    let spoilt = html(&sheet(hostile));
    assert!(!spoilt.contains("<script") && !spoilt.contains("<img"), "{spoilt}");
    assert_eq!(Html::read(&spoilt).outline(), Html::read(&html(&sheet("plain"))).outline());
}

#[test]
fn figures_that_follow_each_other_stand_in_pairs() {
    let figure = "```figure\nsection \"Section\" with h_ef = h, h = h, t_fix = h, d = h\n```\n\n";
    let html = html(&format!("```given\nh = 20 mm\n```\n\n{}Some words.\n\n{figure}", figure.repeat(3)));
    assert_eq!(html.matches("class=\"figures pair\"").count(), 1);
    assert_eq!(html.matches("class=\"figures\"").count(), 2);
    assert_eq!(html.matches("<figure id=").count(), 4);
}

#[test]
fn what_is_only_passed_on_stands_in_a_row_and_counts_as_no_use() {
    let head = |name: &str| CLAUSE.split("```clause").next().unwrap().replace("Twice the force", name);
    let outer = format!("{}```clause\ntakes N : force \"the force\"\nuse inner\n```\n", head("Outer"));
    let inner =
        format!("{}```clause\ntakes N : force \"the force\"\n```\n\n```derive\nR = 2 * N in kN\n```\n", head("Inner"));
    let files = Memory::default()
        .with("a.md", format!("{HEAD}```given\nN = 18 kN \"uplift\" @ s\n```\n\n```clause\nuse outer\n```\n"))
        .with("clauses/outer.md", outer)
        .with("clauses/inner.md", inner);
    let (package, _) = Package::open(Box::new(files)).unwrap();
    let built = package.build("a.md");
    let trace = built.trace.unwrap_or_else(|| panic!("{:#?}", built.findings));
    let addresses = Addresses::new(&trace);
    let html = working(&Wording::new(&trace, &addresses), &|_| None).0.into_string();
    assert!(html.contains("<div class=\"passed\">\n<span class=\"pass\" id=\"inner.N\">"), "{html}");
    assert!(html.contains("id=\"outer.N\""), "what the sheet binds has a line of its own");
    // The inner formula counts as a use of what the outer clause took.
    let outer_line = html.split("id=\"outer.N\"").nth(1).unwrap();
    assert!(outer_line.split("</div></div>").next().is_some());
    assert!(outer_line.contains("<p class=\"used\">used in <a href=\"#inner.R\">"), "{html}");
}

/// A review with every kind of remark on each line, in these words.
fn every_remark(trace: &Trace, words: &str) -> PageReview {
    let entry = |kind| Entry { kind, by: words.to_owned(), words: words.to_owned() };
    let remarks = LineRemarks {
        needs_tick: true,
        is_by_creator: false,
        came_back: false,
        ticked: vec![words.to_owned()],
        changed: Some(Changed {
            by: words.to_owned(),
            what: vec!["value"],
            was: words.to_owned(),
            now: words.to_owned(),
        }),
        talks: vec![Talk { state: ThreadState::Answered, entries: vec![entry("queried"), entry("answered")] }],
        inherited: Some(words.to_owned()),
    };
    PageReview { lines: vec![remarks; trace.compiled.notes.lines.len()], ..PageReview::default() }
}

#[test]
fn words_of_a_review_stand_on_every_line_and_never_become_markup() {
    let trace = trace(TWO_USES);
    let addresses = Addresses::new(&trace);
    let html = |words: &str| {
        let review = every_remark(&trace, words);
        let (working, _) = working(&Wording::new(&trace, &addresses).reviewed(Some(&review)), &|_| None);
        format!("<!doctype html>{}", working.as_str())
    };
    let plain = html("R.T.");
    let lines = trace.order.len();
    for part in
        ["</i>ticked <span", "</i>changed since ticked <span", "</i>query answered", "value changed</b>: was <del>R.T."]
    {
        assert_eq!(plain.matches(part).count(), lines, "{part}");
    }
    let spoilt = html("</p></del><script>alert(1)</script>\"'");
    assert!(!spoilt.contains("<script"), "{spoilt}");
    assert_eq!(Html::read(&spoilt).outline(), Html::read(&plain).outline());
}
