//! The command line as its users meet it: every verb, every exit code, and what can go wrong with files.
#![expect(clippy::disallowed_methods, reason = "tests look at what the program left on disk")]
#![expect(clippy::unwrap_used, reason = "a test that cannot look has failed")]

mod clauses;
mod compare;
mod creator;
#[cfg(all(unix, debug_assertions))]
mod cut;
mod data;
mod files;
mod help;
mod issued;
mod new;
mod page;
mod recalculation;
mod register;
mod render;
mod review;
mod rules;
mod run;
mod sign;
mod signing;
mod together;
mod verify;
mod watch;
mod workflow;
