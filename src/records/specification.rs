//! What was specified for the anchors, and what a record must show.

use super::mapping::Field;
use super::mistake::Mistake;
use super::time::Day;
use crate::diagnostic::Code;
use std::collections::BTreeSet;
use std::sync::Arc;
use uom::si::f64::{Length, Ratio, Time, Torque};
use uom::si::ratio::ratio;
use uom::si::time::day;

/// Everything that records are held against.
#[derive(Clone, Debug, Default)]
pub struct Specification {
    /// The bases with their anchors.
    pub bases: Vec<Base>,
    /// The torque tools on the job; where there are none, only the records say until when a tool is calibrated.
    pub tools: Vec<Tool>,
    /// Whether every torque needs a calibrated tool.
    pub calibration: Calibration,
    /// What becomes of an anchor with several records.
    pub duplicates: DuplicateRule,
    /// Fields that every record must fill, beside those that the demands need.
    pub required: Vec<Field>,
    /// The longest time for which a calibration is valid, if that is limited: an end later than that after the torque was
    /// never certified.
    pub longest_calibration: Option<Time>,
    /// The days within which every record must lie, if that is known.
    pub works: Option<Works>,
    /// Anchors whose resistance was verified in their places as built, by base and anchor with a space between them, or by
    /// anchor alone where there is one base without a mark: one that was moved is accepted if it is among them.
    pub as_built: BTreeSet<String>,
}

/// The days within which every record must lie; a torque of 1931 or of next year was never applied.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub struct Works {
    /// The first day.
    pub first: Limit,
    /// The last day.
    pub last: Limit,
}

/// A day that limits others.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub struct Limit {
    /// The day, which is allowed itself.
    pub day: Day,
    /// What it is, in a sentence: "the date of the sheet".
    pub what: &'static str,
}

/// A base plate with its anchors.
#[derive(Clone, Debug)]
pub struct Base {
    /// Its mark, as the records give it; blanks and case count.
    pub id: String,
    /// The marks of its anchors.
    pub anchors: Vec<String>,
    /// What each of them must show; bases may share it.
    pub demand: Arc<Demand>,
    /// In which order torque is applied.
    pub order: Order,
}

/// What the record of an anchor must show.
#[derive(Clone, Debug)]
pub struct Demand {
    /// The torque with its bounds.
    pub torque: TorqueBand,
    /// The embedment depth, if it is measured.
    pub embedment: Option<EmbedmentBand>,
    /// The batches that may be used, if that is limited.
    pub batches: Option<Vec<String>>,
    /// The time from setting until torque may be applied, for bonded anchors.
    pub cure: Option<Time>,
}

/// The installation torque T_inst with its bounds, both of which are allowed values.
///
/// More torque than the upper bound is a failure as well: it can crack the concrete or make the rod yield.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct TorqueBand {
    /// The torque asked for.
    pub target: Torque,
    /// The least that is accepted.
    pub lower: Torque,
    /// The most that is accepted.
    pub upper: Torque,
}

impl TorqueBand {
    /// A band of equal width on both sides, given as a part of the target: `4 %` for 57.6 N·m to 62.4 N·m about 60 N·m.
    pub fn around(target: Torque, part: Ratio) -> Self {
        let part = part.get::<ratio>();
        Self { target, lower: target * (1.0 - part), upper: target * (1.0 + part) }
    }
}

/// The embedment depth with its bounds, both of which are allowed values.
///
/// A fastener that sits deeper than it was drawn leaves less of the member behind it and less thread for the nut.
#[derive(Copy, Clone, Debug, PartialEq)]
pub struct EmbedmentBand {
    /// The depth asked for.
    pub target: Length,
    /// The least that is accepted.
    pub lower: Length,
    /// The most that is accepted.
    pub upper: Length,
}

/// Bounds differ from what was asked for by this factor at most: wide limits that catch slips.
const WIDEST: f64 = 2.0;
const WITHIN_WIDEST: &str = "bounds between half and twice what is asked for";

/// Days that a calibration can last at all, two years: a wide limit that catches slips.
const LONGEST_CALIBRATION: f64 = 731.0;

/// The order in which the anchors of a base get their torque.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Order {
    /// Any order.
    #[default]
    NotRequired,
    /// This one, which may leave anchors out; two torques at the same recorded time are in order.
    Listed(Vec<String>),
}

