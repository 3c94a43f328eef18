//! The state of review in the words of a page.

use super::mark::{Mark, MarkKind};
use super::state::{LineReview, Review, Thread, Tick};
use crate::render::review::{Changed, Entry, LineRemarks, Orphan, PageReview, Talk};

/// What a page shows of a review.
pub fn shown(review: &Review) -> PageReview {
    let orphan = |mark: &Mark| Orphan {
        address: mark.address.clone(),
        kind: mark.kind.words(),
        by: signed(mark),
        was: mark.was.clone(),
        remark: mark.remark.clone(),
    };
    PageReview {
        lines: review.lines.iter().map(line).collect(),
        orphans: review.orphans.iter().map(orphan).collect(),
        counts: review.counts,
        open_queries: review.open_queries(),
    }
}

fn line(line: &LineReview) -> LineRemarks {
    let (mut ticked, mut changed) = (Vec::new(), None);
    match &line.tick {
        Tick::Missing => {}
        Tick::Holds(ticks) => {
            for tick in ticks {
                ticked.push(tick.who.clone());
            }
        }
        Tick::Changed(change) => {
            changed = Some(Changed {
                by: change.tick.who.clone(),
                what: change.what.iter().map(|part| part.words()).collect(),
                was: change.was.clone(),
                now: change.now.clone(),
            });
        }
    }
    LineRemarks {
        needs_tick: line.needs_tick,
        ticked,
        came_back: line.came_back,
        is_by_creator: line.is_by_creator,
        changed,
        talks: line.threads.iter().map(talk).collect(),
        inherited: line.inherited.as_ref().map(|mark| mark.remark.clone()),
    }
}

fn talk(thread: &Thread) -> Talk {
    let by = |mark: &Mark| match (mark.kind, thread.asked_by_others(&mark.who)) {
        (MarkKind::Closed, others) if !others.is_empty() => format!("{}, for {}", signed(mark), others.join(" and ")),
        _ => signed(mark),
    };
    let entry = |mark: &Mark| Entry { kind: mark.kind.words(), by: by(mark), words: mark.remark.clone() };
    Talk { state: thread.state, entries: thread.marks.iter().map(entry).collect() }
}

/// Who and when.
fn signed(mark: &Mark) -> String {
    format!("{}, {}", mark.who, mark.date)
}
