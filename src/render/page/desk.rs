//! What a page has in addition while it is served to be marked, and never otherwise: a desk, its style and its script.
//!
//! The script is the only one that such a page may run, by its digest; it makes no markup of text.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde::Serialize;
use sha2::{Digest, Sha256};

/// The script.
pub(super) const SCRIPT: &str = include_str!("../../../templates/desk/desk.js");
/// Its looks.
pub(super) const STYLE: &str = include_str!("../../../templates/desk/desk.css");

/// What the desk of a page shows.
#[derive(Clone, Debug, Serialize)]
pub struct Desk {
    /// Who marks.
    pub by: String,
    /// Which page this is; another content has another version.
    pub version: String,
    /// What can be marked, as JSON: a list of the lines with what has been said of each.
    pub lines: String,
    /// Why the page is not that of the sheet as it is now; empty where it is.
    pub problem: String,
}

/// What a page with a desk may do, for the header `Content-Security-Policy`.
pub fn policy() -> String {
    let script = STANDARD.encode(Sha256::digest(SCRIPT));
    format!(
        "default-src 'none'; script-src 'sha256-{script}'; connect-src 'self'; style-src 'unsafe-inline'; \
         img-src data:; font-src data:; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    )
}
