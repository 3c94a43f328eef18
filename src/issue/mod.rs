//! Issued pages: a page that carries all that it was made of, so that anybody can make it anew and compare.
//!
//! 1. [`collect`] gathers what a page rests on as [`Sources`];
//! 2. [`carry`] puts them into the page where nothing runs or shows them, and [`carried`] takes them out;
//! 3. [`Sources::open`] makes a package in memory of them, to be built and rendered like any other;
//! 4. [`first_difference`] and [`differing_results`] say where the page at hand is another.
//!
//! What is carried proves nothing by itself: whoever changes a page can carry changed sources with it. That is what
//! signatures are for, and the lists of keys that the reader brings along.

mod carry;
mod collect;
mod compare;
mod sources;
#[cfg(test)]
mod tests;

pub use carry::{carried, carry};
pub use collect::{collect, results};
pub use compare::{Difference, differing_results, first_difference};
pub use sources::{Kind, Source, Sources};
