//! The pages as a reader meets them: in a browser, through its accessibility tree, and on paper.
//!
//! The program renders the demo packages and a new one, and every page that comes out is looked at, so that a new sheet
//! is covered as soon as it is there. A test gives all faults that it found; none is a pass.
//!
//! - [`files`]: links lead somewhere, and the same input gives the same bytes
//! - [`checks`]: every check is heard with its verdict
//! - [`symbols`]: from a symbol in a formula to the line that defines it
//! - [`columns`]: no formula leaves its column at any width
//! - [`paper`]: length of the prints, and the number on every leaf
//! - [`records`]: as-installed records on a narrow screen, and cards on paper
//! - [`silence`]: no page runs a script or asks for anything
//! - [`marking`]: a page that is served is marked by clicks and keys, and runs no script but its own
//!
//! Underneath are [`pages`] (what was rendered) and [`browser`] (one tab of a browser, and its protocol).
//!
//! Tests whose program (`chromium`, for prints `pdftotext` too) is not on the path are left out with a message, unless
//! `SOLEPLATE_BROWSER_TESTS=required` stands in the environment: then they fail.

#![expect(
    clippy::disallowed_methods,
    reason = "tests read the pages from disk and the environment for what is required"
)]
#![expect(clippy::unwrap_used, reason = "a test that cannot look has failed")]

mod browser;
mod checks;
mod columns;
mod files;
mod marking;
mod pages;
mod paper;
mod records;
mod silence;
mod symbols;

use libtest_mimic::{Arguments, Trial};
use pages::Pages;
use std::process::ExitCode;
use std::sync::Arc;

/// What a test found wrong, a sentence each.
type Faults = Vec<String>;

/// A test with its name and the programs that it needs.
type Case = (&'static str, &'static [&'static str], fn(&Pages) -> Faults);

const NOTHING: &[&str] = &[];
const SHOWING: &[&str] = &["chromium"];
const PRINTING: &[&str] = &["chromium", "pdftotext"];

const CASES: &[Case] = &[
    ("every_link_leads_to_a_place_that_exists", NOTHING, files::every_link_leads_to_a_place_that_exists),
    ("rendering_twice_gives_the_same_bytes", NOTHING, files::rendering_twice_gives_the_same_bytes),
    ("prints_are_numbered_and_as_long_as_expected", PRINTING, paper::prints_are_numbered_and_as_long_as_expected),
    ("no_formula_leaves_its_column", SHOWING, columns::no_formula_leaves_its_column),
    ("records_fit_every_screen_and_are_heard", SHOWING, records::records_fit_every_screen_and_are_heard),
    ("every_card_takes_one_leaf", PRINTING, records::every_card_takes_one_leaf),
    ("the_longest_cards_take_one_leaf", PRINTING, records::the_longest_cards_take_one_leaf),
    ("every_check_is_heard_with_its_verdict", SHOWING, checks::every_check_is_heard_with_its_verdict),
    ("every_symbol_leads_to_its_definition", SHOWING, symbols::every_symbol_leads_to_its_definition),
    ("a_click_on_a_symbol_shows_its_definition", SHOWING, symbols::a_click_on_a_symbol_shows_its_definition),
    ("pages_run_no_script_and_ask_for_nothing", SHOWING, silence::pages_run_no_script_and_ask_for_nothing),
    ("lines_are_marked_by_click", SHOWING, marking::lines_are_marked_by_click),
];

fn main() -> ExitCode {
    let arguments = Arguments::from_args();
    let required = std::env::var("SOLEPLATE_BROWSER_TESTS").is_ok_and(|value| value == "required");
    let pages = Arc::new(Pages::render());
    let trials = CASES.iter().map(|(name, programs, run)| {
        let missing = programs.iter().find(|program| !is_on_path(program));
        let left_out = missing.is_some() && !required;
        if let Some(program) = missing.filter(|_| left_out && !arguments.list) {
            eprintln!("left out: {name}: there is no {program} on the path");
        }
        let pages = Arc::clone(&pages);
        let trial = Trial::test(*name, move || {
            if let Some(program) = missing {
                return Err(format!("there is no {program} on the path, and browser tests are required").into());
            }
            let faults = run(&pages);
            if faults.is_empty() { Ok(()) } else { Err(report(&faults).into()) }
        });
        trial.with_ignored_flag(left_out)
    });
    libtest_mimic::run(&arguments, trials.collect()).exit_code()
}

fn is_on_path(program: &str) -> bool {
    std::env::var_os("PATH")
        .is_some_and(|path| std::env::split_paths(&path).any(|folder| folder.join(program).is_file()))
}

/// One fault may repeat on every line of a page; a screen of them tells enough.
fn report(faults: &[String]) -> String {
    const SHOWN: usize = 40;
    let shown = &faults[..faults.len().min(SHOWN)];
    format!("{} found, of which:\n{}", faults.len(), shown.join("\n"))
}
