//! Days as signers state them, and instants as lists of signers give them.

use std::fmt;
use std::str::FromStr;

/// A day of the Gregorian calendar, written `2026-11-20` (ISO 8601).
#[derive(Copy, Clone, Debug, Eq, PartialEq, Ord, PartialOrd, Hash)]
pub struct Day {
    year: u16,
    month: u8,
    day: u8,
}

impl Day {
    /// The day, if the calendar has it and it is not before 1971, where the times of ssh-keygen end.
    pub fn new(year: u16, month: u8, day: u8) -> Option<Self> {
        let is_leap = year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
        let days = match month {
            2 if is_leap => 29,
            2 => 28,
            4 | 6 | 9 | 11 => 30,
            1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
            _ => return None,
        };
        let is_in_calendar = (1971..=9999).contains(&year) && (1..=days).contains(&day);
        is_in_calendar.then_some(Self { year, month, day })
    }

    /// The day after; the last of the calendar has none and stays.
    #[must_use]
    pub fn next(self) -> Self {
        Self::new(self.year, self.month, self.day + 1)
            .or_else(|| Self::new(self.year, self.month + 1, 1))
            .or_else(|| Self::new(self.year + 1, 1, 1))
            .unwrap_or(self)
    }
}

impl fmt::Display for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

impl FromStr for Day {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let bytes = text.as_bytes();
        let has_shape = bytes.len() == 10 && bytes[4] == b'-' && bytes[7] == b'-';
        let read = || Self::new(number(text.get(..4)?)?, number(text.get(5..7)?)?, number(text.get(8..)?)?);
        has_shape.then(read).flatten().ok_or_else(|| format!("`{text}` is no day of the form 2026-11-20"))
    }
}

/// A second of Coordinated Universal Time, or the start of a day in whatever zone that day is counted.
#[derive(Copy, Clone, Debug, Eq, PartialEq, Ord, PartialOrd)]
pub struct Instant {
    day: Day,
    second: u32,
}

/// The last second of a day, counted from 0.
const LAST_SECOND: u32 = 24 * 60 * 60 - 1;

impl Instant {
    /// The first second of a day.
    pub fn start_of(day: Day) -> Self {
        Self { day, second: 0 }
    }

    /// The last second of a day.
    pub fn end_of(day: Day) -> Self {
        Self { day, second: LAST_SECOND }
    }
}

impl fmt::Display for Instant {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (hours, minutes, seconds) = (self.second / 3600, self.second / 60 % 60, self.second % 60);
        match self.second {
            0 => write!(f, "the start of {}", self.day),
            _ => write!(f, "{} {hours:02}:{minutes:02}:{seconds:02} UTC", self.day),
        }
    }
}

/// Reads a timestamp of ssh-keygen(1), ALLOWED SIGNERS: `YYYYMMDD[Z]` or `YYYYMMDDHHMM[SS]Z`.
///
/// ssh-keygen takes a time without `Z` in the zone of the machine that it runs on, so that the same signature would be
/// good on one machine and not on another; such a time is refused.
/// A day without a time is taken with and without `Z`: it is compared with the day that the signer states, and both
/// are days of a calendar.
impl FromStr for Instant {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let (digits, is_universal) = match text.strip_suffix(['Z', 'z']) {
            Some(digits) => (digits, true),
            None => (text, false),
        };
        let wrong = || format!("`{text}` is no time of the form 20261120, 202611200930Z or 20261120093000Z");
        let at = |from: usize, to: usize| digits.get(from..to).and_then(number);
        let has_shape = digits.bytes().all(|byte| byte.is_ascii_digit()) && matches!(digits.len(), 8 | 12 | 14);
        if !has_shape {
            return Err(wrong());
        }
        let narrow = |n: u16| u8::try_from(n).ok();
        let day = at(0, 4)
            .zip(at(4, 6).and_then(narrow))
            .zip(at(6, 8).and_then(narrow))
            .and_then(|((year, month), day)| Day::new(year, month, day))
            .ok_or_else(wrong)?;
        if digits.len() == 8 {
            return Ok(Self::start_of(day));
        }
        if !is_universal {
            return Err(format!(
                "`{text}` would be another time on a machine in another time zone: write it in UTC, with a Z behind it"
            ));
        }
        let (hours, minutes) = (at(8, 10).ok_or_else(wrong)?, at(10, 12).ok_or_else(wrong)?);
        let seconds = if digits.len() == 14 { at(12, 14).ok_or_else(wrong)? } else { 0 };
        if hours > 23 || minutes > 59 || seconds > 59 {
            return Err(wrong());
        }
        Ok(Self { day, second: (u32::from(hours) * 60 + u32::from(minutes)) * 60 + u32::from(seconds) })
    }
}

/// A number of decimal digits alone: `parse` by itself would take a sign as well.
fn number<T: FromStr>(digits: &str) -> Option<T> {
    if !digits.bytes().all(|byte| byte.is_ascii_digit()) {
        return None;
    }
    digits.parse().ok()
}
