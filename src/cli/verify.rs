//! `soleplate verify`: says how every sheet came out and writes nothing.

use super::exit::Outcome;
use super::render::{Report, build};
use super::task::{places, tasks, tell_findings};
use super::terminal::Terminal;
use std::path::PathBuf;

/// What can be typed behind `verify`.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// A package's folder, or sheets inside one; the current folder where nothing is named
    pub paths: Vec<PathBuf>,
}

/// One line a sheet, and below it what is wrong with it.
pub fn run(arguments: &Arguments, terminal: &mut Terminal) -> anyhow::Result<Outcome> {
    let mut outcome = Outcome::Satisfied;
    for task in &tasks(places(&arguments.paths)?)? {
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
