//! A given table in full: labels, and columns with their units in the head.

use super::quantity::{number_html, quantity_html, shared_unit, unit_html};
use super::symbol::symbol_html;
use crate::compile::{Table, Value};
use crate::evaluate::Trace;
use crate::render::markup::escape;

/// Columns beyond which a table is wide.
const WIDE: usize = 4;

/// Writes a table of records as HTML.
pub(super) fn write_table(out: &mut String, trace: &Trace, table: &Table) {
    let units: Vec<_> = table.columns.iter().map(|(_, list)| shared_unit(list, None)).collect();
    // On a narrow screen each cell of a wide table names its column itself.
    let is_wide = table.columns.len() > WIDE;
    out.push_str(if is_wide { "<table class=\"records wide\">" } else { "<table class=\"records\">" });
    out.push_str("<thead><tr><td></td>");
    for ((name, _), unit) in table.columns.iter().zip(&units) {
        out.push_str("<th scope=\"col\">");
        out.push_str(symbol_html(name).as_str());
        if let Some(unit) = unit
            && !unit.is_one()
        {
            out.push_str(" in\u{a0}");
            unit_html(out, unit);
        }
        out.push_str("</th>");
    }
    out.push_str("</tr></thead><tbody>");
    for (at, label) in table.labels.iter().enumerate() {
        out.push_str("<tr><th scope=\"row\">");
        escape(out, label);
        out.push_str("</th>");
        for ((name, list), unit) in table.columns.iter().zip(&units) {
            out.push_str("<td");
            if is_wide {
                out.push_str(" data-head=\"");
                escape(out, name);
                if let Some(unit) = unit.as_ref().filter(|unit| !unit.is_one()) {
                    escape(out, &format!(", {unit}"));
                }
                out.push('"');
            }
            out.push('>');
            match (list.items.get(at), unit) {
                (Some(Value::Number(number)), Some(_)) => number_html(out, trace, number),
                (Some(value), _) => out.push_str(quantity_html(trace, value).as_str()),
                (None, _) => {}
            }
            out.push_str("</td>");
        }
        out.push_str("</tr>");
    }
    out.push_str("</tbody></table>");
}
