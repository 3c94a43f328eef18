//! Structure, escaping and sameness of pages.

mod comparison;
mod sample;

use super::*;
use crate::render::html::Html;
use crate::render::markup::Markup;
use crate::render::view::{SignOffView, TitleBlock};
use sample::plain;
use std::cell::RefCell;
use std::collections::BTreeSet;

fn page(view: &PageView) -> String {
    Pages::new().unwrap().page(view).unwrap()
}

#[test]
fn headings_lead_through_the_page() {
    let html = Html::read(&page(&sample::page(&plain)));
    insta::assert_snapshot!(html.headings().join("\n"), @r##"
    h1 Gantry column base, grid B4
    h2 #page:governs What governs
    h3 #page:faults not valid: nothing follows from this calculation until these lines are put right
    h3 Not applicable
    h2 #again:4 Made again with other values: C-014
    h2 #page:modes-1 Every failure mode of invented standard
    h2 #page:basis What this rests on
    h3 Inherited from another calculation, not confirmed: 1
    h3 Assumptions
    h3 Clauses that the package brings itself
    h3 Defaults of clauses
    h3 Values without a source
    h3 Sources still to be confirmed
    h3 Data in use
    h2 #page:review Review
    h3 Changed since ticked
    h3 Queries
    h3 Marks whose line is gone
    h2 #page:revisions Revisions
    h2 #page:sign-off Sign-off
    h3 Sign-offs that do not count
    h2 #page:working Working
    h2 What the base carries
    h3 Clause of the cone
    h4 Clause of the area
    h2 #page:clauses Clauses in use
    h2 #page:cautions Cautions
    h2 #page:provenance Provenance
    h2 #page:card-1-title Installation card
    h3 Setting
    "##);
}

#[test]
fn elements_nest_and_addresses_are_whole() {
    let pages = Pages::new().unwrap();
    for html in [
        page(&sample::page(&plain)),
        pages.index(&sample::index(&plain)).unwrap(),
        pages.comparison(&comparison::sample(&plain)).unwrap(),
    ] {
        let html = Html::read(&html);
        let mut ids = BTreeSet::new();
        for id in html.attributes("id") {
            assert!(ids.insert(id.clone()), "`{id}` names two elements");
        }
        for href in html.attributes("href") {
            if let Some(id) = href.strip_prefix('#') {
                assert!(ids.contains(id), "`{href}` leads nowhere");
            }
        }
        for id in html.attributes("aria-labelledby") {
            assert!(ids.contains(&id), "`{id}` labels nothing");
        }
    }
}

#[test]
fn every_text_of_the_view_reaches_the_page() {
    let given = RefCell::new(BTreeSet::new());
    let mark = |text: &str| {
        let text = format!("[{text}]");
        given.borrow_mut().insert(text.clone());
        text
    };
    let html = page(&sample::page(&mark));
    for text in given.borrow().iter() {
        assert!(html.contains(text.as_str()), "`{text}` is missing");
    }
    given.borrow_mut().clear();
    let html = Pages::new().unwrap().index(&sample::index(&mark)).unwrap();
    for text in given.borrow().iter() {
        assert!(html.contains(text.as_str()), "`{text}` is missing from the index");
    }
    given.borrow_mut().clear();
    let html = Pages::new().unwrap().comparison(&comparison::sample(&mark)).unwrap();
    for text in given.borrow().iter() {
        assert!(html.contains(text.as_str()), "`{text}` is missing from the comparison");
    }
}

#[test]
fn no_text_becomes_markup() {
    let hostile = |text: &str| match text {
        "" => String::new(),
        text => format!("{text}</style></title><script>alert(1)</script>\"'><img src=x onerror=y>&\\"),
    };
    let pages = Pages::new().unwrap();
    for (plain, spoilt) in [
        (page(&sample::page(&plain)), page(&sample::page(&hostile))),
        (pages.index(&sample::index(&plain)).unwrap(), pages.index(&sample::index(&hostile)).unwrap()),
        (
            pages.comparison(&comparison::sample(&plain)).unwrap(),
            pages.comparison(&comparison::sample(&hostile)).unwrap(),
        ),
    ] {
        assert!(!spoilt.contains("<script") && !spoilt.contains("<img"));
        let (plain, spoilt) = (Html::read(&plain), Html::read(&spoilt));
        let (before, after) = (plain.outline(), spoilt.outline());
        let differs = before.iter().zip(&after).find(|(before, after)| before != after);
        assert_eq!(differs, None, "an element that the text made");
        assert_eq!(before.len(), after.len());
    }
}

#[test]
fn the_same_view_gives_the_same_bytes() {
    let view = sample::page(&plain);
    let once = page(&view);
    let pages = Pages::new().unwrap();
    let others: Vec<String> = std::thread::scope(|scope| {
        let handles: Vec<_> = (0..2).map(|_| scope.spawn(|| pages.page(&view).unwrap())).collect();
        handles.into_iter().map(|handle| handle.join().unwrap()).collect()
    });
    assert!(others.iter().all(|other| *other == once));
}

#[test]
fn a_page_that_is_bare_has_no_empty_sections() {
    let mut view = sample::page(&plain);
    view.checks.clear();
    view.modes.clear();
    view.recalculations.clear();
    view.not_applicable.clear();
    view.faults.clear();
    view.assumptions.clear();
    view.defaults.clear();
    view.unsourced.clear();
    view.marked.clear();
    view.inherited.clear();
    view.review = None;
    view.sign_off = SignOffView::default();
    view.notices.clear();
    view.cards.clear();
    view.overrides.clear();
    view.clauses.clear();
    view.not_verified.clear();
    view.working = Markup::new();
    view.footnotes = Markup::new();
    view.head = TitleBlock {
        owner: String::new(),
        package: String::new(),
        title: "Bare".to_owned(),
        number: String::new(),
        revision: String::new(),
        date: String::new(),
        people: Vec::new(),
        revisions: Vec::new(),
        status: "unchecked".to_owned(),
    };
    let html = page(&view);
    let read = Html::read(&html);
    insta::assert_snapshot!(read.headings().join("\n"), @r##"
    h1 Bare
    h2 #page:governs What governs
    h2 #page:basis What this rests on
    h2 #page:sign-off Sign-off
    h2 #page:working Working
    h2 #page:cautions Cautions
    h2 #page:provenance Provenance
    "##);
    assert!(html.contains("None: assumptions; values without a source; sources still to be confirmed."));
    assert!(html.contains("<title>Bare</title>"));
    assert!(html.contains("@top-left{content:\"Bare\"}@top-right{content:\"unchecked\"}"));
}

#[test]
fn the_check_that_governs_is_marked() {
    let html = page(&sample::page(&plain));
    assert!(
        html.contains(
            "<tr role=\"row\" class=\"governing\"><td role=\"cell\" class=\"no\"><a href=\"#cone.check\">9</a>"
        )
    );
}

#[test]
fn a_page_asks_for_nothing_from_outside() {
    let html = page(&sample::page(&plain));
    assert!(!html.contains("http://") && !html.contains("https://") && !html.contains("@import"));
    assert!(html.contains("content=\"default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:\""));
    assert_eq!(html.matches("<style>").count(), 1);
}

#[test]
fn a_string_of_css_stays_within_its_quotes() {
    let check = |text: &str, expected: &str| assert_eq!(style::css_string(text), expected);
    check("Base, grid B4", "\"Base, grid B4\"");
    check("a\"b\\c", "\"a\\22 b\\5c c\"");
    check("</style>\n", "\"\\3c /style\\3e \\a \"");
    check("h ≥ 2 · ψ", "\"h ≥ 2 · ψ\"");
}

#[test]
#[expect(clippy::disallowed_methods, reason = "the folder is compared with what is embedded")]
fn every_template_and_style_sheet_is_embedded() {
    let folder = |name: &str| -> Vec<String> {
        let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("templates").join(name);
        let mut names: Vec<String> =
            std::fs::read_dir(path).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
        names.sort();
        names
    };
    let sheets: Vec<&str> = style::SHEETS.iter().map(|(name, _)| *name).collect();
    assert_eq!(sheets, folder("style"));
    let parts: Vec<&str> = TEMPLATES.iter().filter_map(|(name, _)| name.strip_prefix("parts/")).collect();
    assert_eq!(parts, folder("parts"));
}

#[test]
fn a_desk_is_all_that_a_served_page_has_in_addition() {
    use base64::Engine;
    use sha2::{Digest, Sha256};
    let hostile = "\"'</script></aside><script>x()</script>";
    let [by, lines, problem] = [hostile, hostile, hostile].map(str::to_owned);
    let desk = Desk { by, version: "12ab".to_owned(), lines, problem };
    let view = sample::page(&plain);
    let served = Pages::new().unwrap().page_with_desk(&view, &desk).unwrap();
    // The same head, body and working, whatever the desk is told.
    let body = |html: &str| html[html.find("<body>").unwrap()..html.find("</main>").unwrap()].to_owned();
    assert_eq!(body(&served), body(&page(&view)));
    // One script, and the policy names it by what stands between its tags.
    assert_eq!(served.matches("<script").count(), 1);
    let script = served.split("<script>").nth(1).unwrap().split("</script>").next().unwrap();
    let digest = base64::engine::general_purpose::STANDARD.encode(Sha256::digest(script));
    assert!(desk::policy().contains(&format!("script-src 'sha256-{digest}';")));
    assert!(!served.contains("http-equiv"), "the policy of an issued page would stop the script");
    assert!(!page(&view).contains("page:desk"));
}
