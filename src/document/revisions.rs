//! The history of a sheet's revisions in its front matter.

use super::{FrontMatter, place_of_key};
use crate::diagnostic::{Code, Diagnostic};
use crate::text::{SourceFile, Span};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::ops::Range;
use std::sync::Arc;

/// A revision and what it changed.
#[derive(Clone, Debug, Default, Eq, PartialEq, Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub struct Revision {
    /// Its name, such as `P01`.
    pub revision: String,
    /// Its date of issue, `2026-11-20`; empty if not said.
    #[serde(default)]
    pub date: String,
    /// What changed.
    pub text: String,
}

/// Checks that the last revision is the sheet's, that none stands twice, and that dates ascend.
pub(super) fn check(
    front: &FrontMatter,
    source: &Arc<SourceFile>,
    range: Range<usize>,
    findings: &mut Vec<Diagnostic>,
) {
    let Some(last) = front.revisions.last() else { return };
    let (mut known, mut latest) = (BTreeSet::new(), "");
    let mut at = place_of_key(source, range.start, range.end, "revisions");
    let mut from = at.start as usize;
    for entry in &front.revisions {
        // Entries stand in the file in their order.
        at = place_of(source, from, &entry.revision).unwrap_or(at);
        from = from.max(at.end as usize);
        if !known.insert(entry.revision.as_str()) {
            let message = format!("revision `{}` stands twice in the history", entry.revision);
            findings.push(
                Diagnostic::error(Code::FrontMatter, source, at, message).help("give each issue a revision of its own"),
            );
        }
        if entry.date.is_empty() {
            continue;
        }
        let place = place_of(source, from, &entry.date).unwrap_or(at);
        if !is_day(&entry.date) {
            let message = format!("the date `{}` of revision `{}` is no day", entry.date, entry.revision);
            findings.push(
                Diagnostic::error(Code::FrontMatter, source, place, message)
                    .help("write year, month and day, such as 2026-11-20, or leave `date` out"),
            );
            continue;
        }
        // Days of this form stand in the order of their texts.
        if entry.date.as_str() < latest {
            let message = format!("revision `{}` is older than the one before it", entry.revision);
            findings.push(
                Diagnostic::error(Code::FrontMatter, source, place, message)
                    .here(format!("the one before is of {latest}"))
                    .help("list revisions from the first to the last"),
            );
        }
        latest = latest.max(&entry.date);
    }
    if last.revision != front.revision {
        let message =
            format!("the history ends with revision `{}`, the sheet is revision `{}`", last.revision, front.revision);
        findings.push(
            Diagnostic::error(Code::FrontMatter, source, at, message)
                .here("the last entry")
                .help("add an entry for the sheet's revision, or put `revision` right"),
        );
    }
}

/// Where a text stands in quotes.
fn place_of(source: &SourceFile, from: usize, text: &str) -> Option<Span> {
    let at = from + source.text.get(from..)?.find(&format!("\"{text}\""))?;
    Some(Span::new(at, at + text.len() + 2))
}

/// Whether a text is year, month and day with hyphens.
fn is_day(text: &str) -> bool {
    let fields: Vec<&str> = text.split('-').collect();
    let number = |text: &str, digits: usize| {
        let is_whole = text.len() == digits && text.bytes().all(|byte| byte.is_ascii_digit());
        is_whole.then(|| text.parse::<u32>().ok()).flatten()
    };
    let [year, month, day] = fields.as_slice() else { return false };
    let month_and_day = number(year, 4).and(number(month, 2)).zip(number(day, 2));
    month_and_day.is_some_and(|(month, day)| (1..=12).contains(&month) && (1..=31).contains(&day))
}
