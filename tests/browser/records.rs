//! As-installed records as somebody on site meets them: on a phone, by ear, and as cards on paper.

use crate::Faults;
use crate::browser::Browser;
use crate::checks::Tree;
use crate::pages::{Page, Pages, soleplate};
use crate::paper::{A4, LETTER, print};
use serde_json::Value;
use std::path::Path;

/// Widths of screens in CSS pixels, from a small phone to a tablet held upright.
const SCREENS: [u64; 4] = [360, 390, 600, 820];

/// The size in mm of the smallest letters in the plan of a card.
const LEAST_LETTERS: &str = "Math.min(...[...document.querySelectorAll('.card .drawing text')].map(text => { \
    const scale = text.getScreenCTM(); \
    return parseFloat(getComputedStyle(text).fontSize) * Math.hypot(scale.a, scale.b) * 25.4 / 96; }))";

/// The size in mm of the smallest letters of values and steps.
const LEAST_WORDS: &str = "Math.min(...[...document.querySelectorAll('.card :is(.values dt, .values dd, li)')].map(words => \
    parseFloat(getComputedStyle(words).fontSize) * 25.4 / 96))";

/// The heights in CSS pixels of all cards.
const HEIGHTS: &str = "[...document.querySelectorAll('.card')].map(card => card.getBoundingClientRect().height)";

/// By how much the widest part of a card stands out of it, px: a print is made smaller until that fits as well.
const STANDS_OUT: &str = "Math.max(0, ...[...document.querySelectorAll('.card')].flatMap(card => \
    [...card.querySelectorAll('*')].map(part => part.getBoundingClientRect().right - card.getBoundingClientRect().right)))";

/// What every card says in its last lines.
const END_OF_CARD: &str = "Nothing on this card replaces them";

pub fn records_fit_every_screen_and_are_heard(pages: &Pages) -> Faults {
    let mut browser = Browser::start();
    let mut faults = Faults::new();
    let mut count = 0;
    for page in pages.calculations() {
        let anchors: Vec<&Value> = page.lines().iter().flat_map(|line| listed(&line["records"])).collect();
        if anchors.is_empty() {
            continue;
        }
        count += 1;
        browser.show(page);
        for width in SCREENS {
            browser.lay_out("screen", width);
            let tree = Tree::of(&mut browser);
            let heard = tree.all_texts().join("\n");
            for anchor in &anchors {
                let words = ["anchor", "state"].map(|key| anchor[key].as_str().unwrap_or_default());
                if let Some(missing) = words.iter().find(|word| !heard.contains(**word)) {
                    faults.push(format!("{}, {width} px: {missing} is not heard", page.name));
                }
            }
            let found = browser.evaluate(include_str!("records.js"));
            let found = found.as_array().unwrap().iter().filter_map(Value::as_str);
            faults.extend(found.map(|fault| format!("{}, {width} px: {fault}", page.name)));
        }
    }
    if count == 0 {
        faults.push("no page has records with something to tell".to_owned());
    }
    faults
}

/// Anchors that do not pass or were not installed as specified.
fn listed(records: &Value) -> impl Iterator<Item = &Value> {
    ["not_accepted", "deviating"].into_iter().filter_map(|key| records[key].as_array()).flatten()
}

