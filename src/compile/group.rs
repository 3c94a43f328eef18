//! Calls of the routines on anchor groups: tables of anchors and edges to registers.

use super::{Compiler, Frame, Kind, List, Value};
use crate::diagnostic::Code;
use crate::function::{Function, Gives, GroupRoutine, Parameter};
use crate::program::{Call, Register};
use crate::quantity::Dimension;
use crate::syntax::Expression;

impl Compiler<'_> {
    pub(super) fn group(
        &mut self,
        frame: &Frame,
        function: &Function,
        group: &'static GroupRoutine,
        given: Vec<(&Expression, Value)>,
    ) -> Value {
        let (mut lists, mut anchors, mut edges) = (Vec::new(), 0, 0);
        for ((name, parameter), (argument, value)) in group.parameters.iter().zip(given) {
            let (wanted, length) = (parameter.kind(), value_length(&value));
            let fits = match (parameter, &value.kind()) {
                (Parameter::Counts, Kind::List(element)) => {
                    matches!(**element, Kind::Number(_) | Kind::Truth | Kind::Unknown)
                }
                (_, kind) => wanted.accepts(kind),
            };
            if !fits {
                let message = format!("`{name}` must be {}, not {}", wanted.describe(), value.kind().describe());
                let finding = frame.error(Code::KindMismatch, argument.span, message);
                return self.report(finding.note(format!("it is called as `{}`", function.usage)));
            }
            match parameter {
                Parameter::Anchors => anchors = length,
                Parameter::Edges => edges = length,
                Parameter::Counts if length != anchors && !self.is_alone => {
                    let message = format!("`{name}` has {length} elements for {anchors} anchors");
                    let finding = frame.error(Code::KindMismatch, argument.span, message);
                    return self.report(finding);
                }
                _ => {}
            }
            match parameter {
                Parameter::Anchors => lists.extend(columns(&value, ["x", "y"])),
                Parameter::Edges | Parameter::Edge => lists.extend(columns(&value, ["normal", "distance"])),
                _ => lists.push(value.registers()),
            }
        }
        let results = match group.gives {
            Gives::Area | Gives::Length => 1,
            Gives::TwoLengths => 2,
            Gives::LengthPerEdge => edges,
            Gives::TruthPerAnchor | Gives::AreaPerAnchor => anchors,
        };
        let registers = self.builder.call(Call { routine: group.routine, arguments: lists, results });
        let list = |registers: Vec<Register>, dimension| {
            Value::List(List {
                items: registers.into_iter().map(|r| Value::number(r, dimension)).collect(),
                element: Kind::Number(dimension),
            })
        };
        match (group.gives, registers.first()) {
            (Gives::Area, Some(area)) => Value::number(*area, Dimension::AREA),
            (Gives::Length, Some(length)) => Value::number(*length, Dimension::LENGTH),
            (Gives::TruthPerAnchor, _) => {
                Value::List(List { items: registers.into_iter().map(Value::Truth).collect(), element: Kind::Truth })
            }
            (Gives::AreaPerAnchor, _) => list(registers, Dimension::AREA),
            _ => list(registers, Dimension::LENGTH),
        }
    }
}

fn value_length(value: &Value) -> usize {
    match value {
        Value::List(list) => list.items.len(),
        Value::Table(table) => table.labels.len(),
        _ => 1,
    }
}

fn columns(value: &Value, names: [&str; 2]) -> [Vec<Register>; 2] {
    names.map(|name| match value {
        Value::Table(table) => table
            .columns
            .iter()
            .filter(|(column, _)| column == name)
            .flat_map(|(_, list)| list.items.iter().flat_map(Value::registers))
            .collect(),
        Value::Row(row) => {
            row.fields.iter().filter(|(column, _)| column == name).flat_map(|(_, value)| value.registers()).collect()
        }
        _ => Vec::new(),
    })
}

impl Parameter {
    /// The kind that is asked for.
    pub(super) fn kind(self) -> Kind {
        let field = |name: &str, dimension| (name.to_owned(), Kind::Number(dimension));
        let edge = || vec![field("normal", Dimension::NONE), field("distance", Dimension::LENGTH)];
        match self {
            Parameter::Anchors => Kind::Table(vec![field("x", Dimension::LENGTH), field("y", Dimension::LENGTH)]),
            Parameter::Counts => Kind::List(Box::new(Kind::Unknown)),
            Parameter::Edges => Kind::Table(edge()),
            Parameter::Edge => Kind::Row(edge()),
            Parameter::Length => Kind::Number(Dimension::LENGTH),
        }
    }
}
