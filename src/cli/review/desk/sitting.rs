//! The sheet that is being marked: the last state of it that had no errors, and what is wrong with it now.

use crate::cli::drawing::Drawing;
use crate::cli::exit::Outcome;
use crate::cli::render::{templates, view_of};
use crate::compile::{LineId, Work};
use crate::diagnostic::any_error;
use crate::evaluate::Trace;
use crate::live::{Press, Update};
use crate::package::RestsOn;
use crate::render::address::Addresses;
use crate::render::page::desk::Desk;
use crate::render::review::ThreadState;
use crate::render::view::PageView;
use crate::render::wording::Wording;
use crate::review::{LineReview, Marks, Tick, shown};
use crate::sign_off::{reviewed, standing};
use serde::Serialize;
use sha2::{Digest, Sha256};

/// A sheet in the hands of somebody who marks it.
pub(super) struct Sitting<'a> {
    sheet: &'a str,
    prefix: &'a str,
    who: &'a str,
    /// Nothing before the sheet was without errors for the first time.
    subject: Option<Subject>,
    problem: String,
    outcome: Outcome,
    version: String,
}

/// What is marked.
struct Subject {
    trace: Trace,
    marks: Marks,
    addresses: Addresses,
    view: PageView,
    lines: String,
    tally: String,
    /// The digest of the page without its desk.
    digest: [u8; 32],
}

/// What a page is told of a line that can be marked.
#[derive(Serialize)]
struct LineRecord<'a> {
    address: &'a str,
    number: u32,
    /// The beginning of the digest of what it says, by which the page sees that a line is another by now.
    digest: String,
    needs: bool,
    tick: &'static str,
    /// Whether the one who marks has ticked it.
    own: bool,
    query: Option<&'static str>,
    /// Whether others asked what is not closed, so that closing it needs words.
    asked_by_others: bool,
    inherited: bool,
}

/// Digits kept of the digest of a line.
const DIGEST: usize = 16;

impl<'a> Sitting<'a> {
    /// A sheet that was not looked at yet.
    pub fn new(sheet: &'a str, prefix: &'a str, who: &'a str) -> Self {
        let (problem, version) = ("there is no such sheet".to_owned(), String::new());
        Self { sheet, prefix, who, subject: None, problem, outcome: Outcome::Unreadable, version }
    }