pub fn every_card_takes_one_leaf(pages: &Pages) -> Faults {
    let mut browser = Browser::start();
    let mut faults = Faults::new();
    let mut count = 0;
    for page in pages.calculations() {
        browser.show(page);
        let titles = browser.evaluate("[...document.querySelectorAll('.card h2')].map(title => title.textContent)");
        let titles: Vec<&str> = titles.as_array().unwrap().iter().filter_map(Value::as_str).collect();
        if titles.is_empty() {
            continue;
        }
        count += titles.len();
        for paper in [A4, LETTER] {
            let (width, _) = paper.text_area(&mut browser);
            browser.lay_out("print", width);
            let smallest = browser.evaluate(LEAST_LETTERS).as_f64().unwrap_or(f64::INFINITY);
            if smallest < 3.0 {
                faults.push(format!("{}: letters of {smallest:.2} mm in the plan of a card", page.name));
            }
            let smallest = browser.evaluate(LEAST_WORDS).as_f64().unwrap_or(f64::INFINITY);
            if smallest < 3.0 {
                faults.push(format!("{}: letters of {smallest:.2} mm in the words of a card", page.name));
            }
            let out = browser.evaluate(STANDS_OUT).as_f64().unwrap_or(f64::INFINITY);
            if out > 1.0 {
                faults.push(format!("{}: part of a card stands {out:.0} px out of it", page.name));
            }
            let leaves: Vec<String> = print(&mut browser, &paper).iter().map(|leaf| one_line(leaf)).collect();
            let ends = leaves.iter().filter(|leaf| leaf.contains(END_OF_CARD)).count();
            // The title stands at the head of every leaf that a card takes, behind the number of the calculation.
            let is_whole = |title: &str| {
                let head = format!("· {}", one_line(title));
                let mut own = leaves.iter().filter(|leaf| leaf.contains(&head));
                own.next().is_some_and(|leaf| leaf.contains(END_OF_CARD)) && own.next().is_none()
            };
            faults.extend(titles.iter().filter(|title| !is_whole(title)).map(|title| told(page, title)));
            if ends != titles.len() {
                faults.push(format!("{}: {} cards end on {ends} leaves", page.name, titles.len()));
            }
        }
    }
    if count < 4 {
        faults.push(format!("only {count} cards were printed"));
    }
    faults
}

/// A card with every line that it can have, on a base of the demo; one with a bar besides; and one with hardly a value.
pub fn the_longest_cards_take_one_leaf(_: &Pages) -> Faults {
    let folder = tempfile::tempdir().unwrap();
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("sheets/fellmere-tram-depot");
    let (package, pages) = (folder.path().join("package"), folder.path().join("pages"));
    let sheet = std::fs::read_to_string(demo.join("stair-landing-l1.md")).unwrap();
    std::fs::create_dir_all(package.join("data")).unwrap();
    std::fs::write(package.join("soleplate.toml"), "title = \"Fellmere Tram Depot\"\n").unwrap();
    std::fs::copy(demo.join("data/bd-16.toml"), package.join("data/bd-16.toml")).unwrap();
    std::fs::write(package.join("l1.md"), format!("{sheet}\n{}", include_str!("longest-card.md"))).unwrap();
    soleplate(&["render".as_ref(), &package, "--out".as_ref(), &pages]);
    let html = std::fs::read_to_string(pages.join("l1.html")).unwrap();
    let page = Page { name: "l1".to_owned(), path: pages.join("l1.html"), html, values: None };

    let mut browser = Browser::start();
    let mut faults = Faults::new();
    browser.show(&page);
    for paper in [A4, LETTER] {
        let (width, _) = paper.text_area(&mut browser);
        browser.lay_out("print", width);
        for (letters, what) in [(LEAST_LETTERS, "the plan"), (LEAST_WORDS, "the words")] {
            let smallest = browser.evaluate(letters).as_f64().unwrap();
            if smallest < 3.0 {
                faults.push(format!("letters of {smallest:.2} mm in {what} of a card"));
            }
        }
        let out = browser.evaluate(STANDS_OUT).as_f64().unwrap_or(f64::INFINITY);
        if out > 1.0 {
            faults.push(format!("part of a card stands {out:.0} px out of it"));
        }
        let heights = browser.evaluate(HEIGHTS);
        let leaves: Vec<String> = print(&mut browser, &paper).iter().map(|leaf| one_line(leaf)).collect();
        for (title, words) in [
            ("The longest card", "wait at −5 °C to below 0 °C"),
            ("The longest card, with grout and a bar", "NOT FOR USE"),
            ("A card without a product", "NOT FOR USE"),
        ] {
            // Its head stands at the top of every leaf that it takes.
            let head = format!("P01 · {title}{}", if title.starts_with('A') { "" } else { " · Bonded anchor BD-16" });
            let own: Vec<&String> = leaves.iter().filter(|leaf| leaf.contains(&head)).collect();
            match own.as_slice() {
                [leaf] if leaf.contains(words) && leaf.contains(END_OF_CARD) => {}
                [_] => faults.push(format!("the card {title:?} is not whole, or does not say {words:?}")),
                more => faults.push(format!("the card {title:?} takes {} leaves, {heights} px high", more.len())),
            }
        }
    }
    faults
}

fn told(page: &Page, title: &str) -> String {
    format!("{}: the card {title:?} does not begin and end on one leaf", page.name)
}

fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}
