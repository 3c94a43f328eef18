//! `soleplate compare`: what changed between two states of a package or of a calculation.
//!
//! 1. [`side`] finds what was named: a folder, a sheet, or either at a revision of git, which [`git`] reads;
//! 2. sheets are put beside each other by path, else by number; each pair is built, compared and let go;
//! 3. [`text`] tells it on the terminal, [`page`] as a page and as JSON.

mod git;
mod page;
mod side;
mod text;

use super::exit::{Failure, Outcome};
use super::output::write_file;
use super::task::{Task, tell_findings};
use super::terminal::Terminal;
use crate::comparison::{Beside, Calculation, Comparison, beside, compare, page, page_of_one};
use crate::diagnostic::any_error;
use crate::package::Built;
use crate::render::comparison::ComparedView;
use anyhow::Context;
use page::{html, json};
use rayon::prelude::*;
use side::{Opened, open};
use std::path::PathBuf;

const SIDES: &str = "\
OLD and NEW are a package's folder, a sheet, an issued page (whose sources are taken as they stand; `verify` proves
them), or a revision of git such as HEAD~1, P01 or main. A revision means the
package or the sheet that the other side names, and where that is a revision too the package of the current folder.
Where a file has the name of a revision, write git:NAME.
What calculations say is compared; the marks and sign-offs beside them are not.

Examples:
  soleplate compare HEAD                        what changed since the last commit
  soleplate compare P01 P02                     between two tags
  soleplate compare main depot/b4.md            one calculation against a branch
  soleplate compare issued/b4.html b4.md        what changed since a page was issued
  soleplate compare HEAD~1 --html changes.html  a page with both formulas side by side

Exit codes: 0 no difference, 1 a difference, otherwise as for all verbs.";

/// What can be typed behind `compare`.
#[derive(Debug, clap::Args)]
#[command(after_help = SIDES)]
pub struct Arguments {
    /// The older side
    pub old: String,
    /// The newer side; the current folder where it is not named
    #[arg(default_value = ".", hide_default_value = true)]
    pub new: String,
    /// Write every change as JSON to a file, or with `-` to the standard output
    #[arg(long, value_name = "FILE")]
    pub json: Option<PathBuf>,
    /// Write a page to a file
    #[arg(long, value_name = "FILE")]
    pub html: Option<PathBuf>,
}

/// A calculation on one side or both.
struct Compared {
    /// Its path as it is now, or as it was where it is gone.
    path: String,
    /// Its path before, where it was another.
    old_path: Option<String>,
    result: Result,
    /// What the page shows of it, where one is asked for and there is a difference.
    view: Option<ComparedView>,
    /// What is wrong on either side, drawn.
    findings: Vec<String>,
    /// How a side came out that could not be compared.
    outcome: Outcome,
}

/// What became of a calculation.
enum Result {
    /// Both sides were compared.
    Both(Box<Comparison>),
    /// It is gone; its number and title.
    Gone(String),
    /// It is new; its number and title.
    New(String),
    /// One side has errors.
    Broken,
}

impl Compared {
    fn is_equal(&self) -> bool {
        matches!(&self.result, Result::Both(comparison) if comparison.is_equal())
    }

    /// Whether it is the same, changed, gone, new or not to be compared.
    fn word(&self) -> &'static str {
        match &self.result {
            Result::Both(comparison) if comparison.is_equal() => "equal",
            Result::Both(_) => "changed",
            Result::Gone(_) => "gone",
            Result::New(_) => "new",
            Result::Broken => "not compared",
        }
    }
}

/// Compares, and tells what changed.
pub fn run(arguments: &Arguments, terminal: &mut Terminal) -> anyhow::Result<Outcome> {
    let (old, new) = open(&arguments.old, &arguments.new)?;
    let mut outcome = Outcome::Satisfied;
    for side in [&old, &new] {
        tell_findings(&side.task, terminal);
        if !side.task.is_sound() {
            outcome = Outcome::Errors;
        }
    }
    if outcome == Outcome::Errors {
        return Ok(outcome);
    }
    let pairs = pairs(&old, &new);
    if pairs.is_empty() {
        return Err(Failure::usage("there is no sheet on either side").into());
    }
    let wants_page = arguments.html.is_some();
    let colour = terminal.colour;
    let all: Vec<Compared> =
        pairs.par_iter().filter_map(|pair| compared(&old, &new, pair, wants_page, colour)).collect();
    for compared in &all {
        compared.findings.iter().for_each(|finding| terminal.tell_drawn(finding));
        outcome = outcome.max(compared.outcome);
        if !matches!(compared.result, Result::Broken) && !compared.is_equal() {
            outcome = outcome.max(Outcome::Different);
        }
    }
    let sides = [old.name.as_str(), new.name.as_str()];
    if let Some(path) = &arguments.html {
        let page = html(sides, &text::tally(&all), &all)?;
        write_file(path, page.as_bytes()).with_context(|| format!("{} cannot be written", path.display()))?;
    }
    let is_piped = match &arguments.json {
        Some(path) if path.as_os_str() == "-" => {
            terminal.say(json(sides, &all)?.trim_end());
            true
        }
        Some(path) => {
            let text = json(sides, &all)?;
            write_file(path, text.as_bytes()).with_context(|| format!("{} cannot be written", path.display()))?;
            false
        }
        None => false,
    };
    if !is_piped {
        text::tell(&all, terminal);
    }
    terminal.tell(&text::tally(&all));
    Ok(outcome)
}

