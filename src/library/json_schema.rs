//! A family as a JSON Schema, for editors that check TOML by one while it is typed.
//!
//! It knows names, kinds and units. Ranges stand in the descriptions only, since values are texts there.

use super::family::{Family, Field, FieldKind, Range};
use crate::quantity::{DisplayUnits, Unit};
use serde_json::{Map, Value, json};

/// The JSON Schema (draft 2020-12) of data files of a family.
pub fn json_schema(family: &Family) -> Value {
    let (schema, _) = family.schema();
    let values: Map<String, Value> =
        schema.values.iter().map(|field| (field.name.clone(), field_schema(field))).collect();
    let required: Vec<&str> =
        schema.values.iter().filter(|field| field.is_required).map(|field| field.name.as_str()).collect();
    let text = |description: &str| json!({ "type": "string", "description": description });
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": schema.title,
        "description": schema.basis,
        "type": "object",
        "properties": {
            "title": text("what the data is of"),
            "notice": text("shown wherever the data is used"),
            "source": text("where all of it comes from, unless an entry says otherwise"),
            "family": { "const": family.path, "description": "the family whose values the file gives" },
            "values": {
                "type": "object",
                "properties": values,
                "required": required,
                "additionalProperties": { "$ref": "#/$defs/entry" },
            },
        },
        "required": ["title", "family", "values"],
        "additionalProperties": false,
        "$defs": {
            "entry": {
                "type": "object",
                "properties": {
                    "value": text("written as in a `given` block"),
                    "source": text("where it comes from"),
                    "description": text("what it is"),
                },
                "required": ["value"],
                "additionalProperties": false,
            },
        },
    })
}

fn field_schema(field: &Field) -> Value {
    let value = match &field.kind {
        FieldKind::Number(range) => json!({ "pattern": pattern(range) }),
        FieldKind::Truth => json!({ "enum": ["yes", "no"] }),
        FieldKind::Word(words) => json!({ "enum": words.to_vec() }),
    };
    json!({
        "$ref": "#/$defs/entry",
        "description": field.describe(),
        "properties": { "value": value },
    })
}

/// Matches a number in the unit usual for its dimension or in that of its range, however the unit is typed.
fn pattern(range: &Range) -> String {
    const NUMBER: &str = r"[-−]?([0-9][0-9\u2009\u202f\u00a0]*(\.[0-9]*)?|\.[0-9]+)([eE][-+]?[0-9]+)?";
    if range.dimension().is_none() {
        return format!("^{NUMBER}( %)?$");
    }
    let mut units: Vec<String> = vec![range.unit.to_string()];
    let usual: Unit = DisplayUnits::si().choose(range.dimension());
    if usual != range.unit {
        units.push(usual.to_string());
    }
    let spelt: Vec<String> = units.iter().map(|unit| spellings(unit)).collect();
    format!("^{NUMBER} ({})$", spelt.join("|"))
}

/// A unit with the other ways to type its powers and products.
fn spellings(unit: &str) -> String {
    let mut pattern = String::new();
    for letter in unit.chars() {
        match letter {
            '²' => pattern.push_str(r"(²|\^2)"),
            '³' => pattern.push_str(r"(³|\^3)"),
            '⁴' => pattern.push_str(r"(⁴|\^4)"),
            '·' => pattern.push_str("[·⋅*]"),
            '(' | ')' | '^' | '.' => pattern.extend(['\\', letter]),
            other => pattern.push(other),
        }
    }
    pattern
}
