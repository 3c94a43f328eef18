//! What all cells of a column together show about how they are to be read.

use super::header::Column;
use super::mapping::{Field, Mapping};
use super::mistake::{Mistake, quote};
use super::number::{self, DecimalMark, Shape};
use super::time::{DayOrder, Written, take_apart};
use crate::diagnostic::Code;
use crate::text::Span;

/// A cell that shows something, and where it stands.
#[derive(Clone, Debug)]
pub(super) struct Seen {
    line: usize,
    span: Span,
    cell: String,
}

/// Places of cells are only worked out for those few that are remembered.
pub(super) struct Cell<'r, F: Fn() -> Span> {
    pub(super) text: &'r str,
    pub(super) line: usize,
    pub(super) span: F,
}

impl<F: Fn() -> Span> Cell<'_, F> {
    /// Remembers the first cell that shows something.
    fn remember(&self, first: &mut Option<Seen>) {
        if first.is_none() {
            *first = Some(Seen { line: self.line, span: (self.span)(), cell: self.text.to_owned() });
        }
    }
}

impl Seen {
    fn line(&self) -> u32 {
        u32::try_from(self.line).unwrap_or(u32::MAX)
    }

    fn mistake(&self, column: &Column, found: String, expected: impl Into<String>) -> Mistake {
        Mistake::new(Code::BadData, found, expected).at(self.line, self.span).in_column(&column.header)
    }
}

/// Two cells that cannot both be read.
fn contradiction(column: &Column, [first, second]: [&Seen; 2], [one, other]: [&str; 2]) -> Mistake {
    let found = format!("{} here and {} on line {}", quote(&first.cell), quote(&second.cell), second.line);
    first
        .mistake(column, found, format!("either {one} or {other} in all rows"))
        .also(second.span, format!("this needs {other}"))
}

/// First cells of numbers by what they show.
#[derive(Debug, Default)]
pub(super) struct NumberVotes {
    comma: Option<Seen>,
    point: Option<Seen>,
    either: Option<Seen>,
    scratch: String,
}

impl NumberVotes {
    pub(super) fn hear<F: Fn() -> Span>(&mut self, cell: &Cell<'_, F>) {
        // Without a mark there is nothing to tell.
        if !cell.text.contains([',', '.']) {
            return;
        }
        match number::shape(cell.text, &mut self.scratch) {
            Shape::Needs(DecimalMark::Comma) => cell.remember(&mut self.comma),
            Shape::Needs(DecimalMark::Point) => cell.remember(&mut self.point),
            Shape::Either => cell.remember(&mut self.either),
            Shape::None => {}
        }
    }

    /// The line of the cell that decided, if one did.
    pub(super) fn decided_by(&self, mapping: &Mapping) -> Option<u32> {
        let seen = self.comma.as_ref().or(self.point.as_ref()).filter(|_| mapping.decimal_mark.is_none());
        seen.map(Seen::line)
    }

    /// The decimal mark of the column.
    pub(super) fn decide(&self, column: &Column, mapping: &Mapping) -> Result<DecimalMark, Mistake> {
        if let Some(stated) = mapping.decimal_mark {
            return Ok(stated);
        }
        match (&self.comma, &self.point, &self.either) {
            (Some(comma), Some(point), _) => {
                Err(contradiction(column, [comma, point], ["a decimal comma", "a decimal point"]))
            }
            (Some(_), None, _) => Ok(DecimalMark::Comma),
            (None, None, Some(either)) => Err(two_numbers(column, either)),
            (None, _, _) => Ok(DecimalMark::Point),
        }
    }
}

fn two_numbers(column: &Column, either: &Seen) -> Mistake {
    let reading = |mark| {
        let mut digits = String::new();
        number::read(&either.cell, mark, &mut digits);
        digits
    };
    let (comma, point) = (reading(DecimalMark::Comma), reading(DecimalMark::Point));
    let found = format!(
        "{}, which is {comma} with a decimal comma and {point} with a decimal point, and no other cell of the column tells which",
        quote(&either.cell)
    );
    either.mistake(column, found, "a number with one reading").help("say which decimal mark the file has")
}

