//! From a path that somebody typed to a package and what is wanted of it.
//!
//! A sheet belongs to the nearest folder above it that holds a manifest; without one, its own folder is its package.

use super::{CLAUSES, MANIFEST};
use crate::diagnostic::nearest;
use std::fmt;
use std::io;
use std::path::{Path, PathBuf};

/// A package on disk and what is wanted of it.
#[derive(Clone, Debug, Eq, PartialEq)]
pub struct Place {
    /// The package's folder, links followed.
    pub folder: PathBuf,
    /// Which of its sheets.
    pub wanted: Wanted,
}

/// Which sheets of a package are wanted; paths are relative to its folder.
#[derive(Clone, Debug, Eq, PartialEq)]
pub enum Wanted {
    /// Every sheet.
    All,
    /// The sheets below a folder, whose path ends in `/`.
    Below(String),
    /// One sheet.
    Sheet(String),
    /// One sheet in a folder that is no package.
    LoneSheet(String),
}

impl Wanted {
    /// Whether a sheet is among them.
    pub fn holds(&self, sheet: &str) -> bool {
        match self {
            Wanted::All => true,
            Wanted::Below(folder) => sheet.starts_with(folder),
            Wanted::Sheet(path) | Wanted::LoneSheet(path) => sheet == path,
        }
    }
}

/// Why a path leads to no package.
#[derive(Debug)]
pub enum Nowhere {
    /// Nothing is there; perhaps a path that comes near is.
    Missing {
        /// As typed.
        path: PathBuf,
        /// What may have been meant.
        near: Option<PathBuf>,
    },
    /// A folder without a manifest, in it or above it.
    NoManifest(PathBuf),
    /// A file that is no sheet, and why not.
    NotASheet(PathBuf, &'static str),
    /// It could not be looked at.
    Io(PathBuf, io::Error),
}

impl fmt::Display for Nowhere {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Nowhere::Missing { path, .. } => write!(f, "there is no `{}`", path.display()),
            Nowhere::NoManifest(path) => {
                write!(f, "`{}` is no package: it holds no {MANIFEST}", path.display())
            }
            Nowhere::NotASheet(path, why) => write!(f, "`{}` is not a sheet: {why}", path.display()),
            Nowhere::Io(path, error) => write!(f, "`{}` cannot be read: {error}", path.display()),
        }
    }
}

impl std::error::Error for Nowhere {}

/// Finds the package of a path.
#[expect(clippy::disallowed_methods, reason = "links above a package can only be followed on disk")]
pub fn locate(path: &Path) -> Result<Place, Nowhere> {
    let io = |error| Nowhere::Io(path.to_owned(), error);
    let is_folder = match std::fs::metadata(path) {
        Ok(metadata) => metadata.is_dir(),
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            let near = near_path(path);
            return Err(Nowhere::Missing { path: path.to_owned(), near });
        }
        Err(error) => return Err(io(error)),
    };
    if is_folder {
        let start = path.canonicalize().map_err(io)?;
        let Some(folder) = with_manifest(&start) else {
            return Err(Nowhere::NoManifest(path.to_owned()));
        };
        let wanted = match relative(&start, &folder) {
            inside if inside.is_empty() => Wanted::All,
            inside => Wanted::Below(format!("{inside}/")),
        };
        return Ok(Place { folder, wanted });
    }
    // The last step is not followed: a sheet that is a link must be seen as one.
    let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let parent = match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    let parent = parent.canonicalize().map_err(io)?;
    let found = with_manifest(&parent);
    let is_alone = found.is_none();
    let folder = found.unwrap_or_else(|| parent.clone());
    let inside = relative(&parent.join(&name), &folder);
    let not_a_sheet = |why| Err(Nowhere::NotASheet(path.to_owned(), why));
    if !name.ends_with(".md") {
        return not_a_sheet("names of sheets end in `.md`");
    }
    if inside.starts_with(CLAUSES) && !is_alone {
        return not_a_sheet("clauses are shown by the sheets that use them");
    }
    if super::is_note(&inside) {
        return not_a_sheet("names that start with a capital or an underscore are notes");
    }
    let wanted = if is_alone { Wanted::LoneSheet(inside) } else { Wanted::Sheet(inside) };
    Ok(Place { folder, wanted })
}

/// The nearest folder, from this one up, that holds a manifest.
fn with_manifest(start: &Path) -> Option<PathBuf> {
    start.ancestors().find(|folder| folder.join(MANIFEST).is_file()).map(Path::to_owned)
}

/// A path inside a folder, with `/`.
fn relative(path: &Path, folder: &Path) -> String {
    let inside = path.strip_prefix(folder).unwrap_or(path);
    inside.to_string_lossy().replace('\\', "/")
}

/// The path with its first missing step replaced by a near name that is there.
#[expect(clippy::disallowed_methods, reason = "near names are looked for where the path was typed")]
fn near_path(path: &Path) -> Option<PathBuf> {
    let steps: Vec<&Path> = path.ancestors().collect();
    let missing = steps.iter().rev().find(|step| !step.as_os_str().is_empty() && !step.exists())?;
    let parent = match missing.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    let wanted = missing.file_name()?.to_str()?;
    let mut names: Vec<String> = std::fs::read_dir(parent)
        .ok()?
        .flatten()
        .filter_map(|entry| entry.file_name().into_string().ok())
        .filter(|name| !name.starts_with('.'))
        .collect();
    names.sort();
    let with_ending = format!("{wanted}.md");
    let near = match names.iter().find(|name| **name == with_ending) {
        Some(name) => name.as_str(),
        None => nearest(wanted, names.iter().map(String::as_str))?,
    };
    let rest = path.strip_prefix(missing).unwrap_or(Path::new(""));
    let mut found = missing.with_file_name(near);
    if !rest.as_os_str().is_empty() {
        found.push(rest);
    }
    Some(found)
}
