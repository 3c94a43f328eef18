//! Every anchor of the specification by its records.
//!
//! Sums and verdicts run in the order of the specification, so that the order of rows in the file changes neither; only
//! runs follow the records, by time and then by line.

use super::assigning::Assigned;
use super::deviation::{Deviation, Done};
use super::histogram::Histogram;
use super::intern::NONE;
use super::mapping::Field;
use super::read::Reading;
use super::reason::{Reason, Reasons};
use super::report::{AnchorVerdict, BaseSummary, NotMended, Report, State};
use super::specification::{Base, Demand, DuplicateRule, Order, Specification, Tool};
use super::statistics::Statistics;
use super::store::{NO_DAY, NO_TIME, Records};
use super::totals::Totals;
use std::collections::BTreeMap;
use uom::si::f64::{Length, Torque};
use uom::si::length::meter;
use uom::si::time::second;
use uom::si::torque::newton_meter;

/// Two values are equal within this part, as in every check of a sheet: a bound such as 1.04 · 60 is seldom exact.
const EQUAL_WITHIN: f64 = 1e-9;

/// Judges what was read.
pub(super) fn judge(reading: Reading, specification: &Specification) -> Report {
    let assigned = Assigned::new(&reading, specification);
    let judge = Judge::new(&reading, specification);
    let mut totals = Totals {
        specified: specification.anchor_count(),
        rows_judged: reading.records.line.len(),
        rows_in_error: reading.broken.len(),
        rows_read: reading.records.line.len() + reading.broken.len(),
        rows_unlisted: assigned.unlisted_count,
        ..Totals::default()
    };
    let mut anchors = Vec::with_capacity(totals.specified);
    let mut out_of_order = Vec::new();
    let mut deviating = Vec::new();
    let mut not_mended = Vec::new();
    let mut series = Vec::new();
    let mut bases = Vec::with_capacity(specification.bases.len());
    let mut by_base = Vec::new();
    for (at, base) in specification.bases.iter().enumerate() {
        let start = anchors.len();
        for anchor in 0..base.anchors.len() {
            let (state, row) = assigned.state(start + anchor, &judge, &mut totals);
            let (done, told) = assigned.done(start + anchor, &judge, &reading);
            deviating.extend(told);
            let state = match row {
                Some(row) => {
                    let mut reasons = judge.reasons(row, base, done);
                    let earlier = assigned.rows(start + anchor).filter(|earlier| *earlier != row);
                    let earlier = judge.not_mended(earlier, row, base, &mut reasons);
                    let told = |(row, reasons)| NotMended { anchor: narrow(start + anchor), row, reasons };
                    not_mended.extend(earlier.into_iter().map(told));
                    State::Fail(reasons)
                }
                None => state,
            };
            anchors.push(AnchorVerdict {
                base: narrow(at),
                anchor: narrow(anchor),
                state,
                row,
                done,
                is_accepted: false,
            });
        }
        judge.find_order(base, start, &mut anchors, &mut out_of_order);
        for verdict in &mut anchors[start..] {
            judge.accept(base, verdict);
        }
        by_base.clear();
        by_base.extend(anchors[start..].iter().filter_map(|verdict| judge.point(verdict.row?, &base.demand)));
        bases.push(judge.summary(&anchors[start..], &mut by_base));
        series.extend_from_slice(&by_base);
        totals.count(&anchors[start..], &judge, base);
    }
    out_of_order.sort_unstable();
    assigned.count_strays(&mut totals);
    let overall = judge.summary(&anchors, &mut series);
    let counted = || anchors.iter().filter_map(|verdict| verdict.row);
    let torques = Histogram::of(counted().map(|row| judge.torque(row)).filter(|torque| torque.is_finite()));
    let embedments = Histogram::of(counted().map(|row| judge.embedment(row)).filter(|depth| depth.is_finite()));
    let by_reason = count_reasons(&anchors);
    let Assigned { duplicates, unlisted, unreadable, .. } = assigned;
    let Reading { records, words, notes, told, mistakes, .. } = reading;
    Report {
        notes,
        anchors,
        totals,
        by_reason,
        duplicates,
        out_of_order,
        not_mended,
        deviating,
        unlisted,
        unreadable,
        mistakes: told,
        mistake_count: mistakes,
        overall,
        bases,
        torques,
        embedments,
        records,
        words,
        series,
    }
}

/// The rules, with what they need of the file at hand.
pub(super) struct Judge<'a> {
    pub(super) reading: &'a Reading,
    pub(super) specification: &'a Specification,
    /// Tools of the specification by the number of their serial.
    pub(super) tools: BTreeMap<u32, &'a Tool>,
}

impl<'a> Judge<'a> {
    fn new(reading: &'a Reading, specification: &'a Specification) -> Self {
        let tools = specification.tools.iter().filter_map(|tool| Some((reading.words.find(&tool.serial)?, tool)));
        Self { reading, specification, tools: tools.collect() }
    }

