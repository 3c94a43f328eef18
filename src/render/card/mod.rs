//! Cards for the site: a page each, with numbers from the calculation in words from the card's file.
//!
//! 1. `view` fills the words of a card; what has no value is named as open, and nobody guesses;
//! 2. `bars` says why a card must not be used although its calculation may be satisfied;
//! 3. `plan` draws where the fasteners stand.

mod bars;
mod place;
mod plan;
#[cfg(test)]
mod tests;

use super::markup::Markup;
use super::view::{CardItem, CardSectionView, CardValueView, CardView};
use super::wording::Wording;
use crate::compile::{CardEntry, CardUse, ScopeId, ScopePart, Value};
use crate::evaluate::{State, Verdict};
use crate::library::{Form, Origin, Piece, Place, pieces};
use plan::plan;

pub use bars::bars;

/// Letters in a line of a card in large type.
const LINE: usize = 95;
/// Lines of a card in large type that fit on a leaf below its plan.
const MOST_LINES: usize = 52;

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
    let counts =
        bars::conditions(wording, used).filter_map(|condition| item(wording, used, &condition.text, &mut open));
    let mut bars: Vec<CardItem> = counts.collect();
    let others = bars::others(wording, used).into_iter();
    bars.extend(others.map(|words| CardItem { html: Markup::text(&words), is_open: false }));
    let mut values = Vec::new();
    for value in &text.values {
        let Some(item) = item(wording, used, &value.text, &mut open) else { continue };
        // A limit that nobody knows is open beside the value, which stands.
        let note = if value.note.is_empty() { None } else { self::item(wording, used, &value.note, &mut open) };
        values.push(CardValueView { label: value.label.clone(), item, note });
    }
    let sections = text.sections.iter().map(|section| CardSectionView {
        title: section.title.clone(),
        numbered: section.numbered,
        warning: section.warning,
        signed: section.signed,
        by_row: section.signed && section.items.iter().any(|words| each(words).is_some()),
        fields: match section.fields.is_empty() {
            true => vec!["initials and time".to_owned()],
            false => section.fields.clone(),
        },
        items: section.items.iter().flat_map(|words| items(wording, used, words, &mut open)).collect(),
    });
    let sections = sections.filter(|section| !section.items.is_empty()).collect::<Vec<CardSectionView>>();
    let is_long = lines_of(&values, &sections) > MOST_LINES;
    let drawn = used.entry("anchors").filter(|_| text.plan).and_then(|entry| entry.line);
    let verdict = wording.trace.verdict_of_sheet();
    CardView {
        id: address(at),
        title: used.title.clone(),
        kind: text.title.clone(),
        basis: text.basis.clone(),
        replaces: if used.card.origin == Origin::Override { used.card.path.clone() } else { String::new() },
        withheld: if verdict == Verdict::Satisfied { String::new() } else { verdict.words().to_owned() },
        bars,
        products: used.products.iter().map(|(_, file)| (file.title.clone(), file.notice.clone())).collect(),
        drawn: drawn.map_or_else(String::new, |line| wording.line(line).origin.text.clone()),
        values,
        sections,
        plan: if text.plan { plan(wording, used) } else { Markup::new() },
        open,
        settled: if text.from_records { "before it is signed" } else { "before work begins" }.to_owned(),
        is_long,
    }
}

/// About how many lines a card takes beside its plan, set in large type.
fn lines_of(values: &[CardValueView], sections: &[CardSectionView]) -> usize {
    let lines = |section: &CardSectionView| {
        let of_item = |item: &CardItem| 1 + letters(&item.html) / LINE + usize::from(section.signed);
        2 + section.items.iter().map(of_item).sum::<usize>()
    };
    values.len() + sections.iter().map(lines).sum::<usize>()
}

/// How many letters of a text are read.
fn letters(html: &Markup) -> usize {
    html.as_str().split('<').map(|part| part.split_once('>').map_or(part, |(_, text)| text).chars().count()).sum()
}

