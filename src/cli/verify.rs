//! `soleplate verify`: says how every sheet came out, or whether an issued page is what it claims; writes nothing.

use super::exit::{Failure, Outcome};
use super::issued;
use super::render::{Report, build};
use super::task::{places, tasks, tell_findings};
use super::terminal::Terminal;
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
}

/// One line a sheet, and below it what is wrong with it.
pub fn run(arguments: &Arguments, terminal: &mut Terminal) -> anyhow::Result<Outcome> {
    let (pages, paths): (Vec<PathBuf>, Vec<PathBuf>) = arguments.paths.iter().cloned().partition(|path| is_page(path));
    let mut outcome = Outcome::Satisfied;
    let lists = issued::lists(arguments.allowed_signers.as_deref(), arguments.revoked_keys.as_deref())?;
    for page in &pages {
        outcome = outcome.max(issued::verify(page, lists.as_ref(), terminal)?);
    }
    if !pages.is_empty() && paths.is_empty() {
        return Ok(outcome);
    }
    if lists.is_some() && pages.is_empty() {
        return Err(Failure::usage("`--allowed-signers` is for issued pages")
            .help("a package names its own list in its manifest, under `[sign_off]`")
            .into());
    }
    for task in &tasks(places(&paths)?)? {
        tell_findings(task, terminal);
        let progress = terminal.progress(task.sheets.len());
        let built = build(&task.package, &task.drawing(terminal.colour), &task.sheets, None, &progress);
        drop(progress);
        let mut report = Report::new(task);
        for (row, _) in &built {
            report.tell_line(row, terminal);
            report.tell(row, terminal);
        }
        outcome = outcome.max(report.close(None, terminal));
    }
    Ok(outcome)
}

fn is_page(path: &Path) -> bool {
    path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case("html"))
}
