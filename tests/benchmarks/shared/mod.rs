//! What the benchmarks share: packages to measure on, the program as a process, times in turn, a table of figures.
//!
//! Absolute times scatter on a machine that others use too, so that a figure is compared only with what ran in turn
//! with it, and nothing here ever fails for being slow.
#![allow(dead_code, reason = "each benchmark uses a part")]

pub mod packages;
pub mod program;
pub mod table;
pub mod timing;

/// Whether `cargo bench` runs this program; `cargo test --all-targets` starts it too and must not wait for it.
pub fn is_asked_for() -> bool {
    let is_asked_for = std::env::args().any(|argument| argument == "--bench");
    if !is_asked_for {
        println!("nothing is measured here: run it by `cargo bench`");
    }
    is_asked_for
}
