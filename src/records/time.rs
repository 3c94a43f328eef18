//! Days and times as logbooks write them.
//!
//! | written | read as |
//! | --- | --- |
//! | `2026-11-02`, `2026/11/02`, `2026.11.02` | year, month, day (ISO 8601, and the same with other marks) |
//! | `02.11.2026` | day, month, year: nobody writes points in another order |
//! | `02/11/2026`, `02-11-2026` | day or month first, as the column or the mapping decides |
//!
//! Behind the day may stand `07:41`, `07:41:12`, `07:41:12.5` or `7:41 AM`, after blanks, a comma or a `T`, and behind that a
//! zone: `Z`, `+01:00`, `+0100` or `+01`.

use std::fmt;

/// Milliseconds of a minute and of a day.
const MINUTE: i64 = 60_000;
const DAY: i64 = 24 * 60 * MINUTE;

/// A day of the Gregorian calendar, as days since 1970-01-01.
#[derive(Copy, Clone, Debug, Eq, PartialEq, Ord, PartialOrd, Hash)]
pub struct Day(i32);

impl Day {
    /// The day, if the calendar has it and it lies between the years 1900 and 9999.
    pub fn new(year: u16, month: u8, day: u8) -> Option<Self> {
        let is_in_calendar = (1900..=9999).contains(&year) && (1..=12).contains(&month) && day >= 1;
        if !is_in_calendar || day > days_of_month(year, month) {
            return None;
        }
        let months: i32 = (1..month).map(|month| i32::from(days_of_month(year, month))).sum();
        Some(Self(days_before_year(i32::from(year)) + months + i32::from(day) - 1))
    }

    /// Reads a day as ISO 8601 writes it, `2026-11-02`, and nothing else.
    pub fn parse(text: &str) -> Option<Self> {
        let (day, _) = read_date(text).filter(|_| text.len() == 10 && text.as_bytes()[4] == b'-')?;
        day
    }

    /// The same day of the year before; the 28th of February for a leap day.
    pub fn a_year_before(self) -> Self {
        let text = self.to_string();
        let parts = (text.get(..4).and_then(|year| year.parse::<u16>().ok()), text.get(4..).unwrap_or_default());
        let day = |rest: &str| Self::parse(&format!("{:04}{rest}", parts.0?.saturating_sub(1)));
        day(parts.1).or_else(|| day("-02-28")).unwrap_or(self)
    }

    /// Days since 1970-01-01.
    pub fn number(self) -> i32 {
        self.0
    }

    /// The day of so many days since 1970-01-01.
    pub(super) fn from_number(number: i32) -> Self {
        Self(number)
    }
}

/// As ISO 8601 writes it: `2026-11-02`.
impl fmt::Display for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        // A year has at most 366 days, so that this guess is never too late.
        let mut year = 1970 + self.0.div_euclid(366) - i32::from(self.0 < 0);
        while days_before_year(year + 1) <= self.0 {
            year += 1;
        }
        let (mut month, mut rest) = (1, self.0 - days_before_year(year));
        let of_year = u16::try_from(year).unwrap_or_default();
        while rest >= i32::from(days_of_month(of_year, month)) {
            rest -= i32::from(days_of_month(of_year, month));
            month += 1;
        }
        write!(f, "{year:04}-{month:02}-{:02}", rest + 1)
    }
}

fn is_leap(year: i32) -> bool {
    year % 4 == 0 && (year % 100 != 0 || year % 400 == 0)
}

fn days_of_month(year: u16, month: u8) -> u8 {
    match month {
        2 if is_leap(i32::from(year)) => 29,
        2 => 28,
        4 | 6 | 9 | 11 => 30,
        _ => 31,
    }
}

/// Days from 1970-01-01 to the first of January of a year.
fn days_before_year(year: i32) -> i32 {
    let leap_days = |year: i32| year.div_euclid(4) - year.div_euclid(100) + year.div_euclid(400);
    365 * (year - 1970) + leap_days(year - 1) - leap_days(1969)
}

/// A point in time as recorded.
#[derive(Copy, Clone, Debug, Eq, PartialEq, Ord, PartialOrd)]
pub struct Moment {
    /// Milliseconds since 1970-01-01: in UTC if the file tells zones, else by the clock of the site.
    pub milliseconds: i64,
    /// The day on the clock of the site.
    pub day: Day,
}

/// Whether the day or the month stands first in dates like `02/11/2026`.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub enum DayOrder {
    /// `02/11/2026` is in November.
    DayFirst,
    /// `02/11/2026` is in February.
    MonthFirst,
}

/// A day and time taken apart, before anything is decided about it.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub(super) struct Written {
    day_first: Option<Day>,
    month_first: Option<Day>,
    /// Milliseconds since midnight, where a time of day is given.
    pub(super) clock: Option<i64>,
    /// Whether it is one of twelve hours, with `AM` or `PM` behind it.
    pub(super) is_of_twelve: bool,
    /// Minutes east of UTC.
    pub(super) offset: Option<i64>,
}

impl Written {
    /// The order that the date needs, if it can be read in one only.
    pub(super) fn needs(&self) -> Option<DayOrder> {
        match (self.day_first, self.month_first) {
            (Some(_), None) => Some(DayOrder::DayFirst),
            (None, Some(_)) => Some(DayOrder::MonthFirst),
            _ => None,
        }
    }

    /// The two days that it can mean, if they differ.
    pub(super) fn readings(&self) -> Option<(Day, Day)> {
        self.day_first.zip(self.month_first).filter(|(day_first, month_first)| day_first != month_first)
    }