    pub(super) fn torque(&self, row: u32) -> f64 {
        Records::get(&self.reading.records.torque, row, f64::NAN)
    }

    fn embedment(&self, row: u32) -> f64 {
        Records::get(&self.reading.records.embedment, row, f64::NAN)
    }

    pub(super) fn done(&self, row: u32) -> Done {
        Records::get(&self.reading.records.done, row, Done::default())
    }

    fn time(&self, row: u32) -> i64 {
        Records::get(&self.reading.records.time, row, NO_TIME)
    }

    /// Of several torques on one anchor the last, where that is the rule and times tell which it is.
    pub(super) fn latest(&self, rows: &[u32]) -> Option<u32> {
        if self.specification.duplicates != DuplicateRule::LatestCounts {
            return None;
        }
        let mut timed: Vec<(i64, u32)> = rows.iter().map(|&row| (self.time(row), row)).collect();
        timed.sort_unstable();
        let is_ordered = timed.first().is_some_and(|(time, _)| *time != NO_TIME)
            && timed.windows(2).all(|pair| matches!(pair, [(one, _), (other, _)] if one < other));
        timed.last().filter(|_| is_ordered).map(|(_, row)| *row)
    }

    /// Everything that stands against a record, but for its order among others.
    fn reasons(&self, row: u32, base: &Base, done: Done) -> Reasons {
        let demand = &base.demand;
        let mut reasons = Reasons::default();
        if done.has(Deviation::Substituted) {
            reasons.add(Reason::Substituted);
        }
        for field in &self.specification.required {
            if !self.is_recorded(row, *field) {
                reasons.add(Reason::NotRecorded(*field));
            }
        }
        let torque = self.torque(row);
        if torque.is_nan() {
            reasons.add(Reason::NotRecorded(Field::Torque));
        } else if let Some(outside) = outside(torque, demand) {
            reasons.add(outside);
        }
        if let Some(asked) = demand.embedment {
            let depth = self.embedment(row);
            if depth.is_nan() {
                reasons.add(Reason::NotRecorded(Field::Embedment));
            } else if is_below(depth, asked.lower.get::<meter>()) {
                reasons.add(Reason::EmbedmentShort);
            } else if is_below(asked.upper.get::<meter>(), depth) {
                reasons.add(Reason::EmbedmentDeep);
            }
        }
        if let Some(allowed) = &demand.batches {
            let batch = Records::get(&self.reading.records.batch, row, NONE);
            if batch == NONE {
                reasons.add(Reason::NotRecorded(Field::Batch));
            } else if !allowed.iter().any(|allowed| allowed == self.reading.words.word(batch)) {
                reasons.add(Reason::BatchNotAllowed);
            }
        }
        if base.needs_clock() && self.time(row) == NO_TIME {
            reasons.add(Reason::NotRecorded(Field::Time));
        }
        if let Some(cure) = demand.cure {
            let set = Records::get(&self.reading.records.set, row, NO_TIME);
            if set == NO_TIME {
                reasons.add(Reason::NotRecorded(Field::Set));
            } else if self.time(row) != NO_TIME {
                let waited = (self.time(row) - set) as f64 / 1000.0;
                if is_below(waited, cure.get::<second>()) {
                    reasons.add(Reason::BeforeCured);
                }
            }
        }
        self.judge_days(row, &mut reasons);
        self.judge_tool(row, demand, &mut reasons);
        reasons
    }

    /// Earlier records of an anchor that show what the later one in `row` does not mend, each with its reasons, which become
    /// those of the anchor.
    fn not_mended(
        &self,
        earlier: impl Iterator<Item = u32>,
        row: u32,
        base: &Base,
        reasons: &mut Reasons,
    ) -> Vec<(u32, Reasons)> {
        let mut told = Vec::new();
        for earlier in earlier {
            if self.differ(earlier, row) {
                reasons.add(Reason::Differs);
            }
            let lasting = self.reasons(earlier, base, Done::default()).lasting();
            if !lasting.is_empty() {
                reasons.add(Reason::NotMended);
                told.push((earlier, lasting));
            }
        }
        told
    }

    /// Lets an anchor pass that nothing stands against, and accepts it where it is in a place that was verified.
    fn accept(&self, base: &Base, verdict: &mut AnchorVerdict) {
        if verdict.state == State::Fail(Reasons::default()) {
            verdict.state = State::Pass;
        }
        let is_in_place = || {
            let mark = base.anchors.get(verdict.anchor as usize).map_or("", String::as_str);
            !verdict.done.has(Deviation::Moved) || self.specification.as_built.contains(&base.label(mark))
        };
        verdict.is_accepted = verdict.state == State::Pass && is_in_place();
    }

