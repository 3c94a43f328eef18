//! Why a card must not be used although its calculation may be satisfied.
//!
//! What stands on a card in large type is what gets built, so every value on it is held against what was computed: the
//! values that clauses took or computed under that name, or else what the product says.

use super::{found, number};
use crate::compile::{CardEntry, CardUse, Check, Line, LineId, Mention, ScopeId, Value, Work};
use crate::evaluate::{Trace, Verdict};
use crate::library::{CardCondition, Piece, pieces};
use crate::quantity::print_shortest;
use crate::render::completeness::{completeness, unanswered};
use crate::render::math::{quantity_text, unit_of};
use crate::render::wording::Wording;
use std::collections::BTreeSet;

/// Parts by which two numbers may differ and still be the same: what rounding leaves.
const SAME: f64 = 1e-9;

/// Why each card must not be used, in plain words; nothing where it may be.
pub fn bars(wording: &Wording<'_>) -> Vec<String> {
    let mut told = Vec::new();
    for used in &wording.trace.compiled.notes.cards {
        let counts = conditions(wording, used).map(|condition| {
            let words = pieces(&condition.text).into_iter().map(|piece| match piece {
                Piece::Words(words) => words.to_owned(),
                Piece::Symbol(place) => match number(wording, used, place.symbol) {
                    Some(number) => print_shortest(number).to_text(),
                    None => format!("`{}`", place.symbol),
                },
            });
            words.collect::<String>()
        });
        let all = counts.chain(others(wording, used));
        told.extend(all.map(|words| format!("{}: not for use: {words}", used.title)));
    }
    told
}

/// The counts of a card that have to be zero and are not.
pub(super) fn conditions<'a>(wording: &'a Wording<'_>, used: &'a CardUse) -> impl Iterator<Item = &'a CardCondition> {
    let (text, _) = used.card.text();
    text.for_use.iter().filter(|condition| number(wording, used, &condition.zero) != Some(0.0))
}

/// What stands against any card, beside its own counts.
pub(super) fn others(wording: &Wording<'_>, used: &CardUse) -> Vec<String> {
    let trace = wording.trace;
    let (text, _) = used.card.text();
    let mut told = Vec::new();
    if !trace.checks().any(|(line, check)| trace.verdict(line, check) != Verdict::NotApplicable) {
        told.push("nothing is checked".to_owned());
    }
    if text.from_records {
        return told;
    }
    let modes = unanswered(&completeness(wording));
    if !modes.is_empty() {
        told.push(format!("failure modes without an answer: {}", modes.join(", ")));
    }
    let mut families = used.products.iter().filter_map(|(_, product)| product.family.as_ref());
    if !text.families.is_empty() && !families.any(|family| text.families.contains(&family.node)) {
        told.push(format!("no product data of the family {} stand behind `from`", text.families.join(" or ")));
    }
    for (line, product) in &used.products {
        if !is_rested_on(trace, *line) {
            told.push(format!(
                "nothing in this calculation rests on {}: name the product that was verified behind `from`",
                product.title
            ));
        }
    }
    told.extend(used.values.iter().filter_map(|entry| difference(wording, used, entry)));
    told
}

/// Whether a line is a data file, or a value of it.
fn is_of_file(trace: &Trace, line: LineId, file: LineId) -> bool {
    line == file || matches!(trace.compiled.notes.line(line).work, Work::FromData(of) if of == file)
}

/// Whether a check rests on a data file, itself or by what it names.
fn is_rested_on(trace: &Trace, file: LineId) -> bool {
    let notes = &trace.compiled.notes;
    let applies = |(line, check): &(LineId, &Check)| trace.verdict(*line, check) != Verdict::NotApplicable;
    let mut next: Vec<LineId> = trace.checks().filter(applies).map(|(line, _)| line).collect();
    let mut seen: BTreeSet<LineId> = next.iter().copied().collect();
    while let Some(line) = next.pop() {
        if is_of_file(trace, line, file) {
            return true;
        }
        let named = notes.line(line).mentions.iter().filter_map(|mention| mention.line);
        next.extend(named.filter(|line| seen.insert(*line)));
    }
    false
}

