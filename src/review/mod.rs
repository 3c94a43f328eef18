//! The checker's marks on the lines of a calculation, and what they are worth after a change.
//!
//! 1. [`canonical`] writes what a line says so that only its meaning counts; [`digest()`] is a digest of that;
//! 2. [`Marks::read`] and [`Marks::write`] are the file of marks beside a sheet, which merges line by line;
//! 3. [`place`] finds the line that marks belong to, also where lines moved;
//! 4. [`state()`] says of every line whether it is ticked, changed since, asked about or inherited;
//! 5. [`mark()`] adds marks: it takes marks and gives marks, and knows neither disk nor clock;
//! 6. [`shown`](mod@shown) is what a page shows of it all.

mod canonical;
mod day;
mod digest;
mod inherit;
mod mark;
mod marking;
mod place;
mod read;
mod shown;
mod state;
#[cfg(test)]
mod tests;
mod text;

pub use day::Day;
pub use digest::{LineDigest, Part, WholeDigest, digest, digest_of_whole};
pub use inherit::inherit;
pub use mark::{HEADER, Mark, MarkKind, Marks, marks_path};
pub use marking::{Action, By, Reason, Refusal, mark};
pub use shown::shown;
pub use state::{Change, LineReview, Review, Thread, Tick, state};
pub use text::{line_text, worked_text};

pub use crate::render::review::{Counts, ThreadState};
