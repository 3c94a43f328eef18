//! Whether a record lies within the days of the works, and whether its tool is one that was calibrated on that day.

use super::intern::NONE;
use super::judging::{Judge, is_below};
use super::mapping::Field;
use super::reason::{Reason, Reasons};
use super::specification::{Calibration, Demand};
use super::store::{NO_DAY, Records};
use uom::si::f64::Torque;
use uom::si::time::second;
use uom::si::torque::newton_meter;

const SECONDS_OF_A_DAY: f64 = 86_400.0;

impl Judge<'_> {
    /// Whether torque and setting lie within the days of the works.
    pub(super) fn judge_days(&self, row: u32, reasons: &mut Reasons) {
        let records = &self.reading.records;
        let Some(works) = self.specification.works else { return };
        for day in [&records.day, &records.set_day].map(|column| Records::get(column, row, NO_DAY)) {
            if day == NO_DAY {
                continue;
            }
            if day < works.first.day.number() {
                reasons.add(Reason::TooEarly);
            }
            if day > works.last.day.number() {
                reasons.add(Reason::TooLate);
            }
        }
    }

    pub(super) fn judge_tool(&self, row: u32, demand: &Demand, reasons: &mut Reasons) {
        let serial = Records::get(&self.reading.records.tool, row, NONE);
        let tool = self.tools.get(&serial).copied();
        if !self.specification.tools.is_empty() {
            if serial == NONE {
                reasons.add(Reason::NotRecorded(Field::Tool));
            } else if tool.is_none() {
                reasons.add(Reason::ToolUnknown);
            }
        }
        let is_outside = |(least, most): (Torque, Torque)| {
            let target = demand.torque.target.get::<newton_meter>();
            is_below(target, least.get::<newton_meter>()) || is_below(most.get::<newton_meter>(), target)
        };
        if tool.and_then(|tool| tool.range).is_some_and(is_outside) {
            reasons.add(Reason::OutsideToolRange);
        }
        let is_required = self.specification.calibration == Calibration::Required;
        if is_required && self.specification.tools.is_empty() && serial == NONE {
            reasons.add(Reason::NotRecorded(Field::Tool));
        }
        let day = Records::get(&self.reading.records.day, row, NO_DAY);
        let until = Records::get(&self.reading.records.calibrated_until, row, NO_DAY);
        let period = tool.and_then(|tool| tool.calibrated).map(|(from, until)| (from.number(), until.number()));
        if until == NO_DAY && period.is_none() {
            // Where the tool itself is in doubt, that is the reason told.
            if is_required && (self.specification.tools.is_empty() || tool.is_some()) {
                reasons.add(Reason::NotRecorded(Field::CalibratedUntil));
            }
        } else if day == NO_DAY {
            if is_required {
                reasons.add(Reason::NotRecorded(Field::Time));
            }
        } else {
            let is_over = until != NO_DAY && day > until;
            if is_over || period.is_some_and(|(from, until)| day < from || day > until) {
                reasons.add(Reason::OutOfCalibration);
            }
            let longest = self.specification.longest_calibration.map(|time| time.get::<second>() / SECONDS_OF_A_DAY);
            if until != NO_DAY && longest.is_some_and(|longest| is_below(longest, f64::from(until - day))) {
                reasons.add(Reason::CalibrationTooLong);
            }
        }
    }
}
