//! Tables in CSV: a label and numbers a row, such as positions from a survey or loads from another calculation.
//!
//! Headers, delimiters, decimal marks and units are found as for as-installed records. Unlike there, a row that cannot be
//! read is a mistake of the file: a table with a row short would pass for the whole.

use super::deciding::{Decided, Format, below_header, decide, fits};
use super::decode::Decoded;
use super::layout;
use super::mapping::{Field, Mapping};
use super::mistake::{Mistake, quote};
use super::number;
use crate::diagnostic::Code;
use crate::quantity::Unit;
use crate::text::Span;

/// One row as read.
#[derive(Clone, Debug, PartialEq)]
pub struct TableRow {
    /// Its label, and the bytes of it in the decoded text.
    pub label: (String, Span),
    /// Its numbers, in the order of the mapping.
    pub cells: Vec<TableCell>,
}

/// One number as read.
#[derive(Clone, Debug, PartialEq)]
pub struct TableCell {
    /// Its digits with a decimal point and without groups; a minus stands before them.
    pub digits: String,
    /// The unit that its column is in.
    pub unit: Unit,
    /// The bytes of it in the decoded text.
    pub span: Span,
}

/// Rows that cannot be read are told one by one up to here.
const MOST_TOLD: usize = 20;

/// Reads every row of a table; the mapping names a [`Field::Label`] and [`Field::Cell`]s.
///
/// # Errors
///
/// All that stands against reading the whole: columns that are missing, units that do not fit, columns with two readings,
/// and every cell that is empty or no number.
pub fn read_table(decoded: &Decoded<'_>, mapping: &Mapping) -> Result<Vec<TableRow>, Vec<Mistake>> {
    let text = decoded.text.as_ref();
    let layout = layout::find(text, mapping)?;
    let Decided { formats, count, .. } = decide(text, &layout, mapping)?;
    let mut rows = below_header(text, &layout).map_err(|mistake| vec![mistake])?;
    let (mut read, mut mistakes) = (Vec::with_capacity(count), Vec::new());
    let mut digits = String::new();
    while let Some(row) = rows.next().map_err(|mistake| vec![mistake])? {
        if mistakes.len() >= MOST_TOLD {
            break;
        }
        if !fits(&row, &layout) {
            let found = if row.len() == 1 { "1 field".to_owned() } else { format!("{} fields", row.len()) };
            let expected = format!("{}, as in the header", layout.width);
            let span = Span::new(row.range.start, row.range.end);
            mistakes.push(Mistake::new(Code::BadData, found, expected).at(row.line, span));
            continue;
        }
        let (mut label, mut cells) = ((String::new(), Span::default()), Vec::with_capacity(layout.columns.len()));
        for (column, format) in layout.columns.iter().zip(&formats) {
            let cell = row.field(column.index);
            let span = row.span(column.index, text, layout.delimiter.byte());
            let expected = match (column.field, format) {
                (Field::Cell, Format::Number(mark)) => {
                    if number::read(cell, *mark, mapping.groups.is_some(), &mut digits) {
                        cells.push(TableCell { digits: digits.clone(), unit: column.unit.clone(), span });
                        continue;
                    }
                    let unit = if column.unit.is_one() { String::new() } else { format!(", in {}", column.unit) };
                    format!("a number with {mark}{unit}{}", number::aside(cell, *mark, &mut digits))
                }
                _ if !cell.is_empty() => {
                    label = (cell.to_owned(), span);
                    continue;
                }
                _ => "the label of the row".to_owned(),
            };
            let (code, found) = match cell {
                "" => (Code::MissingValue, "nothing".to_owned()),
                cell => (Code::BadData, quote(cell)),
            };
            mistakes.push(Mistake::new(code, found, expected).at(row.line, span).in_column(&column.header));
        }
        read.push(TableRow { label, cells });
    }
    if mistakes.is_empty() { Ok(read) } else { Err(mistakes) }
}
