//! What all cells of a column together show about how they are to be read.

use super::header::Column;
use super::mapping::{Field, Mapping};
use super::mistake::{Mistake, quote};
use super::number::{self, DecimalMark, Shape};
use super::time::{DayOrder, Written, take_apart};
use crate::diagnostic::Code;
use crate::text::Span;

/// What the cells of a column need, by what they show.
const MARKS: [&str; 2] = ["a decimal comma", "a decimal point"];
const ORDERS: [&str; 2] = ["the day before the month", "the month before the day"];

const CLOCKS: [&str; 2] = ["times with AM or PM", "times of 24 hours"];

/// A cell that shows something, and where it stands.
#[derive(Clone, Debug)]
pub(super) struct Seen {
    line: usize,
    span: Span,
    cell: String,
    /// How many cells show the same.
    count: usize,
}

/// Places of cells are only worked out for those few that are remembered.
pub(super) struct Cell<'r, F: Fn() -> Span> {
    pub(super) text: &'r str,
    pub(super) line: usize,
    pub(super) span: F,
}

impl<F: Fn() -> Span> Cell<'_, F> {
    /// Remembers the first cell that shows something, and counts the others.
    fn remember(&self, first: &mut Option<Seen>) {
        match first {
            Some(seen) => seen.count += 1,
            None => *first = Some(Seen { line: self.line, span: (self.span)(), cell: self.text.to_owned(), count: 1 }),
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

/// Two cells that cannot both be read; the mistake is more likely in the one that fewer cells are like.
fn contradiction(column: &Column, [first, second]: [&Seen; 2], [one, other]: [&str; 2]) -> Mistake {
    let (here, there, needed) = if second.count < first.count { (second, first, one) } else { (first, second, other) };
    let found = format!("{} here and {} on line {}", quote(&here.cell), quote(&there.cell), there.line);
    here.mistake(column, found, format!("either {one} or {other} in all rows"))
        .also(there.span, format!("this needs {needed}"))
}

/// Columns of one file that cannot be read in one way; nothing where they agree. `of` finds what needs the one and what
/// needs the other.
fn two_ways<'a, V: 'a>(
    columns: impl Iterator<Item = (&'a Column, &'a V)> + Clone,
    of: [fn(&V) -> Option<&Seen>; 2],
    expected: &str,
    needed: [&str; 2],
    help: &str,
) -> Option<Mistake> {
    let [one, other] = of.map(|of| columns.clone().find_map(|(column, votes)| Some((column, of(votes)?))));
    let (one, other) = (one?, other?);
    let [one_needs, other_needs] = needed;
    let is_one_rarer = one.1.count <= other.1.count;
    let ((column, here), (other, there), needed) =
        if is_one_rarer { (one, other, other_needs) } else { (other, one, one_needs) };
    let found = format!(
        "{} here and {} in column `{}` on line {}",
        quote(&here.cell),
        quote(&there.cell),
        other.header,
        there.line
    );
    let mistake = here.mistake(column, found, expected).also(there.span, format!("this needs {needed}"));
    Some(mistake.help(help))
}

/// First cells of numbers by what they show.
#[derive(Debug, Default)]
pub(super) struct NumberVotes {
    /// The one that needs a decimal comma, and the one that needs a decimal point.
    comma: Option<Seen>,
    point: Option<Seen>,
    /// The first with a comma, and with a point, that a decimal mark of the other kind would leave to part groups.
    loose_comma: Option<Seen>,
    loose_point: Option<Seen>,
    scratch: String,
}

impl NumberVotes {
    pub(super) fn hear<F: Fn() -> Span>(&mut self, cell: &Cell<'_, F>) {
        // Without a mark there is nothing to tell.
        if !cell.text.contains([',', '.']) {
            return;
        }
        match number::shape(cell.text, &mut self.scratch) {
            Shape::Needs(DecimalMark::Comma) => {
                cell.remember(&mut self.comma);
                if cell.text.contains('.') {
                    cell.remember(&mut self.loose_point);
                }
            }
            Shape::Needs(DecimalMark::Point) => {
                cell.remember(&mut self.point);
                if cell.text.contains(',') {
                    cell.remember(&mut self.loose_comma);
                }
            }
            Shape::Either if cell.text.contains(',') => cell.remember(&mut self.loose_comma),
            Shape::Either => cell.remember(&mut self.loose_point),
            Shape::None => {}
        }
    }

    /// The line of the cell that decided, if one did.
    pub(super) fn decided_by(&self, mapping: &Mapping) -> Option<u32> {
        self.decisive().filter(|_| mapping.stated_mark().is_none()).map(Seen::line)
    }

    /// The cell that shows which decimal mark the column has.
    fn decisive(&self) -> Option<&Seen> {
        self.comma.as_ref().or(self.point.as_ref())
    }

    /// The decimal mark of the column.
    ///
    /// Groups of digits may only be parted by the other mark where the mapping says so: `65,500` among `71.2` is more
    /// likely a slip than sixty-five thousand.
    pub(super) fn decide(&self, column: &Column, mapping: &Mapping) -> Result<DecimalMark, Mistake> {
        if let Some(stated) = mapping.stated_mark() {
            return Ok(stated);
        }
        match (&self.comma, &self.point, &self.loose_comma, &self.loose_point) {
            (Some(comma), Some(point), ..) => Err(contradiction(column, [comma, point], MARKS)),
            (Some(comma), None, _, Some(loose)) => Err(loose_mark(column, loose, comma, DecimalMark::Comma)),
            (None, Some(point), Some(loose), _) => Err(loose_mark(column, loose, point, DecimalMark::Point)),
            (Some(_), None, _, None) => Ok(DecimalMark::Comma),
            (None, Some(_), None, _) => Ok(DecimalMark::Point),
            (None, None, Some(comma), Some(point)) => Err(contradiction(column, [comma, point], MARKS)),
            (None, None, Some(either), None) | (None, None, None, Some(either)) => Err(two_numbers(column, either)),
            (None, None, None, None) => Ok(DecimalMark::Point),
        }
    }
}

/// The columns of one file have one decimal mark; nothing where they agree or the mapping says which.
pub(super) fn two_marks<'a>(
    columns: impl Iterator<Item = (&'a Column, &'a NumberVotes)> + Clone,
    mapping: &Mapping,
) -> Option<Mistake> {
    if mapping.stated_mark().is_some() {
        return None;
    }
    two_ways(
        columns,
        [|votes| votes.comma.as_ref(), |votes| votes.point.as_ref()],
        "one decimal mark in all columns of the file",
        MARKS,
        "say which decimal mark the file has",
    )
}

/// A cell with the mark that is not the decimal mark of its column.
fn loose_mark(column: &Column, loose: &Seen, decisive: &Seen, mark: DecimalMark) -> Mistake {
    let found = format!(
        "{} among numbers with {mark}, such as {} on line {}",
        quote(&loose.cell),
        quote(&decisive.cell),
        decisive.line
    );
    let other = match mark {
        DecimalMark::Comma => "points",
        DecimalMark::Point => "commas",
    };
    loose
        .mistake(column, found, "one decimal mark in all rows")
        .also(decisive.span, format!("this needs {mark}"))
        .help(format!("correct it, or say that {other} part thousands in this file"))
}

fn two_numbers(column: &Column, either: &Seen) -> Mistake {
    let reading = |mark| {
        let mut digits = String::new();
        number::read(&either.cell, mark, true, &mut digits);
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
    of_twelve: Option<Seen>,
    of_day: Option<Seen>,
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
        match (written.clock, written.is_of_twelve) {
            (Some(_), true) => cell.remember(&mut self.of_twelve),
            (Some(_), false) => cell.remember(&mut self.of_day),
            (None, _) => {}
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
                return Err(contradiction(column, [day_first, month_first], ORDERS));
            }
            // What a single slip of the pen could turn round for all of them is for the sheet to say.
            (None, day_first, month_first, Some(either)) => {
                return Err(two_days(column, either, day_first.as_ref().or(month_first.as_ref())));
            }
            (None, None, Some(_), None) => DayOrder::MonthFirst,
            (None, ..) => DayOrder::DayFirst,
        };
        if let (Some(of_twelve), Some(of_day)) = (&self.of_twelve, &self.of_day) {
            return Err(contradiction(column, [of_twelve, of_day], CLOCKS));
        }
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

fn two_days(column: &Column, either: &Seen, decisive: Option<&Seen>) -> Mistake {
    let readings = take_apart(&either.cell).as_ref().and_then(Written::readings);
    let named = readings.map(|(day_first, month_first)| {
        format!(", which is {day_first} with the day first and {month_first} with the month first")
    });
    let only = match decisive {
        Some(seen) => format!("; {} on line {} alone must not decide for all", quote(&seen.cell), seen.line),
        None => ", and no other cell of the column tells which".to_owned(),
    };
    let found = format!("{}{}{only}", quote(&either.cell), named.unwrap_or_default());
    let mistake = either.mistake(column, found, "a day with one reading");
    let mistake = match decisive {
        Some(seen) => mistake.also(seen.span, "this can be read in one way only"),
        None => mistake,
    };
    mistake.help("say whether day or month stands first")
}

/// Columns of one file that need different orders of day and month; nothing where they agree or the mapping says which.
pub(super) fn two_orders<'a>(
    columns: impl Iterator<Item = (&'a Column, &'a TimeVotes)> + Clone,
    mapping: &Mapping,
) -> Option<Mistake> {
    if mapping.day_order.is_some() {
        return None;
    }
    two_ways(
        columns,
        [|votes| votes.day_first.as_ref(), |votes| votes.month_first.as_ref()],
        "one order of day and month in all columns of the file",
        ORDERS,
        "say whether day or month stands first",
    )
}
