//! The second pass over all rows: cells into columns, as the first pass has decided.

use super::column::TimeFormat;
use super::deciding::{Decided, Decision, Format, below_header, decide, fits};
use super::decode::{Decoded, Encoding};
use super::deviation::{Done, FreeWords};
use super::header::Column;
use super::intern::{NONE, Words};
use super::layout::{self, Delimiter, Layout};
use super::mapping::{Field, Mapping};
use super::mistake::{Mistake, quote};
use super::number::{self, DecimalMark};
use super::rows::Row;
use super::specification::Specification;
use super::store::{Records, Values};
use super::time::{Day, DayOrder, Moment, take_apart};
use crate::diagnostic::Code;
use crate::text::Span;

/// Mistakes in rows that are told one by one; the others are counted.
pub const MOST_TOLD: usize = 100;

/// What a torque tool that only clicks leaves in the place of a number.
pub(super) const CLICK: &str = "click";

/// How the file was read.
#[derive(Clone, Debug, Eq, PartialEq)]
pub struct ReadingNotes {
    /// Its encoding.
    pub encoding: Encoding,
    /// What stands between its fields.
    pub delimiter: Delimiter,
    /// Lines above the header.
    pub preamble_lines: usize,
    /// The first lines above the header in which something stands: a logbook may name its tool there.
    pub above: Vec<String>,
    /// The line of the header, from 1.
    pub header_line: usize,
    /// What each field is read from, by the header as written.
    pub columns: Vec<(Field, String)>,
    /// Headers of columns that are not read.
    pub not_read: Vec<String>,
    /// Rows below the header in which nothing stands.
    pub blank_rows: usize,
    /// The decimal mark of each column of numbers.
    pub decimal_marks: Vec<Decision<DecimalMark>>,
    /// The order of day and month of each column with dates in which it matters.
    pub day_orders: Vec<Decision<DayOrder>>,
}

/// The rows that were read and those that could not be.
#[derive(Debug)]
pub(super) struct Reading {
    pub(super) records: Records,
    pub(super) words: Words,
    pub(super) notes: ReadingNotes,
    /// The first mistakes, and how many there are.
    pub(super) told: Vec<Mistake>,
    pub(super) mistakes: usize,
    /// Rows with a mistake: what can be read of each all the same.
    pub(super) broken: Vec<Broken>,
    /// Whether the file has a column for what was done.
    pub(super) has_done: bool,
    /// Whether bases are in the file.
    pub(super) has_base: bool,
}

/// What can be read of a row with a mistake.
#[derive(Copy, Clone, Debug)]
pub(super) struct Broken {
    pub(super) line: u32,
    /// Numbers of words, [`NONE`] where they cannot be read.
    pub(super) base: u32,
    pub(super) anchor: u32,
    pub(super) remark: u32,
    /// What it says was done, as far as that can be read, and whether that is all it says.
    pub(super) done: Done,
    pub(super) is_done_known: bool,
}

/// Reads a text.
pub(super) fn read(
    decoded: &Decoded<'_>,
    mapping: &Mapping,
    specification: &Specification,
) -> Result<Reading, Vec<Mistake>> {
    let text = decoded.text.as_ref();
    let layout = layout::find(text, mapping)?;
    let Decided { formats, count, decimal_marks, day_orders } = decide(text, &layout, mapping)?;
    let mut rows = below_header(text, &layout).map_err(|mistake| vec![mistake])?;
    let notes = ReadingNotes {
        encoding: decoded.encoding,
        delimiter: layout.delimiter,
        preamble_lines: layout.preamble,
        above: layout::above(text, &layout),
        header_line: layout.line,
        columns: layout.columns.iter().map(|column| (column.field, column.header.clone())).collect(),
        not_read: layout.not_read.clone(),
        blank_rows: 0,
        decimal_marks,
        day_orders,
    };
    let mut reader = Reader {
        text,
        layout: &layout,
        formats: &formats,
        mapping,
        utc_offset: mapping.utc_offset.map(i64::from),
        needs_clock: specification.needs_clock(),
        digits: String::new(),
        free_words: FreeWords::new(mapping),
        blank: Values::default(),
        before: vec![Before::default(); layout.columns.len()],
        known: layout.columns.iter().map(|_| Known::default()).collect(),
        reading: Reading {
            records: Records::with_capacity(count, mapping),
            words: Words::default(),
            notes,
            told: Vec::new(),
            mistakes: 0,
            broken: Vec::new(),
            has_done: mapping.has(Field::Done),
            has_base: mapping.has(Field::Base),
        },
    };
    for (field, text) in &mapping.throughout {
        match field {
            Field::CalibratedUntil => reader.blank.calibrated_until = Day::parse(text),
            field => reader.blank.words[*field as usize] = reader.reading.words.number(text),
        }
    }
    while let Some(row) = rows.next().map_err(|mistake| vec![mistake])? {
        reader.take(&row);
    }
    reader.reading.notes.blank_rows = rows.blank;
    Ok(reader.reading)
}

