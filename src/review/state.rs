//! What the marks of a sheet are worth now, line by line.

use super::digest::{LineDigest, Part};
use super::mark::{Mark, MarkKind, Marks};
use super::place::{Lines, place};
use super::text::{contrasted, line_text};
use crate::compile::{LineId, Work};
use crate::evaluate::Trace;
use crate::render::review::{Counts, ThreadState};
use crate::render::wording::Wording;

/// The review of a calculation as it stands.
#[derive(Clone, Debug)]
pub struct Review {
    /// What is said of each line.
    pub lines: Vec<LineReview>,
    /// Marks whose line is gone.
    pub orphans: Vec<Mark>,
    /// How much is done and open.
    pub counts: Counts,
}

/// What is said of one line.
#[derive(Clone, Debug)]
pub struct LineReview {
    /// What the line says now.
    pub digest: LineDigest,
    /// Whether a checker has to tick it: it carries a value, a check or a condition, and does not only pass one on.
    pub needs_tick: bool,
    /// All of its marks.
    pub marks: Vec<Mark>,
    /// Whether it is ticked.
    pub tick: Tick,
    /// What was asked about it.
    pub threads: Vec<Thread>,
    /// The mark that says that its value is inherited, while nobody has confirmed it.
    pub inherited: Option<Mark>,
    /// Whether its marks show that it was something else after the ticks that hold, and came back to what they were made on.
    pub came_back: bool,
    /// Whether all ticks that hold are the creator's own, which do not count for the checker.
    pub is_by_creator: bool,
}

/// Whether a line is ticked.
#[derive(Clone, Debug)]
pub enum Tick {
    /// Nobody has ticked it.
    Missing,
    /// These ticks were made on what it says now.
    Holds(Vec<Mark>),
    /// It was ticked and has changed since.
    Changed(Box<Change>),
}

/// What became of a line since it was ticked.
#[derive(Clone, Debug)]
pub struct Change {
    /// The newest tick.
    pub tick: Mark,
    /// The line as it was, as far as that differs; empty where it reads the same, with another description.
    pub was: String,
    /// The line as it is now.
    pub now: String,
    /// What changed.
    pub what: Vec<Part>,
}

/// A query with what followed.
#[derive(Clone, Debug)]
pub struct Thread {
    /// The query, answers and perhaps its closing.
    pub marks: Vec<Mark>,
    /// Where it stands.
    pub state: ThreadState,
}

impl Review {
    /// What is said of a line.
    pub fn line(&self, id: LineId) -> &LineReview {
        &self.lines[id.0 as usize]
    }

    /// Queries that nobody closed, those whose line is gone included: what was asked does not go away with the line.
    pub fn open_queries(&self) -> usize {
        let of_kind = |kind| self.orphans.iter().filter(move |mark| mark.kind == kind);
        let is_closed = |address: &str, number| {
            of_kind(MarkKind::Closed).any(|closed| closed.address == address && closed.number > number)
        };
        let gone = of_kind(MarkKind::Queried).filter(|query| !is_closed(&query.address, query.number)).count();
        self.counts.open + self.counts.answered + gone
    }

    /// Counts lines that need a tick and have none but of certain people as lines to check, and what they closed of the
    /// queries of others as answered.
    pub fn discount(&mut self, is_creator: impl Fn(&str) -> bool) {
        for thread in self.lines.iter_mut().flat_map(|line| &mut line.threads) {
            let by = |kind: MarkKind| thread.marks.iter().filter(move |mark| mark.kind == kind);
            let is_settled_by_creator = thread.state == ThreadState::Closed
                && by(MarkKind::Closed).all(|mark| is_creator(&mark.who))
                && by(MarkKind::Queried).any(|mark| !is_creator(&mark.who));
            if is_settled_by_creator {
                thread.state = ThreadState::Answered;
                self.counts.answered += 1;
            }
        }
        for line in self.lines.iter_mut().filter(|line| line.needs_tick && !line.is_by_creator) {
            if let Tick::Holds(ticks) = &line.tick
                && ticks.iter().all(|tick| is_creator(&tick.who))
            {
                line.is_by_creator = true;
                self.counts.ticked -= 1;
                self.counts.by_creator += 1;
            }
        }
    }
}

impl Thread {
    /// Who asked, but for one name; whoever closes a query of others does so for them.
    pub fn asked_by_others(&self, who: &str) -> Vec<&str> {
        let queries = self.marks.iter().filter(|mark| mark.kind == MarkKind::Queried && mark.who != who);
        let mut others: Vec<&str> = queries.map(|mark| mark.who.as_str()).collect();
        others.sort_unstable();
        others.dedup();
        others
    }
}

impl LineReview {
    /// The query that somebody can close: one that is not closed, or that others have closed, since their word may not be
    /// enough where the rules of sign-off ask for different people.
    pub fn thread_to_close(&self, who: &str) -> Option<&Thread> {
        let has_closed =
            |thread: &&Thread| thread.marks.iter().any(|mark| mark.kind == MarkKind::Closed && mark.who == who);
        self.open_thread().or_else(|| self.threads.last().filter(|thread| !has_closed(thread)))
    }