/// The sheets of both sides put beside each other.
fn pairs(old: &Opened, new: &Opened) -> Vec<(Option<String>, Option<String>)> {
    let (was, is) = (&old.task.sheets, &new.task.sheets);
    // Two single calculations are compared whatever they are called.
    if let ([a], [b], true) = (was.as_slice(), is.as_slice(), old.is_one && new.is_one) {
        return vec![(Some(a.clone()), Some(b.clone()))];
    }
    // The number of a sheet is needed only where its path is on one side alone.
    let numbers = |side: &Opened, other: &[String]| -> Vec<String> {
        let number = |path: &String| match other.contains(path) {
            true => String::new(),
            false => side
                .task
                .package
                .build(path)
                .sheet
                .map_or_else(String::new, |sheet| sheet.document.front.number.clone()),
        };
        side.task.sheets.par_iter().map(number).collect()
    };
    let (of_old, of_new) = (numbers(old, is), numbers(new, was));
    let before: Vec<(&str, &str)> = was.iter().map(String::as_str).zip(of_old.iter().map(String::as_str)).collect();
    let after: Vec<(&str, &str)> = is.iter().map(String::as_str).zip(of_new.iter().map(String::as_str)).collect();
    beside(&before, &after)
        .into_iter()
        // Where one calculation was asked for, the others of the other side do not matter.
        .filter(|Beside { old: a, new: b }| !(old.is_one && a.is_none() || new.is_one && b.is_none()))
        .map(|Beside { old: a, new: b }| (a.map(|at| was[at].clone()), b.map(|at| is[at].clone())))
        .collect()
}

/// Compares one pair; nothing for what is a clause.
fn compared(
    old: &Opened,
    new: &Opened,
    (was, is): &(Option<String>, Option<String>),
    wants_page: bool,
    colour: bool,
) -> Option<Compared> {
    let build = |side: &Opened, path: &Option<String>| path.as_ref().map(|path| side.task.package.build(path));
    let (before, after) = (build(old, was), build(new, is));
    if [&before, &after].into_iter().flatten().any(Built::is_clause) {
        return None;
    }
    let mut compared = Compared {
        path: is.clone().or_else(|| was.clone())?,
        old_path: was.clone().filter(|was| is.as_ref().is_some_and(|is| is != was)),
        result: Result::Broken,
        view: None,
        findings: [drawn(&old.task, before.as_ref(), colour), drawn(&new.task, after.as_ref(), colour)].concat(),
        outcome: [&before, &after].into_iter().flatten().map(failing).max().unwrap_or(Outcome::Satisfied),
    };
    match (before.as_ref().map(calculation), after.as_ref().map(calculation)) {
        (Some(Some(a)), Some(Some(b))) => {
            let comparison = compare(a, b);
            if wants_page && !comparison.is_equal() {
                compared.view = Some(page(&compared.path, &comparison, a, b));
            }
            compared.result = Result::Both(Box::new(comparison));
        }
        (Some(Some(a)), None) => {
            let view = page_of_one(&compared.path, a, true);
            compared.result = Result::Gone(view.name.clone());
            compared.view = Some(view);
        }
        (None, Some(Some(b))) => {
            let view = page_of_one(&compared.path, b, false);
            compared.result = Result::New(view.name.clone());
            compared.view = Some(view);
        }
        _ => {}
    }
    Some(compared)
}

fn calculation(built: &Built) -> Option<Calculation<'_>> {
    let (sheet, trace) = (built.sheet.as_ref()?, built.trace.as_ref()?);
    Some(Calculation { document: &sheet.document, trace })
}

/// How a side counts by itself: only what cannot be compared does.
fn failing(built: &Built) -> Outcome {
    match built.trace.is_some() {
        true => Outcome::Satisfied,
        false => Outcome::of(built),
    }
}

/// The findings of a side that keep it from being compared.
fn drawn(task: &Task, built: Option<&Built>, colour: bool) -> Vec<String> {
    let findings = built.map_or(&[][..], |built| built.findings.as_slice());
    let drawing = task.drawing(colour);
    match any_error(findings) {
        true => findings.iter().map(|finding| drawing.draw(finding)).collect(),
        false => Vec::new(),
    }
}
