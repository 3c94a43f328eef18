//! `soleplate register`: the sheets of a package, with how they came out and what is still open in each.
//!
//! It says what the index page shows, on the terminal and as JSON.

use super::exit::Outcome;
use super::output::write_file;
use super::render::{Report, build};
use super::row::Row;
use super::task::{Task, places, tasks, tell_findings};
use super::terminal::{Terminal, plain};
use crate::render::review::Counts;
use crate::render::wording::ratio_text;
use anyhow::Context;
use serde::Serialize;
use std::path::PathBuf;

/// What can be typed behind `register`.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// A package's folder; the current folder where nothing is named
    pub package: Option<PathBuf>,
    /// Write the register as JSON to a file, or with `-` to the standard output
    #[arg(long, value_name = "FILE")]
    pub json: Option<PathBuf>,
}

/// Lists the sheets; how they came out decides nothing here, only what could not be listed does.
pub fn run(arguments: &Arguments, terminal: &mut Terminal) -> anyhow::Result<Outcome> {
    let named: Vec<PathBuf> = arguments.package.iter().cloned().collect();
    let task = tasks(places(&named)?)?.pop().context("there is nothing to list")?;
    tell_findings(&task, terminal);
    let progress = terminal.progress(task.sheets.len());
    let built = build(&task.package, &task.drawing(terminal.colour), &task.sheets, None, &progress);
    drop(progress);
    let rows: Vec<Row> = built.into_iter().map(|(row, _)| row).collect();
    let json = arguments.json.as_deref();
    if let Some(path) = json {
        let text = text_of(&task, &rows)?;
        match path.as_os_str() == "-" {
            true => terminal.say(text.trim_end()),
            false => {
                write_file(path, text.as_bytes()).with_context(|| format!("{} cannot be written", path.display()))?
            }
        }
    }
    let is_piped = json.is_some_and(|path| path.as_os_str() == "-");
    let mut report = Report::new(&task);
    for row in &rows {
        if !is_piped {
            tell(&task, row, terminal);
        }
        report.tell_findings(row, terminal);
    }
    report.tell_equal_numbers(&task.package, &rows, terminal);
    let outcome = report.close(None, terminal);
    Ok(if outcome >= Outcome::Errors { outcome } else { Outcome::Satisfied })
}

fn tell(task: &Task, row: &Row, terminal: &mut Terminal) {
    let name: Vec<&str> =
        [row.number.as_str(), &row.revision, &row.title].into_iter().filter(|part| !part.is_empty()).collect();
    terminal.say(&row.line(&task.prefix));
    if !name.is_empty() {
        terminal.say(&plain(&format!("    {} ({})", name.join(" "), row.status)));
    }
    for open in row.open() {
        terminal.say(&plain(&format!("    {open}")));
    }
}

#[derive(Serialize)]
struct Register<'a> {
    title: &'a str,
    owner: &'a str,
    sheets: Vec<Sheet<'a>>,
}

#[derive(Serialize)]
struct Sheet<'a> {
    path: &'a str,
    number: &'a str,
    title: &'a str,
    revision: &'a str,
    status: &'a str,
    verdict: &'static str,
    #[serde(skip_serializing_if = "Option::is_none")]
    governing: Option<Governing<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    review: Option<Counts>,
    unanswered: &'a [String],
    notices: &'a [String],
}

#[derive(Serialize)]
struct Governing<'a> {
    check: &'a str,
    /// Nothing where the sheet is not valid.
    ratio: Option<f64>,
    shown: String,
}

fn text_of(task: &Task, rows: &[Row]) -> anyhow::Result<String> {
    let sheets = rows.iter().map(|row| Sheet {
        path: &row.path,
        number: &row.number,
        title: &row.title,
        revision: &row.revision,
        status: &row.status,
        verdict: row.words(),
        governing: row.governing.as_ref().map(|governing| Governing {
            check: &governing.description,
            ratio: governing.ratio.is_finite().then_some(governing.ratio),
            shown: ratio_text(governing.ratio),
        }),
        review: row.counts,
        unanswered: &row.unanswered,
        notices: &row.notices,
    });
    let manifest = &task.package.manifest;
    let register = Register { title: &manifest.title, owner: &manifest.owner, sheets: sheets.collect() };
    let mut text = serde_json::to_string_pretty(&register).context("the register cannot be written as JSON")?;
    text.push('\n');
    Ok(text)
}
