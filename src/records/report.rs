//! What comes of the judgement: verdicts, totals, statistics and a series over time.

use super::deviation::Done;
use super::histogram::Histogram;
use super::intern::{NONE, Words};
use super::mistake::Mistake;
use super::read::ReadingNotes;
use super::reason::{Reason, Reasons};
use super::statistics::Statistics;
use super::store::{NO_DAY, NO_TIME, Records};
use super::time::{Day, Moment};
use super::totals::Totals;
use std::collections::BTreeMap;
use uom::si::f64::{Length, Torque};
use uom::si::length::meter;
use uom::si::torque::newton_meter;

/// Records held against a specification.
#[derive(Debug)]
pub struct Report {
    /// How the file was read.
    pub notes: ReadingNotes,
    /// Every anchor of the specification, in its order.
    pub anchors: Vec<AnchorVerdict>,
    /// Counts that add up.
    pub totals: Totals,
    /// How many anchors fail for each reason, in the order of [`Reason::all`]; an anchor may fail for several.
    pub by_reason: Vec<(Reason, usize)>,
    /// The anchors with several records.
    pub duplicates: Vec<Duplicate>,
    /// For each anchor out of order, the latest of those that should have come before it; both are places in `anchors`.
    pub out_of_order: Vec<(u32, u32)>,
    /// Records that a later one replaces and that show what no later torque mends, in the order of `anchors`.
    pub not_mended: Vec<NotMended>,
    /// The anchors that were repaired, moved or substituted, in the order of `anchors`.
    pub deviating: Vec<Told>,
    /// The first records of anchors that are not in the specification; the totals count them all.
    pub unlisted: Vec<Unlisted>,
    /// The first rows that could not be read, as far as they can be; the totals count them all.
    pub unreadable: Vec<UnreadableRow>,
    /// The first mistakes in rows that could not be read.
    pub mistakes: Vec<Mistake>,
    /// How many mistakes there are.
    pub mistake_count: usize,
    /// All bases together.
    pub overall: BaseSummary,
    /// Each base, in the order of the specification.
    pub bases: Vec<BaseSummary>,
    /// The torques measured on records that count, N·m.
    pub torques: Histogram,
    /// The embedments measured on records that count, m.
    pub embedments: Histogram,
    pub(super) records: Records,
    pub(super) words: Words,
    /// Rows that count and have a measured torque, by time and line, and whether each is outside its band.
    pub(super) series: Vec<(u32, bool)>,
}

/// An anchor and how it came out.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct AnchorVerdict {
    /// Its base, as a place in the specification.
    pub base: u32,
    /// Its place among the anchors of its base.
    pub anchor: u32,
    /// How it came out.
    pub state: State,
    /// The record that counts, for [`Report::record`]; only an anchor that passes or fails has one.
    pub row: Option<u32>,
    /// What its records, those that do not count or cannot be read among them, say was done at it.
    pub done: Done,
    /// Whether it passes and was not moved, or was verified in its place as built.
    pub is_accepted: bool,
}

/// The last row that says that something was done at an anchor.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub struct Told {
    /// The anchor's place in [`Report::anchors`].
    pub anchor: u32,
    /// The line of the file.
    pub line: u32,
    pub(super) remark: u32,
}

/// How an anchor came out.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub enum State {
    /// Its record shows all that is asked for.
    Pass,
    /// Its record does not, for all of these reasons.
    Fail(Reasons),
    /// It has no record.
    Missing,
    /// It has several, none of which counts.
    Duplicate,
    /// A record of it could not be read, so that none counts.
    Unreadable,
}

/// Figures of a base, or of all bases together, from the records that count.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct BaseSummary {
    /// Its anchors.
    pub specified: usize,
    /// Those that pass.
    pub passed: usize,
    /// Those that fail.
    pub failed: usize,
    /// Torques, those of tools that only click left out.
    pub torque: Statistics<Torque>,
    /// Embedments.
    pub embedment: Statistics<Length>,
    /// The most torques outside their band one after another, by time and line.
    pub longest_run: usize,
}

/// A record that a later one replaces, and what of it stays.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub struct NotMended {
    /// The anchor's place in [`Report::anchors`].
    pub anchor: u32,
    /// The record, for [`Report::record`].
    pub row: u32,
    /// What it shows that no later torque mends.
    pub reasons: Reasons,
}

/// An anchor with several records.
#[derive(Clone, Debug, Eq, PartialEq)]
pub struct Duplicate {
    /// Its place in [`Report::anchors`].
    pub anchor: u32,
    /// Its records, in the order of the file.
    pub rows: Vec<u32>,
}

