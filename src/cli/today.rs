//! The one place that reads the clock: a mark bears the day on which it is made.

use super::exit::Failure;
use crate::review::Day;
use std::time::{SystemTime, UNIX_EPOCH};

/// The day that was typed, or today (UTC) where none was.
pub(super) fn day(typed: Option<&str>) -> Result<Day, Failure> {
    match typed {
        Some(typed) => Day::parse(typed).ok_or_else(|| {
            Failure::usage(format!("`{typed}` is no day of the calendar"))
                .help("write year, month and day, such as --date 2026-11-20")
        }),
        None => Ok(today()),
    }
}

#[expect(clippy::disallowed_methods, reason = "who marks a line does so on a day; no result depends on it")]
fn today() -> Day {
    let seconds = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |since| since.as_secs());
    Day::since_1970(seconds / (24 * 60 * 60))
}
