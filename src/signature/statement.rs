//! The text that is signed: a fixed layout, one `key: value` a line.
//!
//! ```text
//! soleplate sign-off 2
//! sheet: b4.md
//! number: FTD-ST-CALC-004
//! title: Base plate B4
//! revision: P01
//! digest: 9f86d081884c7d659a2feaa0c55ad015a3bf4f1b2b0b822cd15d6c15b0f00a08
//! rules: creator, checker; different people; every line ticked; in order
//! role: checker
//! signer: rt@fellmere.example
//! date: 2026-11-20
//! after: creator kl@fellmere.example 1b4f0e9851971998e732078544c96b36c3d01cedf7caa332359d6f1d83567014
//! part: sheet b4.md 60303ae22b998861bce3b28f33eec1be758a213c86c93c076dbe9f558c11c752
//! ```
//!
//! `rules` are those of the package ([`Policy::rules`](super::Policy::rules)). Any number of `after` lines names the
//! sign-offs that were there before this one, each with the SHA-256 digest of its file; any number of `part` lines
//! follows, sorted by name. There is one way to write a statement, byte for byte.

use super::day::Day;
use super::field::{Digest, Earlier, Part, Principal, Role, unfit_path, unfit_text};
use super::reading::{FILE_LIMIT, Layout, Line, lines, read_text};
use crate::diagnostic::{Code, Diagnostic};
use crate::text::{SourceFile, Span};
use std::fmt;
use std::sync::Arc;

/// First line of every statement: what it is, and the version of its layout.
const HEADER: &str = "soleplate sign-off 2";

/// What the header was before the rules and earlier sign-offs were signed.
const EARLIER_HEADER: &str = "soleplate sign-off 1";

/// The keys in their order, but for `after` and `part`.
const KEYS: [&str; 9] = ["sheet", "number", "title", "revision", "digest", "rules", "role", "signer", "date"];
/// The keys behind those, each any number of times.
const AFTER: &str = "after";
const PART: &str = "part";

/// A line holds at most this many bytes.
const LINE_LIMIT: usize = 1000;

/// What a statement says.
#[derive(Clone, Debug, Eq, PartialEq)]
pub struct Facts {
    /// Path of the sheet in its package.
    pub sheet: String,
    /// Number of the calculation.
    pub number: String,
    /// Title of the calculation.
    pub title: String,
    /// Revision of the calculation.
    pub revision: String,
    /// Of all that decides the result.
    pub digest: Digest,
    /// The rules of sign-off in force, in their canonical form.
    pub rules: String,
    /// In which role it is signed.
    pub role: Role,
    /// Who signs.
    pub signer: Principal,
    /// The day that the signer states.
    pub date: Day,
    /// The sign-offs of earlier roles that were there, sorted, none twice.
    pub after: Vec<Earlier>,
    /// What the digest is made of, sorted by name, no name twice; may be empty.
    pub parts: Vec<Part>,
}

/// Facts that can be written, with the text that is signed.
#[derive(Clone, Debug, Eq, PartialEq)]
pub struct Statement {
    facts: Facts,
    text: String,
}

/// Why facts cannot be written as a statement.
#[derive(Clone, Debug, Eq, PartialEq)]
pub struct Fault {
    /// The key of the line at fault.
    pub key: &'static str,
    /// Which of the lines with that key, from 0.
    pub at: usize,
    /// What is wrong with it.
    pub why: String,
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "`{}` cannot be signed: {}", self.key, self.why)
    }
}

impl std::error::Error for Fault {}