    /// Whether two records of an anchor contradict each other in what it has only one of.
    fn differ(&self, one: u32, other: u32) -> bool {
        let records = &self.reading.records;
        let words = [one, other].map(|row| Records::get(&records.batch, row, NONE));
        let times = [one, other].map(|row| Records::get(&records.set, row, NO_TIME));
        let is_word = words[0] != words[1] && !words.contains(&NONE);
        is_word || times[0] != times[1] && !times.contains(&NO_TIME)
    }

    fn is_recorded(&self, row: u32, field: Field) -> bool {
        let records = &self.reading.records;
        let word = |column: &[u32]| Records::get(column, row, NONE) != NONE;
        match field {
            Field::Anchor => word(&records.anchor),
            Field::Base => word(&records.base),
            Field::Time => self.time(row) != NO_TIME,
            Field::Set => Records::get(&records.set, row, NO_TIME) != NO_TIME,
            Field::Operative => word(&records.operative),
            Field::Tool => word(&records.tool),
            Field::CalibratedUntil => Records::get(&records.calibrated_until, row, NO_DAY) != NO_DAY,
            Field::Torque => !self.torque(row).is_nan(),
            Field::Embedment => !self.embedment(row).is_nan(),
            Field::Batch => word(&records.batch),
            Field::Done => self.done(row).is_recorded(),
            Field::Remark => word(&records.remark),
            Field::Label | Field::Cell => false,
        }
    }

    /// Finds the anchors of a base that got their torque before one that comes first; their reasons get one more.
    fn find_order(&self, base: &Base, start: usize, anchors: &mut [AnchorVerdict], found: &mut Vec<(u32, u32)>) {
        let Order::Listed(order) = &base.order else { return };
        let places: BTreeMap<&str, usize> = base.anchors.iter().map(String::as_str).zip(start..).collect();
        let mut latest: Option<(i64, usize)> = None;
        for place in order.iter().filter_map(|anchor| places.get(anchor.as_str()).copied()) {
            let Some(time) = anchors[place].row.map(|row| self.time(row)).filter(|&time| time != NO_TIME) else {
                continue;
            };
            if let Some((_, before)) = latest.filter(|(latest, _)| time < *latest) {
                if let State::Fail(reasons) = &mut anchors[place].state {
                    reasons.add(Reason::OutOfOrder);
                }
                found.push((narrow(place), narrow(before)));
            } else {
                latest = Some((time, place));
            }
        }
    }

    /// A row with a measured torque, and whether that is outside its band.
    fn point(&self, row: u32, demand: &Demand) -> Option<(u32, bool)> {
        let torque = self.torque(row);
        torque.is_finite().then(|| (row, outside(torque, demand).is_some()))
    }

    /// Figures of some anchors; their points are put in the order of time and line.
    fn summary(&self, anchors: &[AnchorVerdict], points: &mut [(u32, bool)]) -> BaseSummary {
        let values = |of: fn(&Self, u32) -> f64| {
            let rows = anchors.iter().filter_map(|verdict| verdict.row);
            rows.map(move |row| of(self, row)).filter(|value| value.is_finite())
        };
        points.sort_unstable_by_key(|&(row, _)| (self.time(row), row));
        let (mut run, mut longest_run) = (0, 0);
        for &(_, is_outside) in points.iter() {
            run = if is_outside { run + 1 } else { 0 };
            longest_run = longest_run.max(run);
        }
        BaseSummary {
            specified: anchors.len(),
            passed: anchors.iter().filter(|verdict| verdict.state == State::Pass).count(),
            failed: anchors.iter().filter(|verdict| matches!(verdict.state, State::Fail(_))).count(),
            torque: Statistics::of(values(Self::torque), Torque::new::<newton_meter>),
            embedment: Statistics::of(values(Self::embedment), Length::new::<meter>),
            longest_run,
        }
    }
}

fn count_reasons(anchors: &[AnchorVerdict]) -> Vec<(Reason, usize)> {
    let mut counts: Vec<(Reason, usize)> = Reason::all().map(|reason| (reason, 0)).collect();
    for verdict in anchors {
        let State::Fail(reasons) = verdict.state else { continue };
        for (reason, count) in &mut counts {
            *count += usize::from(reasons.has(*reason));
        }
    }
    counts.retain(|(_, count)| *count > 0);
    counts
}

/// Why a torque is outside its band; a click is always inside.
fn outside(torque: f64, demand: &Demand) -> Option<Reason> {
    if torque.is_infinite() {
        return None;
    }
    if is_below(torque, demand.torque.lower.get::<newton_meter>()) {
        return Some(Reason::TorqueLow);
    }
    is_below(demand.torque.upper.get::<newton_meter>(), torque).then_some(Reason::TorqueHigh)
}

/// Whether a value is less than another by more than rounding.
pub(super) fn is_below(value: f64, limit: f64) -> bool {
    value < limit - EQUAL_WITHIN * limit.abs()
}

/// Files are limited to 4 GiB and so are rows; more anchors than that are not to be had.
pub(super) fn narrow(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(NONE)
}
