//! Adding marks: from marks to marks, or to the reason why not.

use super::day::Day;
use super::mark::{Mark, MarkKind, Marks, clean};
use super::place::Lines;
use super::state::{Review, Tick, state};
use super::text::line_text;
use crate::compile::{LineId, Work};
use crate::evaluate::Trace;
use crate::render::wording::Wording;
use std::fmt;

/// What is done to a line.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub enum Action {
    /// Says that it is right.
    Tick,
    /// Takes one's own tick back.
    Untick,
    /// Asks about it.
    Query,
    /// Answers what was asked.
    Answer,
    /// Says that what was asked is settled.
    Close,
    /// Says that an inherited value holds here as well.
    Accept,
}

/// Who marks, when, and in which words.
#[derive(Clone, Debug)]
pub struct By {
    /// Initials or another name.
    pub who: String,
    /// The day.
    pub date: Day,
    /// The remark; a query and an answer need one.
    pub remark: String,
}

/// Why a line cannot be marked so.
#[derive(Clone, Debug, Eq, PartialEq)]
pub struct Refusal {
    /// The line.
    pub line: LineId,
    /// Number and address of the line.
    pub name: String,
    /// What stands against it.
    pub reason: Reason,
}

/// What stands against a mark.
#[derive(Clone, Debug, Eq, PartialEq)]
pub enum Reason {
    /// A figure is no line.
    Figure,
    /// The line only passes on the value of the line with this number.
    Passes(u32),
    /// Nothing is asked that is not closed.
    NothingAsked,
    /// Its value is not inherited, or is confirmed already.
    NotInherited,
    /// The name has no tick there that holds.
    NotTicked(String),
    /// A query or an answer says nothing.
    NoWords,
    /// Others asked, and nothing is said of why it is settled for them.
    AskedByOthers(Vec<String>),
}

impl fmt::Display for Refusal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let name = &self.name;
        match &self.reason {
            Reason::Figure => write!(f, "`{name}` is a figure, which has no line to mark"),
            Reason::Passes(source) => write!(f, "{name} only passes on the value of line {source}: mark that line"),
            Reason::NothingAsked => write!(f, "nothing is asked about {name} that is not closed"),
            Reason::NotInherited => write!(f, "the value of {name} is not inherited, or is confirmed already"),
            Reason::NotTicked(who) => write!(f, "{name} has no tick of {who} that holds"),
            Reason::NoWords => write!(f, "a query or an answer about {name} needs words"),
            Reason::AskedByOthers(others) => {
                write!(
                    f,
                    "the query about {name} was asked by {}: who closes it for them says why",
                    others.join(" and ")
                )
            }
        }
    }
}

impl std::error::Error for Refusal {}

/// The marks with one more on each line; where one is refused, none is made.
///
/// All marks go to their lines' present addresses; those whose line is gone leave an address that another line has now.
/// Who has ticked a line as it is does not tick it twice, unless it was another in between.
pub fn mark(trace: &Trace, marks: &Marks, lines: &[LineId], action: Action, by: &By) -> Result<Marks, Refusal> {
    let known = Lines::new(trace);
    let wording = Wording::new(trace, &known.addresses);
    let review = state(trace, marks);
    let by = By { who: clean(&by.who).replace('\n', " "), date: by.date, remark: clean(&by.remark) };
    let mut all = addressed(&known, &review);
    for &id in lines {
        let refuse = |reason| {
            let name = match trace.number(id) {
                0 => known.addresses.line(id).to_owned(),
                number => format!("line {number} (`{}`)", known.addresses.line(id)),
            };
            Err(Refusal { line: id, name, reason })
        };
        if let Some(reason) = refusal(&wording, &review, id, action, &by) {
            return refuse(reason);
        }
        let line = review.line(id);
        let address = known.addresses.line(id);
        let own_tick = |mark: &Mark| mark.kind == MarkKind::Ticked && mark.digest == line.digest && mark.who == by.who;
        let kind = match action {
            Action::Untick => {
                all.retain(|mark| mark.address != address || !own_tick(mark));
                continue;
            }
            Action::Tick if line.marks.iter().any(own_tick) && !line.came_back => continue,
            Action::Tick => MarkKind::Ticked,
            Action::Query => MarkKind::Queried,
            Action::Answer => MarkKind::Answered,
            Action::Close => MarkKind::Closed,
            Action::Accept => MarkKind::Accepted,
        };
        all.push(Mark {
            address: address.to_owned(),
            number: line.marks.iter().map(|mark| mark.number).max().unwrap_or(0).saturating_add(1),
            kind,
            date: by.date,
            who: by.who.clone(),
            was: line_text(trace, id),
            remark: by.remark.clone(),
            digest: line.digest,
        });
    }
    Ok(Marks::new(all))
}

/// All marks under the addresses that their lines have now.
fn addressed(lines: &Lines, review: &Review) -> Vec<Mark> {
    let of_lines = (0..).map(LineId).zip(&review.lines).flat_map(|(id, line)| {
        line.marks.iter().map(move |mark| Mark { address: lines.addresses.line(id).to_owned(), ..mark.clone() })
    });
    let orphans = review.orphans.iter().map(|mark| match lines.at(&mark.address) {
        Some(_) => Mark { address: format!("{}-gone", mark.address), ..mark.clone() },
        None => mark.clone(),
    });
    of_lines.chain(orphans).collect()
}

fn refusal(wording: &Wording<'_>, review: &Review, id: LineId, action: Action, by: &By) -> Option<Reason> {
    let line = review.line(id);
    if matches!(wording.line(id).work, Work::Figure) {
        return Some(Reason::Figure);
    }
    match action {
        Action::Tick | Action::Query if wording.passes(id) => {
            let mut source = id;
            while let (true, Some(from)) = (wording.passes(source), wording.line(source).mentions.first()) {
                source = from.line?;
            }
            Some(Reason::Passes(wording.trace.number(source)))
        }
        Action::Query | Action::Answer if by.remark.is_empty() => Some(Reason::NoWords),
        Action::Answer if line.open_thread().is_none() => Some(Reason::NothingAsked),
        Action::Close if line.thread_to_close(&by.who).is_none() => Some(Reason::NothingAsked),
        Action::Close if by.remark.is_empty() => {
            let others: Vec<String> =
                line.thread_to_close(&by.who)?.asked_by_others(&by.who).into_iter().map(str::to_owned).collect();
            (!others.is_empty()).then_some(Reason::AskedByOthers(others))
        }
        Action::Accept if line.inherited.is_none() => Some(Reason::NotInherited),
        Action::Untick => {
            let is_theirs = matches!(&line.tick, Tick::Holds(ticks) if ticks.iter().any(|tick| tick.who == by.who));
            (!is_theirs).then(|| Reason::NotTicked(by.who.clone()))
        }
        _ => None,
    }
}
