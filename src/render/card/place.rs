//! What stands in a place of a card: a value, its words, a count of rows, or what a tolerance allows.

use crate::compile::{CardEntry, CardUse, Number, Value};
use crate::library::{Form, Place};
use crate::quantity::print_shortest;
use crate::render::markup::Markup;
use crate::render::math::{self, unit_of};
use crate::render::wording::Wording;

/// Bounds are shown to four figures, more than a torque wrench has: so many thousandths of the first one.
const THOUSAND: f64 = 1000.0;
const THREE: i32 = 3;
/// What binary numbers leave beside a whole one.
const NOISE: f64 = 1e-6;

/// The least and the greatest value that a tolerance allows, in SI; nothing where there is none, or nothing is left.
pub(super) fn bounds(wording: &Wording<'_>, used: &CardUse, place: Place<'_>) -> Option<(f64, f64)> {
    let (Value::Number(middle), Value::Number(tolerance)) =
        (&used.entry(place.symbol)?.value, &used.entry(place.tolerance()?)?.value)
    else {
        return None;
    };
    let value = wording.trace.register(middle.register);
    let width = wording.trace.register(tolerance.register);
    let width = if tolerance.dimension == middle.dimension { width } else { width * value.abs() };
    // A tolerance as large as the value itself was given in another unit than it was meant in.
    (width >= 0.0 && width < value.abs()).then_some((value - width, value + width))
}

/// Whether a place whose values are all there stands for nothing nevertheless.
pub(super) fn is_void(wording: &Wording<'_>, used: &CardUse, place: Place<'_>) -> bool {
    let Some(entry) = used.entry(place.symbol) else { return true };
    match place.form {
        Form::Words => words(wording, entry).is_empty(),
        Form::Some => wording.trace.numbers_of(&entry.value).iter().all(|number| *number == 0.0),
        Form::Between(_) | Form::AtMost(_) => bounds(wording, used, place).is_none(),
        Form::Value | Form::Count | Form::Each => false,
    }
}

/// Writes what stands in a place, of a table that the item names row by row the one row.
pub(super) fn write(
    wording: &Wording<'_>,
    html: &mut Markup,
    used: &CardUse,
    (place, row): (Place<'_>, Option<&String>),
) {
    let Some(entry) = used.entry(place.symbol) else { return };
    let value = match (place.form, &entry.value) {
        (Form::Words, _) => return html.say(words(wording, entry)),
        (Form::Count, Value::Table(table)) => Markup::text(&table.labels.len().to_string()),
        (Form::Each, Value::Table(table)) => labels(row.map_or(table.labels.as_slice(), std::slice::from_ref)),
        (Form::Between(_) | Form::AtMost(_), Value::Number(number)) => {
            let Some((least, most)) = bounds(wording, used, place) else { return };
            let [least, most] =
                [(least, false), (most, true)].map(|(bound, is_most)| bound_text(number, bound, is_most));
            match place.form {
                Form::Between(_) => Markup::text(&format!("{least} to {most}")),
                _ => Markup::text(&most),
            }
        }
        // Whoever stands on site needs every one of them, and none of them parted at its hyphen.
        (_, Value::Table(table)) if !table.labels.is_empty() => labels(&table.labels),
        (_, Value::Table(table)) => Markup::text(&math::rows_text(table)),
        (_, value) => math::quantity_html(wording.trace, value),
    };
    linked(wording, html, entry, value);
}

/// The words of the line that a value is from.
fn words<'a>(wording: &'a Wording<'_>, entry: &CardEntry) -> &'a str {
    entry.line.map_or("", |line| wording.line(line).description.as_str())
}

/// A bound in the unit of the value that it bounds, rounded into what is allowed.
fn bound_text(of: &Number, bound: f64, is_most: bool) -> String {
    let unit = unit_of(of);
    let value = unit.measured(bound);
    let written = format!("{value:.11e}");
    let parts = written.split_once('e').and_then(|(mantissa, exponent)| {
        Some((mantissa.parse::<f64>().ok()? * THOUSAND, exponent.parse::<i32>().ok()? - THREE))
    });
    let rounded = parts.and_then(|(thousands, exponent)| {
        let whole = if is_most { (thousands + NOISE).floor() } else { (thousands - NOISE).ceil() };
        format!("{whole}e{exponent}").parse().ok()
    });
    let rounded = rounded.unwrap_or(value);
    let text = print_shortest(rounded).to_text();
    if unit.is_one() { text } else { format!("{text}\u{a0}{unit}") }
}

/// Labels up to here are marks such as `B3 A7`, which stay on one line; longer ones break between words.
const LONGEST_MARK: usize = 24;

/// A mark, a day or a word of a few letters, which stays on one line.
fn unbroken(html: &mut Markup, word: &str) {
    html.tags("<span class=\"no\">");
    html.say(word);
    html.tags("</span>");
}

fn labels(labels: &[String]) -> Markup {
    let mut html = Markup::new();
    for (at, label) in labels.iter().enumerate() {
        html.tags(if at == 0 { "" } else { ", " });
        if label.chars().count() <= LONGEST_MARK {
            unbroken(&mut html, label);
            continue;
        }
        for (at, word) in label.split(' ').enumerate() {
            html.tags(if at == 0 { "" } else { " " });
            if word.chars().count() <= LONGEST_MARK { unbroken(&mut html, word) } else { html.say(word) }
        }
    }
    html
}

/// In bold, leading to the line that it is from.
fn linked(wording: &Wording<'_>, html: &mut Markup, entry: &CardEntry, values: Markup) {
    html.tags("<b>");
    if let Some(line) = entry.line {
        html.tags("<a href=\"#");
        html.say(wording.addresses.line(line));
        html.tags("\">");
    }
    html.push(values);
    if entry.line.is_some() {
        html.tags("</a>");
    }
    html.tags("</b>");
}