/// A record of an anchor that is not in the specification.
#[derive(Clone, Debug, Eq, PartialEq)]
pub struct Unlisted {
    /// The line of the file.
    pub line: u32,
    /// The base as recorded; empty without such a column.
    pub base: String,
    /// The anchor as recorded.
    pub anchor: String,
    /// What it says was done.
    pub done: Done,
    /// Anything else.
    pub remark: String,
}

impl Unlisted {
    /// Base and anchor as recorded, in one.
    pub fn marks(&self) -> String {
        [self.base.as_str(), &self.anchor].into_iter().filter(|mark| !mark.is_empty()).collect::<Vec<_>>().join(" ")
    }
}

/// A row that could not be read, as far as it can be; a text is empty where it cannot.
#[derive(Clone, Debug, Eq, PartialEq)]
pub struct UnreadableRow {
    /// The line of the file.
    pub line: u32,
    /// The base as recorded.
    pub base: String,
    /// The anchor as recorded.
    pub anchor: String,
    /// Whether that is an anchor of the specification.
    pub is_of_anchor: bool,
    /// What it says was done, as far as that can be read.
    pub done: Done,
    /// Whether that is all it says was done.
    pub is_done_known: bool,
    /// Anything else.
    pub remark: String,
}

/// A torque as recorded.
#[derive(Copy, Clone, Debug, PartialEq)]
pub enum TorqueReading {
    /// None.
    NotRecorded,
    /// The tool clicked at the torque that it was set to.
    Click,
    /// The torque reached.
    Measured(Torque),
}

/// One row of the file; a text is empty where none is recorded.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Record<'a> {
    /// The line of the file on which it starts, from 1.
    pub line: u32,
    /// When torque was applied.
    pub time: Option<Moment>,
    /// When the anchor was set.
    pub set: Option<Moment>,
    /// Who applied it.
    pub operative: &'a str,
    /// With which tool.
    pub tool: &'a str,
    /// Until when the record says the tool is calibrated.
    pub calibrated_until: Option<Day>,
    /// The torque reached.
    pub torque: TorqueReading,
    /// The embedment measured.
    pub embedment: Option<Length>,
    /// The batch.
    pub batch: &'a str,
    /// What it says was done.
    pub done: Done,
    /// Anything else.
    pub remark: &'a str,
}

/// Torques one after another, as one mark of a plot.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct Stretch {
    /// When the first was applied, if times are recorded.
    pub from: Option<Moment>,
    /// When the last was applied.
    pub until: Option<Moment>,
    /// How many there are.
    pub count: usize,
    /// How many of them are outside their band.
    pub out_of_band: usize,
    /// The least torque.
    pub least: Torque,
    /// The greatest torque.
    pub greatest: Torque,
}

