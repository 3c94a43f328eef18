//! Digests of lines: SHA-256 over what a line says, and of a whole calculation over those of its lines.

use super::canonical::{Said, said};
use crate::compile::LineId;
use crate::evaluate::Trace;
use sha2::{Digest, Sha256};
use std::fmt;

/// The digest of what a line says.
///
/// Beside it stand the first bytes of a digest of each part, which tell what changed; that something did, the whole
/// tells alone.
#[derive(Copy, Clone, Debug, Eq, PartialEq, Ord, PartialOrd, Hash)]
pub struct LineDigest {
    whole: [u8; 32],
    parts: [[u8; PART_BYTES]; PARTS.len()],
}

/// Bytes kept of a part's digest: one change in sixteen million goes unnamed.
const PART_BYTES: usize = 3;

/// A part of what a line says.
#[derive(Copy, Clone, Debug, Eq, PartialEq, Ord, PartialOrd)]
pub enum Part {
    /// What is computed, the unit shown and the limits.
    Formula,
    /// What enters and what comes out.
    Value,
    /// Where it comes from.
    Reference,
    /// What it is, in words.
    Description,
}

const PARTS: [Part; 4] = [Part::Formula, Part::Value, Part::Reference, Part::Description];

impl Part {
    /// As shown.
    pub fn words(self) -> &'static str {
        match self {
            Part::Formula => "formula",
            Part::Value => "value",
            Part::Reference => "reference",
            Part::Description => "description",
        }
    }
}

/// The digest of a whole calculation.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub struct WholeDigest(pub [u8; 32]);

/// The digest of what a line says: symbol, formula, values that enter, result, unit, limits, reference and description.
pub fn digest(trace: &Trace, line: LineId) -> LineDigest {
    let Said { formula, value, reference, description } = said(trace, line);
    let mut whole = Sha256::new();
    let mut parts = [[0; PART_BYTES]; PARTS.len()];
    for (text, kept) in [formula, value, reference, description].iter().zip(&mut parts) {
        let part: [u8; 32] = Sha256::digest(text.as_bytes()).into();
        whole.update(part);
        for (kept, byte) in kept.iter_mut().zip(part) {
            *kept = byte;
        }
    }
    LineDigest { whole: whole.finalize().into(), parts }
}

/// The digest over the digests of all lines in their order; prose, and the words of the front matter, are not in it.
pub fn digest_of_whole(trace: &Trace) -> WholeDigest {
    let mut whole = Sha256::new();
    for line in &trace.order {
        whole.update(digest(trace, *line).whole);
    }
    WholeDigest(whole.finalize().into())
}

impl LineDigest {
    /// The parts in which two lines differ; none where only rarely equal first bytes hide it.
    pub fn differing(&self, other: &Self) -> Vec<Part> {
        let pairs = self.parts.iter().zip(&other.parts);
        PARTS.into_iter().zip(pairs).filter(|(_, (a, b))| a != b).map(|(part, _)| part).collect()
    }

    /// Reads what [`fmt::Display`] writes.
    pub fn parse(text: &str) -> Option<Self> {
        let (whole, rest) = text.split_once(':')?;
        let whole = from_hex(whole)?;
        let mut parts = [[0; PART_BYTES]; PARTS.len()];
        let mut given = rest.split('-');
        for part in &mut parts {
            *part = from_hex(given.next()?)?;
        }
        given.next().is_none().then_some(Self { whole, parts })
    }
}

/// The whole, a colon, and the parts with hyphens between them, all hexadecimal.
impl fmt::Display for LineDigest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write_hex(f, &self.whole)?;
        for (at, part) in self.parts.iter().enumerate() {
            f.write_str(if at == 0 { ":" } else { "-" })?;
            write_hex(f, part)?;
        }
        Ok(())
    }
}

impl fmt::Display for WholeDigest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write_hex(f, &self.0)
    }
}

fn write_hex(f: &mut fmt::Formatter<'_>, bytes: &[u8]) -> fmt::Result {
    bytes.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
}

fn from_hex<const N: usize>(text: &str) -> Option<[u8; N]> {
    let digits = text.as_bytes();
    if digits.len() != 2 * N || !digits.iter().all(|digit| matches!(digit, b'0'..=b'9' | b'a'..=b'f')) {
        return None;
    }
    let mut bytes = [0; N];
    for (byte, pair) in bytes.iter_mut().zip(text.as_bytes().chunks(2)) {
        *byte = u8::from_str_radix(std::str::from_utf8(pair).ok()?, 16).ok()?;
    }
    Some(bytes)
}
