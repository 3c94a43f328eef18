//! What a page shows of a review: on each line a word with a shape, on the first page what is left to do.
//!
//! Who made which mark, and what a mark is worth after a change, is decided elsewhere; here are only words.

use super::markup::Markup;
use super::view::{OrphanRow, ReviewView};
use super::wording::Wording;
use crate::compile::LineId;
use serde::Serialize;

/// The review of one calculation.
#[derive(Clone, Debug, Default)]
pub struct PageReview {
    /// What is said of each line.
    pub lines: Vec<LineRemarks>,
    /// Marks whose line is gone.
    pub orphans: Vec<Orphan>,
    /// How much is done and open.
    pub counts: Counts,
    /// Queries that nobody closed, those whose line is gone included.
    pub open_queries: usize,
}

/// How much is done and open.
#[derive(Copy, Clone, Debug, Default, Eq, PartialEq, Serialize)]
pub struct Counts {
    /// Lines that need a tick.
    pub needed: usize,
    /// Lines that need one and have one that holds.
    pub ticked: usize,
    /// Lines that changed since they were ticked.
    pub changed: usize,
    /// Queries that wait for an answer.
    pub open: usize,
    /// Queries that have an answer and wait to be closed.
    pub answered: usize,
    /// Inherited values that nobody has confirmed.
    pub inherited: usize,
    /// Marks whose line is gone.
    pub orphans: usize,
    /// Of the lines to check, those that the creator alone has ticked.
    #[serde(skip_serializing_if = "is_none")]
    pub by_creator: usize,
}

fn is_none(count: &usize) -> bool {
    *count == 0
}

impl Counts {
    /// Lines that need a tick and have none that holds.
    pub fn to_check(&self) -> usize {
        self.needed - self.ticked
    }

    /// In a sentence or two.
    pub fn tally(&self) -> String {
        let lines = |n: usize| if n == 1 { "line is".to_owned() } else { "lines are".to_owned() };
        let mut tally = match (self.ticked, self.to_check()) {
            (0, left) if self.by_creator > 0 => format!("No tick counts yet: {left} {} to check.", lines(left)),
            (0, left) => format!("Nothing is ticked: {left} {} to check.", lines(left)),
            (ticked, 0) => format!("All {ticked} lines that need it are ticked."),
            (ticked, left) => {
                let (needed, are) = (self.needed, if ticked == 1 { "is" } else { "are" });
                format!(
                    "{ticked} of the {needed} lines that need a tick {are} ticked, {left} {} to check.",
                    lines(left)
                )
            }
        };
        if self.by_creator > 0 {
            let (n, are) = (self.by_creator, if self.by_creator == 1 { "is" } else { "are" });
            tally += &format!(" Of these {n} {are} ticked by the creator alone, which does not count for the checker.");
        }
        if self.changed > 0 {
            let (n, have) = (self.changed, if self.changed == 1 { "line has" } else { "lines have" });
            tally += &format!(" {n} {have} changed since the tick.");
        }
        let queries = |n: usize| if n == 1 { "query" } else { "queries" };
        if self.open > 0 {
            let wait = if self.open == 1 { "waits" } else { "wait" };
            tally += &format!(" {} {} {wait} for an answer.", self.open, queries(self.open));
        }
        if self.answered > 0 {
            let wait = if self.answered == 1 { "waits" } else { "wait" };
            tally += &format!(" {} {} {wait} to be closed.", self.answered, queries(self.answered));
        }
        tally
    }
}

/// What is said of one line.
#[derive(Clone, Debug, Default)]
pub struct LineRemarks {
    /// Whether a checker has to tick it.
    pub needs_tick: bool,
    /// Who ticked it as it is.
    pub ticked: Vec<String>,
    /// Whether it changed since and came back to what was ticked.
    pub came_back: bool,
    /// Whether that was the creator alone, which does not count for the checker.
    pub is_by_creator: bool,
    /// What changed since it was ticked.
    pub changed: Option<Changed>,
    /// What was asked about it.
    pub talks: Vec<Talk>,
    /// Where its value was inherited from, while nobody has confirmed it.
    pub inherited: Option<String>,
}

/// A line that changed since it was ticked.
#[derive(Clone, Debug)]
pub struct Changed {
    /// Who ticked it.
    pub by: String,
    /// Which parts changed.
    pub what: Vec<&'static str>,
    /// As it was, as far as that differs; may be empty.
    pub was: String,
    /// As it is.
    pub now: String,
}

/// A query with what followed.
#[derive(Clone, Debug)]
pub struct Talk {
    /// Where it stands.
    pub state: ThreadState,
    /// What was said.
    pub entries: Vec<Entry>,
}

/// Where a query stands.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub enum ThreadState {
    /// It waits for an answer.
    Open,
    /// It has one and waits to be closed.
    Answered,
    /// It is settled.
    Closed,
}

impl ThreadState {
    /// As shown.
    pub fn words(self) -> &'static str {
        match self {
            ThreadState::Open => "query open",
            ThreadState::Answered => "query answered",
            ThreadState::Closed => "query closed",
        }
    }

    fn slug(self) -> &'static str {
        match self {
            ThreadState::Open => "query-open",
            ThreadState::Answered => "query-answered",
            ThreadState::Closed => "query-closed",
        }
    }
}

/// One saying.
#[derive(Clone, Debug)]
pub struct Entry {
    /// What it does.
    pub kind: &'static str,
    /// Who said it, and when.
    pub by: String,
    /// The words; a closing may have none.
    pub words: String,
}

