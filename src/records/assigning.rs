//! Which rows belong to which anchor, and which of several counts.

use super::deviation::{Deviation, Done};
use super::intern::NONE;
use super::judging::{Judge, narrow};
use super::read::{Broken, Reading};
use super::report::{Duplicate, State, Told, Unlisted, UnreadableRow};
use super::specification::Specification;
use super::store::Records;
use super::totals::Totals;
use std::ops::Range;

/// Records of anchors outside the specification that are told one by one.
const MOST_UNLISTED: usize = 100;

/// Which rows belong to which anchor of the specification.
pub(super) struct Assigned {
    /// The first row of each anchor, [`NONE`] for none.
    first: Vec<u32>,
    pub(super) duplicates: Vec<Duplicate>,
    /// Anchors with rows in error, in ascending order, each with the place of the row among those.
    broken: Vec<(u32, u32)>,
    pub(super) unlisted: Vec<Unlisted>,
    pub(super) unlisted_count: usize,
    pub(super) unreadable: Vec<UnreadableRow>,
    /// What rows that belong to no anchor of the specification say was done, in the order of [`Deviation::ALL`].
    strays: [usize; Deviation::ALL.len()],
    /// Rows in error of which it is not known whether they tell of anything that was done.
    silent: usize,
}

impl Assigned {
    pub(super) fn new(reading: &Reading, specification: &Specification) -> Self {
        let places = Places::new(reading, specification);
        let mut assigned = Self {
            first: vec![NONE; specification.anchor_count()],
            duplicates: Vec::new(),
            broken: Vec::new(),
            unlisted: Vec::new(),
            unlisted_count: 0,
            unreadable: Vec::new(),
            strays: [0; Deviation::ALL.len()],
            silent: 0,
        };
        let mut further: Vec<(u32, u32)> = Vec::new();
        for (row, &anchor) in reading.records.anchor.iter().enumerate() {
            let row = narrow(row);
            let base = Records::get(&reading.records.base, row, NONE);
            match places.find(base, anchor) {
                Some(place) if assigned.first[place as usize] == NONE => assigned.first[place as usize] = row,
                Some(place) => further.push((place, row)),
                None => {
                    let done = Records::get(&reading.records.done, row, Done::default());
                    assigned.unlisted_count += 1;
                    assigned.count_stray(done);
                    if assigned.unlisted.len() < MOST_UNLISTED {
                        let [base, anchor] = [base, anchor].map(|word| reading.words.word(word).to_owned());
                        let line = Records::get(&reading.records.line, row, 0);
                        let remark = reading.words.word(Records::get(&reading.records.remark, row, NONE)).to_owned();
                        assigned.unlisted.push(Unlisted { line, base, anchor, done, remark });
                    }
                }
            }
        }
        further.sort_unstable();
        for rows in further.chunk_by(|(one, _), (other, _)| one == other) {
            let anchor = rows.first().map_or(NONE, |(anchor, _)| *anchor);
            let first = std::iter::once(assigned.first[anchor as usize]);
            let rows = first.chain(rows.iter().map(|(_, row)| *row)).collect();
            assigned.duplicates.push(Duplicate { anchor, rows });
        }
        for (at, row) in reading.broken.iter().enumerate() {
            // A row that does not name its base might be of any.
            let place = if reading.has_base && row.base == NONE { None } else { places.find(row.base, row.anchor) };
            match place {
                Some(place) => assigned.broken.push((place, narrow(at))),
                None => assigned.count_stray(row.done),
            }
            assigned.silent += usize::from(reading.has_done && !row.is_done_known);
            if assigned.unreadable.len() < MOST_UNLISTED {
                assigned.unreadable.push(unreadable(reading, row, place.is_some()));
            }
        }
        assigned.broken.sort_unstable();
        assigned
    }

    fn count_stray(&mut self, done: Done) {
        for (count, deviation) in self.strays.iter_mut().zip(Deviation::ALL) {
            *count += usize::from(done.has(deviation));
        }
    }

    /// Puts what rows without an anchor say was done beside what was done at anchors.
    pub(super) fn count_strays(&self, totals: &mut Totals) {
        let [repaired, moved, substituted] = self.strays;
        totals.repaired += repaired;
        totals.moved += moved;
        totals.substituted += substituted;
        totals.rows_silent = self.silent;
    }

