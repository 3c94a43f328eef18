//! Values as MathML, as HTML and as plain text.

use super::node::Node;
use super::text::unit_text;
use super::write::{has_space, push_exponent};
use crate::compile::{Line, List, Number, Table, Value, Work};
use crate::evaluate::Trace;
use crate::quantity::{DisplayUnits, Exponent, Printed, Unit, print_as_typed, print_number, print_shortest};
use crate::render::markup::{Markup, escape};
use std::borrow::Cow;
use std::fmt::Write;
use std::sync::LazyLock;

/// A value as inline HTML, which breaks only between the values of a list.
pub fn quantity_html(trace: &Trace, value: &Value) -> Markup {
    let mut out = String::new();
    write_as(&mut out, trace, value, Form::Html);
    Markup::trusted(out)
}

/// A value as plain text.
pub fn quantity_text(trace: &Trace, value: &Value) -> String {
    let mut out = String::new();
    write_as(&mut out, trace, value, Form::Text);
    out
}

/// Writes a value as inline HTML.
pub(super) fn write_value(out: &mut String, trace: &Trace, value: &Value) {
    write_as(out, trace, value, Form::Html);
}

#[derive(Copy, Clone, Eq, PartialEq)]
enum Form {
    Html,
    Text,
}

/// A value as part of a formula; nothing for what is no single value: a table, a data file.
///
/// With a bare unit its numbers are printed in that unit, and without it.
pub(super) fn value_node<'a>(trace: &Trace, value: &'a Value, bare: Option<&Unit>) -> Option<Node<'a>> {
    Some(match value {
        Value::Number(number) => number_node(trace, number, bare),
        Value::Truth(_) | Value::Word(_) | Value::Row(_) => Node::word(word(trace, value)),
        Value::List(list) => match shared_unit(list, bare) {
            Some(unit) => {
                let items = list.items.iter().filter_map(|item| match item {
                    Value::Number(number) => Some(Node::quantity(printed(trace, number, bare).0, None)),
                    _ => None,
                });
                Node::list(items.collect(), (!unit.is_one()).then_some(unit))
            }
            None => {
                let items = list.items.iter().filter_map(|item| value_node(trace, item, bare));
                Node::list(items.collect(), None)
            }
        },
        Value::Table(_) | Value::Data(_) | Value::Unknown => return None,
    })
}

fn number_node<'a>(trace: &Trace, number: &'a Number, bare: Option<&Unit>) -> Node<'a> {
    let (printed, unit) = printed(trace, number, bare);
    if trace.register(number.register).is_finite() { Node::quantity(printed, unit) } else { Node::word(printed.text) }
}

/// A number as it is shown, and its unit unless that is one or left aside.
pub(super) fn printed<'a>(trace: &Trace, number: &'a Number, bare: Option<&Unit>) -> (Printed, Option<Cow<'a, Unit>>) {
    let own = unit_of(number);
    let shown = number.shown.as_deref();
    let value = trace.register(number.register);
    // What is left of values that cancel, far below anything that can be built or measured in its unit.
    let value = if value.abs() < NOISE * own.to_si(1.0) { 0.0 } else { value };
    let typed = shown
        .and_then(|shown| shown.digits.as_deref())
        .filter(|_| bare.is_none_or(|bare| *bare == *own))
        .and_then(print_typed);
    let printed = typed.unwrap_or_else(|| {
        let figures = shown.and_then(|shown| shown.figures);
        // A count of fasteners, or a factor that is exactly one, is not known to three figures but exactly.
        if figures.is_none() && own.is_one() && value.fract() == 0.0 && value.abs() < 1e6 {
            return print_shortest(value);
        }
        print_number(bare.unwrap_or(&own).from_si(value), figures.unwrap_or(trace.compiled.figures))
    });
    let has_unit = bare.is_none() && !own.is_one() && value.is_finite();
    (printed, has_unit.then_some(own))
}

/// Units for what nobody gave one.
static SI: LazyLock<DisplayUnits> = LazyLock::new(DisplayUnits::si);

