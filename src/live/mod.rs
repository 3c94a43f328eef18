//! Keeps pages up to date while somebody writes.
//!
//! 1. [`Watcher`] waits for files to change and gathers changes that come together;
//! 2. [`Session`] opens the package anew and finds the sheets that the change concerns, by [`Dependencies`];
//! 3. a [`Press`] builds them and puts pages in place; the command line has two.
//!
//! [`http`] serves one page to a browser on this machine, where it is marked.
//!
//! Which sheets are rebuilt is decided without clock or disk, so that tests count them instead of timing them.

mod dependencies;
pub mod http;
mod session;
#[cfg(test)]
mod tests;
mod watcher;

pub use dependencies::{Changes, Dependencies};
pub use session::{Press, Session, Update};
pub use watcher::{QUIET, Watcher};
