//! The arguments of a figure, read from a trace: from SI units to millimetres, kilonewtons and N/mm².

#[cfg(test)]
mod tests;

use crate::compile::{Figure, Row, Table, Value};
use crate::evaluate::Trace;
use crate::render::figure::base::Base;
use crate::render::figure::base::pressure::{Below, Pressure, Resultant};
use crate::render::figure::base::stress::Stress;
use crate::render::figure::base_section::BaseSection;
use crate::render::figure::bearing::{Bearing, Column};
use crate::render::figure::plan::{Anchor, Edge, Plan};
use crate::render::figure::section::Section;

/// The arguments of a figure, in millimetres and kilonewtons; what is missing or no number comes as NaN or `None`.
pub(super) struct Arguments<'a> {
    pub trace: &'a Trace,
    pub figure: &'a Figure,
}

/// A millimetre or a kilonewton, and the SI unit: m to mm, N to kN.
const MILLI: f64 = 1e3;
/// N/mm² to Pa, or m² to mm².
const MEGA: f64 = 1e6;

impl Arguments<'_> {
    pub(super) fn plan(&self) -> Plan {
        let edges = self.table("edges").map_or_else(Vec::new, |table| {
            let (normal, distance) = (self.column(table, "normal"), self.column(table, "distance"));
            let places = normal.into_iter().zip(distance);
            let edge = |(label, (normal, distance)): (&String, (f64, f64))| Edge {
                label: label.clone(),
                normal,
                distance: distance * MILLI,
            };
            table.labels.iter().zip(places).map(edge).collect()
        });
        Plan {
            anchors: self.anchors(),
            plate: [self.required("plate_x"), self.required("plate_y")],
            edges,
            d: self.length("d"),
            d_f: self.length("d_f"),
            c_cr_n: self.length("c_cr_N"),
            walls: self.walls(),
            column: self.length("column_x").zip(self.length("column_y")).map(|(x, y)| [x, y]),
            shear: [self.force("V_x"), self.force("V_y")],
        }
    }

    pub(super) fn section(&self) -> Section {
        Section {
            h_ef: self.required("h_ef"),
            h: self.required("h"),
            t_fix: self.required("t_fix"),
            d: self.required("d"),
            d_f: self.length("d_f"),
            h_0: self.length("h_0"),
            t_grout: self.length("t_grout"),
            head: self.head(),
            d_0: self.length("d_0"),
            c_1: self.length("c_1"),
            c_cr_n: self.length("c_cr_N"),
            n: self.force("N"),
        }
    }

    pub(super) fn base_section(&self) -> BaseSection {
        BaseSection {
            anchors: self.anchors().into_iter().map(|anchor| anchor.x).collect(),
            plate: self.required("plate_x"),
            t_fix: self.required("t_fix"),
            d: self.required("d"),
            h_ef: self.required("h_ef"),
            h: self.required("h"),
            t_grout: self.length("t_grout"),
            d_f: self.length("d_f"),
            column: self.length("column_x"),
            axis: self.length("x_c").unwrap_or(0.0),
            t_wall: self.length("t_f"),
            a: self.length("a"),
            key: self.length("key_x"),
            l_k: self.length("l_k"),
            head: self.head(),
        }
    }

    fn head(&self) -> Option<[f64; 2]> {
        self.length("d_h").zip(self.length("t_h")).map(|(diameter, thickness)| [diameter, thickness])
    }

    pub(super) fn pressure(&self) -> Pressure {
        let number = |name: &str| self.field(name).first().copied().unwrap_or(f64::NAN);
        let place = |x: &str, y: &str| [number(x) * MILLI, number(y) * MILLI];
        let samples = self.field("pressure");
        let below = match samples.is_empty() {
            // The rise of the plate is a length, its slopes are those of lengths.
            true => Below::Plane([number("a") * MILLI, number("b"), number("c")]),
            false => Below::Samples(samples.into_iter().map(|pascals| pascals / MEGA).collect()),
        };
        let tension =
            self.field("N_g").first().map(|force| Resultant { force: force / MILLI, at: place("x_g", "y_g") });
        Pressure {
            base: self.base(),
            forces: self.field("F").into_iter().map(|newtons| newtons / MILLI).collect(),
            below,
            compression: Resultant { force: number("C") / MILLI, at: place("x_C", "y_C") },
            tension,
            largest: number("p_max") / MEGA,
            largest_at: place("x_p", "y_p"),
        }
    }

    pub(super) fn stress(&self) -> Stress {
        let number = |name: &str| self.field(name).first().copied().unwrap_or(f64::NAN);
        Stress {
            base: self.base(),
            samples: self.field("stress").into_iter().map(|pascals| pascals / MEGA).collect(),
            m_max: number("m_max") / MILLI,
            m_max_at: [number("x_m") * MILLI, number("y_m") * MILLI],
            sigma_max: self.number("sigma_max").map(|pascals| pascals / MEGA),
            f_yd: self.number("f_yd").map(|pascals| pascals / MEGA),
        }
    }

    pub(super) fn bearing(&self, column: Column) -> Bearing {
        Bearing {
            column,
            axis: ["x_c", "y_c"].map(|name| self.length(name).unwrap_or(0.0)),
            plate: [self.required("plate_x"), self.required("plate_y")],
            c: self.required("c"),
            area: self.number("A_eff").map(|square_metres| square_metres * MEGA),
            anchors: self.anchors(),
            d: self.length("d"),
        }
    }

    pub(super) fn i_section(&self) -> Column {
        Column::I {
            h: self.required("h"),
            b: self.required("b"),
            t_w: self.required("t_w"),
            t_f: self.required("t_f"),
            is_along_x: self.is_along_x("web"),
        }
    }

    pub(super) fn rectangular_section(&self) -> Column {
        let (along, across) = (self.required("H"), self.required("B"));
        let (x, y) = if self.is_along_x("side_H") { (along, across) } else { (across, along) };
        Column::Rectangle { x, y, t: self.required("T") }
    }

    pub(super) fn circular_section(&self) -> Column {
        Column::Circle { d: self.required("D"), t: self.required("T") }
    }

    fn base(&self) -> Base {
        let outline = self.table("outline").map_or_else(Vec::new, |table| self.places(table, ["x", "y"]));
        let mut walls = self.walls();
        for corners in self.rings("solid") {
            let next = corners.iter().cycle().skip(1);
            // A solid part of no size stands for nothing.
            walls.extend(
                corners.iter().zip(next).map(|(start, end)| [*start, *end]).filter(|[start, end]| start != end),
            );
        }
        Base { outline, holes: self.rings("holes"), walls, anchors: self.anchors(), d: self.length("d") }
    }

    /// The centre lines of the column's walls.
    fn walls(&self) -> Vec<[[f64; 2]; 2]> {
        self.table("walls").map_or_else(Vec::new, |table| {
            let ends = self.places(table, ["x_2", "y_2"]);
            self.places(table, ["x_1", "y_1"]).into_iter().zip(ends).map(|(start, end)| [start, end]).collect()
        })
    }

    /// Polygons of a table: corners with the number of their polygon, which need not stand together.
    fn rings(&self, name: &str) -> Vec<Vec<[f64; 2]>> {
        let Some(table) = self.table(name) else { return Vec::new() };
        let mut rings: Vec<(f64, Vec<[f64; 2]>)> = Vec::new();
        for (number, place) in self.column(table, "ring").into_iter().zip(self.places(table, ["x", "y"])) {
            match rings.iter_mut().find(|(known, _)| *known == number) {
                Some((_, corners)) => corners.push(place),
                None => rings.push((number, vec![place])),
            }
        }
        rings.into_iter().map(|(_, corners)| corners).collect()
    }

    fn anchors(&self) -> Vec<Anchor> {
        self.table("anchors").map_or_else(Vec::new, |table| {
            let places = self.places(table, ["x", "y"]);
            let anchor = |(label, [x, y]): (&String, [f64; 2])| Anchor { label: label.clone(), x, y };
            table.labels.iter().zip(places).map(anchor).collect()
        })
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

    /// Whether a direction is that of x.
    fn is_along_x(&self, name: &str) -> bool {
        let Some(Value::Word(word)) = self.value(name) else {
            return false;
        };
        let place = self.trace.register(word.register);
        word.set.iter().position(|word| word == "along_x").is_some_and(|along_x| place == along_x as f64)
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

    /// Points in millimetres.
    fn places(&self, table: &Table, [x, y]: [&str; 2]) -> Vec<[f64; 2]> {
        let places = self.column(table, x).into_iter().zip(self.column(table, y));
        places.map(|(x, y)| [x * MILLI, y * MILLI]).collect()
    }

    /// The numbers of a field of the record `state`; none where it has no such field.
    fn field(&self, name: &str) -> Vec<f64> {
        let Some(Value::Row(row)) = self.value("state") else {
            return Vec::new();
        };
        let row: &Row = row;
        row.fields
            .iter()
            .find(|(field, _)| field == name)
            .map_or_else(Vec::new, |(_, value)| self.trace.numbers_of(value))
    }
}
