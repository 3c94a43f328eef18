//! What was marked and what is left to check, on the terminal.

use crate::cli::terminal::{Terminal, plain};
use crate::compile::LineId;
use crate::evaluate::Trace;
use crate::render::address::Addresses;
use crate::review::{Action, LineReview, Mark, Review, Tick, worked_text};

/// Tells the counts, then lines by what they wait for.
pub(super) fn tell(name: &str, trace: &Trace, review: &Review, terminal: &mut Terminal) {
    terminal.say(&plain(&format!("{name}: {}", review.counts.tally())));
    let addresses = Addresses::new(trace);
    let width = trace.order.iter().map(|id| addresses.line(*id).chars().count()).max().unwrap_or(0).min(WIDEST);
    let said = |id: LineId| worked_text(trace, id, &Addresses::new(trace));
    let mut list = List { trace, addresses, review, width, terminal };
    list.section("Inherited, not confirmed", |_, line| {
        line.inherited.as_ref().map(|mark| vec![format!("{} ({})", mark.was, mark.remark)])
    });
    list.section("Changed since ticked", |_, line| match &line.tick {
        Tick::Changed(change) => {
            let what: Vec<&str> = change.what.iter().map(|part| part.words()).collect();
            let what = format!("{} ({}, {})", what.join(", "), change.tick.who, change.tick.date);
            let texts = [format!("was {}", change.was), format!("is  {}", change.now)];
            Some([what].into_iter().chain(texts.into_iter().filter(|_| !change.now.is_empty())).collect())
        }
        Tick::Missing | Tick::Holds(_) => None,
    });
    list.section("Queries", |_, line| {
        let thread = line.open_thread()?;
        let said = |mark: &Mark| format!("{} ({}, {}): {}", mark.kind.words(), mark.who, mark.date, mark.remark);
        Some(thread.marks.iter().map(said).collect())
    });
    list.section("To check", |id, line| {
        let is_missing = line.needs_tick && matches!(line.tick, Tick::Missing);
        is_missing.then(|| vec![said(id)])
    });
    list.section("Ticked by the creator alone, to be checked by another", |id, line| {
        line.is_by_creator.then(|| vec![said(id)])
    });
    list.section("Ticked, changed since, and back to what was ticked", |id, line| {
        let Tick::Holds(ticks) = &line.tick else { return None };
        let tick = ticks.last().filter(|_| line.came_back)?;
        Some(vec![format!("{} ({}, {})", said(id), tick.who, tick.date)])
    });
    if !review.orphans.is_empty() {
        terminal.say("\nMarks whose line is gone");
        for mark in &review.orphans {
            let said = format!("{} ({}, {}) {}", mark.kind.words(), mark.who, mark.date, mark.remark);
            terminal.say(&plain(&format!("        {}: was {}; {}", mark.address, mark.was, said.trim_end())));
        }
    }
}

/// Lines named before the rest is counted.
const NAMED: usize = 12;

/// Tells what was marked, how much is left, and what lists it.
pub(super) fn tell_done(
    name: &str,
    trace: &Trace,
    review: &Review,
    done: &[(&str, Vec<LineId>)],
    terminal: &mut Terminal,
) {
    let addresses = Addresses::new(trace);
    for (words, lines) in done {
        let named = lines.iter().take(NAMED).map(|id| format!("{} {}", trace.number(*id), addresses.line(*id)));
        let more = match lines.len().saturating_sub(NAMED) {
            0 => String::new(),
            more => format!(" and {more} more"),
        };
        terminal.say(&plain(&format!("{words}: {}{more}", named.collect::<Vec<_>>().join(", "))));
    }
    terminal.say(&plain(&format!("{name}: {}", review.counts.tally())));
    let counts = review.counts;
    if counts.to_check() + counts.changed + counts.open + counts.answered + counts.inherited > 0 {
        terminal.say(&plain(&format!("`soleplate review {name}` lists what is left.")));
    }
}

/// What was done to a line.
pub(super) fn words(action: Action) -> &'static str {
    match action {
        Action::Tick => "ticked",
        Action::Untick => "tick taken back",
        Action::Query => "queried",
        Action::Answer => "answered",
        Action::Close => "closed",
        Action::Accept => "accepted",
    }
}

/// Characters that an address takes at most before the words move along.
const WIDEST: usize = 32;

struct List<'a> {
    trace: &'a Trace,
    addresses: Addresses,
    review: &'a Review,
    width: usize,
    terminal: &'a mut Terminal,
}

impl List<'_> {
    /// The lines that have something to tell under a heading, which stands only where there are any.
    fn section(&mut self, heading: &str, words: impl Fn(LineId, &LineReview) -> Option<Vec<String>>) {
        let mut is_first = true;
        for id in &self.trace.order {
            let Some(words) = words(*id, self.review.line(*id)) else { continue };
            if std::mem::take(&mut is_first) {
                self.terminal.say(&format!("\n{heading}"));
            }
            let (number, address) = (self.trace.number(*id), self.addresses.line(*id));
            let width = self.width;
            let mut head = format!("{number:>6}  {address:<width$}");
            for line in words {
                // What was said in several lines stays below its line.
                for line in line.split('\n') {
                    self.terminal.say(plain(&format!("{head}  {line}")).trim_end());
                    head = format!("{:>6}  {:<width$}", "", "");
                }
            }
        }
    }
}
