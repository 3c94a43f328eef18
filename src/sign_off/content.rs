//! All that decides a calculation and what its page says, as named parts with digests.
//!
//! The version of the program is no part, nor are the marks of the checker and the sign-offs themselves; the rules of
//! sign-off stand in the statement beside the digest, in clear.
//! Line ends count alike, whatever a version control system makes of them.

use crate::evaluate::Trace;
use crate::package::{Built, Package};
use crate::render::address::Addresses;
use crate::render::completeness::completeness;
use crate::render::wording::Wording;
use crate::review::digest_of_whole;
use crate::signature::{Digest, Part};
use sha2::{Digest as _, Sha256};

/// What is signed of a calculation.
#[derive(Clone, Debug, Eq, PartialEq)]
pub struct Content {
    /// Over all parts.
    pub digest: Digest,
    /// Sorted by name, no name twice.
    pub parts: Vec<Part>,
}

/// The parts of a calculation that was built; nothing for one with errors.
///
/// | name | what |
/// | --- | --- |
/// | `sheet PATH` | its text |
/// | `clause PATH`, `data PATH`, `family PATH` | texts that it rests on, its own and shipped ones |
/// | `image PATH` | bytes |
/// | `settings` | title, owner, figures and units of the package |
/// | `results` | every line's formula, values, reference and description ([`digest_of_whole`]) |
/// | `failure modes` | the table of all failure modes of the standards in use, with the answers |
/// | `verdict WORDS` | the verdict, so that the words themselves are signed |
pub fn content(package: &Package, built: &Built) -> Option<Content> {
    let (sheet, trace) = built.sheet.as_ref().zip(built.trace.as_ref())?;
    let mut parts = vec![
        part(format!("sheet {}", sheet.document.source.name), &text(&sheet.document.source.text)),
        part("settings".to_owned(), settings(package).as_bytes()),
        Part { name: "results".to_owned(), digest: Digest(digest_of_whole(trace).0) },
        part("failure modes".to_owned(), modes(trace).as_bytes()),
    ];
    let words = trace.verdict_of_sheet().words();
    parts.push(part(format!("verdict {words}"), words.as_bytes()));
    // Its names are `clause PATH` and `data PATH` already.
    parts.extend(trace.compiled.rests_on.iter().map(|(name, source)| part(name.clone(), &text(&source.text))));
    for family in built.families() {
        if let Some(read) = package.library.family(&family) {
            parts.push(part(format!("family {family}"), &text(&read.source.text)));
        }
    }
    for path in built.images() {
        if let Ok(bytes) = package.file(&path) {
            parts.push(part(format!("image {path}"), &bytes));
        }
    }
    parts.sort_by(|a, b| a.name.cmp(&b.name));
    parts.dedup_by(|a, b| a.name == b.name);
    Some(Content { digest: whole(&parts), parts })
}

/// The digest over names and digests of all parts; a name holds no control character, so none can pass for two.
fn whole(parts: &[Part]) -> Digest {
    let mut whole = Sha256::new();
    whole.update(b"soleplate content 1\n");
    for part in parts {
        whole.update(part.name.as_bytes());
        whole.update([0]);
        whole.update(part.digest.0);
    }
    Digest(whole.finalize().into())
}

fn part(name: String, bytes: &[u8]) -> Part {
    Part { name, digest: Digest(Sha256::digest(bytes).into()) }
}

fn text(text: &str) -> Vec<u8> {
    text.replace("\r\n", "\n").into_bytes()
}

/// What the manifest says that a page shows; each value is quoted, so that no two can be told from one.
fn settings(package: &Package) -> String {
    let manifest = &package.manifest;
    format!("{:?}\n{:?}\n{:?}\n{:?}\n", manifest.title, manifest.owner, manifest.figures, manifest.units)
}

/// The table of failure modes in the words of the page.
fn modes(trace: &Trace) -> String {
    let addresses = Addresses::new(trace);
    let tables = completeness(&Wording::new(trace, &addresses));
    let rows = tables.iter().flat_map(|table| table.rows.iter().map(|row| (&table.standard, row)));
    let line = |(standard, row): (&String, &crate::render::view::ModeRow)| {
        format!("{standard:?} {:?} {:?} {:?} {:?}\n", row.clause, row.mode, row.answer, row.reason)
    };
    rows.map(line).collect()
}