/// Derived numbers smaller than this, in the unit that they are shown in, are shown as zero.
const NOISE: f64 = 1e-9;

/// The unit in which a number is shown.
pub fn unit_of(number: &Number) -> Cow<'_, Unit> {
    match number.shown.as_deref() {
        Some(shown) => Cow::Borrowed(&shown.unit),
        None if number.dimension.is_none() => Cow::Owned(Unit::one()),
        None => Cow::Owned(SI.choose(number.dimension)),
    }
}

/// Digits as typed, whose sign is a true minus already.
fn print_typed(digits: &str) -> Option<Printed> {
    match digits.strip_prefix('−') {
        Some(digits) => {
            print_as_typed(digits).map(|printed| Printed { text: format!("−{}", printed.text), ..printed })
        }
        None => print_as_typed(digits),
    }
}

/// The unit that all numbers of a list are shown in; nothing if they differ or are no numbers.
pub(super) fn shared_unit<'a>(list: &'a List, bare: Option<&Unit>) -> Option<Cow<'a, Unit>> {
    let mut shared: Option<Cow<'a, Unit>> = None;
    for item in &list.items {
        let Value::Number(number) = item else { return None };
        let unit = unit_of(number);
        match &shared {
            Some(shared) if **shared != *unit => return None,
            Some(_) => {}
            None => shared = Some(unit),
        }
    }
    match bare {
        Some(_) => shared.map(|_| Cow::Owned(Unit::one())),
        None => shared,
    }
}

/// Yes or no, a word of a set, a row's label.
fn word<'a>(trace: &Trace, value: &'a Value) -> Cow<'a, str> {
    match value {
        Value::Truth(register) => match trace.register(*register) {
            truth if truth.is_nan() => "undecided".into(),
            0.0 => "no".into(),
            _ => "yes".into(),
        },
        Value::Word(word) => {
            let place = trace.register(word.register);
            let found = word.set.iter().enumerate().find(|(at, _)| *at as f64 == place);
            found.map_or("undecided".into(), |(_, word)| word.as_str().into())
        }
        // What a routine gives has no label: its results are named on lines of their own.
        Value::Row(row) if row.label.is_empty() => format!("{} results", row.fields.len()).into(),
        Value::Row(row) => row.label.as_str().into(),
        _ => "".into(),
    }
}

/// What stands for a value that is too large for a line.
fn thing_text(value: &Value) -> String {
    match value {
        Value::Table(table) if table.labels.len() == 1 => "table of 1 row".to_owned(),
        Value::Table(table) => format!("table of {} rows", table.labels.len()),
        Value::Data(data) => data.file.title.clone(),
        _ => String::new(),
    }
}

/// Rows that a line names one by one; of a longer table it names the first and the last.
const MOST_ROWS: usize = 24;

/// The rows of a table by their labels, all of them; in a label a line does not break.
pub fn rows_text(table: &Table) -> String {
    let unbroken = |label: &String| label.replace(' ', "\u{a0}");
    match table.labels.as_slice() {
        [] => "none".to_owned(),
        labels => labels.iter().map(unbroken).collect::<Vec<_>>().join(", "),
    }
}

/// Numbers of a table that a line shows one by one.
const MOST_CELLS: usize = 24;

/// The rows of a table whose labels only count them, such as the corners of a polygon: `(x, y) = (−210, −160), … mm`.
fn cells_text(trace: &Trace, table: &Table) -> Option<String> {
    let counts = table.labels.iter().enumerate().all(|(at, label)| *label == (at + 1).to_string());
    let numbers = table.labels.len() * table.columns.len();
    if !counts || numbers == 0 || numbers > MOST_CELLS {
        return None;
    }
    let lists: Vec<&List> = table.columns.iter().map(|(_, list)| list).collect();
    let units: Vec<Cow<Unit>> = lists.iter().map(|list| shared_unit(list, None)).collect::<Option<_>>()?;
    let [first, others @ ..] = units.as_slice() else { return None };
    let row = |at: usize| {
        let cells = lists.iter().filter_map(|list| match list.items.get(at) {
            Some(Value::Number(number)) => Some(printed(trace, number, None).0.to_string()),
            _ => None,
        });
        format!("({})", cells.collect::<Vec<_>>().join(",\u{a0}"))
    };
    let names: Vec<&str> = table.columns.iter().map(|(name, _)| name.as_str()).collect();
    let rows: Vec<String> = (0..table.labels.len()).map(row).collect();
    let mut text = format!("({}) = {}", names.join(",\u{a0}"), rows.join(", "));
    if others.iter().all(|unit| unit == first) {
        write_unit(&mut text, first, Form::Text);
        return Some(text);
    }
    None
}

