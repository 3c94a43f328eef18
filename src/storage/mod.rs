//! Writing to disk: the only place that makes, replaces or locks a file that stays.
//!
//! 1. [`write`](fn@write) puts a file in place as a whole: whoever reads meanwhile, and whatever ends the process, finds
//!    the old file or the new one;
//! 2. [`lock`](fn@lock) lets one process at a time read, change and write what several people write;
//! 3. [`steps`] counts the points between which a write can be cut off, so that tests can end the process at each.

mod lock;
mod replace;
pub mod steps;

pub use lock::{LOCK, Lock, Locked, PATIENCE, lock};
pub use replace::{LEFTOVER, Lasts, make_folder, write};
