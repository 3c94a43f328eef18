//! The plan on a card: the fasteners of a base, or each base with those marked that the card is about.

use super::found;
use crate::compile::{CardUse, Figure, LineId, Value};
use crate::render::figure::records::{Outcome, Spot};
use crate::render::figure::{self, undrawn};
use crate::render::markup::Markup;
use crate::render::wording::Wording;

/// Bases that a card draws at most.
const MOST_PLANS: usize = 6;
/// Metres to millimetres.
const MILLI: f64 = 1e3;

/// The plan of the fasteners, from the values of that name, with those marked that the card is about.
pub(super) fn plan(wording: &Wording<'_>, used: &CardUse) -> Markup {
    let (text, _) = used.card.text();
    if let Some(marked) = &text.marked {
        return marked_plans(wording, used, marked, text.mark.as_deref().unwrap_or_default());
    }
    let takes = ["anchors", "plate_x", "plate_y", "edges", "d"];
    let values = used.values.iter().filter(|entry| takes.contains(&entry.symbol.as_str()));
    let arguments: Vec<_> = values.map(|entry| (entry.symbol.clone(), entry.value.clone())).collect();
    let drawing = Figure { name: "plan".to_owned(), line: LineId(0), caption: String::new(), arguments };
    figure::draw(wording.trace, &drawing)
}

/// Every base in plan on which a row of a table stands; the first part of a label such as `B3 A7` is the base.
fn marked_plans(wording: &Wording<'_>, used: &CardUse, marked: &str, mark: &str) -> Markup {
    let table = |name: &str| match &found(wording, used, name)?.value {
        Value::Table(table) => Some(table.clone()),
        _ => None,
    };
    let (Some(marked), Some(anchors)) = (table(marked), table("anchors")) else {
        return undrawn("plan", "it is not known which fasteners it marks, or where they stand");
    };
    let mut bases: Vec<(&str, Vec<&str>)> = Vec::new();
    for label in &marked.labels {
        let (base, anchor) = label.rsplit_once(' ').unwrap_or(("", label));
        match bases.iter_mut().find(|(known, _)| *known == base) {
            Some((_, marks)) => marks.push(anchor),
            None => bases.push((base, vec![anchor])),
        }
    }
    let column = |name: &str| {
        let list = anchors.columns.iter().find(|(column, _)| column == name).map(|(_, list)| &list.items);
        let values = list.into_iter().flatten().flat_map(|value| wording.trace.numbers_of(value));
        values.map(|metres| metres * MILLI).collect::<Vec<f64>>()
    };
    let places: Vec<(f64, f64)> = column("x").into_iter().zip(column("y")).collect();
    let mut html = Markup::new();
    html.tags("<div class=\"marked\">");
    for (base, marks) in bases.iter().take(MOST_PLANS) {
        let spot = |(label, place): (&String, &(f64, f64))| match marks.contains(&label.as_str()) {
            true => Spot { label: format!("{label} {mark}"), place: *place, outcome: Outcome::Marked },
            false => Spot { label: label.clone(), place: *place, outcome: Outcome::Other },
        };
        let spots: Vec<Spot> = anchors.labels.iter().zip(&places).map(spot).collect();
        let words = format!("{mark} {}", marks.join(", "));
        let words = if base.is_empty() { words } else { format!("{base}: {words}") };
        html.tags("<figure>");
        html.push(figure::records::base(&spots, &words));
        html.tags("<figcaption>");
        html.say(&words);
        html.tags("</figcaption></figure>");
    }
    html.tags("</div>");
    if bases.len() > MOST_PLANS {
        html.tags("<p class=\"aside\">");
        html.say(&format!("{} of {} bases are drawn; the list names all.", MOST_PLANS, bases.len()));
        html.tags("</p>");
    }
    html
}
