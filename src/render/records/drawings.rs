//! The drawings of a report: each base in plan, how often which torque was reached, and torques over time.

use crate::compile::RecordsUse;
use crate::records::{AnchorVerdict, Base, Reason, State};
use crate::render::figure::records::{Band, Mark, Outcome, Spot, base, histogram, series};
use crate::render::markup::Markup;
use std::collections::BTreeSet;
use uom::si::f64::Torque;
use uom::si::torque::newton_meter;

/// Bases that are drawn at most; where there are more, those with anchors that are not accepted go first.
const MOST_BASES: usize = 24;
/// Marks of a series at most: two to the millimetre on paper.
const MOST_MARKS: usize = 150;
/// Metres to millimetres.
const MILLI: f64 = 1e3;

/// Each base in plan with the outcome of every anchor.
pub(super) fn bases(out: &mut Markup, records: &RecordsUse) {
    let report = &records.report;
    let all = &records.specification.bases;
    let open: BTreeSet<u32> =
        report.anchors.iter().filter(|anchor| !anchor.is_accepted).map(|open| open.base).collect();
    let mut shown: Vec<usize> = (0..all.len()).collect();
    shown.sort_by_key(|at| !u32::try_from(*at).is_ok_and(|at| open.contains(&at)));
    shown.truncate(MOST_BASES);
    shown.sort_unstable();
    out.tags("\n<div class=\"bases\">");
    let mut start = 0;
    for (at, specified) in all.iter().enumerate() {
        let end = start + specified.anchors.len();
        if shown.contains(&at) {
            one_base(out, records, specified, report.anchors.get(start..end).unwrap_or_default());
        }
        start = end;
    }
    out.tags("\n</div>\n<p class=\"remark\">");
    out.say("Full disc: passes. Triangle: fails. Cross: missing. Two rings: several records. Square: not readable.");
    if report.totals.passed > report.totals.accepted {
        out.say(" Ring: passes, moved, not verified in its place as built.");
    }
    if report.totals.substituted > 0 {
        out.say(" Diamond: substituted.");
    }
    if all.len() > shown.len() {
        out.say(&format!(" {} of {} bases are drawn.", shown.len(), all.len()));
    }
    out.tags("</p>");
}

fn one_base(out: &mut Markup, records: &RecordsUse, specified: &Base, anchors: &[AnchorVerdict]) {
    let spot = |((label, (x, y)), verdict): ((&String, &(f64, f64)), &AnchorVerdict)| Spot {
        label: label.clone(),
        place: (x * MILLI, y * MILLI),
        outcome: match verdict.state {
            State::Pass if !verdict.is_accepted => Outcome::Moved,
            State::Pass => Outcome::Passes,
            State::Fail(reasons) if reasons.has(Reason::Substituted) => Outcome::Substituted,
            State::Fail(_) => Outcome::Fails,
            State::Missing => Outcome::Missing,
            State::Duplicate => Outcome::Several,
            State::Unreadable => Outcome::Unreadable,
        },
    };
    let spots: Vec<Spot> = specified.anchors.iter().zip(&records.places).zip(anchors).map(spot).collect();
    let count = |outcome| spots.iter().filter(|spot| spot.outcome == outcome).count();
    let moved = count(Outcome::Moved);
    let mut words = format!("{} of {} anchors pass", count(Outcome::Passes) + moved, spots.len());
    if moved > 0 {
        words += &format!(", {moved} not accepted yet");
    }
    let title = if specified.id.is_empty() { words } else { format!("{}: {words}", specified.id) };
    let faults: Vec<String> = spots
        .iter()
        .filter(|spot| spot.outcome != Outcome::Passes)
        .map(|spot| format!("{} {}", spot.label, spot.outcome.word()))
        .collect();
    let label = if faults.is_empty() { title.clone() } else { format!("{title}; {}", faults.join(", ")) };
    out.tags("\n<figure>");
    out.push(base(&spots, &label));
    out.tags("<figcaption>");
    out.say(&title);
    out.tags("</figcaption></figure>");
}

/// Torques by classes and in the order of their times, with the band.
pub(super) fn torques(out: &mut Markup, records: &RecordsUse) {
    let report = &records.report;
    let Some(demand) = records.specification.bases.first().map(|base| &base.demand) else { return };
    if report.overall.torque.count == 0 {
        return;
    }
    let unit = &records.torque_unit;
    let shown = |torque: Torque| unit.measured(torque.get::<newton_meter>());
    let band = Band {
        target: shown(demand.torque.target),
        lower: shown(demand.torque.lower),
        upper: shown(demand.torque.upper),
        unit: unit.to_string(),
    };
    let counts = &report.torques.counts;
    let limits: Vec<f64> = (0..=counts.len()).map(|class| unit.measured(report.torques.limit(class))).collect();
    let mut last_day = None;
    let marks: Vec<Mark> = report
        .series(MOST_MARKS)
        .iter()
        .map(|stretch| {
            let day = stretch.from.map(|from| from.day);
            let begins = day.filter(|_| day != last_day).map(|day| day.to_string());
            last_day = day;
            Mark {
                least: shown(stretch.least),
                greatest: shown(stretch.greatest),
                is_outside: stretch.out_of_band > 0,
                begins,
            }
        })
        .collect();
    let bounds = format!("band from {} to {} {unit}", super::number(band.lower), super::number(band.upper));
    out.tags("\n<div class=\"figures pair\">\n<figure>");
    out.push(histogram(&limits, counts, &band, &format!("how many anchors reached which torque; {bounds}")));
    out.tags("<figcaption>Torques of the records that count, and their ");
    out.say(&bounds);
    out.tags("</figcaption></figure>\n<figure>");
    out.push(series(&marks, &band, &format!("torques in the order of their times; {bounds}")));
    out.tags("<figcaption>The same in the order of their times; a triangle is outside the band</figcaption></figure>\n</div>");
}
