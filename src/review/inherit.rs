//! The marks of a calculation that begins as a copy of another.

use super::digest::digest;
use super::mark::{Mark, MarkKind, Marks, clean};
use super::marking::By;
use super::text::line_text;
use crate::compile::Work;
use crate::evaluate::Trace;
use crate::render::address::Addresses;

/// A mark on every given of the calculation that was copied: inherited, and not confirmed.
///
/// A given that says something else in the copy is confirmed by that; one that stays needs to be accepted.
pub fn inherit(trace: &Trace, by: &By) -> Marks {
    let addresses = Addresses::new(trace);
    let givens = trace.order.iter().filter(|id| matches!(trace.compiled.notes.line(**id).work, Work::Given));
    let marks = givens.map(|id| Mark {
        address: addresses.line(*id).to_owned(),
        number: 1,
        kind: MarkKind::Inherited,
        date: by.date,
        who: clean(&by.who).replace('\n', " "),
        was: line_text(trace, *id),
        remark: clean(&by.remark),
        digest: digest(trace, *id),
    });
    Marks::new(marks.collect())
}
