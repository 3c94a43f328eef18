//! One package while it is being written.

use super::{Changes, Dependencies};
use crate::diagnostic::{Diagnostic, any_error};
use crate::package::{Package, RestsOn, Wanted};
use std::io;

/// Opens the package as it is now.
type Open = Box<dyn Fn() -> io::Result<(Package, Vec<Diagnostic>)>>;

/// What a change asks for.
pub struct Update<'a> {
    /// The package as it is now.
    pub package: &'a Package,
    /// What was found about the package itself.
    pub findings: &'a [Diagnostic],
    /// Sheets to build, sorted.
    pub rebuild: &'a [String],
    /// Sheets that are gone, sorted.
    pub gone: &'a [String],
}

/// Whatever turns sheets into pages.
pub trait Press {
    /// Builds the sheets of an update and says of each what it rests on.
    fn publish(&mut self, update: &Update<'_>) -> Vec<(String, RestsOn)>;
}

/// A package under watch: what is built, and what each sheet rests on.
pub struct Session {
    open: Open,
    wanted: Wanted,
    dependencies: Dependencies,
    /// Whether the package itself was in order at the last update.
    was_sound: bool,
    rebuilt: usize,
}

impl Session {
    /// A session in which nothing is built yet.
    pub fn new(open: Open, wanted: Wanted) -> Self {
        Self { open, wanted, dependencies: Dependencies::default(), was_sound: true, rebuilt: 0 }
    }

    /// How many sheets were built so far, each time counted.
    pub fn rebuilt(&self) -> usize {
        self.rebuilt
    }

    /// Builds every sheet.
    pub fn start(&mut self, press: &mut dyn Press) -> io::Result<()> {
        self.change(&Changes::Anything, press).map(|_| ())
    }

    /// Builds what a change concerns; returns the sheets that were built.
    pub fn change(&mut self, changes: &Changes, press: &mut dyn Press) -> io::Result<Vec<String>> {
        let (package, findings) = (self.open)()?;
        let current: Vec<&str> = package.sheets().filter(|sheet| self.wanted.holds(sheet)).collect();
        let gone: Vec<String> = self
            .dependencies
            .sheets()
            .filter(|sheet| current.binary_search(sheet).is_err())
            .map(str::to_owned)
            .collect();
        for sheet in &gone {
            self.dependencies.remove(sheet);
        }
        let mut rebuild = self.dependencies.affected(changes);
        // The list of files tells of new sheets more surely than events do: those of a new folder may come too early.
        rebuild.extend(current.iter().filter(|sheet| !self.dependencies.knows(sheet)).map(|sheet| (*sheet).to_owned()));
        rebuild.sort();

        let is_sound = !any_error(&findings);
        let is_told = !findings.is_empty() || !self.was_sound;
        if !rebuild.is_empty() || !gone.is_empty() || is_told {
            let update = Update { package: &package, findings: &findings, rebuild: &rebuild, gone: &gone };
            for (sheet, rests_on) in press.publish(&update) {
                // Nothing is put in place while the package is not in order, so that every sheet waits for its mending.
                let rests_on = if is_sound { rests_on } else { RestsOn::AnyFile };
                self.dependencies.set(&sheet, rests_on);
            }
        }
        self.was_sound = is_sound;
        self.rebuilt += rebuild.len();
        Ok(rebuild)
    }
}
