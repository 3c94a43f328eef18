//! `soleplate verify`: says how every sheet came out, or whether an issued page is what it claims; writes nothing but a
//! report for a pipeline, where one is asked for.

use super::demand::{self, Demand};
use super::exit::{Failure, Outcome};
use super::issued;
use super::junit::{Suite, document};
use super::output::write_file;
use super::render::{Report, review_of};
use super::row::Row;
use super::task::{Task, places, tasks, tell_findings};
use super::terminal::{Terminal, plain};
use super::today::latest_day;
use crate::sign_off::standing_by;
use crate::signature::Day;
use anyhow::Context;
use rayon::prelude::*;
use std::path::{Path, PathBuf};

/// What can be typed behind `verify`.
#[derive(Debug, clap::Args)]
#[command(after_help = demand::HELP)]
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
    /// What a sheet or an issued page has to be beside satisfied
    #[arg(long, value_name = "WHAT")]
    pub demand: Vec<Demand>,
}

/// One line a sheet, and below it what is wrong with it.
pub fn run(arguments: &Arguments, terminal: &mut Terminal) -> anyhow::Result<Outcome> {
    let (pages, paths): (Vec<PathBuf>, Vec<PathBuf>) = arguments.paths.iter().cloned().partition(|path| is_page(path));
    if !pages.is_empty() && arguments.junit.is_some() {
        return Err(Failure::usage("`--junit` is for packages and sheets, not for issued pages")
            .help("what an issued page is worth, `verify` says of it by itself")
            .into());
    }
    let mut outcome = Outcome::Satisfied;
    let lists = issued::lists(arguments.allowed_signers.as_deref(), arguments.revoked_keys.as_deref())?;
    let latest = latest_day()?;
    let wanted = issued::Wanted { lists: lists.as_ref(), latest, demands: &arguments.demand };
    for page in &pages {
        outcome = outcome.max(issued::verify(page, &wanted, terminal)?);
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
        let rows = build(task, arguments, latest, terminal);
        let mut report = Report::new(task);
        let mut told = Vec::with_capacity(rows.len());
        for (row, suite) in rows {
            let demands: Vec<(&Demand, Option<String>)> =
                arguments.demand.iter().map(|demand| (demand, demand.lacks(&row))).collect();
            report.tell_line(&row, terminal);
            for (demand, lacks) in &demands {
                let Some(lacks) = lacks else { continue };
                terminal.say(&format!("    not {demand}: {}", plain(lacks)));
                outcome = outcome.max(Outcome::NotChecked);
            }
            if row.void > 0 {
                outcome = outcome.max(Outcome::SignatureVoid);
            }
            report.tell(&row, terminal);
            suites.extend(suite.map(|mut suite| {
                if row.is_signed && row.verdict.is_some() {
                    let void = (row.void > 0).then(|| format!("sign-offs that do not count: {}", row.void));
                    suite.demand("every signature counts", void.as_deref());
                }
                for (demand, lacks) in demands.iter().filter(|_| row.verdict.is_some()) {
                    suite.demand(&demand.to_string(), lacks.as_deref());
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
fn build(task: &Task, arguments: &Arguments, latest: Day, terminal: &Terminal) -> Vec<(Row, Option<Suite>)> {
    let progress = terminal.progress(task.sheets.len());
    let (drawing, package) = (task.drawing(terminal.colour), &task.package);
    let one = |path: &String| {
        let built = package.build(path);
        let standing = standing_by(package, &built, None, Some(latest));
        let row = Row::new(&built, review_of(package, &built, &standing).as_ref(), &standing, &drawing);
        let suite = arguments.junit.is_some().then(|| Suite::new(&built, &row, &task.prefix));
        progress.step();
        (row, suite)
    };
    task.sheets.par_iter().map(one).collect()
}