    /// The moment under an order of day and month; a time without a zone takes the one given, or stays on the site's clock.
    pub(super) fn moment(&self, order: DayOrder, utc_offset: Option<i64>) -> Option<Moment> {
        let day = match order {
            DayOrder::DayFirst => self.day_first,
            DayOrder::MonthFirst => self.month_first,
        }?;
        let local = i64::from(day.0) * DAY + self.clock.unwrap_or(0);
        Some(Moment { milliseconds: local - self.offset.or(utc_offset).unwrap_or(0) * MINUTE, day })
    }
}

/// Takes a day, with or without a time behind it, apart.
pub(super) fn take_apart(cell: &str) -> Option<Written> {
    let end = cell.find(['T', 't', ' ', ',', '\u{a0}']).unwrap_or(cell.len());
    let (date, behind) = cell.split_at(end);
    let (day_first, month_first) = read_date(date)?;
    let behind = behind.trim_start_matches([' ', ',', '\u{a0}']);
    let behind = behind.strip_prefix(['T', 't']).unwrap_or(behind);
    if behind.is_empty() {
        let written = Written { day_first, month_first, clock: None, is_of_twelve: false, offset: None };
        return (end == cell.len()).then_some(written);
    }
    let (clock, offset) = split_offset(behind)?;
    let clock = clock.trim_end();
    let is_of_twelve = clock.ends_with(['m', 'M']);
    Some(Written { day_first, month_first, clock: Some(read_clock(clock)?), is_of_twelve, offset })
}

/// A date with the day first, and with the month first; equal where it leaves no choice.
fn read_date(date: &str) -> Option<(Option<Day>, Option<Day>)> {
    let mark = date.chars().find(|c| !c.is_ascii_digit()).filter(|c| matches!(c, '-' | '/' | '.'))?;
    let mut parts = date.split(mark);
    let (first, second, third) = (parts.next()?, parts.next()?, parts.next()?);
    if parts.next().is_some() {
        return None;
    }
    if first.len() == 4 {
        let day = Day::new(number(first, 4)?, number(second, 2)?, number(third, 2)?)?;
        return Some((Some(day), Some(day)));
    }
    if third.len() != 4 {
        return None;
    }
    let (first, second, year) = (number(first, 2)?, number(second, 2)?, number(third, 4)?);
    let day_first = Day::new(year, second, first);
    let month_first = if mark == '.' { None } else { Day::new(year, first, second) };
    (day_first.is_some() || month_first.is_some()).then_some((day_first, month_first))
}

/// A time of day in milliseconds since midnight.
fn read_clock(clock: &str) -> Option<i64> {
    let half = |suffix: &str| {
        let at = clock.len().checked_sub(suffix.len())?;
        clock.get(at..)?.eq_ignore_ascii_case(suffix).then(|| clock[..at].trim_end())
    };
    let (digits, afternoon) = match (half("am"), half("pm")) {
        (Some(digits), _) => (digits, Some(false)),
        (_, Some(digits)) => (digits, Some(true)),
        _ => (clock, None),
    };
    let mut parts = digits.split(':');
    let (hours, minutes, seconds) = (parts.next()?, parts.next()?, parts.next().unwrap_or("0"));
    let (seconds, fraction) = seconds.split_once(['.', ',']).unwrap_or((seconds, "0"));
    let (hours, minutes, seconds): (i64, i64, i64) = (number(hours, 2)?, number(minutes, 2)?, number(seconds, 2)?);
    let hours = match afternoon {
        Some(_) if !(1..=12).contains(&hours) => return None,
        Some(afternoon) => hours % 12 + if afternoon { 12 } else { 0 },
        None => hours,
    };
    let is_sound = parts.next().is_none() && hours < 24 && minutes < 60 && seconds < 60 && minutes_are_two(digits);
    let thousandths = thousandths(fraction)?;
    is_sound.then_some(((hours * 60 + minutes) * 60 + seconds) * 1000 + thousandths)
}

/// The decimals of a second in milliseconds, what is finer cut off.
fn thousandths(fraction: &str) -> Option<i64> {
    number::<i64>(fraction, 9)?;
    let digits = fraction.bytes().map(|byte| i64::from(byte - b'0')).chain([0, 0]);
    Some(digits.take(3).fold(0, |sum, digit| sum * 10 + digit))
}

/// `7:41` is a time and `7:4` is none.
fn minutes_are_two(digits: &str) -> bool {
    digits.split(':').skip(1).all(|part| part.split(['.', ',']).next().is_some_and(|part| part.len() == 2))
}

/// Cuts a zone off a time; minutes east of UTC.
fn split_offset(text: &str) -> Option<(&str, Option<i64>)> {
    if let Some(clock) = text.strip_suffix(['Z', 'z']) {
        return Some((clock, Some(0)));
    }
    let Some(at) = text.rfind(['+', '-', '\u{2212}']) else { return Some((text, None)) };
    let (clock, zone) = text.split_at(at);
    let sign = if zone.starts_with('+') { 1 } else { -1 };
    let zone = zone.trim_start_matches(['+', '-', '\u{2212}']);
    let (hours, minutes) = match zone.split_once(':') {
        Some(parts) => parts,
        None if zone.len() == 4 => (zone.get(..2)?, zone.get(2..)?),
        None => (zone, "0"),
    };
    let (hours, minutes): (i64, i64) = (number(hours, 2)?, number(minutes, 2)?);
    (hours < 24 && minutes < 60).then_some((clock, Some(sign * (hours * 60 + minutes))))
}

/// A number of up to so many decimal digits and nothing else.
fn number<T: std::str::FromStr>(digits: &str, most: usize) -> Option<T> {
    let is_sound = (1..=most).contains(&digits.len()) && digits.bytes().all(|byte| byte.is_ascii_digit());
    is_sound.then(|| digits.parse().ok()).flatten()
}
