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
    /// What it shows, for the reference page.
    pub shows: &'static str,
    /// What it takes, and whether it must have it.
    pub takes: &'static [(&'static str, Take, bool)],
}

/// What a figure takes.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub enum Take {
    /// What a function takes as well.
    Argument(Parameter),
    /// A word of a set.
    Word(&'static [&'static str]),
    /// What `rigid_plate` or `flexible_plate` gives.
    State,
    /// What `flexible_plate` gives.
    BentState,
}

const ANCHORS: Take = Take::Argument(Parameter::Anchors);
const CORNERS: Take = Take::Argument(Parameter::Corners);
const EDGES: Take = Take::Argument(Parameter::Edges);
const RINGS: Take = Take::Argument(Parameter::Rings);
const WALLS: Take = Take::Argument(Parameter::Walls);
const LENGTH: Take = Take::Argument(Parameter::Quantity(Dimension::LENGTH));
const AREA: Take = Take::Argument(Parameter::Quantity(Dimension::AREA));
const FORCE: Take = Take::Argument(Parameter::Quantity(Dimension::FORCE));
const STRESS: Take = Take::Argument(Parameter::Quantity(Dimension::STRESS));
/// Directions of a column, as the clauses of its base name them.
const DIRECTION: Take = Take::Word(&["along_x", "along_y"]);

/// Every figure.
pub const FIGURES: &[FigureKind] = &[
    FigureKind {
        name: "plan",
        shows: "plate, anchors and free edges from above",
        takes: &[
            ("anchors", ANCHORS, true),
            ("plate_x", LENGTH, true),
            ("plate_y", LENGTH, true),
            ("edges", EDGES, false),
            ("d", LENGTH, false),
            ("d_f", LENGTH, false),
            ("c_cr_N", LENGTH, false),
            ("column_x", LENGTH, false),
            ("column_y", LENGTH, false),
            ("walls", WALLS, false),
            ("V_x", FORCE, false),
            ("V_y", FORCE, false),
        ],
    },
    FigureKind {
        name: "section",
        shows: "one anchor through plate and member: with `d_h` and `t_h` one with a head, with `d_0` a straight rod or screw in its drilled hole, else one that expands",
        takes: &[
            ("h_ef", LENGTH, true),
            ("h", LENGTH, true),
            ("t_fix", LENGTH, true),
            ("d", LENGTH, true),
            ("d_f", LENGTH, false),
            ("h_0", LENGTH, false),
            ("t_grout", LENGTH, false),
            ("d_h", LENGTH, false),
            ("t_h", LENGTH, false),
            ("d_0", LENGTH, false),
            ("c_1", LENGTH, false),
            ("c_cr_N", LENGTH, false),
            ("N", FORCE, false),
        ],
    },
    FigureKind {
        name: "base_section",
        shows: "a column base cut along x: column with welds `a` and cut walls of thickness `t_f`, plate, grout, anchors, a shear key of width `key_x` and length `l_k` below the plate",
        takes: &[
            ("anchors", ANCHORS, true),
            ("plate_x", LENGTH, true),
            ("t_fix", LENGTH, true),
            ("d", LENGTH, true),
            ("h_ef", LENGTH, true),
            ("h", LENGTH, true),
            ("t_grout", LENGTH, false),
            ("d_f", LENGTH, false),
            ("column_x", LENGTH, false),
            ("x_c", LENGTH, false),
            ("t_f", LENGTH, false),
            ("a", LENGTH, false),
            ("key_x", LENGTH, false),
            ("l_k", LENGTH, false),
            ("d_h", LENGTH, false),
            ("t_h", LENGTH, false),
        ],
    },
    FigureKind {
        name: "pressure",
        shows: "the pressure below a plate with the forces of the anchors; `state` is what `rigid_plate` or `flexible_plate` gives",
        takes: &[
            ("state", Take::State, true),
            ("outline", CORNERS, true),
            ("anchors", ANCHORS, true),
            ("holes", RINGS, false),
            ("walls", WALLS, false),
            ("solid", RINGS, false),
            ("d", LENGTH, false),
        ],
    },
    FigureKind {
        name: "stress",
        shows: "the bending stress of a plate; `state` is what `flexible_plate` gives",
        takes: &[
            ("state", Take::BentState, true),
            ("outline", CORNERS, true),
            ("anchors", ANCHORS, true),
            ("holes", RINGS, false),
            ("walls", WALLS, false),
            ("solid", RINGS, false),
            ("d", LENGTH, false),
            ("sigma_max", STRESS, false),
            ("f_yd", STRESS, false),
        ],
    },
    FigureKind {
        name: "t_stub_i",
        shows: "the strips of a plate that bear under an I or H section, `c` wide beside its walls",
        takes: &[
            ("plate_x", LENGTH, true),
            ("plate_y", LENGTH, true),
            ("h", LENGTH, true),
            ("b", LENGTH, true),
            ("t_w", LENGTH, true),
            ("t_f", LENGTH, true),
            ("web", DIRECTION, true),
            ("c", LENGTH, true),
            ("x_c", LENGTH, false),
            ("y_c", LENGTH, false),
            ("A_eff", AREA, false),
            ("anchors", ANCHORS, false),
            ("d", LENGTH, false),
        ],
    },
    FigureKind {
        name: "t_stub_rhs",
        shows: "the same under a rectangular hollow section",
        takes: &[
            ("plate_x", LENGTH, true),
            ("plate_y", LENGTH, true),
            ("H", LENGTH, true),
            ("B", LENGTH, true),
            ("T", LENGTH, true),
            ("side_H", DIRECTION, true),
            ("c", LENGTH, true),
            ("x_c", LENGTH, false),
            ("y_c", LENGTH, false),
            ("A_eff", AREA, false),
            ("anchors", ANCHORS, false),
            ("d", LENGTH, false),
        ],
    },
    FigureKind {
        name: "t_stub_chs",
        shows: "the same under a circular hollow section",
        takes: &[
            ("plate_x", LENGTH, true),
            ("plate_y", LENGTH, true),
            ("D", LENGTH, true),
            ("T", LENGTH, true),
            ("c", LENGTH, true),
            ("x_c", LENGTH, false),
            ("y_c", LENGTH, false),
            ("A_eff", AREA, false),
            ("anchors", ANCHORS, false),
            ("d", LENGTH, false),
        ],
    },
];

