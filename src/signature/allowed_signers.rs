//! Who may sign: the file `allowed_signers`, in the format of ssh-keygen(1), ALLOWED SIGNERS.
//!
//! ```text
//! # principals                options                                                       key
//! rt@fellmere.example         namespaces="soleplate-sign-off"                               ssh-ed25519 AAAAC3Nz…
//! mk@*,!mk@guest.example      valid-after="20260101",valid-before="20270101"                ssh-ed25519 AAAAC3Nz…
//! ```
//!
//! Stricter than ssh-keygen where that would leave a doubt: a line that cannot be read makes the whole file an error,
//! and so do certificate authorities and times that depend on the time zone of the machine.
//! A file that is read here means the same to ssh-keygen.

use super::day::{Day, Instant};
use super::options::{self, Options};
use super::pattern::PatternList;
use super::public_key::{Fingerprint, KeyType, key_type, read_key};
use super::reading::{Layout, Line, lines, read_text};
use crate::diagnostic::{Code, Diagnostic};
use crate::text::{SourceFile, Span};
use ssh_key::public::KeyData;
use std::sync::Arc;

/// The lines of a list of allowed signers.
#[derive(Clone, Debug, Default, Eq, PartialEq)]
pub struct AllowedSigners {
    /// In the order of the file.
    pub entries: Vec<AllowedSigner>,
}

/// One line: who may sign with which key, for what and when.
#[derive(Clone, Debug, Eq, PartialEq)]
pub struct AllowedSigner {
    /// Who.
    pub principals: PatternList,
    /// Where in its file, from 1.
    pub line: usize,
    key: KeyData,
    options: Options,
}

/// Why a day is outside the time in which a key is accepted.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub(super) enum OutsideTime {
    Before(Instant),
    After(Instant),
}

impl AllowedSigner {
    /// The short name of the key.
    pub fn fingerprint(&self) -> Fingerprint {
        Fingerprint::of(&self.key)
    }

    pub(super) fn has_key(&self, key: &KeyData) -> bool {
        self.key == *key
    }

    pub(super) fn allows_namespace(&self, namespace: &str) -> bool {
        self.options.namespaces.as_ref().is_none_or(|list| list.matches(namespace))
    }

    /// Judges a stated day: all of it, from its first second to its last, must lie within the time of the key.
    ///
    /// A statement says no hour and no zone, so nobody can tell on which side of an instant within the day it was made;
    /// ssh-keygen accepts it then with `verify-time` at either end of that day. Times in UTC are compared with a day in
    /// UTC, and days with a day in whatever zone both are counted.
    pub(super) fn judge_day(&self, day: Day) -> Result<(), OutsideTime> {
        match (self.options.valid_after, self.options.valid_before) {
            (Some(after), _) if Instant::start_of(day) < after => Err(OutsideTime::Before(after)),
            (_, Some(before)) if Instant::end_of(day) > before => Err(OutsideTime::After(before)),
            _ => Ok(()),
        }
    }
}

impl AllowedSigners {
    /// Reads the file of some name, or gives all mistakes in it.
    pub fn read(name: &str, bytes: &[u8]) -> Result<Self, Vec<Diagnostic>> {
        let source = read_text(name, bytes, Layout::Free, Code::BadSigners).map_err(|error| vec![error])?;
        let mut entries = Vec::new();
        let mut mistakes = Vec::new();
        for (at, line) in lines(&source.text).enumerate() {
            let Some(line) = content(line) else { continue };
            match entry(&source, line, at + 1) {
                Ok(entry) => entries.push(entry),
                Err(mistake) => mistakes.push(mistake),
            }
        }
        if mistakes.is_empty() { Ok(Self { entries }) } else { Err(mistakes) }
    }
}

/// A line without blanks at its ends; nothing if it is empty or a comment.
pub(super) fn content(line: Line) -> Option<Line> {
    let text = line.text.trim_ascii_start();
    let start = line.start + line.text.len() - text.len();
    let text = text.trim_ascii_end();
    let says_something = !text.is_empty() && !text.starts_with('#');
    says_something.then_some(Line { text, start })
}

fn error(source: &Arc<SourceFile>, span: Span, message: impl Into<String>) -> Diagnostic {
    Diagnostic::error(Code::BadSigners, source, span, message)
}

fn entry(source: &Arc<SourceFile>, line: Line, number: usize) -> Result<AllowedSigner, Diagnostic> {
    let (principals, rest) = split_principals(source, line)?;
    let list = principals.text.parse::<PatternList>().map_err(|why| error(source, principals.span(), why))?;
    let (word, _) = split_word(rest);
    let (options, rest) = match key_type(word.text) {
        KeyType::Unknown if !rest.text.is_empty() => {
            let (text, behind) = rest.text.split_at(options::length(rest.text));
            let options = options::parse(text).map_err(|mistake| {
                let span = Span::new(rest.start + mistake.from, rest.start + mistake.to);
                let found = error(source, span, mistake.message);
                mistake.help.into_iter().fold(found, |found, help| found.help(help))
            })?;
            (options, skip_blanks(behind, rest.start + text.len()))
        }
        KeyType::Unknown | KeyType::Plain | KeyType::Certificate => (Options::default(), rest),
    };
    let key = expect_key(source, rest)?;
    Ok(AllowedSigner { principals: list, line: number, key, options })
}

/// Parts the principals, in quotes or not, from what stands behind them.
fn split_principals<'a>(source: &Arc<SourceFile>, line: Line<'a>) -> Result<(Line<'a>, Line<'a>), Diagnostic> {
    let Some(quoted) = line.text.strip_prefix('"') else {
        let (word, rest) = split_word(line);
        return Ok((word, rest));
    };
    let Some((inside, behind)) = quoted.split_once('"') else {
        return Err(error(source, line.span(), "the quote that opens the principals is not closed"));
    };
    let start = line.start + 1;
    Ok((Line { text: inside, start }, skip_blanks(behind, start + inside.len() + 1)))
}

/// The first word of a text, and what follows behind the blanks after it.
pub(super) fn split_word(line: Line) -> (Line, Line) {
    let length = line.text.find([' ', '\t']).unwrap_or(line.text.len());
    let (word, behind) = line.text.split_at(length);
    (Line { text: word, start: line.start }, skip_blanks(behind, line.start + length))
}

fn skip_blanks(text: &str, start: usize) -> Line<'_> {
    let rest = text.trim_start_matches([' ', '\t']);
    Line { text: rest, start: start + text.len() - rest.len() }
}

/// The key at the start of a text; behind it stands a comment, if anything.
pub(super) fn expect_key(source: &Arc<SourceFile>, line: Line) -> Result<KeyData, Diagnostic> {
    let (kind, rest) = split_word(line);
    let (base64, _) = split_word(rest);
    match key_type(kind.text) {
        KeyType::Plain => {}
        KeyType::Certificate => {
            return Err(error(source, kind.span(), "certificates are not supported")
                .help("list the public key itself, such as `ssh-ed25519 AAAA…`"));
        }
        KeyType::Unknown if kind.text.is_empty() => {
            return Err(error(source, kind.span(), "a public key is missing here")
                .help("it is the content of a file with the ending .pub"));
        }
        KeyType::Unknown => {
            return Err(error(source, kind.span(), format!("`{}` is no kind of public key", kind.text)));
        }
    }
    read_key(kind.text, base64.text).ok_or_else(|| {
        let span = if base64.text.is_empty() { kind.span() } else { base64.span() };
        error(source, span, "this public key is damaged or cut off, or is of another kind than the word before it says")
    })
}
