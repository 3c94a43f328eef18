//! Records in memory: a column of values for each field, so that a million of them take little.

use super::deviation::Done;
use super::intern::NONE;
use super::mapping::{Field, Mapping};
use super::time::{Day, Moment};

/// Where a number or time is not recorded.
pub(super) const NO_TIME: i64 = i64::MIN;
pub(super) const NO_DAY: i32 = i32::MIN;

/// One value a record in each column; a column that is not mapped is empty.
#[derive(Debug, Default)]
pub(super) struct Records {
    pub(super) line: Vec<u32>,
    pub(super) anchor: Vec<u32>,
    pub(super) base: Vec<u32>,
    /// Milliseconds and days of [`Moment`], [`NO_TIME`] and [`NO_DAY`] where none is recorded.
    pub(super) time: Vec<i64>,
    pub(super) day: Vec<i32>,
    pub(super) set: Vec<i64>,
    pub(super) set_day: Vec<i32>,
    pub(super) calibrated_until: Vec<i32>,
    pub(super) operative: Vec<u32>,
    pub(super) tool: Vec<u32>,
    pub(super) batch: Vec<u32>,
    pub(super) done: Vec<Done>,
    pub(super) remark: Vec<u32>,
    /// N·m; NaN where none is recorded, infinite for a click.
    pub(super) torque: Vec<f64>,
    /// m; NaN where none is recorded.
    pub(super) embedment: Vec<f64>,
}

/// A row's values until the whole row is known to be sound.
#[derive(Clone, Debug)]
pub(super) struct Values {
    pub(super) words: [u32; Field::ALL.len()],
    pub(super) time: Option<Moment>,
    pub(super) set: Option<Moment>,
    pub(super) calibrated_until: Option<Day>,
    pub(super) done: Done,
    pub(super) torque: f64,
    pub(super) embedment: f64,
}

impl Default for Values {
    /// Nothing is recorded.
    fn default() -> Self {
        Self {
            words: [NONE; Field::ALL.len()],
            time: None,
            set: None,
            calibrated_until: None,
            done: Done::default(),
            torque: f64::NAN,
            embedment: f64::NAN,
        }
    }
}

impl Records {
    /// Room for so many records in the columns that are mapped.
    pub(super) fn with_capacity(count: usize, mapping: &Mapping) -> Self {
        let room = |field| if mapping.has(field) { count } else { 0 };
        Self {
            line: Vec::with_capacity(count),
            anchor: Vec::with_capacity(count),
            base: Vec::with_capacity(room(Field::Base)),
            time: Vec::with_capacity(room(Field::Time)),
            day: Vec::with_capacity(room(Field::Time)),
            set: Vec::with_capacity(room(Field::Set)),
            set_day: Vec::with_capacity(room(Field::Set)),
            calibrated_until: Vec::with_capacity(room(Field::CalibratedUntil)),
            operative: Vec::with_capacity(room(Field::Operative)),
            tool: Vec::with_capacity(room(Field::Tool)),
            batch: Vec::with_capacity(room(Field::Batch)),
            done: Vec::with_capacity(room(Field::Done)),
            remark: Vec::with_capacity(room(Field::Remark)),
            torque: Vec::with_capacity(room(Field::Torque)),
            embedment: Vec::with_capacity(room(Field::Embedment)),
        }
    }

    pub(super) fn push(&mut self, line: u32, values: &Values, fields: impl Iterator<Item = Field>) {
        let milliseconds = |moment: Option<Moment>| moment.map_or(NO_TIME, |moment| moment.milliseconds);
        let number = |day: Option<Day>| day.map_or(NO_DAY, Day::number);
        let day = |moment: Option<Moment>| number(moment.map(|moment| moment.day));
        self.line.push(line);
        for field in fields {
            let word = values.words.get(field as usize).copied().unwrap_or(NONE);
            match field {
                Field::Anchor => self.anchor.push(word),
                Field::Base => self.base.push(word),
                Field::Time => {
                    self.time.push(milliseconds(values.time));
                    self.day.push(day(values.time));
                }
                Field::Set => {
                    self.set.push(milliseconds(values.set));
                    self.set_day.push(day(values.set));
                }
                Field::Operative => self.operative.push(word),
                Field::Tool => self.tool.push(word),
                Field::CalibratedUntil => self.calibrated_until.push(number(values.calibrated_until)),
                Field::Torque => self.torque.push(values.torque),
                Field::Embedment => self.embedment.push(values.embedment),
                Field::Batch => self.batch.push(word),
                Field::Done => self.done.push(values.done),
                Field::Remark => self.remark.push(word),
                // Those of a table are read by `read_table`.
                Field::Label | Field::Cell => {}
            }
        }
    }

    /// A value of a column, or what stands for none where the column is not mapped.
    pub(super) fn get<T: Copy>(column: &[T], row: u32, none: T) -> T {
        column.get(row as usize).copied().unwrap_or(none)
    }
}
