//! No formula leaves its column, at any width that pages are read or printed at.
//!
//! A browser breaks no long formula, and prints a page with one that is too wide at a smaller scale. The style sheet
//! clips such a formula, which would hide a part of it: that guard must never act.

use crate::Faults;
use crate::browser::Browser;
use crate::pages::Pages;
use crate::paper::{A4, LETTER};

/// The width of a small phone in CSS pixels.
const PHONE: u64 = 360;

pub fn no_formula_leaves_its_column(pages: &Pages) -> Faults {
    let mut browser = Browser::start();
    let mut faults = Faults::new();
    for page in pages.iter() {
        browser.show(page);
        let (a4, letter) = (A4.text_area(&mut browser).0, LETTER.text_area(&mut browser).0);
        for (name, media, width) in [("A4", "print", a4), ("Letter", "print", letter), ("phone", "screen", PHONE)] {
            browser.lay_out(media, width);
            let found = browser.evaluate(include_str!("columns.js"));
            let found = found.as_array().unwrap().iter().filter_map(|fault| fault.as_str());
            faults.extend(found.map(|fault| format!("{}, {name}: {fault}", page.name)));
        }
    }
    faults
}
