//! The one place that reads the clock: a mark bears the day on which it is made, and no sign-off states a day to come.

use super::exit::Failure;
use crate::review::Day;
use crate::signature;
use std::time::{SystemTime, UNIX_EPOCH};

/// Names the day that counts as today, for whoever needs the same outcome on every day.
const TODAY: &str = "SOLEPLATE_TODAY";
const HOUR: u64 = 60 * 60;

/// The day that was typed, or today (UTC) where none was.
pub(super) fn day(typed: Option<&str>) -> Result<Day, Failure> {
    match typed {
        Some(typed) => Day::parse(typed).ok_or_else(|| {
            Failure::usage(format!("`{typed}` is no day of the calendar"))
                .help("write year, month and day, such as --date 2026-11-20")
        }),
        None => today(0),
    }
}

/// The last day that somebody can state as that of a signature: today where the day begins first (UTC+14).
pub(super) fn latest_day() -> Result<signature::Day, Failure> {
    today(14)?.to_string().parse().map_err(|why: String| Failure::usage(why))
}

/// The day that is named, or the day in a time zone some hours east of UTC.
#[expect(clippy::disallowed_methods, reason = "marks and signatures are made on a day; no result depends on it")]
fn today(east: u64) -> Result<Day, Failure> {
    if let Ok(named) = std::env::var(TODAY) {
        return Day::parse(&named)
            .ok_or_else(|| Failure::usage(format!("{TODAY} names no day of the calendar: `{named}`")));
    }
    let seconds = SystemTime::now().duration_since(UNIX_EPOCH).map_or(0, |since| since.as_secs());
    Ok(Day::since_1970((seconds + east * HOUR) / (24 * HOUR)))
}
