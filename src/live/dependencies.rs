//! Which sheets rest on which files.

use crate::package::{MANIFEST, RestsOn, is_sign_off_of};
use std::collections::BTreeMap;

/// What changed on disk; paths are relative to the package's folder.
#[derive(Clone, Debug, Eq, PartialEq)]
pub enum Changes {
    /// Anything may have changed: the system lost count.
    Anything,
    /// These files or folders.
    Files(Vec<String>),
}

/// For every sheet the files that it rests on.
#[derive(Clone, Debug, Default)]
pub struct Dependencies {
    sheets: BTreeMap<String, RestsOn>,
}

impl Dependencies {
    /// Says what a sheet rests on since it was last built.
    pub fn set(&mut self, sheet: &str, rests_on: RestsOn) {
        self.sheets.insert(sheet.to_owned(), rests_on);
    }

    /// Leaves a sheet out that is gone.
    pub fn remove(&mut self, sheet: &str) {
        self.sheets.remove(sheet);
    }

    /// Whether a sheet was built.
    pub fn knows(&self, sheet: &str) -> bool {
        self.sheets.contains_key(sheet)
    }

    /// The sheets that were built, sorted.
    pub fn sheets(&self) -> impl Iterator<Item = &str> {
        self.sheets.keys().map(String::as_str)
    }

    /// The sheets that a change concerns, sorted.
    pub fn affected(&self, changes: &Changes) -> Vec<String> {
        let changed = match changes {
            Changes::Anything => return self.sheets.keys().cloned().collect(),
            Changes::Files(files) => files,
        };
        let is_manifest = changed.iter().any(|file| file == MANIFEST);
        let concerns = |sheet: &str, rests_on: &RestsOn| {
            is_manifest
                || match rests_on {
                    RestsOn::AnyFile => !changed.is_empty(),
                    RestsOn::Files(files) => changed.iter().any(|changed| {
                        // Nobody knows of a new sign-off before it is read.
                        changed == sheet
                            || is_sign_off_of(changed, sheet)
                            || files.contains(changed)
                            || files.iter().any(|file| is_below(file, changed))
                    }),
                }
        };
        self.sheets
            .iter()
            .filter(|(sheet, rests_on)| concerns(sheet, rests_on))
            .map(|(sheet, _)| sheet.clone())
            .collect()
    }
}

/// Whether a file lies in a folder: one that was renamed or removed takes its files along.
fn is_below(file: &str, folder: &str) -> bool {
    file.strip_prefix(folder).is_some_and(|rest| rest.starts_with('/'))
}
