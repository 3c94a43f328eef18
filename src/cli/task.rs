//! From the paths that were typed to packages, opened, with the sheets that are wanted of them.

use super::Terminal;
use super::drawing::Drawing;
use super::exit::Failure;
use super::row::DRAWN_LIMIT;
use crate::diagnostic::{Diagnostic, any_error};
use crate::package::{Disk, MANIFEST, Package, Place, Wanted, locate};
use anyhow::Context;
use std::path::{Path, PathBuf};

/// The package that is built where nothing was typed and the folder is none.
const DEMO: &str = "sheets/fellmere-tram-depot";

/// A package and the sheets that are wanted of it.
pub(super) struct Task {
    /// The package.
    pub package: Package,
    /// What was found about the package itself.
    pub findings: Vec<Diagnostic>,
    /// What is wrong in its own clauses, where the whole package is asked for.
    pub clause_findings: Vec<Diagnostic>,
    /// Its folder.
    pub folder: PathBuf,
    /// What leads to its folder from the current one.
    pub prefix: String,
    /// Paths of sheets, sorted.
    pub sheets: Vec<String>,
    /// Whether these are all sheets of a package, so that an index can be written.
    pub is_whole: bool,
}

impl Task {
    /// How its files are drawn.
    pub fn drawing(&self, colour: bool) -> Drawing<'_> {
        Drawing { prefix: &self.prefix, library: &self.package.library, colour }
    }

    /// Whether the package itself is in order; pages made from one that is not would be wrong without showing it.
    pub fn is_sound(&self) -> bool {
        !any_error(&self.findings)
    }
}

/// The places of the paths that were typed, or of what stands for none.
pub(super) fn places(paths: &[PathBuf]) -> Result<Vec<Place>, Failure> {
    if !paths.is_empty() {
        return paths.iter().map(|path| locate(path).map_err(Failure::from)).collect();
    }
    let default = [".", DEMO].into_iter().find(|folder| Path::new(folder).join(MANIFEST).is_file());
    match default {
        Some(folder) => Ok(vec![locate(Path::new(folder))?]),
        None => Err(Failure::usage(format!("which package? This folder holds no {MANIFEST}"))
            .help("name a package's folder or a sheet, or run this in a package's folder")),
    }
}

/// Opens the package of a place.
pub(super) fn open(place: &Place) -> std::io::Result<(Package, Vec<Diagnostic>)> {
    let disk = match &place.wanted {
        Wanted::LoneSheet(sheet) => Disk::of_sheet(&place.folder, sheet),
        _ => Disk::new(&place.folder),
    };
    Package::open(Box::new(disk))
}

/// Opens packages, each once, in the order in which they were typed.
pub(super) fn tasks(places: Vec<Place>) -> anyhow::Result<Vec<Task>> {
    let mut tasks: Vec<Task> = Vec::new();
    for place in places {
        let is_lone = matches!(place.wanted, Wanted::LoneSheet(_));
        // A package that was named before takes further sheets; a folder that is none has no list to take them from.
        let known = tasks.iter().position(|task| task.folder == place.folder).filter(|_| !is_lone);
        let index = match known {
            Some(index) => index,
            None => {
                let prefix = prefix(&place.folder);
                let name = if prefix.is_empty() { "./" } else { &prefix };
                let (package, findings) = open(&place).with_context(|| format!("the package {name} cannot be read"))?;
                tasks.push(Task {
                    package,
                    findings,
                    clause_findings: Vec::new(),
                    folder: place.folder.clone(),
                    prefix,
                    sheets: Vec::new(),
                    is_whole: false,
                });
                tasks.len() - 1
            }
        };
        let Some(task) = tasks.get_mut(index) else { continue };
        let found: Vec<String> =
            task.package.sheets().filter(|sheet| place.wanted.holds(sheet)).map(str::to_owned).collect();
        if let (Wanted::Sheet(path), true) = (&place.wanted, found.is_empty()) {
            let message = format!("`{}{path}` is not among the sheets of its package", task.prefix);
            let failure = Failure::usage(message).help("files in hidden folders and in packages of their own are not");
            return Err(failure.into());
        }
        task.sheets.extend(found);
        task.sheets.sort();
        task.sheets.dedup();
        task.is_whole |= place.wanted == Wanted::All;
    }
    for task in tasks.iter_mut().filter(|task| task.is_whole) {
        task.clause_findings = task.package.check_clauses();
    }
    Ok(tasks)
}

/// What leads from the current folder to another: empty, or steps that end in `/`.
pub(super) fn prefix(folder: &Path) -> String {
    let Ok(here) = std::env::current_dir() else {
        return format!("{}/", folder.display());
    };
    let (prefix, steps_up) = if let Ok(inside) = folder.strip_prefix(&here) {
        (inside.display().to_string(), 0)
    } else if let Ok(inside) = here.strip_prefix(folder) {
        (String::new(), inside.components().count())
    } else {
        (folder.display().to_string(), 0)
    };
    let end = if prefix.is_empty() { "" } else { "/" };
    format!("{}{}{end}", "../".repeat(steps_up), prefix.replace('\\', "/"))
}

/// Tells what is wrong with packages themselves and in their clauses, before their sheets.
pub(super) fn tell_findings(task: &Task, terminal: &mut Terminal) {
    for finding in task.findings.iter().chain(task.clause_findings.iter().take(DRAWN_LIMIT)) {
        let text = task.drawing(terminal.colour).draw(finding);
        terminal.tell_drawn(&text);
    }
    if task.clause_findings.len() > DRAWN_LIMIT {
        let more = task.clause_findings.len() - DRAWN_LIMIT;
        terminal.tell_error(&format!("the clauses of {} have {more} more findings", task.prefix));
    }
}
