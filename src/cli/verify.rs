//! `soleplate verify`: says how every sheet came out, or whether an issued page is what it claims; writes nothing but a
//! report for a pipeline, where one is asked for.

use super::exit::{Failure, Outcome};
use super::issued;
use super::junit::{Suite, document};
use super::output::write_file;
use super::render::{Report, review_of};
use super::row::Row;
use super::task::{Task, places, tasks, tell_findings};
use super::terminal::Terminal;
use crate::sign_off::standing;
use anyhow::Context;
use rayon::prelude::*;
use std::path::{Path, PathBuf};

/// What can be typed behind `verify`.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// A package's folder, sheets inside one, or issued pages; the current folder where nothing is named
    pub paths: Vec<PathBuf>,
    /// Your own list of whose keys count, for issued pages
    #[arg(long, value_name = "FILE")]
    pub allowed_signers: Option<PathBuf>,
    /// Your own list of keys that count no more, for issued pages
    #[arg(long, value_name = "FILE", requires = "allowed_signers")]
    pub revoked_keys: Option<PathBuf>,
    /// Write how every check came out as JUnit XML to a file
    #[arg(long, value_name = "FILE")]
    pub junit: Option<PathBuf>,
    /// What a sheet has to be beside satisfied; may be given several times
    #[arg(long, value_name = "WHAT")]
    pub demand: Vec<Demand>,
}

/// What can be demanded of a sheet.
#[derive(Copy, Clone, Debug, Eq, PartialEq, clap::ValueEnum)]
pub enum Demand {
    /// Every line that needs it is ticked as it is, every query closed, every inherited value confirmed
    Checked,
    /// Every failure mode of the standards in use has an answer, and so has every query
    Answered,
    /// Every card can be used: nothing on it is open, and nothing stands against it
    Usable,
    /// Every role that the package demands is signed for, on what the sheet says now, and nothing replaces it
    Signed,
}

impl Demand {
    /// Its name on a report.
    fn words(self) -> &'static str {
        match self {
            Demand::Checked => "checked",
            Demand::Answered => "answered",
            Demand::Usable => "usable",
            Demand::Signed => "signed",
        }
    }

    /// What a sheet lacks; nothing where it is what is demanded. Of a sheet with errors nothing can be said.
    fn lacks(self, row: &Row) -> Option<String> {
        row.verdict?;
        match (self, row.counts) {
            (Demand::Usable, _) => Some(row.card_faults.join("; ")).filter(|left| !left.is_empty()),
            (Demand::Checked, None) => Some("nothing is ticked".to_owned()),
            (Demand::Signed, _) => (!row.is_issued).then(|| format!("its status is {}", row.status)),
            (Demand::Answered, counts) => {
                let open = match counts.map_or(0, |counts| counts.open) {
                    0 => None,
                    1 => Some("1 query open".to_owned()),
                    many => Some(format!("{many} queries open")),
                };
                let left: Vec<String> = row.unanswered.iter().cloned().chain(open).collect();
                Some(left.join(", ")).filter(|left| !left.is_empty())
            }
            (Demand::Checked, Some(_)) => Some(row.left().join(", ")).filter(|left| !left.is_empty()),
        }
    }
}

/// One line a sheet, and below it what is wrong with it.
pub fn run(arguments: &Arguments, terminal: &mut Terminal) -> anyhow::Result<Outcome> {
    let (pages, paths): (Vec<PathBuf>, Vec<PathBuf>) = arguments.paths.iter().cloned().partition(|path| is_page(path));
    let mut outcome = Outcome::Satisfied;
    let lists = issued::lists(arguments.allowed_signers.as_deref(), arguments.revoked_keys.as_deref())?;
    for page in &pages {
        outcome = outcome.max(issued::verify(page, lists.as_ref(), terminal)?);
    }
    if !pages.is_empty() && (!arguments.demand.is_empty() || arguments.junit.is_some()) {
        return Err(Failure::usage("`--demand` and `--junit` are for packages and sheets, not for issued pages")
            .help("what an issued page is worth, `verify` says of it by itself")
            .into());
    }
    if !pages.is_empty() && paths.is_empty() {
        return Ok(outcome);
    }
    if lists.is_some() && pages.is_empty() {
        return Err(Failure::usage("`--allowed-signers` is for issued pages")
            .help("a package names its own list in its manifest, under `[sign_off]`")
            .into());
    }
    let mut suites = Vec::new();
    for task in &tasks(places(&paths)?)? {
        tell_findings(task, terminal);
        let rows = build(task, arguments, terminal);
        let mut report = Report::new(task);
        let mut told = Vec::with_capacity(rows.len());
        for (row, suite) in rows {
            let demands: Vec<(Demand, Option<String>)> =
                arguments.demand.iter().map(|demand| (*demand, demand.lacks(&row))).collect();
            report.tell_line(&row, terminal);
            for (demand, lacks) in &demands {
                let Some(lacks) = lacks else { continue };
                terminal.say(&format!("    not {}: {lacks}", demand.words()));
                outcome = outcome.max(Outcome::NotChecked);
            }
            report.tell(&row, terminal);
            suites.extend(suite.map(|mut suite| {
                for (demand, lacks) in demands.iter().filter(|_| row.verdict.is_some()) {
                    suite.demand(demand.words(), lacks.as_deref());
                }
                suite
            }));
            told.push(row);
        }
        report.tell_equal_numbers(&task.package, &told, terminal);
        outcome = outcome.max(report.close(None, terminal));
    }
    if let Some(path) = &arguments.junit {
        let text = document(&suites);
        write_file(path, text.as_bytes()).with_context(|| format!("{} cannot be written", path.display()))?;
    }
    Ok(outcome)
}

/// Whether a path is named like a page.
pub(super) fn is_page(path: &Path) -> bool {
    path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("html"))
}

/// Builds sheets on all cores and keeps a row of each, with its suite where a report is asked for.
fn build(task: &Task, arguments: &Arguments, terminal: &Terminal) -> Vec<(Row, Option<Suite>)> {
    let progress = terminal.progress(task.sheets.len());
    let (drawing, package) = (task.drawing(terminal.colour), &task.package);
    let one = |path: &String| {
        let built = package.build(path);
        let standing = standing(package, &built);
        let row = Row::new(&built, review_of(package, &built, &standing).as_ref(), &standing, &drawing);
        let suite = arguments.junit.is_some().then(|| Suite::new(&built, &row, &task.prefix));
        progress.step();
        (row, suite)
    };
    task.sheets.par_iter().map(one).collect()
}
