//! As-installed records of anchors: a logbook in CSV, read and held against what was specified.
//!
//! In go the bytes of the file, a [`Mapping`] that names its columns and a [`Specification`]; out comes a [`Report`], or all
//! the reasons why the file as a whole cannot be read ([`Mistake`]s). Start reading at [`judge`].
//!
//! 1. [`decode`](fn@decode) turns bytes into text: UTF-8, UTF-16 with a byte-order mark, or Windows-1252.
//! 2. [`layout`](mod@layout) finds delimiter and header by the names that the mapping asks for.
//! 3. A first pass ([`deciding`]) over all rows decides for each column which decimal mark and which order of day and month it has; a
//!    column that can be read in two ways is refused, with both readings, unless the mapping says which.
//! 4. A second pass ([`read`](mod@read)) reads the cells into columns ([`store`]). A row that cannot be read is counted and told, never dropped.
//! 5. [`judging`] takes the records anchor by anchor; [`report`] adds totals, statistics and a series over time.
//!
//! No standard was found that lists what a torque record of a base plate's anchors must hold. What is judged here follows
//! from the anchor's specification (torque and its bounds, embedment, batch, curing, order) and from practice with torque
//! tools (EN ISO 6789: calibrated on that day, target within the calibrated range).
//!
//! The module knows nothing of sheets and touches neither disk nor clock: the same bytes give the same report, bit for bit.

mod assigning;
mod calibration;
mod column;
mod deciding;
mod decode;
mod deviation;
mod header;
mod histogram;
mod intern;
mod judging;
mod layout;
mod mapping;
mod mistake;
mod number;
mod read;
mod reason;
mod report;
mod rows;
mod specification;
mod statistics;
mod store;
mod table;
#[cfg(test)]
mod tests;
mod time;
mod totals;

pub use deciding::Decision;
pub use decode::{Decoded, Encoding, decode};
pub use deviation::{Deviation, Done};
pub use histogram::Histogram;
pub use layout::Delimiter;
pub use mapping::{Field, Mapping};
pub use mistake::Mistake;
pub use number::DecimalMark;
pub use read::{MOST_TOLD, ReadingNotes, names_nothing};
pub use reason::{Reason, Reasons};
pub use report::{
    AnchorVerdict, BaseSummary, Duplicate, NotMended, Record, Report, State, Stretch, Told, TorqueReading, Unlisted,
    UnreadableRow,
};
pub use rows::{LONGEST_ROW, MOST_COLUMNS};
pub use specification::{
    Base, Calibration, Demand, DuplicateRule, EmbedmentBand, Limit, Order, Specification, Tool, TorqueBand, Works,
};
pub use statistics::Statistics;
pub use table::{TableCell, TableRow, read_table};
pub use time::{Day, DayOrder, Moment};
pub use totals::Totals;

/// Reads the records in `bytes` and judges every anchor of the specification by them.
///
/// # Errors
///
/// All that stands against reading the file as a whole: its encoding, an open quote, columns that are missing, units that do
/// not fit, columns with two readings; or a specification that contradicts itself. Single rows that cannot be read do not
/// stop the rest: they are in the report.
pub fn judge(bytes: &[u8], mapping: &Mapping, specification: &Specification) -> Result<Report, Vec<Mistake>> {
    let mut mistakes = specification.mistakes(mapping.has(Field::Base));
    mistakes.extend(mapping.mistakes(specification));
    if !mistakes.is_empty() {
        return Err(mistakes);
    }
    let decoded = decode(bytes).map_err(|mistake| vec![mistake])?;
    let reading = read::read(&decoded, mapping, specification)?;
    Ok(judging::judge(reading, specification))
}