/// A torque tool.
#[derive(Clone, Debug, PartialEq)]
pub struct Tool {
    /// Its serial number, as the records give it.
    pub serial: String,
    /// The least and the most torque of its calibrated range: a target outside it is not covered by the calibration
    /// (EN ISO 6789-1:2017, by a commentary on it: the range starts at the lowest marked value).
    pub range: Option<(Torque, Torque)>,
    /// First and last day on which its calibration is valid, both of them included.
    pub calibrated: Option<(Day, Day)>,
}

/// Whether records need a calibrated tool.
#[derive(Copy, Clone, Debug, Default, Eq, PartialEq)]
pub enum Calibration {
    /// A record from which it cannot be told whether the tool was calibrated on that day fails.
    #[default]
    Required,
    /// Only a record that shows a tool out of calibration fails.
    WhereStated,
}

/// What becomes of an anchor that has several records.
#[derive(Copy, Clone, Debug, Default, Eq, PartialEq)]
pub enum DuplicateRule {
    /// None of them counts until somebody has said which.
    #[default]
    NoneCounts,
    /// They are torques applied again: the latest counts, if all have different times.
    LatestCounts,
}

impl Specification {
    /// How many anchors there are.
    pub fn anchor_count(&self) -> usize {
        self.bases.iter().map(|base| base.anchors.len()).sum()
    }

    /// Whether times of day are held against one another.
    pub(super) fn needs_clock(&self) -> bool {
        self.bases.iter().any(Base::needs_clock)
    }

    /// Whether records can only be judged by their times.
    pub(super) fn compares_times(&self) -> bool {
        self.duplicates == DuplicateRule::LatestCounts || self.needs_clock()
    }

    /// Whether records can only be judged with this field.
    pub(super) fn needs(&self, field: Field) -> bool {
        let any = |holds: fn(&Demand) -> bool| self.bases.iter().any(|base| holds(&base.demand));
        let is_calibrated = self.calibration == Calibration::Required;
        self.required.contains(&field)
            || match field {
                Field::Anchor | Field::Torque => true,
                Field::Time => is_calibrated || self.compares_times(),
                Field::Set => any(|demand| demand.cure.is_some()),
                // A calibration is that of a tool: one without a serial number cannot be traced to any.
                Field::Tool => is_calibrated || !self.tools.is_empty(),
                Field::CalibratedUntil => is_calibrated && self.tools.is_empty(),
                Field::Embedment => any(|demand| demand.embedment.is_some()),
                Field::Batch => any(|demand| demand.batches.is_some()),
                Field::Base | Field::Operative | Field::Done | Field::Remark | Field::Label | Field::Cell => false,
            }
    }

    /// Where the specification contradicts itself; `has_base` says whether records name their base.
    pub(super) fn mistakes(&self, has_base: bool) -> Vec<Mistake> {
        let mut mistakes = Vec::new();
        let mut bases = BTreeSet::new();
        let mut loose = BTreeSet::new();
        let mut twice = |what: String| mistakes.push(Mistake::new(Code::Redefined, what, "each mark once"));
        for base in &self.bases {
            if !bases.insert(&base.id) {
                twice(format!("the base `{}` twice in the specification", base.id));
            }
            let mut anchors = BTreeSet::new();
            for anchor in &base.anchors {
                if !anchors.insert(anchor) {
                    twice(format!("the anchor `{anchor}` twice on base `{}`", base.id));
                } else if !has_base && !loose.insert(anchor) {
                    twice(format!("the anchor `{anchor}` on several bases, and no column for the base"));
                }
            }
        }
        let mut tools = BTreeSet::new();
        for tool in self.tools.iter().filter(|tool| !tools.insert(&tool.serial)) {
            twice(format!("the tool `{}` twice in the specification", tool.serial));
        }
        for base in &self.bases {
            mistakes.extend(base.mistakes());
        }
        let labels: BTreeSet<String> = match self.as_built.is_empty() {
            true => BTreeSet::new(),
            false => self.bases.iter().flat_map(|base| base.anchors.iter().map(|anchor| base.label(anchor))).collect(),
        };
        for label in self.as_built.iter().filter(|label| !labels.contains(*label)) {
            let found = format!("`{label}` among the anchors that were verified as built");
            let mistake = Mistake::new(Code::MistakenValue, found, "anchors of the specification");
            mistakes.push(mistake.help("where there are bases, the label has both marks, such as `B3 A7`"));
        }
        if let Some(Works { first, last }) = self.works.filter(|works| works.first.day > works.last.day) {
            let found = format!("{}, {}, after {}, {}", first.what, first.day, last.what, last.day);
            mistakes.push(Mistake::new(Code::MistakenValue, found, "the start first"));
        }
        let longest = Time::new::<day>(LONGEST_CALIBRATION);
        if !self.longest_calibration.is_none_or(|time| time > Time::default() && time <= longest) {
            let found = "the longest time of a calibration";
            let expected = format!("a time of more than 0 and at most {LONGEST_CALIBRATION} d");
            mistakes.push(Mistake::new(Code::MistakenValue, found, expected));
        }
        for tool in &self.tools {
            let is_range_sound = tool.range.is_none_or(|(least, most)| least <= most);
            if !is_range_sound || tool.calibrated.is_some_and(|(from, until)| from > until) {
                let found = format!("a range or calibration of tool `{}` that ends before it starts", tool.serial);
                mistakes.push(Mistake::new(Code::MistakenValue, found, "the start first"));
            }
        }
        mistakes
    }
}

