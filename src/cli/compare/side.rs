//! From what was typed to the two sides, opened.

use super::git::Repository;
use crate::cli::exit::Failure;
use crate::cli::issued;
use crate::cli::task::{Task, tasks};
use crate::cli::verify::is_page;
use crate::issue::carried;
use crate::package::{Nowhere, Package, Place, Wanted, locate};
use anyhow::Context;
use std::path::{Path, PathBuf};

/// One side.
pub(super) struct Opened {
    /// The package with the sheets that are looked at.
    pub task: Task,
    /// What it is called.
    pub name: String,
    /// Whether one calculation was named, and not a folder.
    pub is_one: bool,
}

/// Says outright that a revision is meant.
const REVISION: &str = "git:";

/// What was typed for one side.
enum Named {
    OnDisk(Place),
    /// An issued page, which carries its sources.
    Page(PathBuf),
    /// A revision, and why it is no file.
    Revision(String, Option<Nowhere>),
}

/// Opens both sides.
pub(super) fn open(old: &str, new: &str) -> anyhow::Result<(Opened, Opened)> {
    let (was, is) = (named(old)?, named(new)?);
    let place = match (&was, &is) {
        (_, Named::OnDisk(place)) | (Named::OnDisk(place), _) => Some(place.clone()),
        _ => None,
    };
    let place = place.as_ref();
    Ok((open_one(was, old, place)?, open_one(is, new, place)?))
}

fn named(typed: &str) -> Result<Named, Failure> {
    if let Some(revision) = typed.strip_prefix(REVISION) {
        return Ok(Named::Revision(revision.to_owned(), None));
    }
    let path = Path::new(typed);
    if path.is_file() && is_page(path) {
        return Ok(Named::Page(path.to_owned()));
    }
    match locate(path) {
        Ok(place) => Ok(Named::OnDisk(place)),
        Err(nowhere @ Nowhere::Missing { .. }) => Ok(Named::Revision(typed.to_owned(), Some(nowhere))),
        Err(nowhere) => Err(nowhere.into()),
    }
}

fn open_one(named: Named, typed: &str, place: Option<&Place>) -> anyhow::Result<Opened> {
    match named {
        Named::OnDisk(place) => {
            let is_one = is_one(&place.wanted);
            let task = tasks(vec![place])?.pop().context("there is nothing to compare")?;
            let name = if typed == "." { "the current folder".to_owned() } else { typed.to_owned() };
            Ok(Opened { task, name, is_one })
        }
        Named::Page(path) => carried_by(&path, typed),
        Named::Revision(revision, nowhere) => {
            // Beside a page the package is that of the current folder.
            let place = match place {
                Some(place) => place.clone(),
                None => here()?,
            };
            at_revision(&revision, nowhere, &place)
        }
    }
}

/// The package of the current folder.
fn here() -> Result<Place, Failure> {
    locate(Path::new(".")).map_err(|nowhere| {
        Failure::from(nowhere).help("run this in a package's folder, or name a folder or a sheet on one side")
    })
}

/// The calculation that an issued page was made of.
fn carried_by(path: &Path, typed: &str) -> anyhow::Result<Opened> {
    let sources = carried(&issued::read(path)?).map_err(|why| {
        Failure::unreadable(format!("`{typed}` cannot be compared: {why}"))
            .help("pages that can are written by `soleplate render --issue`")
    })?;
    let (package, findings) = sources.open().with_context(|| format!("what `{typed}` carries cannot be read"))?;
    let task = Task {
        package,
        findings,
        clause_findings: Vec::new(),
        folder: PathBuf::new(),
        prefix: format!("{typed}:"),
        sheets: vec![sources.sheet],
        is_whole: false,
    };
    Ok(Opened { task, name: typed.to_owned(), is_one: true })
}

fn is_one(wanted: &Wanted) -> bool {
    matches!(wanted, Wanted::Sheet(_) | Wanted::LoneSheet(_))
}

/// The package of a place as it was at a revision.
fn at_revision(revision: &str, nowhere: Option<Nowhere>, place: &Place) -> anyhow::Result<Opened> {
    let (repository, nowhere_near) = match (Repository::of(&place.folder), nowhere) {
        (Ok(repository), Some(Nowhere::Missing { near, .. })) => (repository, near),
        (Ok(repository), _) => (repository, None),
        // Without a repository a name can only have been meant as a file.
        (Err(_), Some(nowhere)) => return Err(Failure::from(nowhere).into()),
        (Err(failure), None) => return Err(failure.into()),
    };
    let Some(commit) = repository.commit(revision)? else {
        let message = format!("`{revision}` is neither a file nor a revision");
        let failure = Failure::unreadable(message);
        return Err(match nowhere_near {
            Some(near) => failure.help(format!("did you mean `{}`?", near.display())),
            None => failure.help("`git log` lists revisions, `git tag` and `git branch` their names"),
        }
        .into());
    };
    let files = repository.files(&commit)?;
    let (package, findings) = Package::open(Box::new(files)).context("the revision cannot be read")?;
    let mut sheets: Vec<String> =
        package.sheets().filter(|sheet| place.wanted.holds(sheet)).map(str::to_owned).collect();
    let mut is_one = is_one(&place.wanted);
    if is_one && sheets.is_empty() {
        // It may have had another name, and is found by its number.
        sheets = package.sheets().map(str::to_owned).collect();
        is_one = false;
    }
    let task = Task {
        package,
        findings,
        clause_findings: Vec::new(),
        folder: place.folder.clone(),
        prefix: format!("{revision}:"),
        is_whole: place.wanted == Wanted::All,
        sheets,
    };
    Ok(Opened { task, name: format!("{revision}, commit {commit}"), is_one })
}