    /// The query that is not closed.
    pub fn open_thread(&self) -> Option<&Thread> {
        self.threads.iter().rev().find(|thread| thread.state != ThreadState::Closed)
    }
}

/// The state of review of a trace.
pub fn state(trace: &Trace, marks: &Marks) -> Review {
    let lines = Lines::new(trace);
    let notes = &trace.compiled.notes;
    let mut of_line: Vec<Vec<Mark>> = vec![Vec::new(); notes.lines.len()];
    let mut orphans = Vec::new();
    for (group, line) in place(&lines, marks) {
        match line {
            Some(id) => of_line[id.0 as usize].extend_from_slice(group),
            None => orphans.extend_from_slice(group),
        }
    }
    let wording = Wording::new(trace, &lines.addresses);
    let mut counts = Counts { orphans: orphans.len(), ..Counts::default() };
    let mut reviews = Vec::with_capacity(of_line.len());
    for (id, mut marks) in (0..).map(LineId).zip(of_line) {
        marks.sort_by_key(|mark| (mark.number, mark.kind, mark.date));
        let carries_value = !matches!(notes.line(id).work, Work::Use(_) | Work::Figure);
        let now = lines.digests[id.0 as usize];
        let tick = tick(trace, id, now, &marks);
        let line = LineReview {
            digest: now,
            needs_tick: carries_value && !wording.passes(id),
            came_back: came_back(&tick, &marks),
            tick,
            threads: threads(&marks),
            inherited: inherited(now, &marks),
            is_by_creator: false,
            marks,
        };
        count(&mut counts, &line);
        reviews.push(line);
    }
    Review { lines: reviews, orphans, counts }
}

fn count(counts: &mut Counts, line: &LineReview) {
    counts.needed += usize::from(line.needs_tick);
    counts.ticked += usize::from(line.needs_tick && matches!(line.tick, Tick::Holds(_)));
    counts.changed += usize::from(matches!(line.tick, Tick::Changed(_)));
    counts.inherited += usize::from(line.inherited.is_some());
    match line.open_thread().map(|thread| thread.state) {
        Some(ThreadState::Open) => counts.open += 1,
        Some(ThreadState::Answered) => counts.answered += 1,
        Some(ThreadState::Closed) | None => {}
    }
}

fn tick(trace: &Trace, id: LineId, now: LineDigest, marks: &[Mark]) -> Tick {
    let ticks: Vec<&Mark> = marks.iter().filter(|mark| mark.kind == MarkKind::Ticked).collect();
    let holding: Vec<Mark> = ticks.iter().filter(|mark| mark.digest == now).map(|mark| (*mark).clone()).collect();
    match (holding.is_empty(), ticks.last()) {
        (false, _) => Tick::Holds(holding),
        (true, None) => Tick::Missing,
        (true, Some(newest)) => {
            let (was, is) = contrasted(&newest.was, &line_text(trace, id));
            let what = newest.digest.differing(&now);
            Tick::Changed(Box::new(Change { tick: (*newest).clone(), was, now: is, what }))
        }
    }
}

/// Whether all ticks that hold were followed by marks that were made while the line was another.
///
/// A change that nobody marked leaves no trace here: only the history of the sheet's file knows of it.
fn came_back(tick: &Tick, marks: &[Mark]) -> bool {
    let Tick::Holds(ticks) = tick else { return false };
    let was_another_since =
        |tick: &Mark| marks.iter().any(|mark| mark.number > tick.number && mark.digest != tick.digest);
    ticks.iter().all(was_another_since)
}

/// Queries with what followed them: one that comes while another is open belongs to it.
fn threads(marks: &[Mark]) -> Vec<Thread> {
    let mut threads: Vec<Thread> = Vec::new();
    for mark in marks {
        let state = match mark.kind {
            MarkKind::Queried => ThreadState::Open,
            MarkKind::Answered => ThreadState::Answered,
            MarkKind::Closed => ThreadState::Closed,
            MarkKind::Inherited | MarkKind::Accepted | MarkKind::Ticked => continue,
        };
        let is_new = mark.kind == MarkKind::Queried;
        match threads.last_mut().filter(|thread| !(is_new && thread.state == ThreadState::Closed)) {
            Some(thread) => {
                thread.marks.push(mark.clone());
                // What is closed stays closed, whatever was answered meanwhile.
                if thread.state != ThreadState::Closed {
                    thread.state = state;
                }
            }
            None => threads.push(Thread { marks: vec![mark.clone()], state }),
        }
    }
    threads
}

/// The mark of an inherited value, as long as it is what was inherited and nobody has accepted it.
fn inherited(now: LineDigest, marks: &[Mark]) -> Option<Mark> {
    let says_it = |kind: MarkKind| marks.iter().rev().find(move |mark| mark.kind == kind && mark.digest == now);
    match says_it(MarkKind::Accepted) {
        Some(_) => None,
        None => says_it(MarkKind::Inherited).cloned(),
    }
}