impl Base {
    pub(super) fn needs_clock(&self) -> bool {
        self.order != Order::NotRequired || self.demand.cure.is_some()
    }

    /// The marks of one of its anchors, as pairs of tables have them: `B3 A7`, or `A7` where the base has no mark.
    pub fn label(&self, anchor: &str) -> String {
        if self.id.is_empty() { anchor.to_owned() } else { format!("{} {anchor}", self.id) }
    }

    /// Which base, in a sentence; a lone base needs no mark.
    fn of(&self) -> String {
        if self.id.is_empty() { String::new() } else { format!(" of base `{}`", self.id) }
    }

    fn mistakes(&self) -> Vec<Mistake> {
        let wrong = |found: String, expected: &str| Mistake::new(Code::MistakenValue, found, expected);
        let mut mistakes = Vec::new();
        let is_depth = |EmbedmentBand { target, lower, upper }: EmbedmentBand| {
            Length::default() < lower && lower <= target && target <= upper && upper.is_finite()
        };
        let TorqueBand { target, lower, upper } = self.demand.torque;
        let is_band = Torque::default() < lower && lower <= target && target <= upper && upper.is_finite();
        let is_near = |lower: f64, target: f64, upper: f64| lower >= target / WIDEST && upper <= target * WIDEST;
        let (low, middle, high) = (lower.value, target.value, upper.value);
        if is_band && !is_near(low, middle, high) {
            mistakes.push(wrong(format!("the torque{} and its bounds", self.of()), WITHIN_WIDEST));
        }
        if let Some(EmbedmentBand { target, lower, upper }) = self.demand.embedment.filter(|band| is_depth(*band))
            && !is_near(lower.value, target.value, upper.value)
        {
            mistakes.push(wrong(format!("the embedment{} and its bounds", self.of()), WITHIN_WIDEST));
        }
        if !is_band {
            let expected = "0 < lower bound ≤ target ≤ upper bound";
            mistakes.push(wrong(format!("the torque{} and its bounds", self.of()), expected));
        }
        if !self.demand.embedment.is_none_or(is_depth) {
            let expected = "0 < lower bound ≤ embedment ≤ upper bound";
            mistakes.push(wrong(format!("the embedment{} and its bounds", self.of()), expected));
        }
        if !self.demand.cure.is_none_or(|cure| cure >= Time::default() && cure.is_finite()) {
            mistakes.push(wrong(format!("the curing time{}", self.of()), "a time of at least 0"));
        }
        if let Order::Listed(order) = &self.order {
            let anchors: BTreeSet<&String> = self.anchors.iter().collect();
            let mut listed = BTreeSet::new();
            for anchor in order {
                if !anchors.contains(anchor) || !listed.insert(anchor) {
                    let found = format!("`{anchor}` in the order{}", self.of());
                    mistakes.push(wrong(found, "anchors of that base, each once"));
                }
            }
        }
        mistakes
    }
}
