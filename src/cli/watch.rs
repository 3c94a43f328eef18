//! `soleplate watch`: writes pages anew whenever something is saved.

use super::exit::{Failure, Outcome};
use super::output::Output;
use super::render::{Report, build, write_index};
use super::row::Row;
use super::task::{open, places, prefix};
use super::terminal::Terminal;
use crate::cli::drawing::Drawing;
use crate::diagnostic::any_error;
use crate::live::{Press, Session, Update, Watcher};
use crate::package::{RestsOn, Wanted};
use anyhow::Context;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// What can be typed behind `watch`.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// A package's folder, or a sheet; the current folder where nothing is named
    pub path: Option<PathBuf>,
    /// Folder that the pages are written to
    #[arg(long, value_name = "DIR", default_value = "out")]
    pub out: PathBuf,
}

/// Runs until it is interrupted or the package's folder is gone.
pub fn run(arguments: &Arguments, terminal: &mut Terminal) -> anyhow::Result<Outcome> {
    let path: Vec<PathBuf> = arguments.path.iter().cloned().collect();
    let place = places(&path)?.into_iter().next().context("there is nothing to watch")?;
    let output = Output::new(&arguments.out);
    let folder = output.make().with_context(|| format!("the folder {} cannot be made", arguments.out.display()))?;
    let is_package = !matches!(place.wanted, Wanted::LoneSheet(_));
    // Watching starts before the first build, so that nothing saved meanwhile is missed.
    let root = place.folder.clone();
    let watcher = Watcher::new(&place.folder, is_package, move |path| is_own_output(path, &folder, &root))
        .with_context(|| format!("the folder {} cannot be watched", place.folder.display()))?;

    let prefix = prefix(&place.folder);
    let is_whole = place.wanted == Wanted::All;
    let mut desk = Desk { output, prefix: prefix.clone(), is_whole, rows: BTreeMap::new(), terminal };
    let root = place.folder.clone();
    let mut session = Session::new(
        Box::new({
            let place = place.clone();
            move || open(&place)
        }),
        place.wanted.clone(),
    );
    session.start(&mut desk).with_context(|| format!("the package {prefix} cannot be read"))?;
    let name = if prefix.is_empty() { "this folder" } else { prefix.trim_end_matches('/') };
    desk.terminal.tell(&format!("watching {name}; Ctrl+C ends it"));
    while let Some(changes) = watcher.next() {
        if !root.is_dir() {
            return Err(Failure::unreadable(format!("the folder {} is gone", root.display())).into());
        }
        if let Err(error) = session.change(&changes, &mut desk) {
            // A file may be away for a moment while it is saved; its return is a change as well.
            desk.terminal.tell_error(&format!("the package {prefix} cannot be read: {error}"));
        }
        desk.terminal.flush();
    }
    Ok(Outcome::Satisfied)
}

/// Whether a file is one of ours, so that writing it does not set off the next round.
///
/// Where pages stand among the sheets only the names tell.
fn is_own_output(path: &Path, output: &Path, package: &Path) -> bool {
    if !path.starts_with(output) {
        return false;
    }
    let is_page = path.extension().is_some_and(|ending| ending == "html" || ending == "json");
    !package.starts_with(output) || is_page
}

/// Writes pages and tells of them.
struct Desk<'a> {
    output: Output,
    prefix: String,
    is_whole: bool,
    /// The rows of all sheets, for the index.
    rows: BTreeMap<String, Row>,
    terminal: &'a mut Terminal,
}

impl Press for Desk<'_> {
    fn publish(&mut self, update: &Update<'_>) -> Vec<(String, RestsOn)> {
        let drawing = Drawing { prefix: &self.prefix, library: &update.package.library, colour: self.terminal.colour };
        for finding in update.findings {
            self.terminal.tell_drawn(&drawing.draw(finding));
        }
        let output = (!any_error(update.findings)).then_some(&self.output);
        let progress = self.terminal.progress(update.rebuild.len());
        let built = build(update.package, &drawing, update.rebuild, output.map(|output| (output, false)), &progress);
        drop(progress);
        let mut report = Report::of_package(&self.prefix, update.findings.iter());
        let mut rests_on = Vec::with_capacity(built.len());
        for (row, on) in built {
            report.tell_line(&row, self.terminal);
            report.tell(&row, self.terminal);
            rests_on.push((row.path.clone(), on));
            self.rows.insert(row.path.clone(), row);
        }
        for sheet in update.gone {
            self.rows.remove(sheet);
            let page = self.output.folder().join(super::render::page_path(sheet, "html"));
            self.terminal.tell(&format!("{}{sheet} is gone; {} stays", self.prefix, page.display()));
        }
        if let (Some(output), true) = (output, self.is_whole)
            && let Err(error) = write_index(output, update.package, self.rows.values())
        {
            self.terminal.tell_error(&format!("{error:#}"));
        }
        report.close(None, self.terminal);
        self.terminal.flush();
        rests_on
    }
}

#[cfg(test)]
mod tests {
    use super::is_own_output;
    use std::path::Path;

    #[test]
    fn own_pages_are_known_inside_the_package_and_among_its_sheets() {
        let is_own = |path, output| is_own_output(Path::new(path), Path::new(output), Path::new("/depot"));
        assert!(is_own("/depot/out/b4.html", "/depot/out"));
        assert!(is_own("/depot/out", "/depot/out"));
        assert!(!is_own("/depot/b4.md", "/depot/out"));
        assert!(is_own("/depot/b4.html", "/depot"));
        assert!(!is_own("/depot/b4.md", "/depot"));
        assert!(!is_own("/depot/b4.md", "/"));
    }
}
