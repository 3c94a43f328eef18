//! As-installed records: what `records` names, held against values of the sheet.
//!
//! How long a list is and which marks anchors bear is known when a sheet is compiled; the values of torque and embedment
//! are known once the steps so far have run. They run here, and what comes of the records enters the program as constants.
//! [`reading`] is about columns and how to read them, [`asked`] about what they are held against, [`outcome`] about what
//! comes of them.

mod asked;
mod outcome;
mod reading;

pub(super) use reading::decimal_mark;

use asked::Asked;

use super::expression::Reading;
use super::{Compiler, Frame, Kind, LineId, RecordsUse, Table, Value};
use crate::diagnostic::{Code, Diagnostic};
use crate::function::Parameter;
use crate::program::run;
use crate::quantity::{Dimension, Unit};
use crate::records::{
    AnchorVerdict, Base, Calibration, Decoded, Demand, DuplicateRule, EmbedmentBand, Field, Mapping, Mistake, Order,
    Report, Specification, Tool, TorqueBand, Works, decode, judge,
};
use crate::syntax::{Binding, Records, Statement};
use crate::text::{SourceFile, Spanned};
use std::collections::BTreeSet;
use std::sync::Arc;
use uom::si::f64::{Length, Ratio, Time, Torque};
use uom::si::length::meter;
use uom::si::ratio::ratio;
use uom::si::time::second;
use uom::si::torque::newton_meter;

/// Rows that cannot be read are told one by one up to here; the page counts them all.
const MOST_FINDINGS: usize = 20;

/// What `with` may name.
const TAKES: [&str; 14] = [
    "anchors",
    "T_inst",
    "T_tol",
    "bases",
    "h_ef",
    "h_tol",
    "h_over",
    "t_cure",
    "t_calibration",
    "tools",
    "batches",
    "as_built",
    "in_order",
    "latest_counts",
];

/// What `with` names by a table of any columns, and what its labels are.
const LABELLED: [(&str, &str); 3] = [
    ("bases", "bases"),
    ("batches", "batches that may be used"),
    ("as_built", "anchors that were verified in their places as built"),
];

/// Records that were judged, before their line has a number.
pub(super) struct Judged {
    pub value: Value,
    source: Arc<SourceFile>,
    report: Report,
    taken: Taken,
    asked: Asked,
    mapping: Mapping,
}

impl Judged {
    pub(super) fn into_use(self, line: LineId) -> RecordsUse {
        let Asked { asked, not_asked } = self.asked;
        let Taken { specification, places, torque_unit, length_unit } = self.taken;
        RecordsUse {
            line,
            source: self.source,
            report: Arc::new(self.report),
            specification: Arc::new(specification),
            places,
            asked,
            not_asked,
            mapping: self.mapping,
            torque_unit,
            length_unit,
        }
    }
}

/// What the records are held against, and how it is shown.
struct Taken {
    specification: Specification,
    places: Vec<(f64, f64)>,
    torque_unit: Unit,
    length_unit: Unit,
}

impl Taken {
    /// The marks of an anchor as pairs of tables have them: `B3 A7`, or `A7` where there is one base.
    fn label(&self, verdict: &AnchorVerdict) -> String {
        let base = self.specification.bases.get(verdict.base as usize);
        let anchor = base.and_then(|base| base.anchors.get(verdict.anchor as usize)).map_or("", String::as_str);
        base.map_or_else(String::new, |base| base.label(anchor))
    }

    /// Anchors as the labels of a table without columns.
    fn table_of<'a>(&self, anchors: impl Iterator<Item = &'a AnchorVerdict>) -> Value {
        let labels = anchors.map(|verdict| self.label(verdict)).collect();
        of_labels(labels)
    }
}

/// A table without columns.
fn of_labels(labels: Vec<String>) -> Value {
    Value::Table(Arc::new(Table { columns: Vec::new(), labels }))
}

