//! Digests of everything that decides a result.

use super::view::{Provenance, ProvenanceRow};
use crate::evaluate::Trace;
use crate::text::SourceFile;
use sha2::{Digest, Sha256};
use std::fmt::Write;
use std::sync::Arc;

/// Name and version of the program.
pub const PROGRAM: &str = concat!("soleplate ", env!("CARGO_PKG_VERSION"));

/// The digest over the program's version, the sheet, the clauses and the data that it rests on, in sorted order.
pub fn provenance(trace: &Trace, sheet: &Arc<SourceFile>) -> Provenance {
    let mut whole = Sha256::new();
    let mut files = Vec::new();
    let mut add = |what: &str, path: &str, text: &str| {
        let digest = Sha256::digest(text.as_bytes());
        whole.update(what.as_bytes());
        whole.update([0]);
        whole.update(path.as_bytes());
        whole.update([0]);
        whole.update(digest);
        files.push(ProvenanceRow { what: what.to_owned(), path: path.to_owned(), digest: groups(&digest, 4) });
    };
    add("sheet", &sheet.name, &sheet.text);
    for (name, source) in &trace.compiled.rests_on {
        let (what, path) = name.split_once(' ').unwrap_or(("file", name));
        add(what, path, &source.text);
    }
    whole.update(PROGRAM.as_bytes());
    Provenance { digest: groups(&whole.finalize(), 16), program: PROGRAM.to_owned(), files }
}

/// The first pairs of bytes of a digest in hexadecimal, in groups of four digits.
fn groups(digest: &[u8], pairs: usize) -> String {
    let mut out = String::new();
    for pair in digest.chunks(2).take(pairs) {
        if !out.is_empty() {
            out.push(' ');
        }
        for byte in pair {
            let _ = write!(out, "{byte:02x}");
        }
    }
    out
}
