//! How many anchors and rows came out how.

use super::deviation::Deviation;
use super::judging::{Judge, is_below};
use super::report::{AnchorVerdict, State};
use super::specification::Base;
use uom::si::torque::newton_meter;

/// Counts of anchors and of rows.
///
/// `specified` = `passed` + `failed` + `missing` + `duplicate` + `unreadable`;
/// `rows_read` = `rows_judged` + `rows_in_error`;
/// `rows_judged` = `passed` + `failed` + `rows_held_back` + `rows_superseded` + `rows_unlisted`.
#[derive(Copy, Clone, Debug, Default, Eq, PartialEq)]
pub struct Totals {
    /// Anchors of the specification.
    pub specified: usize,
    /// Anchors that pass.
    pub passed: usize,
    /// Of those that pass, the ones whose tool clicked and told no torque.
    pub passed_by_click: usize,
    /// Anchors that fail.
    pub failed: usize,
    /// Of those that pass, the ones at which nothing was repaired or moved.
    pub passed_as_specified: usize,
    /// Of those that pass, the ones that were not moved or were verified in their places as built.
    pub accepted: usize,
    /// Anchors without a record.
    pub missing: usize,
    /// Anchors with several records, none of which counts.
    pub duplicate: usize,
    /// Anchors with a record that could not be read.
    pub unreadable: usize,
    /// Rows below the header in which something stands.
    pub rows_read: usize,
    /// Rows that could be read.
    pub rows_judged: usize,
    /// Rows that could not.
    pub rows_in_error: usize,
    /// Rows that do not count as long as another of the same anchor stands against them.
    pub rows_held_back: usize,
    /// Rows that a later torque on the same anchor replaces.
    pub rows_superseded: usize,
    /// Rows of anchors that are not in the specification.
    pub rows_unlisted: usize,
    /// Rows in error of which it is not known whether they tell of anything that was done.
    pub rows_silent: usize,
    /// Anchors that were repaired, whatever their state, and rows that say so of no anchor of the specification.
    pub repaired: usize,
    /// The same of anchors that were moved.
    pub moved: usize,
    /// The same of anchors that were substituted, none of which passes.
    pub substituted: usize,
    /// Records that count and give exactly the target: many of them were typed, not measured.
    pub exactly_on_target: usize,
}

impl Totals {
    /// Counts the anchors of a base.
    pub(super) fn count(&mut self, anchors: &[AnchorVerdict], judge: &Judge<'_>, base: &Base) {
        let target = base.demand.torque.target.get::<newton_meter>();
        for verdict in anchors {
            match verdict.state {
                State::Pass => self.passed += 1,
                State::Fail(_) => self.failed += 1,
                State::Missing => self.missing += 1,
                State::Duplicate => self.duplicate += 1,
                State::Unreadable => self.unreadable += 1,
            }
            self.repaired += usize::from(verdict.done.has(Deviation::Repaired));
            self.moved += usize::from(verdict.done.has(Deviation::Moved));
            self.substituted += usize::from(verdict.done.has(Deviation::Substituted));
            let passes = verdict.state == State::Pass;
            self.accepted += usize::from(verdict.is_accepted);
            self.passed_as_specified += usize::from(passes && !verdict.done.deviates());
            let Some(torque) = verdict.row.map(|row| judge.torque(row)) else { continue };
            self.passed_by_click += usize::from(torque.is_infinite() && verdict.state == State::Pass);
            let is_on_target = torque.is_finite() && !is_below(torque, target) && !is_below(target, torque);
            self.exactly_on_target += usize::from(is_on_target);
        }
    }
}
