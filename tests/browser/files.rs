//! What the files show without a browser.

use crate::Faults;
use crate::pages::{Page, Pages, files, render_shipped};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

pub fn every_link_leads_to_a_place_that_exists(pages: &Pages) -> Faults {
    let places: BTreeMap<&Path, BTreeSet<&str>> =
        pages.iter().map(|page| (page.path.as_path(), attributes(&page.html, "id").collect())).collect();
    let mut faults = Faults::new();
    for page in pages.iter() {
        let links: BTreeSet<&str> = attributes(&page.html, "href").collect();
        if links.is_empty() {
            faults.push(format!("{}: no link at all", page.name));
        }
        for link in links {
            let (file, fragment) = link.split_once('#').unwrap_or((link, ""));
            let found = places.get(beside(page, file).as_path());
            // A link to elsewhere would be a promise that nobody can keep for the life of a structure.
            if !found.is_some_and(|identifiers| fragment.is_empty() || identifiers.contains(fragment)) {
                faults.push(format!("{}: {link} leads nowhere", page.name));
            }
        }
        let mut seen = BTreeSet::new();
        let again = attributes(&page.html, "id").filter(|identifier| !seen.insert(*identifier));
        faults.extend(again.map(|identifier| format!("{}: {identifier} stands twice", page.name)));
    }
    faults
}

pub fn rendering_twice_gives_the_same_bytes(_: &Pages) -> Faults {
    let render = || {
        let folder = tempfile::tempdir().unwrap();
        files(&render_shipped(folder.path()), "")
    };
    let (one, two) = (render(), render());
    let names: BTreeSet<&String> = one.keys().chain(two.keys()).collect();
    names.into_iter().filter(|name| one.get(*name) != two.get(*name)).map(|name| format!("{name} differs")).collect()
}

fn beside(page: &Page, file: &str) -> PathBuf {
    if file.is_empty() { page.path.clone() } else { page.path.with_file_name(file) }
}

/// The values of an attribute; the program always writes them between double quotes, and escapes those in texts.
fn attributes<'p>(html: &'p str, name: &str) -> impl Iterator<Item = &'p str> {
    let start = format!(" {name}=\"");
    let after: Vec<&str> = html.split(start.as_str()).skip(1).collect();
    after.into_iter().filter_map(|rest| rest.split('"').next())
}