    pub fn sheet(&self) -> &'a str {
        self.sheet
    }

    /// Whether what is shown is the sheet as it is now.
    pub fn is_current(&self) -> bool {
        self.problem.is_empty()
    }

    /// What is wrong; empty where nothing is.
    pub fn problem(&self) -> &str {
        &self.problem
    }

    /// How a run ends where nothing can be shown.
    pub fn outcome(&self) -> Outcome {
        self.outcome
    }

    /// Another page has another version.
    pub fn version(&self) -> &str {
        &self.version
    }

    /// What is marked, and the marks that it has.
    pub fn subject(&self) -> Option<(&Trace, &Marks)> {
        self.subject.as_ref().map(|subject| (&subject.trace, &subject.marks))
    }

    /// What is left to do, in a sentence or two.
    pub fn tally(&self) -> &str {
        self.subject.as_ref().map_or("", |subject| &subject.tally)
    }

    /// The line at an address.
    pub fn line(&self, address: &str) -> Option<LineId> {
        let Subject { trace, addresses, .. } = self.subject.as_ref()?;
        trace.order.iter().copied().find(|id| addresses.line(*id) == address)
    }

    /// The page with its desk.
    pub fn page(&self) -> anyhow::Result<String> {
        let Some(subject) = &self.subject else { return Ok(String::new()) };
        let desk = Desk {
            by: self.who.to_owned(),
            version: self.version.clone(),
            lines: subject.lines.clone(),
            problem: self.problem.clone(),
        };
        Ok(templates()?.page_with_desk(&subject.view, &desk)?)
    }

    /// Says what is wrong; what was shown stays.
    pub fn lose(&mut self, problem: &str) {
        self.problem = problem.to_owned();
        self.renew();
    }

    fn renew(&mut self) {
        let mut digest = Sha256::new();
        if let Some(subject) = &self.subject {
            digest.update(subject.digest);
        }
        digest.update(&self.problem);
        self.version = digest.finalize().iter().map(|byte| format!("{byte:02x}")).collect();
    }

    fn build(&mut self, update: &Update<'_>) -> anyhow::Result<RestsOn> {
        let built = update.package.build(self.sheet);
        let rests_on = built.rests_on();
        let drawing = Drawing { prefix: self.prefix, library: &update.package.library, colour: false };
        self.problem = match &built.trace {
            Some(_) => String::new(),
            None => drawn(&drawing, update)
                .chain(built.findings.iter().map(|finding| drawing.draw(finding)))
                .collect::<Vec<_>>()
                .join("\n\n"),
        };
        self.outcome = Outcome::of(&built);
        let standing = standing(update.package, &built);
        let review = reviewed(update.package, &built, &standing);
        let (Some(sheet), Some(trace), Some(review)) = (&built.sheet, built.trace, review) else { return Ok(rests_on) };
        let marks = built.marks.unwrap_or_default();
        let page = shown(&review);
        let addresses = Addresses::new(&trace);
        let view = view_of(update.package, (sheet, &trace), &addresses, Some(&page), &standing, "");
        let digest = Sha256::digest(templates()?.page(&view)?).into();
        let wording = Wording::new(&trace, &addresses);
        let records: Vec<LineRecord<'_>> = trace
            .order
            .iter()
            .filter(|id| !matches!(wording.line(**id).work, Work::Figure) && !wording.passes(**id))
            .map(|id| record(review.line(*id), addresses.line(*id), trace.number(*id), self.who))
            .collect();
        let lines = serde_json::to_string(&records)?;
        let tally = review.counts.tally();
        self.subject = Some(Subject { trace, marks, addresses, view, lines, tally, digest });
        Ok(rests_on)
    }
}

impl Press for Sitting<'_> {
    fn publish(&mut self, update: &Update<'_>) -> Vec<(String, RestsOn)> {
        let mut rests_on = Vec::new();
        if update.gone.iter().any(|gone| gone == self.sheet) {
            self.problem = format!("{}{} is gone", self.prefix, self.sheet);
        } else if update.rebuild.iter().any(|sheet| sheet == self.sheet) {
            match self.build(update) {
                Ok(on) => rests_on.push((self.sheet.to_owned(), on)),
                Err(error) => self.problem = format!("the page cannot be made: {error:#}"),
            }
        }
        // A page made from a package that is not in order would be wrong without showing it.
        if any_error(update.findings) {
            let drawing = Drawing { prefix: self.prefix, library: &update.package.library, colour: false };
            self.problem = drawn(&drawing, update).collect::<Vec<_>>().join("\n\n");
            self.outcome = Outcome::Errors;
        }
        self.renew();
        rests_on
    }
}

/// What is wrong with the package itself.
fn drawn<'a>(drawing: &'a Drawing<'a>, update: &'a Update<'_>) -> impl Iterator<Item = String> + 'a {
    update.findings.iter().map(|finding| drawing.draw(finding))
}

fn record<'a>(line: &LineReview, address: &'a str, number: u32, who: &str) -> LineRecord<'a> {
    let (tick, own) = match &line.tick {
        Tick::Missing => ("missing", false),
        Tick::Holds(ticks) => {
            let own = ticks.iter().any(|tick| tick.who == who);
            // A tick that does not count leaves the line to whoever checks.
            (if line.is_by_creator && !own { "missing" } else { "ticked" }, own)
        }
        Tick::Changed(_) => ("changed", false),
    };
    let query = line.threads.last().map(|thread| match thread.state {
        ThreadState::Open => "open",
        ThreadState::Answered => "answered",
        ThreadState::Closed => "closed",
    });
    let asked_by_others = line.open_thread().is_some_and(|thread| !thread.asked_by_others(who).is_empty());
    let (needs, inherited) = (line.needs_tick, line.inherited.is_some());
    let digest = line.digest.to_string().chars().take(DIGEST).collect();
    LineRecord { address, number, digest, needs, tick, own, query, asked_by_others, inherited }
}
