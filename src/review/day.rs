//! A day of the calendar, as ISO 8601 writes it.

use std::fmt;

/// A day of the Gregorian calendar, without time and zone.
#[derive(Copy, Clone, Debug, Eq, PartialEq, Ord, PartialOrd, Hash)]
pub struct Day {
    year: u32,
    month: u32,
    day: u32,
}

impl Day {
    /// Reads `2026-11-20`; nothing where the calendar has no such day.
    pub fn parse(text: &str) -> Option<Self> {
        let mut fields = text.split('-');
        let mut field = |digits: usize| {
            let text = fields.next()?;
            let is_whole = text.len() == digits && text.bytes().all(|byte| byte.is_ascii_digit());
            is_whole.then(|| text.parse::<u32>().ok()).flatten()
        };
        let day = Self { year: field(4)?, month: field(2)?, day: field(2)? };
        let is_real = (1..=days_in(day.year, day.month)).contains(&day.day);
        (fields.next().is_none() && is_real).then_some(day)
    }

    /// The day that lies so many days after 1 January 1970.
    pub fn since_1970(mut days: u64) -> Self {
        let mut day = Self { year: 1970, month: 1, day: 1 };
        while days >= u64::from(days_in(day.year, day.month)) {
            days -= u64::from(days_in(day.year, day.month));
            day.month += 1;
            if day.month > 12 {
                (day.year, day.month) = (day.year + 1, 1);
            }
        }
        day.day += days as u32;
        day
    }
}

/// Days of a month; none where the year has no such month.
fn days_in(year: u32, month: u32) -> u32 {
    let is_leap = year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
    match month {
        1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
        4 | 6 | 9 | 11 => 30,
        2 if is_leap => 29,
        2 => 28,
        _ => 0,
    }
}

impl fmt::Display for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.year, self.month, self.day)
    }
}

#[cfg(test)]
mod tests {
    use super::Day;

    #[test]
    fn a_day_is_one_of_the_calendar() {
        for text in ["2026-11-20", "2024-02-29", "2000-02-29", "0001-01-01"] {
            assert_eq!(Day::parse(text).map(|day| day.to_string()).as_deref(), Some(text));
        }
        for text in ["2026-11-31", "2025-02-29", "1900-02-29", "2026-13-01", "2026-00-10", "2026-01-00", "26-01-01"] {
            assert_eq!(Day::parse(text), None, "{text}");
        }
        for text in ["", "2026-1-01", "2026-01-01-", "2026/01/01", "20261120", "+026-01-01", "2026-01-0١"] {
            assert_eq!(Day::parse(text), None, "{text}");
        }
    }

    /// The days are those of `date -u -d @$((86400 * N)) +%F`.
    #[test]
    fn days_are_counted_from_1970() {
        for (days, text) in [(0, "1970-01-01"), (58, "1970-02-28"), (59, "1970-03-01"), (11_016, "2000-02-29")] {
            assert_eq!(Day::since_1970(days).to_string(), text);
        }
        assert_eq!(Day::since_1970(20_777).to_string(), "2026-11-20");
        assert_eq!(Day::since_1970(47_541).to_string(), "2100-03-01");
    }
}