/// What a line came to, as plain text: a table that was computed by its rows, which were not known before.
pub fn result_text(trace: &Trace, line: &Line) -> String {
    match (&line.work, &line.value) {
        (Work::Derive, Value::Table(table)) if let Some(cells) = cells_text(trace, table) => cells,
        (Work::Derive, Value::Table(table)) => match table.labels.as_slice() {
            [first, .., last] if table.labels.len() > MOST_ROWS => {
                format!("{} rows, {first} to {last}", table.labels.len())
            }
            _ => rows_text(table),
        },
        (_, value) => quantity_text(trace, value),
    }
}

fn write_as(out: &mut String, trace: &Trace, value: &Value, form: Form) {
    match value {
        Value::Number(number) => {
            let (printed, unit) = printed(trace, number, None);
            write_number(out, &printed, form);
            if let Some(unit) = unit {
                write_unit(out, &unit, form);
            }
        }
        Value::List(list) => {
            let unit = shared_unit(list, None);
            out.push('(');
            for (at, item) in list.items.iter().enumerate() {
                if at > 0 {
                    out.push_str(", ");
                }
                match (item, &unit) {
                    (Value::Number(number), Some(_)) => write_number(out, &printed(trace, number, None).0, form),
                    _ => write_as(out, trace, item, form),
                }
            }
            out.push(')');
            if let Some(unit) = unit {
                write_unit(out, &unit, form);
            }
        }
        Value::Truth(_) | Value::Word(_) | Value::Row(_) => write_text(out, &word(trace, value), form),
        Value::Table(_) | Value::Data(_) | Value::Unknown => write_text(out, &thing_text(value), form),
    }
}

fn write_text(out: &mut String, text: &str, form: Form) {
    match form {
        Form::Html => escape(out, text),
        Form::Text => out.push_str(text),
    }
}

/// A number in HTML or text.
fn write_number(out: &mut String, number: &Printed, form: Form) {
    match (form, number.exponent) {
        (Form::Html, Some(exponent)) => {
            out.push_str(&number.text);
            out.push_str("\u{202f}×\u{202f}10<sup>");
            push_exponent(out, exponent);
            out.push_str("</sup>");
        }
        _ => {
            let _ = write!(out, "{number}");
        }
    }
}

fn write_unit(out: &mut String, unit: &Unit, form: Form) {
    let is_plain = unit.factors().all(|(_, exponent)| exponent.is_integer());
    if form == Form::Text || is_plain {
        unit_text(out, unit);
        return;
    }
    // There is no character for a power such as 0.5.
    if has_space(unit) {
        out.push('\u{202f}');
    }
    for (at, (symbol, exponent)) in unit.factors().enumerate() {
        if at > 0 {
            out.push('·');
        }
        escape(out, symbol);
        if exponent != Exponent::ONE {
            let _ = write!(out, "<sup>{exponent}</sup>");
        }
    }
}

/// A unit by itself in HTML, for the head of a column.
pub(super) fn unit_html(out: &mut String, unit: &Unit) {
    let mut text = String::new();
    write_unit(&mut text, unit, Form::Html);
    out.push_str(text.trim_start_matches('\u{202f}'));
}

/// A number without its unit in HTML, for a cell of a column.
pub(super) fn number_html(out: &mut String, trace: &Trace, number: &Number) {
    write_number(out, &printed(trace, number, None).0, Form::Html);
}
