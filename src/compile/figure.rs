//! What is drawn: which values each figure takes, and their binding.

use super::expression::Reading;
use super::{Compiler, Figure, Frame, Kind, ScopePart, Value, Work};
use crate::diagnostic::{Code, nearest};
use crate::function::Parameter;
use crate::quantity::Dimension;
use crate::syntax::{Binding, Expression, ExpressionKind, Name, Statement};
use std::sync::Arc;

/// A figure that can be drawn.
#[derive(Debug)]
pub struct FigureKind {
    /// Its name.
    pub name: &'static str,
    /// What it takes, and whether it must have it.
    pub takes: &'static [(&'static str, Take, bool)],
}

/// What a figure takes.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub enum Take {
    /// A table of anchors.
    Anchors,
    /// A table of edges.
    Edges,
    /// A length.
    Length,
    /// A force.
    Force,
}

/// Every figure.
pub const FIGURES: &[FigureKind] = &[
    FigureKind {
        name: "plan",
        takes: &[
            ("anchors", Take::Anchors, true),
            ("plate_x", Take::Length, true),
            ("plate_y", Take::Length, true),
            ("edges", Take::Edges, false),
            ("d", Take::Length, false),
            ("d_f", Take::Length, false),
            ("c_cr_N", Take::Length, false),
            ("column_x", Take::Length, false),
            ("column_y", Take::Length, false),
            ("V_x", Take::Force, false),
            ("V_y", Take::Force, false),
        ],
    },
    FigureKind {
        name: "section",
        takes: &[
            ("h_ef", Take::Length, true),
            ("h", Take::Length, true),
            ("t_fix", Take::Length, true),
            ("d", Take::Length, true),
            ("d_f", Take::Length, false),
            ("h_0", Take::Length, false),
            ("t_grout", Take::Length, false),
            ("c_1", Take::Length, false),
            ("c_cr_N", Take::Length, false),
            ("N", Take::Force, false),
        ],
    },
];

impl Take {
    fn kind(self) -> Kind {
        match self {
            Take::Anchors => Parameter::Anchors.kind(),
            Take::Edges => Parameter::Edges.kind(),
            Take::Length => Kind::Number(Dimension::LENGTH),
            Take::Force => Kind::Number(Dimension::FORCE),
        }
    }
}

impl Compiler<'_> {
    pub(super) fn figure(&mut self, frame: &mut Frame, statement: &Arc<Statement>, name: &Name, with: &[Binding]) {
        let Some(kind) = FIGURES.iter().find(|kind| kind.name == name.node) else {
            let names: Vec<&str> = FIGURES.iter().map(|kind| kind.name).collect();
            let finding = frame
                .error(Code::UnknownFigure, name.span, format!("there is no figure `{}`", name.node))
                .note(format!("figures are {}", names.join(", ")))
                .suggest(&name.node, names);
            self.report(finding);
            return;
        };
        // A misspelt name is told of once, and not as a missing one as well.
        let mut meant: Vec<&str> = Vec::new();
        for binding in with {
            if !kind.takes.iter().any(|(take, ..)| *take == binding.name.node) {
                let names: Vec<&str> = kind.takes.iter().map(|(take, ..)| *take).collect();
                meant.extend(nearest(&binding.name.node, names.iter().copied()));
                let finding = frame
                    .error(
                        Code::UnboundTake,
                        binding.name.span,
                        format!("`{}` takes no `{}`", name.node, binding.name.node),
                    )
                    .note(format!("it takes {}", names.join(", ")))
                    .suggest(&binding.name.node, names);
                self.report(finding);
            }
        }
        let mut reading = Reading::default();
        let mut arguments = Vec::new();
        for (take, wanted, is_required) in kind.takes {
            let bound = with.iter().find(|binding| binding.name.node == *take).map(|binding| binding.value.clone());
            let same_name = || {
                let symbol = frame.symbols.get(*take)?;
                // A symbol of the same name but another kind is not meant.
                (wanted.kind().accepts(&symbol.value.kind()))
                    .then(|| Expression::new(ExpressionKind::Name((*take).to_owned()), name.span))
            };
            let Some(expression) = bound.or_else(same_name) else {
                if *is_required && !meant.contains(take) {
                    let message = format!("the figure `{}` needs `{take}`, {}", name.node, wanted.kind().describe());
                    let finding = frame.error(Code::UnboundTake, name.span, message);
                    self.report(finding.help(format!("define `{take}`, or write `with {take} = …`")));
                }
                continue;
            };
            let value = self.infer(frame, &mut reading, &expression);
            match self.conform(frame, value, &wanted.kind(), expression.span, take) {
                Ok(value) => arguments.push(((*take).to_owned(), value)),
                Err(finding) => {
                    self.report(finding);
                }
            }
        }
        let mut line = self.line(frame, statement, Work::Figure, Value::Unknown, reading);
        let caption = std::mem::take(&mut line.description);
        let line = self.add_line(line);
        let figure = self.notes.figures.len();
        self.notes.figures.push(Figure { name: name.node.clone(), line, caption, arguments });
        self.scope_mut(frame.scope).parts.push(ScopePart::Figure(figure));
    }
}
