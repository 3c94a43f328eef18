//! An old and a new value as text, with as many figures as it takes to tell them apart.

use super::math::quantity_text;
use crate::compile::{List, Number, Row, Shown, Table, Value};
use crate::evaluate::Trace;
use crate::quantity::{DisplayUnits, Unit, print_shortest};
use std::collections::BTreeSet;
use std::sync::Arc;

/// Figures beyond which two numbers count as the same.
const MOST_FIGURES: usize = 12;

/// Both values; of tables the cells that differ.
pub fn texts(old: (&Trace, &Value), new: (&Trace, &Value)) -> (String, String) {
    if let (Value::Table(a), Value::Table(b)) = (old.1, new.1) {
        return cells((old.0, a), (new.0, b));
    }
    let plain = (quantity_text(old.0, old.1), quantity_text(new.0, new.1));
    if plain.0 != plain.1 || is_same(old, new) {
        return plain;
    }
    for figures in 4..=MOST_FIGURES {
        let text = |(trace, value): (&Trace, &Value)| quantity_text(trace, &to_figures(value, figures));
        let (a, b) = (text(old), text(new));
        if a != b {
            return (a, b);
        }
    }
    (in_full(old), in_full(new))
}

/// Whether two values have the same numbers.
pub fn is_same(old: (&Trace, &Value), new: (&Trace, &Value)) -> bool {
    let (a, b) = (old.0.numbers_of(old.1), new.0.numbers_of(new.1));
    a.len() == b.len() && a.iter().zip(&b).all(|(a, b)| a == b || (a.is_nan() && b.is_nan()))
}

/// By how many per cent a number changed; nothing where it was zero, or where one of the two is no number.
pub fn percent(old: f64, new: f64) -> Option<f64> {
    let percent = (new - old) / old.abs() * 100.0;
    percent.is_finite().then_some(percent)
}

/// A change in per cent, with its sign: `+11.1 %`, `−0.0021 %`.
pub fn percent_text(percent: f64) -> String {
    let size = percent.abs();
    let digits = match size {
        size if size >= 99.95 => format!("{size:.0}"),
        size if size >= 0.095 => format!("{size:.1}"),
        size => format!("{size:.1e}"),
    };
    let digits = match digits.split_once('e') {
        Some((digits, exponent)) => format!("{digits}×10^{exponent}"),
        None => digits,
    };
    let sign = if percent < 0.0 { '\u{2212}' } else { '+' };
    format!("{sign}{digits}\u{202f}%")
}

/// The numbers of two values of one dimension.
pub fn numbers(old: (&Trace, &Value), new: (&Trace, &Value)) -> Option<(f64, f64)> {
    match (old.1, new.1) {
        (Value::Number(a), Value::Number(b)) if a.dimension == b.dimension => {
            Some((old.0.register(a.register), new.0.register(b.register)))
        }
        _ => None,
    }
}

/// The cells in which two tables differ, each with its row and column.
fn cells(old: (&Trace, &Table), new: (&Trace, &Table)) -> (String, String) {
    let (mut was, mut is) = (Vec::new(), Vec::new());
    let labels = |(_, table): (&Trace, &Table)| table.labels.clone();
    let columns =
        |(_, table): (&Trace, &Table)| -> Vec<String> { table.columns.iter().map(|(name, _)| name.clone()).collect() };
    for label in union(labels(old), labels(new)) {
        for column in union(columns(old), columns(new)) {
            let (a, b) = (cell(old.1, &label, &column), cell(new.1, &label, &column));
            let named = |text: String| format!("{label} {column} {text}");
            match (a, b) {
                (Some(a), Some(b)) => {
                    let (a, b) = texts((old.0, a), (new.0, b));
                    if a != b {
                        was.push(named(a));
                        is.push(named(b));
                    }
                }
                (Some(a), None) => was.push(named(quantity_text(old.0, a))),
                (None, Some(b)) => is.push(named(quantity_text(new.0, b))),
                (None, None) => {}
            }
        }
    }
    if was.is_empty() && is.is_empty() {
        // The rows are the same and stand in another order.
        return (labels(old).join(", "), labels(new).join(", "));
    }
    (was.join(", "), is.join(", "))
}

fn cell<'a>(table: &'a Table, label: &str, column: &str) -> Option<&'a Value> {
    let row = table.labels.iter().position(|own| own == label)?;
    let (_, list) = table.columns.iter().find(|(own, _)| own == column)?;
    list.items.get(row)
}

/// The names of one list, then those that only the other has.
fn union(first: Vec<String>, second: Vec<String>) -> Vec<String> {
    let known: BTreeSet<String> = first.iter().cloned().collect();
    first.into_iter().chain(second.into_iter().filter(|name| !known.contains(name))).collect()
}

/// A value whose numbers are shown to a count of figures, whatever was typed.
fn to_figures(value: &Value, figures: usize) -> Value {
    let list = |list: &List| List {
        items: list.items.iter().map(|item| to_figures(item, figures)).collect(),
        element: list.element.clone(),
    };
    match value {
        Value::Number(number) => {
            let shown = Shown { unit: unit_of(number), digits: None, figures: Some(figures) };
            Value::Number(Number { shown: Some(Arc::new(shown)), ..number.clone() })
        }
        Value::List(own) => Value::List(list(own)),
        Value::Row(row) => {
            let fields = row.fields.iter().map(|(name, value)| (name.clone(), to_figures(value, figures)));
            Value::Row(Arc::new(Row { label: row.label.clone(), fields: fields.collect() }))
        }
        Value::Truth(_) | Value::Word(_) | Value::Table(_) | Value::Data(_) | Value::Unknown => value.clone(),
    }
}

fn unit_of(number: &Number) -> Unit {
    match &number.shown {
        Some(shown) => shown.unit.clone(),
        None if number.dimension.is_none() => Unit::one(),
        None => DisplayUnits::si().choose(number.dimension),
    }
}

/// Every number with all of its figures: for what is so close to zero that it is shown as zero.
fn in_full((trace, value): (&Trace, &Value)) -> String {
    match value {
        Value::Number(number) => {
            let unit = unit_of(number);
            let printed = print_shortest(unit.from_si(trace.register(number.register)));
            if unit.is_one() { printed.to_text() } else { format!("{printed} {unit}") }
        }
        Value::List(list) => {
            let items: Vec<String> = list.items.iter().map(|item| in_full((trace, item))).collect();
            format!("({})", items.join(", "))
        }
        Value::Row(row) => {
            let fields = row.fields.iter().map(|(name, value)| format!("{name} {}", in_full((trace, value))));
            format!("{}: {}", row.label, fields.collect::<Vec<_>>().join(", "))
        }
        other => quantity_text(trace, other),
    }
}