/// What is open on each card, in plain words; nothing where all that it needs is there and valid.
pub fn open(wording: &Wording<'_>) -> Vec<String> {
    let mut told = Vec::new();
    for used in &wording.trace.compiled.notes.cards {
        let (text, _) = used.card.text();
        let mut open: Vec<&str> = Vec::new();
        for missing in text.places().filter(|place| !place.is_optional).filter_map(|place| lack(wording, used, place)) {
            let name = text.name_of(missing).unwrap_or(missing);
            if !open.contains(&name) {
                open.push(name);
            }
        }
        for condition in &text.for_use {
            let name = text.name_of(&condition.zero).unwrap_or(&condition.zero);
            if found(wording, used, &condition.zero).is_none() && !open.contains(&name) {
                open.push(name);
            }
        }
        if !open.is_empty() {
            told.push(format!("{}: open: {}", used.title, open.join(", ")));
        }
    }
    told
}

/// A value that a card may show: every line that it is from is valid, and every number in it is one.
fn found<'a>(wording: &Wording<'_>, used: &'a CardUse, symbol: &str) -> Option<&'a CardEntry> {
    let is_sound = |entry: &&CardEntry| {
        entry.lines.iter().all(|line| wording.trace.state(*line) == State::Sound)
            && wording.trace.numbers_of(&entry.value).iter().all(|number| number.is_finite())
    };
    used.entry(symbol).filter(is_sound)
}

/// The symbol without whose value a place stays open.
fn lack<'a>(wording: &Wording<'_>, used: &CardUse, place: Place<'a>) -> Option<&'a str> {
    let missing = place.symbols().find(|symbol| found(wording, used, symbol).is_none());
    missing.or_else(|| place::is_void(wording, used, place).then(|| place.tolerance().unwrap_or(place.symbol)))
}

/// A plain number that stands on a card, where it is known.
fn number(wording: &Wording<'_>, used: &CardUse, symbol: &str) -> Option<f64> {
    match &found(wording, used, symbol)?.value {
        Value::Number(number) => Some(wording.trace.register(number.register)),
        _ => None,
    }
}

/// Words with their values: once for each row of a table where they ask for it, else once or, without a value that need
/// not be there, not at all.
fn items(wording: &Wording<'_>, used: &CardUse, words: &str, open: &mut Vec<String>) -> Vec<CardItem> {
    let table = each(words).and_then(|symbol| found(wording, used, symbol)).map(|entry| &entry.value);
    let Some(Value::Table(table)) = table else {
        return item(wording, used, words, open).into_iter().collect();
    };
    table.labels.iter().filter_map(|label| item_of_row(wording, used, (words, Some(label)), open)).collect()
}

/// The table for each of whose rows an item stands.
fn each(words: &str) -> Option<&str> {
    pieces(words).into_iter().find_map(|piece| match piece {
        Piece::Symbol(place) if place.form == Form::Each => Some(place.symbol),
        _ => None,
    })
}

fn item(wording: &Wording<'_>, used: &CardUse, words: &str, open: &mut Vec<String>) -> Option<CardItem> {
    item_of_row(wording, used, (words, None), open)
}

/// Words with their values, each a link to the line that it is from; what has no value is named as open, or leaves the
/// item away where it need not be there.
fn item_of_row(
    wording: &Wording<'_>,
    used: &CardUse,
    (words, row): (&str, Option<&String>),
    open: &mut Vec<String>,
) -> Option<CardItem> {
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
        match lack(wording, used, place) {
            None => place::write(wording, &mut html, used, (place, row)),
            Some(_) if place.is_optional => return None,
            Some(missing) => {
                let (text, _) = used.card.text();
                let name = text.name_of(missing).unwrap_or(missing);
                html.tags("<span class=\"open\">open<span class=\"of\">: ");
                html.say(name);
                html.tags("</span></span>");
                is_open = true;
                if !open.iter().any(|other| other == name) {
                    open.push(name.to_owned());
                }
            }
        }
    }
    Some(CardItem { html, is_open })
}
