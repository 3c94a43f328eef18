//! What is sent back.

use std::io::{self, Write};

/// An answer.
#[derive(Clone, Debug, Eq, PartialEq)]
pub struct Reply {
    /// The status (RFC 9110, 15).
    pub status: u16,
    kind: &'static str,
    /// What the page may do, for `Content-Security-Policy`.
    policy: String,
    body: Vec<u8>,
}

/// Nothing may be loaded, run or framed.
const NOTHING: &str = "default-src 'none'; frame-ancestors 'none'";

/// What holds for every answer: it is kept nowhere, taken for nothing but what it says, opened in no frame of another
/// site, and its address is told to nobody.
const ALWAYS: &str = "Connection: close\r\n\
    Cache-Control: no-store\r\n\
    Referrer-Policy: same-origin\r\n\
    X-Content-Type-Options: nosniff\r\n\
    X-Frame-Options: DENY\r\n\
    Cross-Origin-Opener-Policy: same-origin\r\n\
    Cross-Origin-Resource-Policy: same-origin\r\n";

impl Reply {
    /// A page, and what it may do.
    pub fn page(html: String, policy: String) -> Self {
        Self { status: 200, kind: "text/html; charset=utf-8", policy, body: html.into_bytes() }
    }

    /// A value.
    pub fn json(status: u16, value: &serde_json::Value) -> Self {
        Self { status, kind: "application/json", policy: NOTHING.to_owned(), body: value.to_string().into_bytes() }
    }

    /// Nothing new.
    pub fn nothing() -> Self {
        Self::refusal(204, "")
    }

    /// Why there is no other answer.
    pub fn refusal(status: u16, words: &str) -> Self {
        let body = words.as_bytes().to_vec();
        Self { status, kind: "text/plain; charset=utf-8", policy: NOTHING.to_owned(), body }
    }

    pub(super) fn write(&self, to: &mut impl Write) -> io::Result<()> {
        let Self { status, kind, policy, body } = self;
        let mut head = format!("HTTP/1.1 {status} {}\r\n{ALWAYS}", reason(*status));
        head += &format!("Content-Security-Policy: {policy}\r\n");
        // An answer without content has no length either (RFC 9110, 8.6).
        if *status != 204 {
            head += &format!("Content-Type: {kind}\r\nContent-Length: {}\r\n", body.len());
        }
        head += "\r\n";
        to.write_all(head.as_bytes())?;
        to.write_all(body)?;
        to.flush()
    }
}

fn reason(status: u16) -> &'static str {
    match status {
        200 => "OK",
        204 => "No Content",
        400 => "Bad Request",
        403 => "Forbidden",
        404 => "Not Found",
        405 => "Method Not Allowed",
        408 => "Request Timeout",
        409 => "Conflict",
        413 => "Content Too Large",
        415 => "Unsupported Media Type",
        422 => "Unprocessable Content",
        431 => "Request Header Fields Too Large",
        501 => "Not Implemented",
        503 => "Service Unavailable",
        _ => "Internal Server Error",
    }
}