/// First cells of days and times by what they show.
#[derive(Debug, Default)]
pub(super) struct TimeVotes {
    day_first: Option<Seen>,
    month_first: Option<Seen>,
    either: Option<Seen>,
    zoned: Option<Seen>,
    zoneless: Option<Seen>,
    /// The cell before, since days come in long runs.
    before: String,
}

/// Whether times of the column are held against others; the end of calibration is a day on the clock of the site.
pub(super) fn is_compared(field: Field) -> bool {
    matches!(field, Field::Time | Field::Set)
}

/// How the days and times of a column are read.
#[derive(Copy, Clone, Debug)]
pub(super) struct TimeFormat {
    pub(super) order: DayOrder,
    /// Whether moments are in UTC, not on the clock of the site; not known of a column without any.
    pub(super) is_universal: Option<bool>,
}

impl TimeVotes {
    pub(super) fn hear<F: Fn() -> Span>(&mut self, cell: &Cell<'_, F>) {
        if cell.text == self.before {
            return;
        }
        self.before.clear();
        self.before.push_str(cell.text);
        let Some(written) = take_apart(cell.text) else { return };
        match written.needs() {
            Some(DayOrder::DayFirst) => cell.remember(&mut self.day_first),
            Some(DayOrder::MonthFirst) => cell.remember(&mut self.month_first),
            None if written.readings().is_some() => cell.remember(&mut self.either),
            None => {}
        }
        match written.offset {
            Some(_) => cell.remember(&mut self.zoned),
            None => cell.remember(&mut self.zoneless),
        }
    }

    /// Whether the order of day and month matters at all, and then the line of the cell that decided, if one did.
    pub(super) fn decided_by(&self, mapping: &Mapping) -> Option<Option<u32>> {
        let seen = self.day_first.as_ref().or(self.month_first.as_ref());
        let matters = seen.or(self.either.as_ref())?;
        Some(seen.filter(|_| mapping.day_order.is_none()).map(|_| matters.line()))
    }

    /// The order of day and month, and whether times have zones.
    pub(super) fn decide(&self, column: &Column, mapping: &Mapping) -> Result<TimeFormat, Mistake> {
        let order = match (mapping.day_order, &self.day_first, &self.month_first, &self.either) {
            (Some(stated), ..) => stated,
            (None, Some(day_first), Some(month_first), _) => {
                let orders = ["the day before the month", "the month before the day"];
                return Err(contradiction(column, [day_first, month_first], orders));
            }
            (None, None, None, Some(either)) => return Err(two_days(column, either)),
            (None, None, Some(_), _) => DayOrder::MonthFirst,
            (None, ..) => DayOrder::DayFirst,
        };
        let is_universal = match (&self.zoned, &self.zoneless) {
            (Some(zoned), Some(zoneless)) if is_compared(column.field) && mapping.utc_offset.is_none() => {
                let zones = ["times with a zone", "times without one"];
                let help = "say how far east of UTC times without a zone are";
                return Err(contradiction(column, [zoned, zoneless], zones).help(help));
            }
            (None, None) => None,
            (None, Some(_)) => Some(mapping.utc_offset.is_some()),
            (Some(_), _) => Some(true),
        };
        Ok(TimeFormat { order, is_universal })
    }
}

fn two_days(column: &Column, either: &Seen) -> Mistake {
    let readings = take_apart(&either.cell).as_ref().and_then(Written::readings);
    let named = readings.map(|(day_first, month_first)| {
        format!(", which is {day_first} with the day first and {month_first} with the month first, and no other cell of the column tells which")
    });
    either
        .mistake(column, format!("{}{}", quote(&either.cell), named.unwrap_or_default()), "a day with one reading")
        .help("say whether day or month stands first")
}