impl Report {
    /// A record that was read, by the number that a verdict or duplicate gives.
    pub fn record(&self, row: u32) -> Record<'_> {
        let records = &self.records;
        let word = |column: &[u32]| self.words.word(Records::get(column, row, NONE));
        let embedment = Records::get(&records.embedment, row, f64::NAN);
        let until = Records::get(&records.calibrated_until, row, NO_DAY);
        Record {
            line: Records::get(&records.line, row, 0),
            time: moment((&records.time, &records.day), row),
            set: moment((&records.set, &records.set_day), row),
            operative: word(&records.operative),
            tool: word(&records.tool),
            calibrated_until: (until != NO_DAY).then(|| Day::from_number(until)),
            torque: match Records::get(&records.torque, row, f64::NAN) {
                torque if torque.is_nan() => TorqueReading::NotRecorded,
                torque if torque.is_infinite() => TorqueReading::Click,
                torque => TorqueReading::Measured(Torque::new::<newton_meter>(torque)),
            },
            embedment: (!embedment.is_nan()).then(|| Length::new::<meter>(embedment)),
            batch: word(&records.batch),
            done: Records::get(&records.done, row, Done::default()),
            remark: word(&records.remark),
        }
    }

    /// What the row that tells of a deviation says beside it; empty where it says nothing.
    pub fn remark(&self, told: &Told) -> &str {
        self.words.word(told.remark)
    }

    /// Records that a later torque on the same anchor replaces, with the anchor's place.
    pub fn replaced(&self) -> impl Iterator<Item = (usize, Record<'_>)> {
        let counted = |duplicate: &Duplicate| self.anchors.get(duplicate.anchor as usize).and_then(|anchor| anchor.row);
        let counting = self.duplicates.iter().filter_map(move |duplicate| Some((duplicate, counted(duplicate)?)));
        counting.flat_map(|(duplicate, counted)| {
            let rows = duplicate.rows.iter().filter(move |row| **row != counted);
            rows.map(|row| (duplicate.anchor as usize, self.record(*row)))
        })
    }

    /// What earlier records of the anchor at a place show that no later torque mends, with these records.
    pub fn not_mended(&self, place: usize) -> impl Iterator<Item = (Record<'_>, Reasons)> {
        let from = self.not_mended.partition_point(|earlier| (earlier.anchor as usize) < place);
        let of_anchor = self.not_mended[from..].iter().take_while(move |earlier| earlier.anchor as usize == place);
        of_anchor.map(|earlier| (self.record(earlier.row), earlier.reasons))
    }

    /// The anchor that should have come before the one at a place, if that came out of order.
    pub fn comes_first(&self, place: usize) -> Option<&AnchorVerdict> {
        let at = self.out_of_order.binary_search_by_key(&place, |(late, _)| *late as usize).ok()?;
        self.anchors.get(self.out_of_order.get(at)?.1 as usize)
    }

    /// The anchors that fail for a reason, among others or alone.
    pub fn failing(&self, reason: Reason) -> impl Iterator<Item = &AnchorVerdict> {
        self.anchors.iter().filter(move |verdict| matches!(verdict.state, State::Fail(reasons) if reasons.has(reason)))
    }

    /// The records of the anchor at a place, those that do not count among them.
    pub fn records(&self, place: usize) -> impl Iterator<Item = Record<'_>> {
        let several = self.duplicates.binary_search_by_key(&place, |duplicate| duplicate.anchor as usize);
        let several = several.ok().and_then(|at| self.duplicates.get(at)).map(|duplicate| duplicate.rows.as_slice());
        let one = self.anchors.get(place).map_or(&[] as &[u32], |verdict| verdict.row.as_slice());
        let rows = several.unwrap_or(one);
        rows.iter().map(|row| self.record(*row))
    }

    /// Batches of the records that count and how many anchors are of each, sorted; an empty one where none is recorded.
    pub fn batches(&self) -> BTreeMap<&str, usize> {
        let mut batches = BTreeMap::new();
        for row in self.anchors.iter().filter_map(|verdict| verdict.row) {
            *batches.entry(self.words.word(Records::get(&self.records.batch, row, NONE))).or_insert(0) += 1;
        }
        batches
    }

    /// Tools of the records that count, each with the end of its calibration as recorded, and how many anchors each has
    /// tightened, in the same way.
    pub fn tools(&self) -> BTreeMap<(&str, Option<Day>), usize> {
        let mut tools = BTreeMap::new();
        for record in self.anchors.iter().filter_map(|verdict| verdict.row).map(|row| self.record(row)) {
            *tools.entry((record.tool, record.calibrated_until)).or_insert(0) += 1;
        }
        tools
    }

    /// Measured torques by time, gathered into at most so many stretches of equal count, so that a plot of a million
    /// records shows every outlier and stays small.
    pub fn series(&self, most: usize) -> Vec<Stretch> {
        let length = self.series.len().div_ceil(most.max(1)).max(1);
        let stretch = |points: &[(u32, bool)]| {
            let torques = points.iter().map(|&(row, _)| Records::get(&self.records.torque, row, f64::NAN));
            Stretch {
                from: points.first().and_then(|&(row, _)| moment((&self.records.time, &self.records.day), row)),
                until: points.last().and_then(|&(row, _)| moment((&self.records.time, &self.records.day), row)),
                count: points.len(),
                out_of_band: points.iter().filter(|(_, is_outside)| *is_outside).count(),
                least: Torque::new::<newton_meter>(torques.clone().fold(f64::INFINITY, f64::min)),
                greatest: Torque::new::<newton_meter>(torques.fold(f64::NEG_INFINITY, f64::max)),
            }
        };
        self.series.chunks(length).map(stretch).collect()
    }
}

/// The moment of a row in columns of times and of their days.
fn moment((times, days): (&[i64], &[i32]), row: u32) -> Option<Moment> {
    let milliseconds = Records::get(times, row, NO_TIME);
    let day = Records::get(days, row, NO_DAY);
    (milliseconds != NO_TIME).then(|| Moment { milliseconds, day: Day::from_number(day) })
}
