//! Draughtsman's drawings as SVG, to scale, from the numbers of a calculation.
//!
//! [`draw`] reads a figure's arguments from a trace, turns them from SI units into millimetres and kilonewtons, and calls
//! [`plan`] or [`section`]; those know nothing of sheets. [`bar`] draws a ratio for the summary.
//!
//! Colours and line weights are those of `templates/style/figure.css`; a drawing holds no colour of its own.
//! A view box is in millimetres of the object, so that a drawing can be measured.
//! What cannot be drawn, such as a plate without a size, gives a short note that says why.

pub mod bar;
mod dimension;
mod drawing;
mod geometry;
pub mod plan;
pub mod section;
#[cfg(test)]
mod tests;
mod texture;

use super::markup::{Markup, element};
use crate::compile::{Figure, Table, Value};
use crate::evaluate::Trace;

/// Draws a figure from the numbers of a trace.
pub fn draw(trace: &Trace, figure: &Figure) -> Markup {
    let arguments = Arguments { trace, figure };
    match figure.name.as_str() {
        "plan" => plan::draw(&arguments.plan()),
        "section" => section::draw(&arguments.section()),
        name => undrawn("figure", &format!("there is no figure {name}")),
    }
}

/// The note that stands in place of a drawing.
fn undrawn(what: &str, reason: &str) -> Markup {
    element("p").with("class", "undrawn").saying(&format!("The {what} cannot be drawn: {reason}.")).into()
}

/// The arguments of a figure, in millimetres and kilonewtons; what is missing or no number comes as NaN or `None`.
struct Arguments<'a> {
    trace: &'a Trace,
    figure: &'a Figure,
}

/// A millimetre or a kilonewton, and the SI unit: m to mm, N to kN.
const MILLI: f64 = 1e3;

impl Arguments<'_> {
    fn plan(&self) -> plan::Plan {
        let anchors = self.table("anchors").map_or_else(Vec::new, |table| {
            let (x, y) = (self.column(table, "x"), self.column(table, "y"));
            let places = x.into_iter().zip(y);
            let anchor = |(label, (x, y)): (&String, (f64, f64))| plan::Anchor {
                label: label.clone(),
                x: x * MILLI,
                y: y * MILLI,
            };
            table.labels.iter().zip(places).map(anchor).collect()
        });
        let edges = self.table("edges").map_or_else(Vec::new, |table| {
            let (normal, distance) = (self.column(table, "normal"), self.column(table, "distance"));
            let places = normal.into_iter().zip(distance);
            let edge = |(label, (normal, distance)): (&String, (f64, f64))| plan::Edge {
                label: label.clone(),
                normal,
                distance: distance * MILLI,
            };
            table.labels.iter().zip(places).map(edge).collect()
        });
        plan::Plan {
            anchors,
            plate: [self.required("plate_x"), self.required("plate_y")],
            edges,
            d: self.length("d"),
            d_f: self.length("d_f"),
            c_cr_n: self.length("c_cr_N"),
            column: self.length("column_x").zip(self.length("column_y")).map(|(x, y)| [x, y]),
            shear: [self.force("V_x"), self.force("V_y")],
        }
    }

    fn section(&self) -> section::Section {
        section::Section {
            h_ef: self.required("h_ef"),
            h: self.required("h"),
            t_fix: self.required("t_fix"),
            d: self.required("d"),
            d_f: self.length("d_f"),
            h_0: self.length("h_0"),
            t_grout: self.length("t_grout"),
            c_1: self.length("c_1"),
            c_cr_n: self.length("c_cr_N"),
            n: self.force("N"),
        }
    }

    fn value(&self, name: &str) -> Option<&Value> {
        let found = self.figure.arguments.iter().find(|(argument, _)| argument == name);
        found.map(|(_, value)| value)
    }

    fn number(&self, name: &str) -> Option<f64> {
        self.trace.numbers_of(self.value(name)?).first().copied()
    }

    fn length(&self, name: &str) -> Option<f64> {
        self.number(name).map(|metres| metres * MILLI)
    }

    fn required(&self, name: &str) -> f64 {
        self.length(name).unwrap_or(f64::NAN)
    }

    fn force(&self, name: &str) -> Option<f64> {
        self.number(name).map(|newtons| newtons / MILLI)
    }

    fn table(&self, name: &str) -> Option<&Table> {
        match self.value(name)? {
            Value::Table(table) => Some(table),
            _ => None,
        }
    }

    fn column(&self, table: &Table, name: &str) -> Vec<f64> {
        let column = table.columns.iter().find(|(column, _)| column == name);
        column.map_or_else(Vec::new, |(_, list)| self.trace.numbers_of(&Value::List(list.clone())))
    }
}