/// How a value on the card differs from what the calculation knows under its name; nothing where it does not.
fn difference(wording: &Wording<'_>, used: &CardUse, entry: &CardEntry) -> Option<String> {
    // What is not valid or no number is open on the card.
    found(wording, used, &entry.symbol)?;
    let trace = wording.trace;
    let (of_product, others) = taken(trace, used, entry);
    let is_other = |other: &&Value| same(trace, &entry.value, other) == Some(false);
    let (others, whose) = match (of_product.is_empty(), others.is_empty()) {
        // What clauses were told of the product agrees with the card in all of them, of the rest in one: others may be of
        // other fasteners.
        (false, _) if of_product.iter().any(is_other) => (of_product, "the clauses have"),
        (false, _) => return None,
        (true, false) if others.iter().all(is_other) => (others, "the clauses have"),
        (true, false) => return None,
        (true, true) => (vec![entry.of_product.as_ref().filter(is_other)?], "the data of the product have"),
    };
    let (text, _) = used.card.text();
    let name = match text.name_of(&entry.symbol) {
        Some(name) => format!("{name} ({})", entry.symbol),
        None => entry.symbol.clone(),
    };
    let mut words: Vec<String> = Vec::new();
    for other in others.iter().map(|other| in_words(trace, other)) {
        if !words.contains(&other) {
            words.push(other);
        }
    }
    let shown = in_words(trace, &entry.value);
    Some(format!(
        "{name} is {shown} on the card, and {whose} {}: show the value that was verified, or verify the one that is shown",
        words.join(" and ")
    ))
}

/// The numbers that clauses of the product took under the name of an entry, and all else that clauses took or computed
/// under it, as far as it can be held against the card.
fn taken<'a>(trace: &'a Trace, used: &CardUse, entry: &CardEntry) -> (Vec<&'a Value>, Vec<&'a Value>) {
    let notes = &trace.compiled.notes;
    let is_of_product = |mention: &Mention| {
        mention.line.is_some_and(|line| used.products.iter().any(|(file, _)| is_of_file(trace, line, *file)))
    };
    let takes = |line: &&Line| matches!(line.work, Work::Takes(_) | Work::Solved(_));
    let rests = notes.lines.iter().filter(takes).filter(|line| line.mentions.iter().any(is_of_product));
    let of_product: BTreeSet<ScopeId> = rests.map(|line| line.scope).collect();
    let named = |line: &&Line| line.scope != ScopeId(0) && line.symbol.as_deref() == Some(&entry.symbol);
    let lines = notes.lines.iter().filter(named);
    let lines = lines.filter(|line| same(trace, &entry.value, &line.value).is_some());
    // Clauses hand on to others what they have reduced, so that those count that the sheet itself uses.
    let is_told = |line: &&Line| {
        takes(line)
            && matches!(line.value, Value::Number(_))
            && notes.scope(line.scope).parent == Some(ScopeId(0))
            && of_product.contains(&line.scope)
    };
    let (told, others): (Vec<&Line>, Vec<&Line>) = lines.partition(is_told);
    let values = |lines: Vec<&'a Line>| lines.into_iter().map(|line| &line.value).collect();
    (values(told), values(others))
}

/// Whether two values are the same; nothing where they are of different kinds.
///
/// Of two tables the columns that both have are compared: a clause is handed no others.
fn same(trace: &Trace, a: &Value, b: &Value) -> Option<bool> {
    if let (Value::Table(a), Value::Table(b)) = (a, b) {
        let column = |name: &str| b.columns.iter().find(|(other, _)| other == name).map(|(_, list)| list);
        let shared: Vec<bool> = a
            .columns
            .iter()
            .filter_map(|(name, list)| same(trace, &Value::List(list.clone()), &Value::List(column(name)?.clone())))
            .collect();
        return (!shared.is_empty()).then(|| a.labels == b.labels && shared.iter().all(|same| *same));
    }
    if !a.kind().accepts(&b.kind()) || a.is_unknown() || b.is_unknown() {
        return None;
    }
    let (a, b) = (trace.numbers_of(a), trace.numbers_of(b));
    let is_same = |(a, b): (&f64, &f64)| (a - b).abs() <= SAME * a.abs().max(b.abs());
    Some(a.len() == b.len() && a.iter().zip(&b).all(is_same))
}

/// A value in a bar: a number in all its figures, so that what differs is seen to differ.
fn in_words(trace: &Trace, value: &Value) -> String {
    match value {
        Value::Number(number) => {
            let unit = unit_of(number);
            let si = trace.register(number.register);
            if unit.is_one() { print_shortest(unit.measured(si)).to_text() } else { unit.measured_text(si) }
        }
        Value::Table(table) => match table.labels.as_slice() {
            [] => "a table without rows".to_owned(),
            labels => format!("the table of {}", labels.join(", ")),
        },
        other => quantity_text(trace, other),
    }
}