impl Compiler<'_> {
    /// Reads and judges records; nothing where there was a mistake.
    pub(super) fn records(
        &mut self,
        frame: &Frame,
        reading: &mut Reading,
        statement: &Statement,
        records: &Records,
    ) -> Option<Judged> {
        if frame.is_clause || self.is_alone {
            let finding = frame.error(Code::MisplacedStatement, statement.span, "a clause cannot name records");
            self.report(finding.help("name them in the sheet that uses the clause"));
            return None;
        }
        let before = self.findings.len();
        let mapping = self.mapping(frame, records);
        let required = self.required(frame, records);
        let works = self.works(frame, records);
        let taken = self.taken(frame, reading, records, (required, works));
        let bytes = self.records_file(frame, &records.path);
        let (taken, bytes) = (taken?, bytes?);
        if self.findings[before..].iter().any(|finding| finding.is_error()) {
            return None;
        }
        // What is no text at all is told by `judge`, and has no places.
        let text = decode(&bytes).map(|Decoded { text, .. }| text.into_owned()).unwrap_or_default();
        let source = SourceFile::new(records.path.node.as_str(), text);
        self.rests_on.insert(format!("records {}", records.path.node), source.clone());
        match judge(&bytes, &mapping, &taken.specification) {
            Ok(report) => {
                let told = report.mistakes.iter().take(MOST_FINDINGS);
                self.findings.extend(told.map(|mistake| mistake.diagnostic(&source).as_warning()));
                let asked = taken.asked(&mapping);
                let value = self.outcome(&report, (&taken, &asked), &mapping);
                Some(Judged { value, source, report, taken, asked, mapping })
            }
            Err(mistakes) => {
                for mistake in mistakes {
                    let finding = match mistake.line {
                        Some(_) => mistake.diagnostic(&source),
                        None => in_sheet(frame, &records.path, &mistake),
                    };
                    self.report(reading::said(finding, &mistake));
                }
                None
            }
        }
    }

    pub(super) fn records_file(&mut self, frame: &Frame, path: &Spanned<String>) -> Option<Vec<u8>> {
        match self.sources.records(&path.node) {
            Ok(bytes) => Some(bytes),
            Err(problem) => {
                self.unreadable(frame, path, "the file", problem);
                None
            }
        }
    }

    fn unknown_part(&mut self, frame: &Frame, name: &Spanned<String>, what: &str, known: &[&str]) {
        let finding = frame
            .error(Code::UnboundTake, name.span, format!("records have no {what} `{}`", name.node))
            .note(format!("there are {}", known.join(", ")))
            .suggest(&name.node, known.iter().copied());
        self.report(finding);
    }

    /// The specification, from the values that `with` names as they stand after the steps so far.
    fn taken(
        &mut self,
        frame: &Frame,
        reading: &mut Reading,
        records: &Records,
        (required, works): (Vec<Field>, Option<Works>),
    ) -> Option<Taken> {
        for binding in records.with.iter().filter(|binding| !TAKES.contains(&binding.name.node.as_str())) {
            self.unknown_part(frame, &binding.name, "specification", &TAKES);
        }
        let quantity = |dimension| Kind::Number(dimension);
        let range = ["T_low", "T_high"].map(|column| (column.to_owned(), quantity(Dimension::MOMENT)));
        let mut take = |name: &str, kind: Kind| self.take(frame, reading, records, name, &kind);
        let anchors = take("anchors", Parameter::Anchors.kind());
        let target = take("T_inst", quantity(Dimension::MOMENT));
        let tolerance = take("T_tol", quantity(Dimension::NONE));
        let bases = take("bases", Kind::Unknown);
        let batches = take("batches", Kind::Unknown);
        let depth = take("h_ef", quantity(Dimension::LENGTH));
        let shortfall = take("h_tol", quantity(Dimension::LENGTH));
        let excess = take("h_over", quantity(Dimension::LENGTH));
        let cure = take("t_cure", quantity(Dimension::TIME));
        let longest_calibration = take("t_calibration", quantity(Dimension::TIME));
        let tools = take("tools", Kind::Table(range.to_vec()));
        let as_built = take("as_built", Kind::Unknown);
        let in_order = take("in_order", Kind::Truth);
        let latest_counts = take("latest_counts", Kind::Truth);

        self.refuse_half_a_depth(frame, records);
        let run = run(self.builder.program(), &self.inputs);
        let number = |value: &Option<Value>| {
            let register = value.as_ref()?.registers().first().copied()?;
            run.registers.get(register.index()).copied()
        };
        let column = |table: &Table, name: &str| -> Vec<f64> {
            let cells = table.columns.iter().filter(|(column, _)| column == name);
            let registers = cells.flat_map(|(_, list)| list.items.iter().flat_map(Value::registers));
            registers.map(|register| run.registers.get(register.index()).copied().unwrap_or(f64::NAN)).collect()
        };
        let is_yes = |value| number(value).is_some_and(|value| value != 0.0);
        let (Some(Value::Table(table)), Some(torque), Some(part)) = (&anchors, number(&target), number(&tolerance))
        else {
            return None;
        };
        let places: Vec<(f64, f64)> = column(table, "x").into_iter().zip(column(table, "y")).collect();
        let demand = Arc::new(Demand {
            torque: TorqueBand::around(Torque::new::<newton_meter>(torque), Ratio::new::<ratio>(part)),
            embedment: number(&depth).zip(number(&excess)).map(|(depth, excess)| EmbedmentBand {
                target: Length::new::<meter>(depth),
                lower: Length::new::<meter>(depth - number(&shortfall).unwrap_or(0.0)),
                upper: Length::new::<meter>(depth + excess),
            }),
            batches: match batches {
                Some(Value::Table(batches)) => Some(batches.labels.clone()),
                _ => None,
            },
            cure: number(&cure).map(Time::new::<second>),
        });
        let order = if is_yes(&in_order) { Order::Listed(table.labels.clone()) } else { Order::NotRequired };
        // Without bases there is one, which the records need not name.
        let labels = match &bases {
            Some(Value::Table(bases)) => bases.labels.clone(),
            _ => vec![String::new()],
        };
        let base =
            |id: String| Base { id, anchors: table.labels.clone(), demand: demand.clone(), order: order.clone() };
        let tools = match &tools {
            Some(Value::Table(tools)) => {
                let ranges = column(tools, "T_low").into_iter().zip(column(tools, "T_high"));
                let torque = Torque::new::<newton_meter>;
                let tool = |(serial, (low, high)): (&String, (f64, f64))| Tool {
                    serial: serial.clone(),
                    range: Some((torque(low), torque(high))),
                    calibrated: None,
                };
                tools.labels.iter().zip(ranges).map(tool).collect()
            }
            _ => Vec::new(),
        };
        let duplicates = if is_yes(&latest_counts) { DuplicateRule::LatestCounts } else { DuplicateRule::NoneCounts };
        Some(Taken {
            specification: Specification {
                bases: labels.into_iter().map(base).collect(),
                tools,
                calibration: Calibration::Required,
                duplicates,
                required,
                longest_calibration: number(&longest_calibration).map(Time::new::<second>),
                works,
                as_built: match as_built {
                    Some(Value::Table(rows)) => rows.labels.iter().cloned().collect(),
                    _ => BTreeSet::new(),
                },
            },
            places,
            torque_unit: self.unit_of(&target, Dimension::MOMENT, "N·m"),
            length_unit: self.unit_of(&depth, Dimension::LENGTH, "mm"),
        })
    }

    /// An embedment is between two bounds: how much deeper than asked for an anchor may be is for the sheet to say.
    fn refuse_half_a_depth(&mut self, frame: &Frame, records: &Records) {
        let place = |name: &str| records.with.iter().find(|binding| binding.name.node == name).map(|b| b.name.span);
        let named = |names: [&str; 2]| names.into_iter().find_map(|name| Some((name.to_owned(), place(name)?)));
        let (finding, help) = match (place("h_ef"), place("h_over"), named(["h_tol", "h_over"])) {
            (Some(span), None, _) => (
                frame.error(Code::UnboundTake, span, "`h_ef` needs `h_over`, how much deeper an anchor may be"),
                "write `h_over = …` beside it: what the member and the thread of the anchor allow",
            ),
            (None, _, Some((name, span))) => (
                frame.error(Code::UnboundTake, span, format!("`{name}` needs the embedment that it is about")),
                "write `h_ef = …` beside it",
            ),
            _ => return,
        };
        self.report(finding.help(help));
    }

    /// The value of something that `with` names; where it must be there and is not, that is reported.
    fn take(
        &mut self,
        frame: &Frame,
        reading: &mut Reading,
        records: &Records,
        name: &str,
        kind: &Kind,
    ) -> Option<Value> {
        let Some(Binding { value: expression, .. }) = records.with.iter().find(|binding| binding.name.node == name)
        else {
            if matches!(name, "anchors" | "T_inst" | "T_tol") {
                let message = format!("the records need `{name}`, {}", kind.describe());
                let finding = frame.error(Code::UnboundTake, records.path.span, message);
                self.report(finding.help(format!("write `with {name} = …` behind the columns")));
            }
            return None;
        };
        let value = self.infer(frame, reading, expression);
        let value = match self.conform(frame, value, kind, expression.span, name) {
            Ok(value) if matches!(value, Value::Table(_) | Value::Unknown) => value,
            Ok(value) => match LABELLED.iter().find(|(labelled, _)| *labelled == name) {
                Some((_, what)) => {
                    let message = format!("`{name}` must be a table, not {}", value.kind().describe());
                    let finding = frame.error(Code::KindMismatch, expression.span, message);
                    self.report(finding.help(format!("its labels are the marks of the {what}")))
                }
                None => value,
            },
            Err(finding) => self.report(finding),
        };
        (!value.is_unknown()).then_some(value)
    }

    /// The unit in which a quantity was given, else one in which the site measures.
    fn unit_of(&self, value: &Option<Value>, dimension: Dimension, usual: &str) -> Unit {
        let given = match value {
            Some(Value::Number(number)) => number.shown.as_ref().map(|shown| shown.unit.clone()),
            _ => None,
        };
        given.or_else(|| Unit::parse(usual).ok()).unwrap_or_else(|| self.settings.display.choose(dimension))
    }
}

/// A mistake that is not in the file: in the columns, the specification or the file as a whole.
pub(super) fn in_sheet(frame: &Frame, path: &Spanned<String>, mistake: &Mistake) -> Diagnostic {
    let message = format!("the file `{}`: found {}, expected {}", path.node, mistake.found, mistake.expected);
    let finding = frame.error(mistake.code, path.span, message);
    mistake.help.iter().fold(finding, |finding, help| finding.help(help))
}
