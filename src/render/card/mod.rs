//! Cards for the site: a page each, with numbers from the calculation in words from the card's file.

mod plan;
#[cfg(test)]
mod tests;

use super::markup::Markup;
use super::math;
use super::view::{CardItem, CardSectionView, CardView};
use super::wording::Wording;
use crate::compile::{CardUse, LineId, ScopeId, ScopePart, Value};
use crate::evaluate::{State, Verdict};
use crate::library::{Piece, Place, pieces};
use crate::quantity::print_shortest;
use plan::plan;

/// Labels up to here are marks such as `B3 A7`, which stay on one line; longer ones are words.
const LONGEST_MARK: usize = 24;

/// Every card of a sheet, in order.
pub fn cards(wording: &Wording<'_>) -> Vec<CardView> {
    let notes = &wording.trace.compiled.notes;
    let parts = notes.scope(ScopeId(0)).parts.iter();
    let used = parts.filter_map(|part| match part {
        ScopePart::Card(at) => Some((*at, &notes.cards[*at])),
        _ => None,
    });
    used.map(|(at, card)| view(wording, at, card)).collect()
}

/// The address of a card on its page, without `#`.
pub fn address(at: usize) -> String {
    format!("page:card-{}", at + 1)
}

fn view(wording: &Wording<'_>, at: usize, used: &CardUse) -> CardView {
    let (text, _) = used.card.text();
    let mut open: Vec<String> = Vec::new();
    let mut set = |words: &str| item(wording, used, words, &mut open);
    let bars = text.for_use.iter().filter(|condition| !is_zero(wording, used, &condition.zero));
    let bars = bars.filter_map(|condition| set(&condition.text)).collect();
    let values = text.values.iter().filter_map(|value| Some((value.label.clone(), set(&value.text)?))).collect();
    let sections = text.sections.iter().map(|section| CardSectionView {
        title: section.title.clone(),
        numbered: section.numbered,
        warning: section.warning,
        signed: section.signed,
        fields: match section.fields.is_empty() {
            true => vec!["initials and time".to_owned()],
            false => section.fields.clone(),
        },
        items: section.items.iter().filter_map(|words| set(words)).collect(),
    });
    // A section of which nothing is there says nothing.
    let sections = sections.filter(|section| !section.items.is_empty()).collect();
    let drawn = used.values.iter().find(|(name, ..)| name == "anchors" && text.plan).and_then(|(.., line)| *line);
    let verdict = wording.trace.verdict_of_sheet();
    CardView {
        id: address(at),
        title: used.title.clone(),
        kind: text.title.clone(),
        basis: text.basis.clone(),
        withheld: if verdict == Verdict::Satisfied { String::new() } else { verdict.words().to_owned() },
        bars,
        products: used.products.iter().map(|file| (file.title.clone(), file.notice.clone())).collect(),
        drawn: drawn.map_or_else(String::new, |line| wording.line(line).origin.text.clone()),
        values,
        sections,
        plan: if text.plan { plan(wording, used) } else { Markup::new() },
        open,
    }
}

/// Why a card must not be used although its calculation is satisfied, in plain words; nothing where it may be.
pub fn bars(wording: &Wording<'_>) -> Vec<String> {
    let mut told = Vec::new();
    for used in &wording.trace.compiled.notes.cards {
        let (text, _) = used.card.text();
        for condition in text.for_use.iter().filter(|condition| !is_zero(wording, used, &condition.zero)) {
            let words = pieces(&condition.text).into_iter().map(|piece| match piece {
                Piece::Words(words) => words.to_owned(),
                Piece::Symbol(place) => match number(wording, used, place.symbol) {
                    Some(number) => print_shortest(number).text,
                    None => format!("`{}`", place.symbol),
                },
            });
            told.push(format!("{}: not for use: {}", used.title, words.collect::<String>()));
        }
    }
    told
}

