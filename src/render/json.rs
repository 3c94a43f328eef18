//! Every value of a calculation as JSON: value, unit, formula, reference, ratio.

use super::address::Addresses;
use super::math;
use super::present::reference_text;
use crate::compile::{Line, LineId, Number, Value, Work};
use crate::document::FrontMatter;
use crate::evaluate::{State, Trace};
use crate::quantity::Unit;
use crate::syntax::{Definition, StatementKind, print_expression, print_giving, print_statement};
use serde_json::{Map, Value as Json, json};

/// The document, with a line end.
pub fn to_json(front: &FrontMatter, trace: &Trace, digest: &str) -> String {
    let addresses = Addresses::new(trace);
    let lines: Vec<Json> = trace
        .order
        .iter()
        .filter(|id| !matches!(trace.compiled.notes.line(**id).work, Work::Figure))
        .map(|id| line_json(trace, &addresses, *id))
        .collect();
    let document = json!({
        "number": front.number,
        "title": front.title,
        "revision": front.revision,
        "verdict": trace.verdict_of_sheet().words(),
        "digest": digest,
        "lines": lines,
    });
    // Printing a document of strings and finite numbers cannot fail.
    let mut text = serde_json::to_string_pretty(&document).unwrap_or_default();
    text.push('\n');
    text
}

fn line_json(trace: &Trace, addresses: &Addresses, id: LineId) -> Json {
    let line = trace.compiled.notes.line(id);
    let mut object = Map::new();
    let mut set = |key: &str, value: Json| {
        object.insert(key.to_owned(), value);
    };
    set("line", trace.number(id).into());
    set("id", addresses.line(id).into());
    let scope = &trace.compiled.notes.scope(line.scope).path;
    if !scope.is_empty() {
        set("scope", scope.as_str().into());
    }
    if let Some(symbol) = &line.symbol {
        set("symbol", symbol.as_str().into());
    }
    if !line.description.is_empty() {
        set("description", line.description.as_str().into());
    }
    set("formula", formula_text(line).into());
    if let Some(unit) = unit_of(&line.value).filter(|unit| !unit.is_one()) {
        set("unit", unit.to_string().into());
    }
    match &line.work {
        Work::Check(check) => {
            set("demand", value_json(trace, &check.demand));
            set("resistance", value_json(trace, &check.resistance));
            if let Some(unit) = unit_of(&check.demand).filter(|unit| !unit.is_one()) {
                set("unit", unit.to_string().into());
            }
            set("ratio", number_json(trace.register(check.ratio)));
            set("verdict", trace.verdict(id, check).words().into());
        }
        Work::Use(_) => {}
        _ => {
            set("value", value_json(trace, &line.value));
            set("shown", math::quantity_text(trace, &line.value).into());
        }
    }
    let reference = reference_text(line);
    if !reference.is_empty() {
        set("reference", reference.into());
    }
    if trace.state(id) != State::Sound {
        set("valid", false.into());
    }
    Json::Object(object)
}

/// The formula in the language.
pub fn formula_text(line: &Line) -> String {
    if let Work::Takes(expression) = &line.work {
        return print_expression(expression);
    }
    if let Work::FromData(_) = line.work {
        return String::new();
    }
    let giving = line.statement.suffix.giving.as_ref();
    match &line.statement.kind {
        StatementKind::Define { value: Definition::Expression(expression), .. } => match giving {
            Some(giving) => format!("{} {}", print_expression(expression), print_giving(giving)),
            None => print_expression(expression),
        },
        StatementKind::Require(expression) | StatementKind::Verify(expression) => print_expression(expression),
        _ => print_statement(&line.statement),
    }
}

fn unit_of(value: &Value) -> Option<Unit> {
    match value {
        Value::Number(number) => number.shown.as_ref().map(|shown| shown.unit.clone()),
        Value::List(list) => list.items.first().and_then(unit_of),
        _ => None,
    }
}

fn number_json(value: f64) -> Json {
    // What is no number has no place in JSON but null.
    serde_json::Number::from_f64(value).map_or(Json::Null, Json::Number)
}

fn value_json(trace: &Trace, value: &Value) -> Json {
    match value {
        Value::Number(number) => number_json(in_shown_unit(trace, number)),
        Value::Truth(register) => match trace.register(*register) {
            value if value.is_nan() => Json::Null,
            value => Json::Bool(value != 0.0),
        },
        Value::Word(_) | Value::Data(_) => math::quantity_text(trace, value).into(),
        Value::List(list) => list.items.iter().map(|item| value_json(trace, item)).collect(),
        Value::Table(table) => table
            .labels
            .iter()
            .enumerate()
            .map(|(at, label)| {
                let mut row = Map::new();
                row.insert("label".to_owned(), label.as_str().into());
                for (name, list) in &table.columns {
                    row.insert(name.clone(), list.items.get(at).map_or(Json::Null, |item| value_json(trace, item)));
                }
                Json::Object(row)
            })
            .collect(),
        Value::Row(row) => {
            let fields: Map<String, Json> =
                row.fields.iter().map(|(name, value)| (name.clone(), value_json(trace, value))).collect();
            Json::Object(fields)
        }
        Value::Unknown => Json::Null,
    }
}

/// A number in the unit that it is shown in, without the binary noise of the conversion.
fn in_shown_unit(trace: &Trace, number: &Number) -> f64 {
    let value = trace.register(number.register);
    let value = match &number.shown {
        Some(shown) => shown.unit.from_si(value),
        None => value,
    };
    // Fifteen figures are what a double holds of a decimal number.
    format!("{value:.14e}").parse().unwrap_or(value)
}
