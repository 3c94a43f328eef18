//! Which files a built sheet rests on, so that a watcher rebuilds what a change concerns and nothing else.

use super::{Built, CLAUSES};
use crate::compile::Value;
use crate::document::{Document, Part};
use crate::review::marks_path;
use pulldown_cmark::{Event, Tag};
use std::collections::BTreeSet;

/// The files that decide a sheet's page; paths are relative to the package's folder.
#[derive(Clone, Debug, Eq, PartialEq)]
pub enum RestsOn {
    /// These files, the sheet itself among them; some may not exist.
    Files(BTreeSet<String>),
    /// It could not be built, so that a change to any file may mend it.
    AnyFile,
}

impl Built {
    /// The files that decide its page.
    ///
    /// A clause counts under the path where the package would put one of its own, also while the shipped one is used:
    /// a new file there goes before it.
    pub fn rests_on(&self) -> RestsOn {
        if self.sheet.is_none() || self.trace.is_none() && !self.is_clause() {
            return RestsOn::AnyFile;
        }
        // The marks count also while there are none: the first one changes the page.
        let mut files = BTreeSet::from([self.path.clone(), marks_path(&self.path)]);
        files.extend(self.sign_offs.iter().map(|file| file.path.clone()));
        files.extend(self.lists.iter().filter(|path| !path.is_empty()).cloned());
        files.extend(self.images());
        if let Some(trace) = &self.trace {
            // A family counts like a clause, as it decides whether the data can be used.
            files.extend(self.families().into_iter().map(|family| format!("{CLAUSES}{family}.toml")));
            for key in trace.compiled.rests_on.keys() {
                match key.split_once(' ') {
                    Some(("clause", path)) => files.insert(format!("{CLAUSES}{path}.md")),
                    Some(("card", path)) => files.insert(format!("{CLAUSES}{}.toml", path.replacen('/', "/cards/", 1))),
                    Some((_, path)) => files.insert(tidy(path)),
                    None => continue,
                };
            }
        }
        RestsOn::Files(files)
    }

    /// The paths that images of its sheet and of its clauses may lie at; some may not exist.
    pub fn images(&self) -> BTreeSet<String> {
        let mut files = BTreeSet::new();
        let mut add_images = |document: &Document| {
            let folder = document.source.name.rsplit_once('/').map_or("", |(folder, _)| folder);
            for address in images(document) {
                files.insert(format!("{folder}/{address}").trim_start_matches('/').to_owned());
                files.insert(address);
            }
        };
        self.sheet.iter().for_each(|sheet| add_images(&sheet.document));
        for scope in self.trace.iter().flat_map(|trace| &trace.compiled.notes.scopes) {
            add_images(&scope.document);
        }
        files
    }

    /// The families of the product data in use, by path, in the order of their paths.
    pub fn families(&self) -> BTreeSet<String> {
        let traces = self.trace.iter().flat_map(|trace| std::iter::once(trace).chain(trace.before.values()));
        let lines = traces.flat_map(|trace| &trace.compiled.notes.lines);
        let family = |line: &crate::compile::Line| match &line.value {
            Value::Data(data) => data.file.family.as_ref().map(|family| family.node.clone()),
            _ => None,
        };
        lines.filter_map(family).collect()
    }
}

/// The addresses of a document's images, as paths.
fn images(document: &Document) -> Vec<String> {
    let events = document.parts.iter().flat_map(|part| match part {
        Part::Prose(events) => events.as_slice(),
        Part::Block(_) => &[],
    });
    events
        .filter_map(|event| match event {
            Event::Start(Tag::Image { dest_url, .. }) => Some(tidy(dest_url)),
            _ => None,
        })
        .collect()
}

/// `./data//x.toml` is `data/x.toml`.
fn tidy(path: &str) -> String {
    let steps: Vec<&str> = path.split('/').filter(|step| !step.is_empty() && *step != ".").collect();
    steps.join("/")
}