impl Statement {
    /// The statement of some facts.
    pub fn new(facts: Facts) -> Result<Self, Fault> {
        let fault = |key, at, why: &str| Fault { key, at, why: why.to_owned() };
        if let Some(why) = unfit_path(&facts.sheet) {
            return Err(fault("sheet", 0, &why));
        }
        let texts = [
            ("number", &facts.number),
            ("title", &facts.title),
            ("revision", &facts.revision),
            ("rules", &facts.rules),
        ];
        for (key, text) in texts {
            if let Some(why) = unfit_text(text) {
                return Err(fault(key, 0, &why));
            }
        }
        if let Some(at) = facts.after.windows(2).position(|pair| pair[0] >= pair[1]) {
            return Err(fault(AFTER, at + 1, "earlier sign-offs are sorted, and none stands twice"));
        }
        for (at, part) in facts.parts.iter().enumerate() {
            if let Some(why) = unfit_text(&part.name) {
                return Err(fault(PART, at, &why));
            }
            if at > 0 && facts.parts[at - 1].name >= part.name {
                return Err(fault(PART, at, "parts are sorted by name, and no name stands twice"));
            }
        }
        let text = print(&facts);
        if let Some(at) = text.lines().position(|line| line.len() > LINE_LIMIT) {
            let behind_keys = at.saturating_sub(1 + KEYS.len());
            let (key, at) = match (KEYS.get(at - 1), behind_keys.checked_sub(facts.after.len())) {
                (Some(key), _) => (*key, 0),
                (None, Some(part)) => (PART, part),
                (None, None) => (AFTER, behind_keys),
            };
            return Err(fault(key, at, &format!("the line is longer than {LINE_LIMIT} bytes")));
        }
        // Half of what a file may hold, so that the signature has room behind it.
        if text.len() > FILE_LIMIT / 2 {
            return Err(fault(PART, 0, "there are too many parts"));
        }
        Ok(Self { facts, text })
    }

    /// Reads a statement that stands alone in a file of some name.
    pub fn read(name: &str, bytes: &[u8]) -> Result<Self, Diagnostic> {
        let source = read_text(name, bytes, Layout::Exact, Code::BadSignOff)?;
        Self::parse(&source, source.text.len())
    }

    /// What it says.
    pub fn facts(&self) -> &Facts {
        &self.facts
    }

    /// The text that is signed; every line ends in a line feed.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// Reads the statement that takes up the first bytes of a file.
    pub(super) fn parse(source: &Arc<SourceFile>, end: usize) -> Result<Self, Diagnostic> {
        let text = source.text.get(..end).unwrap_or_default();
        if !text.ends_with('\n') {
            return Err(error(source, Span::new(end, end), "the statement ends within a line"));
        }
        let mut lines = lines(text);
        expect_header(source, lines.next())?;
        let mut values = [Line { text: "", start: end }; KEYS.len()];
        for (at, key) in KEYS.into_iter().enumerate() {
            let Some(line) = lines.next() else {
                return Err(error(source, Span::new(end, end), format!("the line `{key}` is missing")));
            };
            values[at] = expect_value(source, line, at)?;
        }
        let (mut after, mut parts) = (Vec::new(), Vec::new());
        for line in lines {
            let is_after = parts.is_empty() && line.text.starts_with("after: ");
            let (list, turn) = if is_after { (&mut after, KEYS.len()) } else { (&mut parts, KEYS.len() + 1) };
            list.push(expect_value(source, line, turn)?);
        }
        let [sheet, number, title, revision, digest, rules, role, signer, date] = values;
        let facts = Facts {
            sheet: sheet.text.to_owned(),
            number: number.text.to_owned(),
            title: title.text.to_owned(),
            revision: revision.text.to_owned(),
            digest: value_of(source, digest)?,
            rules: rules.text.to_owned(),
            role: value_of(source, role)?,
            signer: value_of(source, signer)?,
            date: value_of(source, date)?,
            after: after.iter().map(|line| value_of(source, *line)).collect::<Result<_, _>>()?,
            parts: parts.iter().map(|line| part_of(source, *line)).collect::<Result<_, _>>()?,
        };
        Self::new(facts).map_err(|fault| {
            let at = KEYS.iter().position(|key| *key == fault.key);
            let behind_keys = if fault.key == AFTER { &after } else { &parts };
            let line = at.map_or_else(|| behind_keys.get(fault.at), |at| values.get(at));
            let span = line.map_or_else(|| Span::new(end, end), |line| line.span());
            error(source, span, format!("`{}` is not as it is signed: {}", fault.key, fault.why))
        })
    }
}