/// The second pass.
struct Reader<'t> {
    text: &'t str,
    layout: &'t Layout,
    formats: &'t [Format],
    mapping: &'t Mapping,
    utc_offset: Option<i64>,
    needs_clock: bool,
    digits: String,
    free_words: FreeWords,
    /// What a row has before any of its cells is read: what holds throughout.
    blank: Values,
    /// The cell before in each column of words or days, and what it was read as: logbooks repeat themselves.
    before: Vec<Before>,
    known: Vec<Known>,
    reading: Reading,
}

/// Numbers that a column remembers at most.
const MOST_KNOWN: usize = 4096;

/// Numbers of a column and their values: torques and depths are read off scales, so that few are different.
#[derive(Debug, Default)]
struct Known {
    cells: Words,
    values: Vec<f64>,
}

/// A cell as read.
#[derive(Clone, Debug, Default)]
struct Before {
    text: String,
    word: u32,
    done: Done,
    moment: Option<Moment>,
}

impl Reader<'_> {
    fn take(&mut self, row: &Row<'_>) {
        if !fits(row, self.layout) {
            let count = if row.len() == 1 { "1 field".to_owned() } else { format!("{} fields", row.len()) };
            let found = format!("{count}, {}", quote(self.text.get(row.range.clone()).unwrap_or_default()));
            let expected = format!("{}, as in the header", self.layout.width);
            let span = Span::new(row.range.start, row.range.end);
            self.tell(|| Mistake::new(Code::BadData, found, expected).at(row.line, span));
            self.salvage(row);
            return;
        }
        let mut values = self.blank.clone();
        let (layout, formats) = (self.layout, self.formats);
        let (mut is_sound, mut is_done_known) = (true, true);
        for (at, (column, format)) in layout.columns.iter().zip(formats).enumerate() {
            let cell = row.field(column.index);
            if let Err(expected) = self.read_cell(cell, at, *format, &mut values) {
                is_sound = false;
                if column.field == Field::Done {
                    is_done_known = false;
                    let told = self.mapping.done(cell).0.and(self.free_words.done(cell));
                    values.done = values.done.and(told).and(self.done_in(row));
                }
                let found = if cell.is_empty() { "nothing".to_owned() } else { quote(cell) };
                let code = if cell.is_empty() { Code::MissingValue } else { Code::BadData };
                let span = row.span(column.index, self.text, layout.delimiter.byte());
                self.tell(|| Mistake::new(code, found, expected).at(row.line, span).in_column(&column.header));
            }
        }
        let line = u32::try_from(row.line).unwrap_or(u32::MAX);
        if is_sound {
            self.reading.records.push(line, &values, self.mapping.fields());
            return;
        }
        let [anchor, base, remark] =
            [Field::Anchor, Field::Base, Field::Remark].map(|field| values.words[field as usize]);
        self.reading.broken.push(Broken { line, base, anchor, remark, done: values.done, is_done_known });
    }

    /// Takes from a row that is too short or too long what is there all the same: the marks in their columns, and a word
    /// for what was done in any field, since one that is too many moves those behind it.
    fn salvage(&mut self, row: &Row<'_>) {
        let layout = self.layout;
        let mut word = |field: Field| {
            let column = layout.columns.iter().find(|column| column.field == field);
            let of_all = self.blank.words[field as usize];
            column.map_or(of_all, |column| self.reading.words.number(row.field(column.index)))
        };
        let (base, anchor) = (word(Field::Base), word(Field::Anchor));
        let remarked = (0..row.len()).map(|index| self.free_words.done(row.field(index)));
        let done = remarked.fold(self.done_in(row), Done::and);
        let line = u32::try_from(row.line).unwrap_or(u32::MAX);
        self.reading.broken.push(Broken { line, base, anchor, remark: NONE, done, is_done_known: false });
    }

    /// What a row says was done in whichever field.
    fn done_in(&self, row: &Row<'_>) -> Done {
        let cells =
            (0..row.len()).filter(|_| self.mapping.has(Field::Done)).map(|index| self.mapping.done(row.field(index)));
        cells.filter(|(_, is_known)| *is_known).fold(Done::default(), |all, (done, _)| all.and(done))
    }

    fn tell(&mut self, mistake: impl FnOnce() -> Mistake) {
        self.reading.mistakes += 1;
        if self.reading.told.len() < MOST_TOLD {
            self.reading.told.push(mistake());
        }
    }

    /// Reads a cell of a mapped column, or says what was expected in it.
    fn read_cell(&mut self, cell: &str, at: usize, format: Format, values: &mut Values) -> Result<(), String> {
        let column = &self.layout.columns[at];
        if cell.is_empty() {
            let is_name = matches!(column.field, Field::Anchor | Field::Base);
            return if is_name { Err(format!("the mark of {}", column.field)) } else { Ok(()) };
        }
        if let Format::Number(mark) = format {
            let known = self.known[at].cells.find(cell).and_then(|word| self.known[at].values.get(word as usize));
            let value = match known {
                Some(value) => *value,
                None => {
                    let value = self.read_number(cell, column, mark)?;
                    let known = &mut self.known[at];
                    if known.values.len() < MOST_KNOWN {
                        known.cells.number(cell);
                        known.values.push(value);
                    }
                    value
                }
            };
            let slot = if column.field == Field::Torque { &mut values.torque } else { &mut values.embedment };
            *slot = value;
            return Ok(());
        }
        if self.before[at].text != cell {
            let mut read = Before { word: NONE, ..Before::default() };
            match format {
                Format::Time(format) => read.moment = Some(self.read_time(cell, column.field, format)?),
                _ if column.field == Field::Done => read.done = self.read_done(cell)?,
                Format::Word | Format::Number(_) if names_nothing(column.field, cell) => {}
                Format::Word | Format::Number(_) => read.word = self.reading.words.number(cell),
            }
            if column.field == Field::Remark {
                read.done = self.free_words.done(cell);
            }
            read.text = std::mem::take(&mut self.before[at].text);
            read.text.clear();
            read.text.push_str(cell);
            self.before[at] = read;
        }
        let Before { word, done, moment, .. } = self.before[at];
        match column.field {
            Field::Done => values.done = values.done.and(done),
            Field::Remark => {
                values.words[Field::Remark as usize] = word;
                values.done = values.done.and(done);
            }
            Field::Time => values.time = moment,
            Field::Set => values.set = moment,
            Field::CalibratedUntil => values.calibrated_until = moment.map(|moment| moment.day),
            Field::Label | Field::Cell => {}
            field => values.words[field as usize] = word,
        }
        Ok(())
    }

    fn read_number(&mut self, cell: &str, column: &Column, mark: DecimalMark) -> Result<f64, String> {
        if column.field == Field::Torque && cell.eq_ignore_ascii_case(CLICK) {
            return Ok(f64::INFINITY);
        }
        let is_number = number::read(cell, mark, self.mapping.groups.is_some(), &mut self.digits);
        let value = is_number.then(|| column.unit.literal_to_si(&self.digits)).flatten();
        if let Some(value) = value.filter(|&value| value >= 0.0) {
            return Ok(value);
        }
        let or_click = if column.field == Field::Torque { format!(", or `{CLICK}`") } else { String::new() };
        let aside = if is_number { "" } else { number::aside(cell, mark, &mut self.digits) };
        let unit = if number::ends_in_letters(cell) { "; the header alone says the unit" } else { "" };
        Err(format!("a number of at least 0 with {mark}{aside}, in {}{or_click}{unit}", column.unit))
    }

    fn read_done(&self, cell: &str) -> Result<Done, String> {
        match self.mapping.done(cell) {
            (done, true) => Ok(done),
            (done, false) if done.contradicts() => Err("as specified or what was done otherwise, not both".to_owned()),
            _ => Err(format!("nothing, or one or more of the words of the sheet: {}", self.mapping.known_words())),
        }
    }

    fn read_time(&self, cell: &str, field: Field, format: TimeFormat) -> Result<Moment, String> {
        let needs_clock = self.needs_clock && field != Field::CalibratedUntil;
        let written = take_apart(cell);
        let whole = written.filter(|written| written.clock.is_some() || !needs_clock);
        whole.and_then(|written| written.moment(format.order, self.utc_offset)).ok_or_else(|| {
            let example = if needs_clock { "a day and a time of day" } else { "a day, with or without a time" };
            let order = match (written.and_then(|written| written.needs()), format.order) {
                (Some(needed), order) if needed == order => "",
                (Some(_), DayOrder::DayFirst) => ", the day before the month",
                (Some(_), DayOrder::MonthFirst) => ", the month before the day",
                (None, _) => "",
            };
            format!("{example}{order}, such as 2026-11-02 07:41")
        })
    }
}

/// Whether a cell for a tool, an operative or a batch is filled in and names none: `-`, `?`, `n/a`.
pub fn names_nothing(field: Field, cell: &str) -> bool {
    const FILLERS: [&str; 5] = ["n/a", "none", "nil", "tbc", "unknown"];
    matches!(field, Field::Tool | Field::Operative | Field::Batch)
        && (!cell.contains(char::is_alphanumeric) || FILLERS.iter().any(|filler| cell.eq_ignore_ascii_case(filler)))
}