/// A mark whose line is gone.
#[derive(Clone, Debug)]
pub struct Orphan {
    /// Where the line stood.
    pub address: String,
    /// What the mark said.
    pub kind: &'static str,
    /// Who made it, and when.
    pub by: String,
    /// The line as it was.
    pub was: String,
    /// The remark.
    pub remark: String,
}

impl LineRemarks {
    /// Whether anything stands in the margin for it.
    pub fn has_words(&self) -> bool {
        !self.ticked.is_empty() || self.changed.is_some() || !self.talks.is_empty() || self.inherited.is_some()
    }

    /// Whether anything stands below it: what changed, and what was asked.
    pub fn has_notes(&self) -> bool {
        self.changed.is_some() || !self.talks.is_empty()
    }

    /// Where its last query stands.
    pub fn query(&self) -> Option<ThreadState> {
        self.talks.last().map(|talk| talk.state)
    }

    /// How it is ticked, where it is.
    fn ticked_words(&self) -> &'static str {
        match (self.is_by_creator, self.came_back) {
            (true, _) => "ticked by the creator alone",
            (false, true) => "ticked, changed since and back",
            (false, false) => "ticked",
        }
    }

    /// Whether it is ticked, in a word; nothing where nobody has to tick it.
    pub fn tick_word(&self) -> Option<&'static str> {
        match (&self.changed, self.ticked.is_empty()) {
            (Some(_), _) => Some("changed"),
            (None, false) => Some(self.ticked_words()),
            (None, true) => self.needs_tick.then_some("to check"),
        }
    }
}

/// Writes the words of a line, each with the shape that the style sheet draws.
pub(super) fn write_words(out: &mut Markup, remarks: &LineRemarks) {
    if remarks.inherited.is_some() {
        out.tags("<span class=\"mark\">inherited, not confirmed</span> ");
    }
    for by in &remarks.ticked {
        word(out, "ticked", remarks.ticked_words(), by);
    }
    if let Some(changed) = &remarks.changed {
        word(out, "changed", "changed since ticked", &changed.by);
    }
    if let Some(state) = remarks.query() {
        word(out, state.slug(), state.words(), "");
    }
}

fn word(out: &mut Markup, slug: &'static str, words: &'static str, by: &str) {
    out.tags("<span class=\"reviewed ");
    out.tags(slug);
    out.tags("\"><i class=\"shape\" aria-hidden=\"true\"></i>");
    out.tags(words);
    if !by.is_empty() {
        out.tags(" <span class=\"by\">");
        out.say(by);
        out.tags("</span>");
    }
    out.tags("</span> ");
}

/// Writes what changed and what was asked, below a line.
pub(super) fn write_notes(out: &mut Markup, remarks: &LineRemarks) {
    if let Some(changed) = &remarks.changed {
        out.tags("<p class=\"review-note\"><b>");
        out.say(&named(changed));
        out.tags("</b>");
        if !changed.now.is_empty() {
            out.tags(": was <del>");
            out.say(&changed.was);
            out.tags("</del>, is <ins>");
            out.say(&changed.now);
            out.tags("</ins>");
        }
        out.tags("</p>");
    }
    for talk in &remarks.talks {
        let is_closed = talk.state == ThreadState::Closed;
        out.tags(if is_closed { "<div class=\"review-note settled\">" } else { "<div class=\"review-note\">" });
        for entry in &talk.entries {
            out.tags("<p><b>");
            out.tags(entry.kind);
            out.tags("</b> <span class=\"by\">");
            out.say(&entry.by);
            out.tags("</span>");
            if !entry.words.is_empty() {
                out.tags(": ");
                out.say(&entry.words);
            }
            out.tags("</p>");
        }
        out.tags("</div>");
    }
}

/// What changed, as the beginning of a sentence.
fn named(changed: &Changed) -> String {
    match changed.what.as_slice() {
        [] => "changed".to_owned(),
        what => format!("{} changed", what.join(", ")),
    }
}

/// The panel of the first page.
pub(super) fn view(wording: &Wording<'_>, review: &PageReview) -> ReviewView {
    let of = |id: &LineId| review.lines.get(id.0 as usize);
    let ids = || wording.trace.order.iter();
    let changed = ids().filter_map(|id| {
        let changed = of(id)?.changed.as_ref()?;
        let remark = match changed.now.as_str() {
            "" => named(changed),
            now => format!("{}: was {}, is {now}", named(changed), changed.was),
        };
        Some(wording.pointer(*id, remark))
    });
    let queries = ids().filter_map(|id| {
        let talk = of(id)?.talks.last().filter(|talk| talk.state != ThreadState::Closed)?;
        let last = talk.entries.last()?;
        Some(wording.pointer(*id, format!("{} ({}): {}", last.kind, last.by, last.words)))
    });
    let orphans = review.orphans.iter().map(|orphan| OrphanRow {
        address: orphan.address.clone(),
        was: orphan.was.clone(),
        remark: match orphan.remark.as_str() {
            "" => format!("{} ({})", orphan.kind, orphan.by),
            words => format!("{} ({}): {words}", orphan.kind, orphan.by),
        },
    });
    ReviewView {
        tally: review.counts.tally(),
        changed: changed.collect(),
        queries: queries.collect(),
        orphans: orphans.collect(),
    }
}