    /// What the rows of an anchor that could be read and those that could not say was done at it, and the last of them
    /// that says so: what was done stays done, whatever is recorded later.
    pub(super) fn done(&self, anchor: usize, judge: &Judge<'_>, reading: &Reading) -> (Done, Option<Told>) {
        let told = |line: u32, remark: u32| Told { anchor: narrow(anchor), line, remark };
        let records = &reading.records;
        let sound = self.rows(anchor).map(|row| {
            let [line, remark] = [&records.line, &records.remark].map(|column| Records::get(column, row, NONE));
            (judge.done(row), told(line, remark))
        });
        let from = self.broken.partition_point(|(place, _)| *place < narrow(anchor));
        let broken = self.broken[from..].iter().take_while(|(place, _)| *place == narrow(anchor));
        let broken = broken.filter_map(|(_, at)| reading.broken.get(*at as usize));
        let broken = broken.map(|row| (row.done, told(row.line, row.remark)));
        let mut last: Option<Told> = None;
        let done = sound.chain(broken).fold(Done::default(), |all, (done, told)| {
            if done.deviates() && last.is_none_or(|last| last.line <= told.line) {
                last = Some(told);
            }
            all.and(done)
        });
        (done, last)
    }

    /// Every row of an anchor that could be read, whether it counts or not.
    pub(super) fn rows(&self, anchor: usize) -> impl Iterator<Item = u32> {
        let first = Some(self.first[anchor]).filter(|&first| first != NONE);
        let further = self.duplicate(anchor).into_iter().flat_map(|duplicate| duplicate.rows.iter().copied().skip(1));
        first.into_iter().chain(further)
    }

    fn duplicate(&self, anchor: usize) -> Option<&Duplicate> {
        let at = self.duplicates.binary_search_by_key(&narrow(anchor), |duplicate| duplicate.anchor).ok()?;
        self.duplicates.get(at)
    }

    /// The row that counts for an anchor, or why none does.
    pub(super) fn state(&self, anchor: usize, judge: &Judge<'_>, totals: &mut Totals) -> (State, Option<u32>) {
        let first = self.first[anchor];
        let duplicate = self.duplicate(anchor);
        let anchor = narrow(anchor);
        let rows = duplicate.map_or(usize::from(first != NONE), |duplicate| duplicate.rows.len());
        if self.broken.binary_search_by_key(&anchor, |(place, _)| *place).is_ok() {
            totals.rows_held_back += rows;
            return (State::Unreadable, None);
        }
        match duplicate {
            None if first == NONE => (State::Missing, None),
            None => (State::Pass, Some(first)),
            Some(duplicate) => match judge.latest(&duplicate.rows) {
                Some(latest) => {
                    totals.rows_superseded += rows - 1;
                    (State::Pass, Some(latest))
                }
                None => {
                    totals.rows_held_back += rows;
                    (State::Duplicate, None)
                }
            },
        }
    }
}

/// A row in error in words.
fn unreadable(reading: &Reading, row: &Broken, is_of_anchor: bool) -> UnreadableRow {
    let word = |number: u32| reading.words.word(number).to_owned();
    UnreadableRow {
        line: row.line,
        base: word(row.base),
        anchor: word(row.anchor),
        is_of_anchor,
        done: row.done,
        is_done_known: row.is_done_known || !reading.has_done,
        remark: word(row.remark),
    }
}

/// Anchors of the specification by the numbers of their marks.
struct Places {
    /// For each number of a word that is a base, where its anchors stand in `anchors`; empty for other words.
    bases: Vec<Range<u32>>,
    /// Where all of them stand, if records do not name their base.
    all: Range<u32>,
    /// Numbers and places of the anchors, by number within each base.
    anchors: Vec<(u32, u32)>,
}

impl Places {
    fn new(reading: &Reading, specification: &Specification) -> Self {
        let mut anchors = Vec::with_capacity(specification.anchor_count());
        let mut bases = vec![0..0; if reading.has_base { reading.words.len() } else { 0 }];
        let mut place = 0;
        for base in &specification.bases {
            let start = anchors.len();
            for anchor in &base.anchors {
                // A mark that stands nowhere in the file has no rows.
                anchors.extend(reading.words.find(anchor).map(|word| (word, place)));
                place += 1;
            }
            anchors[start..].sort_unstable();
            let word = reading.words.find(&base.id).map(|word| word as usize);
            if let Some(range) = word.and_then(|word| bases.get_mut(word)) {
                *range = narrow(start)..narrow(anchors.len());
            }
        }
        if !reading.has_base {
            anchors.sort_unstable();
        }
        Self { bases, all: 0..narrow(anchors.len()), anchors }
    }

    /// The place of an anchor in the specification.
    fn find(&self, base: u32, anchor: u32) -> Option<u32> {
        let range = if base == NONE { &self.all } else { self.bases.get(base as usize)? };
        let anchors = self.anchors.get(range.start as usize..range.end as usize)?;
        let at = anchors.binary_search_by_key(&anchor, |(word, _)| *word).ok()?;
        anchors.get(at).map(|(_, place)| *place)
    }
}