/// The table of the reference page.
pub fn reference_table() -> String {
    let mut table = String::from("| figure | shows | needs | takes if defined |\n| --- | --- | --- | --- |\n");
    for kind in FIGURES {
        let names = |wanted: bool| {
            let takes = kind.takes.iter().filter(|(.., is_required)| *is_required == wanted);
            takes.map(|(name, ..)| format!("`{name}`")).collect::<Vec<_>>().join(", ")
        };
        table.push_str(&format!("| `{}` | {} | {} | {} |\n", kind.name, kind.shows, names(true), names(false)));
    }
    table
}

impl Take {
    fn kind(self) -> Kind {
        const FORCE: Kind = Kind::Number(Dimension::FORCE);
        const PLACE: Kind = Kind::Number(Dimension::LENGTH);
        const PRESSURE: Kind = Kind::Number(Dimension::STRESS);
        let list = |element: Kind| Kind::List(Box::new(element));
        let record = |fields: Vec<(&str, Kind)>| {
            Kind::Row(fields.into_iter().map(|(name, kind)| (name.to_owned(), kind)).collect())
        };
        match self {
            Take::Argument(parameter) => parameter.kind(),
            Take::Word(set) => Kind::Word(set.iter().map(|word| (*word).to_owned()).collect()),
            Take::State => record(vec![
                ("F", list(FORCE)),
                ("C", FORCE),
                ("x_C", PLACE),
                ("y_C", PLACE),
                ("p_max", PRESSURE),
                ("x_p", PLACE),
                ("y_p", PLACE),
            ]),
            Take::BentState => {
                record(vec![("m_max", FORCE), ("x_m", PLACE), ("y_m", PLACE), ("stress", list(PRESSURE))])
            }
        }
    }

    /// The functions that give a record, which nobody writes by hand.
    fn giver(self) -> Option<&'static str> {
        match self {
            Take::State => Some("`rigid_plate` or `flexible_plate`"),
            Take::BentState => Some("`flexible_plate`"),
            Take::Argument(_) | Take::Word(_) => None,
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
                    self.report(match wanted.giver() {
                        Some(functions) => finding.help(format!("write `with {take} = …`: what {functions} gives")),
                        None => finding.help(format!("define `{take}`, or write `with {take} = …`")),
                    });
                }
                continue;
            };
            let kind = wanted.kind();
            reading.words = match &kind {
                Kind::Word(set) => Some(set.clone()),
                _ => None,
            };
            let value = self.infer(frame, &mut reading, &expression);
            match self.conform(frame, value, &kind, expression.span, take) {
                Ok(value) => arguments.push(((*take).to_owned(), value)),
                Err(finding) => {
                    self.report(match wanted.giver() {
                        Some(functions) => finding.help(format!("`{take}` is what {functions} gives")),
                        None => finding,
                    });
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