/// The text of facts, whether they can be signed or not.
fn print(facts: &Facts) -> String {
    let Facts { sheet, number, title, revision, digest, rules, role, signer, date, after, parts } = facts;
    let mut text = format!(
        "{HEADER}\nsheet: {sheet}\nnumber: {number}\ntitle: {title}\nrevision: {revision}\ndigest: {digest}\n\
         rules: {rules}\nrole: {role}\nsigner: {signer}\ndate: {date}\n"
    );
    for earlier in after {
        text.push_str(&format!("{AFTER}: {earlier}\n"));
    }
    for part in parts {
        text.push_str(&format!("{PART}: {} {}\n", part.name, part.digest));
    }
    text
}

fn error(source: &Arc<SourceFile>, span: Span, message: impl Into<String>) -> Diagnostic {
    Diagnostic::error(Code::BadSignOff, source, span, message)
}

fn expect_header(source: &Arc<SourceFile>, line: Option<Line>) -> Result<(), Diagnostic> {
    let Some(line) = line else {
        return Err(error(source, Span::new(0, 0), format!("a statement begins with the line `{HEADER}`")));
    };
    if line.text == HEADER {
        return Ok(());
    }
    let version = line.text.strip_prefix("soleplate sign-off ");
    Err(match version {
        Some(_) if is_of_earlier_form(line.text) => error(
            source,
            line.span(),
            "this sign-off was made in an earlier form, which does not cover the rules of sign-off",
        )
        .help("sign again, which replaces it, or take the file out of the package"),
        Some(_) => {
            error(source, line.span(), "this sign-off has another version of the layout than this program reads")
                .help("version 2 is read; use the program that wrote it, or sign again")
        }
        None => error(source, line.span(), format!("a statement begins with the line `{HEADER}`")),
    })
}

/// Whether a text begins as sign-offs did before the rules were signed; what such a one says of its sheet is not read.
pub(super) fn is_of_earlier_form(text: &str) -> bool {
    text.lines().next() == Some(EARLIER_HEADER)
}

/// The value of the line whose turn it is: the key at a place of the order, `after` and `part` behind all others.
fn expect_value<'a>(source: &Arc<SourceFile>, line: Line<'a>, turn: usize) -> Result<Line<'a>, Diagnostic> {
    let all = || KEYS.into_iter().chain([AFTER, PART]);
    let expected = all().nth(turn).unwrap_or(PART);
    let Some((key, value)) = line.text.split_once(": ") else {
        return Err(error(source, line.span(), "this line is not of the form `key: value`")
            .help(format!("`{expected}: …` is expected here")));
    };
    if key == expected {
        return Ok(Line { text: value, start: line.start + key.len() + 2 });
    }
    let span = Span::new(line.start, line.start + key.len());
    let message = match all().position(|known| known == key) {
        Some(at) if at < turn => format!("`{key}` stands twice, or not in its place"),
        Some(_) => format!("the line `{expected}` is missing before this one"),
        None => format!("`{key}` is no key of a statement"),
    };
    Err(error(source, span, message).help(format!("`{expected}: …` is expected here")))
}

fn value_of<T: std::str::FromStr<Err = String>>(source: &Arc<SourceFile>, line: Line) -> Result<T, Diagnostic> {
    line.text.parse().map_err(|why: String| error(source, line.span(), why))
}

fn part_of(source: &Arc<SourceFile>, line: Line) -> Result<Part, Diagnostic> {
    let Some((name, digest)) = line.text.rsplit_once(' ') else {
        return Err(error(source, line.span(), "a part has a name and, behind a space, a digest"));
    };
    let digest = Line { text: digest, start: line.start + name.len() + 1 };
    Ok(Part { name: name.to_owned(), digest: value_of(source, digest)? })
}
