//! The TOML at the head of a sheet.

use super::revisions::{self, Revision};
use super::{broken_toml, place_of_key};
use crate::diagnostic::{Code, Diagnostic};
use crate::text::{SourceFile, Span};
use serde::Deserialize;
use std::ops::Range;
use std::sync::Arc;

/// Whether a sheet is a calculation or a clause.
#[derive(Copy, Clone, Debug, Default, Eq, PartialEq, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum SheetKind {
    /// Rendered as a page.
    #[default]
    Calculation,
    /// Used by other sheets.
    Clause,
}

/// The keys of the front matter; empty where absent.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct FrontMatter {
    /// Calculation or clause.
    pub kind: SheetKind,
    /// Title (ISO 7200).
    pub title: String,
    /// Identification number (ISO 7200).
    pub number: String,
    /// Revision (ISO 7200).
    pub revision: String,
    /// Date of issue (ISO 7200).
    pub date: String,
    /// Creator (ISO 7200).
    pub creator: String,
    /// Approver (ISO 7200).
    pub approver: String,
    /// Document status, as older sheets typed it: nothing shows it, since it follows from the sign-offs.
    pub status: String,
    /// What each revision changed, the first one first (ISO 7200: revision index, date of issue).
    pub revisions: Vec<Revision>,
    /// Legal owner (ISO 7200).
    pub owner: String,
    /// What the calculation is to show.
    pub purpose: String,
    /// For what it holds, and for what not.
    pub scope: String,
    /// What is not verified, and why, one entry a failure mode or subject.
    pub not_verified: Vec<String>,
    /// Failure modes that do not concern this case, each with the reason: `blow-out: no fastener is headed`.
    pub not_applicable: Vec<String>,
    /// Significant figures shown.
    pub figures: Option<usize>,
    /// Clause: the standard.
    pub standard: String,
    /// Clause: its number in the standard.
    pub clause: String,
    /// Clause: version of this sheet.
    pub version: String,
    /// Clause: what its formulas were read from.
    pub basis: String,
    /// Clause: the families of product data that it is for; empty for any.
    pub families: Vec<String>,
    /// Clause: the failure modes of the standard that its checks and requirements answer.
    pub shows: Vec<String>,
}

impl FrontMatter {
    /// Reads the TOML in a range of the file and checks that what a sheet of its kind needs is there.
    pub(super) fn read(source: &Arc<SourceFile>, range: Option<Range<usize>>, findings: &mut Vec<Diagnostic>) -> Self {
        let Some(range) = range else {
            if findings.is_empty() {
                let is_open = source.text.starts_with("+++");
                let (message, help) = match is_open {
                    true => ("the front matter is not closed", "write a line `+++` below its last key"),
                    false => (
                        "this sheet has no front matter",
                        "open it with a `+++` line, TOML with `title`, `number`, `revision`, `purpose` and `scope`, and a `+++` line",
                    ),
                };
                let span = if is_open { Span::new(0, 3) } else { Span::default() };
                let finding = Diagnostic::error(Code::FrontMatter, source, span, message).help(help);
                findings.push(finding);
            }
            return Self::default();
        };
        let text = source.text.get(range.clone()).unwrap_or("");
        let front: Self = match toml::from_str(text) {
            Ok(front) => front,
            Err(error) => {
                findings.push(broken_toml(Code::FrontMatter, source, range.start, "the front matter", &error));
                return Self::default();
            }
        };
        let span = Span::new(0, 3);
        for (key, value) in front.required() {
            if value.trim().is_empty() {
                findings.push(missing(source, span, key));
            }
        }
        if !front.status.is_empty() {
            let span = place_of_key(source, range.start, range.end, "status");
            let finding = Diagnostic::error(
                Code::FrontMatter,
                source,
                span,
                "`status` is not typed, and what it says is not shown",
            );
            findings
                .push(finding.as_warning().help("remove the line: the status follows from the sign-offs of the sheet"));
        }
        if front.figures.is_some_and(|figures| !(2..=12).contains(&figures)) {
            let span = place_of_key(source, range.start, range.end, "figures");
            let finding = Diagnostic::error(Code::FrontMatter, source, span, "`figures` must be from 2 to 12");
            findings.push(finding.help("leave the line out for the package's figures, or 3"));
        }
        revisions::check(&front, source, range, findings);
        front
    }

    fn required(&self) -> Vec<(&'static str, &str)> {
        match self.kind {
            SheetKind::Calculation => vec![
                ("title", &self.title),
                ("number", &self.number),
                ("revision", &self.revision),
                ("purpose", &self.purpose),
                ("scope", &self.scope),
            ],
            SheetKind::Clause => vec![
                ("title", &self.title),
                ("standard", &self.standard),
                ("clause", &self.clause),
                ("version", &self.version),
                ("scope", &self.scope),
                ("basis", &self.basis),
            ],
        }
    }
}

fn missing(source: &Arc<SourceFile>, span: Span, key: &str) -> Diagnostic {
    let (code, what, example) = match key {
        "purpose" => (
            Code::MissingStatement,
            "does not say what it is for",
            "purpose = \"To show that the base at grid B4 resists wind uplift.\"",
        ),
        "scope" => (
            Code::MissingStatement,
            "does not say what it covers",
            "scope = \"Four anchors in cracked C25/30; static loads; no fire or seismic action.\"",
        ),
        "basis" => (Code::FrontMatter, "does not say what its formulas were read from", "basis = \"…\""),
        _ => (Code::FrontMatter, "lacks a required key", ""),
    };
    let finding = Diagnostic::error(code, source, span, format!("this sheet {what}: `{key}`"));
    let example = if example.is_empty() { format!("{key} = \"…\"") } else { example.to_owned() };
    finding.help(format!("add `{example}` to the front matter"))
}