/// What is open on each card, in plain words; nothing where all that it needs is there and valid.
pub fn open(wording: &Wording<'_>) -> Vec<String> {
    let mut told = Vec::new();
    for used in &wording.trace.compiled.notes.cards {
        let (text, _) = used.card.text();
        let is_there = |symbol: &str| {
            let found = used.values.iter().find(|(name, ..)| name == symbol);
            found.is_some_and(|(_, _, line)| line.is_none_or(|line| wording.trace.state(line) == State::Sound))
        };
        let open: Vec<&str> = text
            .symbols()
            .into_iter()
            .filter(|symbol| text.needs(symbol) && !is_there(symbol))
            .map(|symbol| text.name_of(symbol).unwrap_or(symbol))
            .collect();
        if !open.is_empty() {
            told.push(format!("{}: open: {}", used.title, open.join(", ")));
        }
    }
    told
}

/// A plain number that stands on a card, where it is known.
fn number(wording: &Wording<'_>, used: &CardUse, symbol: &str) -> Option<f64> {
    let (_, value, line) = used.values.iter().find(|(name, ..)| name == symbol)?;
    let is_sound = line.is_none_or(|line| wording.trace.state(line) == State::Sound);
    match value {
        Value::Number(number) if is_sound => Some(wording.trace.register(number.register)),
        _ => None,
    }
}

/// Whether a count is known to be zero.
fn is_zero(wording: &Wording<'_>, used: &CardUse, symbol: &str) -> bool {
    number(wording, used, symbol) == Some(0.0)
}

/// Words with their values, each a link to the line that it is from; what has no value is named as open, or leaves the
/// item away where it need not be there.
fn item(wording: &Wording<'_>, used: &CardUse, words: &str, open: &mut Vec<String>) -> Option<CardItem> {
    let mut html = Markup::new();
    let mut is_open = false;
    for piece in pieces(words) {
        let place = match piece {
            Piece::Words(words) => {
                html.say(words);
                continue;
            }
            Piece::Symbol(place) => place,
        };
        let found = used.values.iter().find(|(name, ..)| name == place.symbol);
        let found = found.filter(|(_, _, line)| line.is_none_or(|line| wording.trace.state(line) == State::Sound));
        match (found, place) {
            (Some((.., Some(line))), Place { is_words: true, .. }) if !wording.line(*line).description.is_empty() => {
                html.say(&wording.line(*line).description);
            }
            (Some((_, value, line)), Place { is_words: false, .. }) => {
                value_on_card(wording, &mut html, value, *line);
            }
            (_, Place { is_optional: true, .. }) => return None,
            (_, Place { symbol, .. }) => {
                let (text, _) = used.card.text();
                let name = text.name_of(symbol).unwrap_or(symbol);
                html.tags("<span class=\"open\">open: ");
                html.say(name);
                html.tags("</span>");
                is_open = true;
                if !open.iter().any(|other| other == name) {
                    open.push(name.to_owned());
                }
            }
        }
    }
    Some(CardItem { html, is_open })
}

fn value_on_card(wording: &Wording<'_>, html: &mut Markup, value: &Value, line: Option<LineId>) {
    html.tags("<b>");
    if let Some(line) = line {
        html.tags("<a href=\"#");
        html.say(wording.addresses.line(line));
        html.tags("\">");
    }
    match value {
        // Whoever stands on site needs every one of them, and none of them parted at its hyphen.
        Value::Table(table) if !table.labels.is_empty() => {
            for (at, label) in table.labels.iter().enumerate() {
                let is_mark = label.chars().count() <= LONGEST_MARK;
                html.tags(if at == 0 { "" } else { ", " });
                html.tags(if is_mark { "<span class=\"no\">" } else { "<span>" });
                html.say(label);
                html.tags("</span>");
            }
        }
        Value::Table(table) => html.say(&math::rows_text(table)),
        value => html.push(math::quantity_html(wording.trace, value)),
    }
    if line.is_some() {
        html.tags("</a>");
    }
    html.tags("</b>");
}
