//! The library that a verb looks in, and what is meant by a name that was typed.

use super::drawing::Drawing;
use super::exit::{Failure, Outcome};
use super::task::prefix;
use super::terminal::Terminal;
use crate::diagnostic::{Diagnostic, any_error, nearest};
use crate::library::{Library, Origin};
use crate::package::{Disk, Package, locate};
use anyhow::Context;
use std::path::Path;

/// The library, with what a package has of its own.
pub(super) struct Shelf {
    /// Clauses and families.
    pub library: Library,
    /// How looking has ended so far.
    pub outcome: Outcome,
    prefix: String,
}

impl Shelf {
    /// The library in the binary, or that of a package, which tells what is wrong with it.
    pub fn open(package: Option<&Path>, terminal: &mut Terminal) -> anyhow::Result<Self> {
        let Some(path) = package else {
            return Ok(Self { library: Library::shipped(), outcome: Outcome::Satisfied, prefix: String::new() });
        };
        let place = locate(path).map_err(Failure::from)?;
        let prefix = prefix(&place.folder);
        let (package, findings) = Package::open(Box::new(Disk::new(&place.folder)))
            .with_context(|| format!("the package {prefix} cannot be read"))?;
        let mut shelf = Self { library: package.library, outcome: Outcome::Satisfied, prefix };
        shelf.outcome = shelf.tell(&findings, terminal);
        Ok(shelf)
    }

    /// Tells findings; the outcome that counts if they are the worst.
    pub fn tell(&self, findings: &[Diagnostic], terminal: &mut Terminal) -> Outcome {
        let drawing = Drawing { prefix: &self.prefix, library: &self.library, colour: terminal.colour };
        for finding in findings {
            terminal.tell_drawn(&drawing.draw(finding));
        }
        if any_error(findings) { Outcome::Errors } else { self.outcome }
    }
}

/// What is shown behind a name.
pub(super) fn origin(origin: Origin) -> &'static str {
    match origin {
        Origin::Shipped => "",
        Origin::Package => " (the package's own)",
        Origin::Override => " (the package's, in place of the library's)",
    }
}

/// The path that is meant by a name, which may be its last part if only one path ends in it.
///
/// `what` and `verb` are for the words where there is none.
pub(super) fn find<'a>(what: &str, verb: &str, name: &str, paths: &[&'a str]) -> Result<&'a str, Failure> {
    fn last(path: &str) -> &str {
        path.rsplit('/').next().unwrap_or(path)
    }
    if let Some(path) = paths.iter().find(|path| **path == name) {
        return Ok(path);
    }
    let ending: Vec<&str> = paths.iter().copied().filter(|path| last(path) == name).collect();
    if let [path] = ending.as_slice() {
        return Ok(path);
    }
    if !ending.is_empty() {
        let failure = Failure::usage(format!("more than one {what} is called `{name}`"));
        return Err(failure.help(format!("name one of `{}`", ending.join("`, `"))));
    }
    let paths = || paths.iter().copied();
    let near = nearest(name, paths()).or_else(|| nearest(last(name), paths().map(last)));
    let holding: Vec<&str> = paths().filter(|path| path.contains(name)).collect();
    let failure = Failure::usage(format!("there is no {what} `{name}`"));
    Err(match near {
        _ if !holding.is_empty() && !name.is_empty() => {
            failure.help(format!("named like it are `{}`", holding.join("`, `")))
        }
        Some(near) => failure.help(format!("did you mean `{near}`?")),
        None => failure.help(format!("`soleplate {verb}` lists them all; `--package PATH` includes a package's own")),
    })
}
