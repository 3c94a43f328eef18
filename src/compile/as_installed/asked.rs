//! What each record was held against, and what nothing was asked of, in a few words each: whoever is handed a record has to
//! know what a pass is worth.

use super::Taken;
use crate::quantity::print_shortest;
use crate::records::{Demand, DuplicateRule, Field, Mapping, Order, Specification, Tool};
use uom::si::f64::{Length, Time, Torque};
use uom::si::length::meter;
use uom::si::time::{day, second};
use uom::si::torque::newton_meter;

/// What was asked, and what was not.
pub(super) struct Asked {
    pub(super) asked: Vec<String>,
    pub(super) not_asked: Vec<String>,
}

impl Taken {
    /// What every record had to show, with its bounds, and what it could have been held against.
    pub(super) fn asked(&self, mapping: &Mapping) -> Asked {
        let mut asked = Asked { asked: Vec::new(), not_asked: Vec::new() };
        let specification = &self.specification;
        // All bases of a sheet share what is asked of their anchors.
        let Some(base) = specification.bases.first() else { return asked };
        self.of_anchors(&base.demand, &mut asked);
        let in_order = base.order != Order::NotRequired;
        asked.put("an order of torque", in_order.then(|| "the order of the table of anchors".to_owned()));
        let tools = specification.tools.iter().map(|tool| self.tool(tool)).collect::<Vec<_>>().join(", ");
        asked.put("a list of tools", (!tools.is_empty()).then(|| format!("a tool among {tools}")));
        if specification.duplicates == DuplicateRule::LatestCounts {
            asked.asked.push("of several records of an anchor the latest".to_owned());
        }
        asked.asked.push("a tool that was calibrated on that day".to_owned());
        asked.put(
            "how long a calibration lasts",
            specification.longest_calibration.map(|time| {
                format!("an end of calibration within {} d of the torque", print_shortest(time.get::<day>()))
            }),
        );
        if let Some(works) = specification.works {
            asked.asked.push(format!(
                "a day from {} ({}) to {} ({})",
                works.first.day, works.first.what, works.last.day, works.last.what
            ));
        }
        asked.asked.extend(filled(specification));
        if !mapping.has(Field::Done) {
            asked.not_asked.push("what was done at an anchor".to_owned());
        }
        asked
    }

    /// A tool with its range, where it has one.
    fn tool(&self, tool: &Tool) -> String {
        let bound = |torque: Torque| self.torque_unit.measured_text(torque.get::<newton_meter>());
        let range = tool.range.map(|(least, most)| format!(" ({} to {})", bound(least), bound(most)));
        format!("{}{}", tool.serial, range.unwrap_or_default())
    }

    fn of_anchors(&self, demand: &Demand, asked: &mut Asked) {
        let torque = |torque: Torque| self.torque_unit.measured_text(torque.get::<newton_meter>());
        let length = |length: Length| self.length_unit.measured_text(length.get::<meter>());
        asked.asked.push(format!("torque from {} to {}", torque(demand.torque.lower), torque(demand.torque.upper)));
        asked.put(
            "embedment",
            demand.embedment.map(|band| format!("embedment from {} to {}", length(band.lower), length(band.upper))),
        );
        asked.put(
            "batches",
            demand.batches.as_ref().map(|batches| listed("a batch", batches.iter().map(String::as_str))),
        );
        asked.put("a curing time", demand.cure.map(|cure| format!("torque at least {} after setting", in_words(cure))));
    }
}

impl Asked {
    fn put(&mut self, what: &str, said: Option<String>) {
        match said {
            Some(said) => self.asked.push(said),
            None => self.not_asked.push(what.to_owned()),
        }
    }
}

fn listed<'a>(what: &str, names: impl Iterator<Item = &'a str>) -> String {
    format!("{what} among {}", names.collect::<Vec<_>>().join(", "))
}

/// A time in the largest unit of which it is a whole number.
fn in_words(time: Time) -> String {
    let seconds = time.get::<second>();
    let (unit, of_unit) = [("h", 3600.0), ("min", 60.0)]
        .into_iter()
        .find(|(_, length)| seconds > 0.0 && seconds % length == 0.0)
        .unwrap_or(("s", 1.0));
    format!("{} {unit}", print_shortest(seconds / of_unit))
}

/// The columns in which every record must hold something.
fn filled(specification: &Specification) -> Option<String> {
    let names: Vec<String> = specification.required.iter().map(Field::to_string).collect();
    (!names.is_empty()).then(|| format!("{} recorded", names.join(", ")))
}
