//! Calls of the routines of `numerics`: tables, rows, lists and quantities to registers, results to values.

use super::{Compiler, Frame, Kind, List, Row, Table, Value};
use crate::diagnostic::Code;
use crate::function::{Function, Gives, Parameter, TypedRoutine};
use crate::program::{Call, Register};
use crate::syntax::Expression;
use std::sync::Arc;

/// How many rows the tables of one call have.
#[derive(Copy, Clone, Default)]
struct Counts {
    anchors: usize,
    edges: usize,
}

impl Compiler<'_> {
    pub(super) fn routine(
        &mut self,
        frame: &Frame,
        function: &Function,
        typed: &'static TypedRoutine,
        given: Vec<(&Expression, Value)>,
    ) -> Value {
        let (mut lists, mut counts) = (Vec::new(), Counts::default());
        // Lists go with the anchors wherever the table of anchors stands.
        let mut at_anchors = None;
        for ((_, parameter), (argument, value)) in typed.parameters.iter().zip(&given) {
            match parameter {
                Parameter::Anchors => {
                    counts.anchors = value_length(value);
                    at_anchors = Some(argument.span);
                }
                Parameter::Edges => counts.edges = value_length(value),
                _ => {}
            }
        }
        for ((name, parameter), (argument, value)) in typed.parameters.iter().zip(given) {
            let (wanted, length) = (parameter.kind(), value_length(&value));
            let fits = match (parameter, &value.kind()) {
                (Parameter::Counts, Kind::List(element)) => {
                    matches!(**element, Kind::Number(_) | Kind::Truth | Kind::Unknown)
                }
                // One value stands for all anchors.
                (Parameter::PerAnchor(dimension), Kind::Number(found)) => dimension == found,
                (_, kind) => wanted.accepts(kind),
            };
            if !fits {
                let message = format!("`{name}` must be {}, not {}", wanted.describe(), value.kind().describe());
                let finding = frame.error(Code::KindMismatch, argument.span, message);
                return self.report(finding.note(format!("it is called as `{}`", function.usage)));
            }
            let is_list = matches!(value, Value::List(_));
            let is_per_anchor = matches!(parameter, Parameter::Counts | Parameter::PerAnchor(_)) && is_list;
            if is_per_anchor && length != counts.anchors && !self.is_alone {
                return self.unequal(
                    frame,
                    (length, argument.span),
                    (counts.anchors, at_anchors.unwrap_or(argument.span)),
                );
            }
            match parameter {
                Parameter::PerAnchor(_) if !is_list => lists.push(value.registers().repeat(counts.anchors)),
                _ if parameter.columns().is_empty() => lists.push(value.registers()),
                _ => lists.extend(parameter.columns().iter().map(|(column, _)| registers_of(&value, column))),
            }
        }
        let results = typed.gives.count(counts);
        let registers = self.builder.call(Call { routine: typed.routine, arguments: lists, results });
        typed.gives.value(counts, &mut registers.into_iter())
    }
}

impl Gives {
    fn count(self, counts: Counts) -> usize {
        match self {
            Gives::Quantity(_) => 1,
            Gives::Two(_) => 2,
            Gives::PerAnchor(_) | Gives::TruthPerAnchor => counts.anchors,
            Gives::PerEdge(_) => counts.edges,
            Gives::Samples(count, _) => count,
            Gives::Table(columns, rows) => columns.columns().len() * rows,
            Gives::Record(fields) => fields.iter().map(|(_, gives)| gives.count(counts)).sum(),
        }
    }

    /// The value that the next registers make.
    fn value(self, counts: Counts, registers: &mut impl Iterator<Item = Register>) -> Value {
        let dimension = match self {
            Gives::Quantity(dimension) => match registers.next() {
                Some(register) => return Value::number(register, dimension),
                None => return Value::Unknown,
            },
            Gives::Record(fields) => {
                let fields = fields.iter().map(|(name, gives)| ((*name).to_owned(), gives.value(counts, registers)));
                return Value::Row(Arc::new(Row { label: String::new(), fields: fields.collect() }));
            }
            Gives::Table(table, rows) => {
                let columns = table.columns().iter().map(|(name, dimension)| {
                    let items = registers.take(rows).map(|register| Value::number(register, *dimension)).collect();
                    ((*name).to_owned(), List { items, element: Kind::Number(*dimension) })
                });
                let columns = columns.collect();
                let labels = (1..=rows).map(|number| number.to_string()).collect();
                return Value::Table(Arc::new(Table { columns, labels }));
            }
            Gives::TruthPerAnchor => {
                let items = registers.take(self.count(counts)).map(Value::Truth).collect();
                return Value::List(List { items, element: Kind::Truth });
            }
            Gives::Two(dimension)
            | Gives::PerAnchor(dimension)
            | Gives::PerEdge(dimension)
            | Gives::Samples(_, dimension) => dimension,
        };
        let items = registers.take(self.count(counts)).map(|register| Value::number(register, dimension)).collect();
        Value::List(List { items, element: Kind::Number(dimension) })
    }
}

fn value_length(value: &Value) -> usize {
    match value {
        Value::List(list) => list.items.len(),
        Value::Table(table) => table.labels.len(),
        _ => 1,
    }
}

/// The registers of a column of a table or of a field of a row.
fn registers_of(value: &Value, name: &str) -> Vec<Register> {
    match value {
        Value::Table(table) => {
            let column = table.columns.iter().filter(|(column, _)| column == name);
            column.flat_map(|(_, list)| list.items.iter().flat_map(Value::registers)).collect()
        }
        Value::Row(row) => {
            row.fields.iter().filter(|(column, _)| column == name).flat_map(|(_, value)| value.registers()).collect()
        }
        _ => Vec::new(),
    }
}

impl Parameter {
    /// The kind that is asked for.
    pub(super) fn kind(self) -> Kind {
        let fields = || self.columns().iter().map(|(name, of)| ((*name).to_owned(), Kind::Number(*of))).collect();
        match self {
            Parameter::Anchors | Parameter::Edges | Parameter::Corners | Parameter::Rings | Parameter::Walls => {
                Kind::Table(fields())
            }
            Parameter::Edge => Kind::Row(fields()),
            Parameter::Counts => Kind::List(Box::new(Kind::Unknown)),
            Parameter::PerAnchor(dimension) => Kind::List(Box::new(Kind::Number(dimension))),
            Parameter::Quantity(dimension) => Kind::Number(dimension),
        }
    }
}
