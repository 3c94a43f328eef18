//! What a built sheet rests on.

use super::sources::{Kind, Source, Sources};
use crate::evaluate::Trace;
use crate::library::Origin;
use crate::package::{Built, CLAUSES, MANIFEST, Package};
use crate::render::address::Addresses;
use crate::render::provenance::PROGRAM;
use crate::review::{digest, line_text, marks_path};
use std::collections::BTreeMap;

/// Everything that the page of a sheet is made of; nothing for one with errors.
///
/// Of its package that is the manifest, the sheet with its marks and sign-offs, the lists of signers, data, records and images
/// in use, and all of its own clauses and families: also those that the sheet does not use say which failure modes
/// a standard has.
pub fn collect(package: &Package, built: &Built) -> Option<Sources> {
    let trace = built.trace.as_ref()?;
    let mut files = BTreeMap::new();
    let mut add = |kind, name: String, bytes: Vec<u8>| {
        files.insert(Source { kind, name }, bytes);
    };
    let mut own = vec![MANIFEST.to_owned(), built.path.clone(), marks_path(&built.path)];
    own.extend(package.signers.paths.iter().filter(|path| !path.is_empty()).cloned());
    own.extend(built.sign_offs.iter().map(|file| file.path.clone()));
    own.extend(built.images());
    own.extend(package.paths().iter().filter(|path| path.starts_with(CLAUSES)).cloned());
    let library = &package.library;
    for (name, source) in &trace.compiled.rests_on {
        match name.split_once(' ') {
            Some(("clause", path)) if library.clause(path).is_some_and(|clause| clause.origin == Origin::Shipped) => {
                add(Kind::Shipped, format!("{path}.md"), source.text.clone().into_bytes());
            }
            Some(("card", path)) if library.card(path).is_some_and(|card| card.origin == Origin::Shipped) => {
                add(Kind::Shipped, name.clone(), source.text.clone().into_bytes());
            }
            Some(("data", path)) if library.data(path).is_some() => {
                add(Kind::Shipped, name.clone(), source.text.clone().into_bytes());
            }
            Some(("data" | "records" | "sheet", path)) => own.push(path.to_owned()),
            _ => {}
        }
    }
    for path in built.families() {
        if let Some(family) = library.family(&path).filter(|family| family.origin == Origin::Shipped) {
            add(Kind::Shipped, format!("{path}.toml"), family.source.text.clone().into_bytes());
        }
    }
    for path in own {
        // What is not there is not there for the reader either.
        if let Ok(bytes) = package.file(&path) {
            add(Kind::Package, path, bytes);
        }
    }
    add(Kind::Results, built.path.clone(), results(trace).into_bytes());
    Some(Sources { program: PROGRAM.to_owned(), sheet: built.path.clone(), files })
}

/// What came out: a line for each, with its address, the digest of all it says in full precision, and its text in short.
pub fn results(trace: &Trace) -> String {
    let addresses = Addresses::new(trace);
    let line = |id: &crate::compile::LineId| {
        let text = line_text(trace, *id).replace(['\n', '\r'], " ");
        format!("{} {} {text}\n", addresses.line(*id), digest(trace, *id))
    };
    trace.order.iter().map(line).collect()
}
