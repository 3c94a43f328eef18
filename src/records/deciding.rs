//! The first pass over all rows: how the cells of each column are read.

use super::column::{Cell, NumberVotes, TimeFormat, TimeVotes, is_compared, two_marks, two_orders};
use super::header::Column;
use super::layout::Layout;
use super::mapping::{Field, Mapping};
use super::mistake::Mistake;
use super::number::DecimalMark;
use super::read::CLICK;
use super::rows::{Row, Rows};
use super::time::DayOrder;
use crate::diagnostic::Code;

/// How the cells of a column are read.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub struct Decision<T> {
    /// The column.
    pub field: Field,
    /// The reading.
    pub reading: T,
    /// The line of the first cell that allows no other reading; none where the mapping decided, or nothing had to.
    /// A single slip of the pen can decide, so that this belongs on the page.
    pub line: Option<u32>,
}

/// How the cells of a column are read.
#[derive(Copy, Clone, Debug)]
pub(super) enum Format {
    Word,
    Number(DecimalMark),
    Time(TimeFormat),
}

/// What the first pass finds.
#[derive(Debug, Default)]
pub(super) struct Decided {
    pub(super) formats: Vec<Format>,
    /// How many rows there are.
    pub(super) count: usize,
    pub(super) decimal_marks: Vec<Decision<DecimalMark>>,
    pub(super) day_orders: Vec<Decision<DayOrder>>,
}

/// The first pass: the format of every mapped column, and the number of rows.
pub(super) fn decide(text: &str, layout: &Layout, mapping: &Mapping) -> Result<Decided, Vec<Mistake>> {
    let mut columns: Vec<(&Column, Votes)> =
        layout.columns.iter().map(|column| (column, Votes::of(column.field))).collect();
    let mut decided = Decided::default();
    let mut rows = below_header(text, layout).map_err(|mistake| vec![mistake])?;
    while let Some(row) = rows.next().map_err(|mistake| vec![mistake])? {
        decided.count += 1;
        if let Some(mistake) = second_header(&row, text, layout) {
            return Err(vec![mistake]);
        }
        if !fits(&row, layout) {
            continue;
        }
        for (column, votes) in &mut columns {
            let span = || row.span(column.index, text, layout.delimiter.byte());
            let cell = Cell { text: row.field(column.index), line: row.line, span };
            match votes {
                Votes::None => {}
                Votes::Number(votes) => votes.hear(&cell),
                Votes::Time(votes) => votes.hear(&cell),
            }
        }
    }
    let mut mistakes = Vec::new();
    for (column, votes) in &columns {
        if let Err(mistake) = decided.add(column, votes, mapping) {
            mistakes.push(mistake);
        }
    }
    if mistakes.is_empty() {
        let numbers = columns.iter().filter_map(|(column, votes)| match votes {
            Votes::Number(votes) => Some((*column, votes)),
            _ => None,
        });
        let times = columns.iter().filter_map(|(column, votes)| match votes {
            Votes::Time(votes) => Some((*column, votes)),
            _ => None,
        });
        mistakes.extend(two_marks(numbers, mapping));
        mistakes.extend(two_orders(times, mapping));
    }
    mistakes.extend(two_clocks(layout, &decided.formats).filter(|_| mistakes.is_empty()));
    if mistakes.is_empty() { Ok(decided) } else { Err(mistakes) }
}

/// A header among the rows: what stands below it may be in other columns and units.
fn second_header(row: &Row<'_>, text: &str, layout: &Layout) -> Option<Mistake> {
    // Words where a number is due are seldom, so that no more is asked of most rows.
    let number = layout.columns.iter().find(|column| column.field.is_number())?;
    let cell = row.field(number.index);
    let is_header = |cell: &str| {
        layout.columns.iter().any(|column| column.is_called(cell))
            || layout.not_read.iter().any(|header| header == cell)
    };
    if !cell.starts_with(char::is_alphabetic) || cell.eq_ignore_ascii_case(CLICK) || !is_header(cell) {
        return None;
    }
    let (mut cells, mut first) = (0, None);
    for index in (0..row.len()).filter(|index| is_header(row.field(*index))) {
        cells += 1;
        first = first.or(Some(index));
    }
    let span = row.span(first.filter(|_| cells >= 2)?, text, layout.delimiter.byte());
    let mistake =
        Mistake::new(Code::BadData, "a second header", "one header, and below it rows in its columns and units");
    Some(
        mistake
            .at(row.line, span)
            .help("take what stands below it into a file of its own, or put all rows under one header"),
    )
}

/// What the cells of a column show.
enum Votes {
    None,
    Number(NumberVotes),
    Time(TimeVotes),
}

impl Votes {
    fn of(field: Field) -> Self {
        if field.is_number() {
            Votes::Number(NumberVotes::default())
        } else if field.is_time() {
            Votes::Time(TimeVotes::default())
        } else {
            Votes::None
        }
    }
}

impl Decided {
    /// Decides a column.
    fn add(&mut self, column: &Column, votes: &Votes, mapping: &Mapping) -> Result<(), Mistake> {
        let field = column.field;
        let format = match votes {
            Votes::None => Format::Word,
            Votes::Number(votes) => {
                let reading = votes.decide(column, mapping)?;
                self.decimal_marks.push(Decision { field, reading, line: votes.decided_by(mapping) });
                Format::Number(reading)
            }
            Votes::Time(votes) => {
                let format = votes.decide(column, mapping)?;
                let decided_by = votes.decided_by(mapping);
                self.day_orders.extend(decided_by.map(|line| Decision { field, reading: format.order, line }));
                Format::Time(format)
            }
        };
        self.formats.push(format);
        Ok(())
    }
}

/// Times of torque and of setting are compared, so that both must be on one clock.
fn two_clocks(layout: &Layout, formats: &[Format]) -> Option<Mistake> {
    let header = |universal: bool| {
        layout.columns.iter().zip(formats).find_map(|(column, format)| match format {
            Format::Time(format) if is_compared(column.field) && format.is_universal == Some(universal) => {
                Some(&column.header)
            }
            _ => None,
        })
    };
    let found = format!("times with a zone in `{}` and without one in `{}`", header(true)?, header(false)?);
    let mistake = Mistake::new(Code::BadData, found, "both with a zone or both without");
    Some(mistake.help("say how far east of UTC times without a zone are"))
}

/// The rows below the header.
pub(super) fn below_header<'t>(text: &'t str, layout: &Layout) -> Result<Rows<'t>, Mistake> {
    let mut rows = Rows::new(text, layout.delimiter.byte());
    rows.seek(layout.start, layout.line);
    rows.next()?;
    Ok(rows)
}

/// Whether a row has the columns of the header, and nothing behind them.
pub(super) fn fits(row: &Row<'_>, layout: &Layout) -> bool {
    row.len() >= layout.width && (layout.width..row.len()).all(|index| row.field(index).is_empty())
}
