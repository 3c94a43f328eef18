//! What is kept of a sheet once it is built and its page is written: a row for the terminal and for the index.

use super::drawing::Drawing;
use super::exit::Outcome;
use super::summary::{Governing, Summary};
use super::terminal::plain;
use crate::diagnostic::{Code, Diagnostic};
use crate::evaluate::{Trace, Verdict};
use crate::package::Built;
use crate::render::address::Addresses;
use crate::render::present::notices;
use crate::render::review::{Counts, PageReview};
use crate::render::wording::ratio_text;
use crate::sign_off::{SignOffState, Standing, Status};
use crate::signature::{Principal, Role};
use crate::text::Span;

/// One sheet, in short.
#[derive(Clone, Debug)]
pub(super) struct Row {
    /// Its path in the package.
    pub path: String,
    /// Identification number; empty where the sheet could not be read.
    pub number: String,
    /// Title.
    pub title: String,
    /// Revision.
    pub revision: String,
    /// Document status.
    pub status: String,
    /// Whether all roles that the package demands are signed for, and nothing replaces it.
    pub is_issued: bool,
    /// Who holds which role.
    pub held: Vec<(Role, Principal)>,
    /// In words, if one person holds two of them by name or by key.
    pub held_twice: Option<String>,
    /// Sign-offs that do not count.
    pub void: usize,
    /// Whether anybody has signed, whether it counts or not.
    pub is_signed: bool,
    /// Queries that are open although somebody has checked or approved the sheet.
    pub asked_since: usize,
    /// How it counts for the whole run.
    pub outcome: Outcome,
    /// How it came out; nothing where it has errors.
    pub verdict: Option<Verdict>,
    /// The check that governs.
    pub governing: Option<Governing>,
    /// How much of its review is done and open; nothing where nobody has marked a line.
    pub counts: Option<Counts>,
    /// Failure modes that are unanswered: of which nothing is said.
    pub unanswered: Vec<String>,
    /// What stands against using its cards.
    pub card_faults: Vec<String>,
    /// Notices of the data in use.
    pub notices: Vec<String>,
    /// Lines that are not valid, checks that are not satisfied and failure modes without an answer, each with its place.
    pub remarks: Vec<String>,
    /// What was found.
    pub findings: Vec<Finding>,
    /// Whether its page is not issued, for what is signed or asked.
    pub is_withheld: bool,
    /// Why its pages were not written.
    pub not_written: Option<String>,
}

/// One finding, drawn.
#[derive(Clone, Debug)]
pub(super) struct Finding {
    /// Whether it is an error.
    pub is_error: bool,
    /// Its place and message, the same for every sheet that it concerns.
    pub key: String,
    /// As shown.
    pub text: String,
}

/// Findings of one sheet beyond this number are counted and not drawn.
pub(super) const DRAWN_LIMIT: usize = 100;

/// The status of a document in words.
pub(super) fn status(standing: &Standing, review: Option<&PageReview>) -> String {
    standing.words(review.map_or(0, |review| review.counts.inherited), asked_since(standing, review))
}

/// Queries that are open although somebody has checked or approved the sheet, which nobody does while one is.
pub(super) fn asked_since(standing: &Standing, review: Option<&PageReview>) -> usize {
    review.filter(|_| standing.is_reviewed()).map_or(0, |review| review.open_queries)
}

/// Where the document stands, if anybody signed it, and each sign-off that does not count.
fn signatures(path: &str, standing: &Standing, status: &str) -> Vec<String> {
    let mut remarks = Vec::new();
    for (signed, state) in standing.states() {
        let facts = signed.statement.facts();
        remarks.push(plain(&match state {
            SignOffState::Good => {
                format!("{path}: signed by {} as {}, date stated {}", facts.signer, facts.role, facts.date)
            }
            SignOffState::Former => {
                format!("{path}: signed by {} as {} for revision {}", facts.signer, facts.role, facts.revision)
            }
            // Told below, each reason once.
            SignOffState::Void(_) => continue,
        }));
    }
    remarks.extend(standing.void_in_words().iter().map(|words| plain(&format!("{path}: {words}"))));
    for role in &standing.misnamed {
        remarks.push(format!("{path}: the sheet names another as {role} than the one who has signed"));
    }
    if !remarks.is_empty() || !standing.superseded_by.is_empty() {
        remarks.push(plain(&format!("{path}: status {status}")));
    }
    remarks
}

