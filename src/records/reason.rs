//! Why the record of an anchor fails.

use super::mapping::Field;
use std::fmt;

/// Why a record fails.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub enum Reason {
    /// Another fastener than the one specified is in its place.
    Substituted,
    /// A field is empty or has no column: what is not recorded is not accepted.
    NotRecorded(Field),
    /// The torque is below the lower bound.
    TorqueLow,
    /// The torque is above the upper bound.
    TorqueHigh,
    /// The embedment is short by more than the tolerance.
    EmbedmentShort,
    /// The embedment is deeper than the most that is accepted.
    EmbedmentDeep,
    /// The batch is not among those allowed.
    BatchNotAllowed,
    /// Torque was applied before the curing time was over.
    BeforeCured,
    /// Its day, or that of setting, lies before the works.
    TooEarly,
    /// Its day, or that of setting, lies after the works, or after the sheet that tells of it.
    TooLate,
    /// The tool is not among those of the specification.
    ToolUnknown,
    /// The tool was not calibrated on that day.
    OutOfCalibration,
    /// The end of calibration lies later after the torque than any calibration lasts.
    CalibrationTooLong,
    /// The target lies outside the calibrated range of the tool.
    OutsideToolRange,
    /// An anchor that should have come before got its torque later.
    OutOfOrder,
    /// A record that a later one replaces shows what no later torque mends.
    NotMended,
    /// Its records name several batches or several times of setting.
    Differs,
}

/// The reasons that are not about a field.
const OTHERS: [Reason; 16] = [
    Reason::Substituted,
    Reason::TorqueLow,
    Reason::TorqueHigh,
    Reason::EmbedmentShort,
    Reason::EmbedmentDeep,
    Reason::BatchNotAllowed,
    Reason::BeforeCured,
    Reason::TooEarly,
    Reason::TooLate,
    Reason::ToolUnknown,
    Reason::OutOfCalibration,
    Reason::CalibrationTooLong,
    Reason::OutsideToolRange,
    Reason::OutOfOrder,
    Reason::NotMended,
    Reason::Differs,
];

impl Reason {
    /// Every reason.
    pub fn all() -> impl Iterator<Item = Reason> {
        Field::ALL.into_iter().map(Reason::NotRecorded).chain(OTHERS)
    }

    fn bit(self) -> u32 {
        let place = Self::all().position(|reason| reason == self).unwrap_or(31);
        1 << place
    }
}

impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Reason::NotRecorded(field) => return write!(f, "{field} is not recorded"),
            Reason::Substituted => {
                "another fastener than the one specified: the sign-off of the calculation is void until it has been \
                 verified in every value"
            }
            Reason::TorqueLow => "the torque is below its lower bound",
            Reason::TorqueHigh => "the torque is above its upper bound",
            Reason::EmbedmentShort => "the embedment is short by more than its tolerance",
            Reason::EmbedmentDeep => "the embedment is deeper than the most that is accepted",
            Reason::BatchNotAllowed => "the batch is not one of those allowed",
            Reason::BeforeCured => "torque was applied before the end of curing",
            Reason::TooEarly => "its day lies before the works",
            Reason::TooLate => "its day lies after the works",
            Reason::ToolUnknown => "the tool is not one of those specified",
            Reason::OutOfCalibration => "the tool was out of calibration on that day",
            Reason::CalibrationTooLong => "the end of calibration lies later than a calibration lasts",
            Reason::OutsideToolRange => "the target torque is outside the calibrated range of the tool",
            Reason::Differs => {
                "its records differ in the batch or in the time of setting, of which an anchor has one each"
            }
            Reason::NotMended => "an earlier record shows what a later torque does not mend",
            Reason::OutOfOrder => "torque was applied before an anchor that comes first",
        })
    }
}

/// A set of reasons.
#[derive(Copy, Clone, Debug, Default, Eq, PartialEq)]
pub struct Reasons(u32);

impl Reasons {
    pub(super) fn add(&mut self, reason: Reason) {
        self.0 |= reason.bit();
    }

    /// Whether there are none.
    pub fn is_empty(self) -> bool {
        self.0 == 0
    }

    /// Whether a reason is among them.
    pub fn has(self, reason: Reason) -> bool {
        self.0 & reason.bit() != 0
    }

    /// Those of them that no later torque mends: all but too little of it and its place among the others. What a tool that
    /// nobody knows has done cannot be known either.
    #[must_use]
    pub(super) fn lasting(self) -> Self {
        Self(self.0 & !Reason::TorqueLow.bit() & !Reason::OutOfOrder.bit())
    }

    /// All of them, in the order of [`Reason::all`].
    pub fn iter(self) -> impl Iterator<Item = Reason> {
        Reason::all().enumerate().filter(move |(place, _)| self.0 & (1 << place) != 0).map(|(_, reason)| reason)
    }
}