impl Row {
    /// The row of a sheet.
    pub fn new(built: &Built, review: Option<&PageReview>, standing: &Standing, drawing: &Drawing<'_>) -> Self {
        let front = built.sheet.as_ref().map(|sheet| &sheet.document.front);
        let text =
            |of: fn(&crate::document::FrontMatter) -> &String| front.map_or(String::new(), |front| plain(of(front)));
        let drawn = |finding: &Diagnostic| Finding {
            is_error: finding.is_error(),
            key: finding.to_string(),
            text: drawing.draw(finding),
        };
        let mut findings: Vec<Finding> = built.findings.iter().take(DRAWN_LIMIT).map(drawn).collect();
        if let Some(sheet) = built.sheet.as_ref().filter(|_| built.is_clause()) {
            let message = "this clause lies outside `clauses/`, where no sheet can use it";
            let warning = Diagnostic::error(Code::UnknownClause, &sheet.document.source, Span::default(), message)
                .as_warning()
                .help("move it into a folder of `clauses/`, named for its standard");
            findings.push(drawn(&warning));
        }
        if built.findings.len() > DRAWN_LIMIT {
            let more = built.findings.len() - DRAWN_LIMIT;
            let text = format!("error: {}{} has {more} more findings", drawing.prefix, built.path);
            findings.push(Finding { is_error: true, key: text.clone(), text });
        }
        let addresses = built.trace.as_ref().map(Addresses::new);
        let summary =
            built.trace.as_ref().zip(addresses.as_ref()).map(|(trace, addresses)| Summary::new(trace, addresses));
        Self {
            path: built.path.clone(),
            number: text(|front| &front.number),
            title: text(|front| &front.title),
            revision: text(|front| &front.revision),
            status: plain(&status(standing, review)),
            held: standing.held().map(|(role, signer)| (role, signer.clone())).collect(),
            held_twice: standing.held_twice(),
            void: standing.void_files().len(),
            is_signed: !standing.sign_offs.is_empty() || !standing.unreadable.is_empty(),
            asked_since: asked_since(standing, review),
            is_issued: standing.status == Status::Issued,
            outcome: Outcome::of(built),
            verdict: built.trace.as_ref().map(Trace::verdict_of_sheet),
            governing: summary.as_ref().and_then(Summary::governing),
            counts: review.map(|review| review.counts),
            unanswered: summary.as_ref().map_or_else(Vec::new, Summary::unanswered_modes),
            card_faults: summary.as_ref().map_or_else(Vec::new, Summary::card_faults),
            notices: built
                .trace
                .as_ref()
                .map_or_else(Vec::new, |trace| notices(trace).iter().map(|text| plain(text)).collect()),
            remarks: summary.as_ref().map_or_else(Vec::new, |summary| {
                let path = format!("{}{}", drawing.prefix, built.path);
                let inherited = review.and_then(|review| summary.inherited(&path, review));
                let signed = signatures(&path, standing, &status(standing, review));
                let remarks = summary.remarks(drawing).into_iter().chain(summary.unanswered(&path));
                let remarks = remarks.chain(summary.cards(&path)).chain(summary.unchanged(drawing));
                remarks.chain(inherited).chain(signed).collect()
            }),
            findings,
            is_withheld: false,
            not_written: None,
        }
    }

    /// How it came out, in words.
    pub fn words(&self) -> &'static str {
        match (self.verdict, self.outcome) {
            (Some(verdict), _) => verdict.words(),
            (None, Outcome::Unreadable) => "not readable",
            (None, Outcome::Satisfied) => "a clause",
            (None, _) => "has errors",
        }
    }

    /// What is left of its review, each in a few words.
    pub fn left(&self) -> Vec<String> {
        let counts = self.counts.unwrap_or_default();
        let kinds = [
            (counts.to_check() - counts.by_creator, "line to check", "lines to check"),
            (counts.by_creator, "line ticked by the creator alone", "lines ticked by the creator alone"),
            (counts.changed, "line changed since ticked", "lines changed since ticked"),
            (counts.open, "query open", "queries open"),
            (counts.answered, "query answered, not closed", "queries answered, not closed"),
            (counts.inherited, "value inherited, not confirmed", "values inherited, not confirmed"),
            (counts.orphans, "mark whose line is gone", "marks whose line is gone"),
        ];
        let told = kinds.into_iter().filter(|(count, ..)| *count > 0);
        told.map(|(count, one, many)| format!("{count} {}", if count == 1 { one } else { many })).collect()
    }

    /// What the register says of it beside its verdict: what is left of its review, modes without an answer, notices.
    pub fn open(&self) -> Vec<String> {
        let mut open = self.left();
        if !self.unanswered.is_empty() {
            open.push(format!("unanswered: {}", self.unanswered.join(", ")));
        }
        open.extend(self.notices.iter().cloned());
        open
    }

    /// One line: verdict, ratio and name of the governing check, sheet.
    pub fn line(&self, prefix: &str) -> String {
        let (ratio, governing) = match &self.governing {
            Some(governing) => (ratio_text(governing.ratio), format!(": {}", governing.description)),
            None if self.verdict.is_some() => (String::new(), ": nothing is checked".to_owned()),
            None => (String::new(), String::new()),
        };
        format!("{:<13}  {ratio:>6}  {prefix}{}{governing}", self.words(), plain(&self.path))
    }
}
