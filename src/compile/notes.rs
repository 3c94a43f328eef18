//! What stands beside a program: lines, scopes and figures, from which a trace and a page are made.

use super::calculation::Recalculation;
use super::value::Value;
use crate::document::{BlockKind, Document};
use crate::library::{Card, Clause, DataFile};
use crate::program::Register;
use crate::quantity::Unit;
use crate::records::{Mapping, Report, Specification};
use crate::syntax::{Expression, Solving, Statement};
use crate::text::{SourceFile, Span};
use std::sync::Arc;

/// The number of a line in [`Notes::lines`].
#[derive(Copy, Clone, Debug, Eq, PartialEq, Ord, PartialOrd, Hash)]
pub struct LineId(pub u32);

/// The number of a scope in [`Notes::scopes`]; 0 is the sheet itself.
#[derive(Copy, Clone, Debug, Eq, PartialEq, Ord, PartialOrd, Hash)]
pub struct ScopeId(pub u32);

/// Everything about a compiled sheet but its program.
#[derive(Clone, Debug, Default)]
pub struct Notes {
    /// Every line, in the order in which they were compiled.
    pub lines: Vec<Line>,
    /// The sheet, and each use of a clause.
    pub scopes: Vec<Scope>,
    /// What is drawn.
    pub figures: Vec<Figure>,
    /// Cards for the site.
    pub cards: Vec<CardUse>,
    /// As-installed records.
    pub records: Vec<RecordsUse>,
}

/// The sheet or one use of a clause.
#[derive(Clone, Debug)]
pub struct Scope {
    /// Names from the sheet down, joined by points; empty for the sheet.
    pub path: String,
    /// The scope that uses it.
    pub parent: Option<ScopeId>,
    /// The clause; none for the sheet and for a calculation that is made again.
    pub clause: Option<Arc<Clause>>,
    /// The calculation that is made again with other values; none for the sheet and for a clause.
    pub recalculation: Option<Arc<Recalculation>>,
    /// Its front matter and prose.
    pub document: Arc<Document>,
    /// Prose, blocks and uses in order.
    pub parts: Vec<ScopePart>,
}

/// A part of a scope.
#[derive(Clone, Debug)]
pub enum ScopePart {
    /// Prose at this index of the document.
    Prose(usize),
    /// Lines of a block.
    Lines(BlockKind, Vec<LineId>),
    /// A use of a clause: its line, and the scope of its working.
    Use(LineId, ScopeId),
    /// A figure.
    Figure(usize),
    /// A card, which stands on a page of its own.
    Card(usize),
    /// A clause that was to be used for each row of a table without rows.
    Idle(Arc<Idle>),
}

/// A clause that had nothing to be used for.
#[derive(Clone, Debug)]
pub struct Idle {
    /// The clause.
    pub clause: Arc<Clause>,
    /// Why.
    pub reason: String,
}

/// One line of the calculation.
#[derive(Clone, Debug)]
pub struct Line {
    /// The scope that it stands in.
    pub scope: ScopeId,
    /// The symbol that it defines.
    pub symbol: Option<String>,
    /// What it does.
    pub work: Work,
    /// The statement.
    pub statement: Arc<Statement>,
    /// The file of the statement.
    pub source: Arc<SourceFile>,
    /// Its value.
    pub value: Value,
    /// What its formula names, with the values.
    pub mentions: Vec<Mention>,
    /// Limits of validity.
    pub limits: Option<Limits>,
    /// Where the value comes from: the reference's words, or a data entry's.
    pub origin: Origin,
    /// What it is, in words.
    pub description: String,
    /// Whether a clause took its own default, since nothing else was said.
    pub is_default: bool,
    /// Whether the calculation states the value behind `with`, where it names no symbol that would have a source.
    pub is_stated: bool,
}

/// Where a line comes from.
#[derive(Clone, Debug, Default)]
pub struct Origin {
    /// The words of the reference.
    pub text: String,
    /// Its mark.
    pub mark: Option<crate::syntax::Mark>,
}

/// What a line does.
#[derive(Clone, Debug)]
pub enum Work {
    /// A value that the sheet starts from.
    Given,
    /// A value out of a data file, named by the line of the file.
    FromData(LineId),
    /// A value that a clause takes; what it is bound to.
    Takes(Arc<Expression>),
    /// A value that a clause takes and that is found from a result.
    Solved(Box<Solved>),
    /// A formula.
    Derive,
    /// Values by condition; for each branch whether it was taken.
    Cases(Vec<Register>),
    /// A condition of validity.
    Require {
        /// Whether it holds.
        holds: Register,
        /// The lines whose values are mistaken where it does not.
        mistaken: Vec<LineId>,
    },
    /// A comparison of demand and resistance.
    Check(Check),
    /// A use of a clause.
    Use(ScopeId),
    /// A drawing.
    Figure,
}

/// A value for which a result comes to a target.
#[derive(Clone, Debug)]
pub struct Solved {
    /// The least value looked at.
    pub low: Value,
    /// The greatest.
    pub high: Value,
    /// The result's name in the clause.
    pub result: String,
    /// What it has to come to.
    pub target: Value,
    /// As written.
    pub solving: Solving,
}

/// A check.
#[derive(Clone, Debug)]
pub struct Check {
    /// What is asked.
    pub demand: Value,
    /// What there is.
    pub resistance: Value,
    /// Whether the demand is on the left, as in `demand <= resistance`.
    pub demand_first: bool,
    /// Whether it holds.
    pub holds: Register,
    /// Demand over resistance.
    pub ratio: Register,
    /// Conditions under which it applies, all of which have to hold.
    pub applies: Vec<Register>,
}

/// Limits of validity of a value.
#[derive(Clone, Debug)]
pub struct Limits {
    /// The least.
    pub low: Value,
    /// The greatest.
    pub high: Value,
    /// Whether the value lies within them.
    pub holds: Register,
}

/// A place in a formula that names a value.
#[derive(Clone, Debug)]
pub struct Mention {
    /// The place.
    pub span: Span,
    /// The value.
    pub value: Value,
    /// The line that defines it.
    pub line: Option<LineId>,
    /// The unit in which it is a bare number here.
    pub bare: Option<Unit>,
}

/// A drawing.
#[derive(Clone, Debug)]
pub struct Figure {
    /// Which.
    pub name: String,
    /// Its line.
    pub line: LineId,
    /// The caption.
    pub caption: String,
    /// What it is drawn from, by name.
    pub arguments: Vec<(String, Value)>,
}

/// A card with the values that stand in its words.
#[derive(Clone, Debug)]
pub struct CardUse {
    /// The card.
    pub card: Arc<Card>,
    /// What it is for.
    pub title: String,
    /// The values that were found; what is not among them is open.
    pub values: Vec<CardEntry>,
    /// The data files that it was filled from, each with its line: what the site holds in hand.
    pub products: Vec<(LineId, Arc<DataFile>)>,
}

/// A value for a card.
#[derive(Clone, Debug)]
pub struct CardEntry {
    /// Its symbol on the card.
    pub symbol: String,
    /// The value.
    pub value: Value,
    /// The line that it leads to.
    pub line: Option<LineId>,
    /// Every line that it is from.
    pub lines: Vec<LineId>,
    /// What the product says of the symbol, where that is not the value itself.
    pub of_product: Option<Value>,
}

impl CardUse {
    /// The value of a symbol.
    pub fn entry(&self, symbol: &str) -> Option<&CardEntry> {
        self.values.iter().find(|entry| entry.symbol == symbol)
    }
}

/// As-installed records held against values of the sheet.
#[derive(Clone, Debug)]
pub struct RecordsUse {
    /// The line that names the file.
    pub line: LineId,
    /// The file as text.
    pub source: Arc<SourceFile>,
    /// What came of it.
    pub report: Arc<Report>,
    /// What the records were held against.
    pub specification: Arc<Specification>,
    /// Where the anchors of every base stand, x and y in m, in the order of the specification.
    pub places: Vec<(f64, f64)>,
    /// What every record was held against, in a few words each.
    pub asked: Vec<String>,
    /// What it could have been held against beside.
    pub not_asked: Vec<String>,
    /// Which column is what, and what the sheet says of all records.
    pub mapping: Mapping,
    /// The unit in which torques are shown.
    pub torque_unit: Unit,
    /// The unit in which embedments are shown.
    pub length_unit: Unit,
}

impl Line {
    /// Makes the origin that of the use where `with` states the value itself.
    ///
    /// A reference of what is taken says where such a value may come from, not where this one does.
    pub(super) fn state(&mut self, origin: &Origin, is_calculation: bool) {
        // What came of no row at all has no line either, but a name in the sheet.
        let is_none_at_all = |value: &Value| matches!(value, Value::List(list) if list.items.is_empty());
        let is_named = |mention: &Mention| mention.line.is_some() || is_none_at_all(&mention.value);
        if !self.mentions.iter().any(is_named) {
            self.origin = origin.clone();
            self.is_stated = is_calculation;
        }
    }
}

impl Notes {
    /// The records that a line names.
    pub fn records_of(&self, id: LineId) -> Option<&RecordsUse> {
        self.records.iter().find(|records| records.line == id)
    }

    /// A line.
    pub fn line(&self, id: LineId) -> &Line {
        &self.lines[id.0 as usize]
    }

    /// A scope.
    pub fn scope(&self, id: ScopeId) -> &Scope {
        &self.scopes[id.0 as usize]
    }

    /// Whether a scope is another one, or one of those that it uses.
    pub fn is_within(&self, scope: ScopeId, outer: ScopeId) -> bool {
        std::iter::successors(Some(scope), |at| self.scope(*at).parent).any(|at| at == outer)
    }

    /// All lines in the order in which a page shows them.
    pub fn order(&self) -> Vec<LineId> {
        let mut order = Vec::with_capacity(self.lines.len());
        if !self.scopes.is_empty() {
            self.visit(ScopeId(0), &mut order);
        }
        order
    }

    fn visit(&self, scope: ScopeId, order: &mut Vec<LineId>) {
        for part in &self.scope(scope).parts {
            match part {
                ScopePart::Prose(_) | ScopePart::Idle(_) | ScopePart::Card(_) => {}
                ScopePart::Lines(_, lines) => order.extend(lines),
                ScopePart::Use(line, scope) => {
                    order.push(*line);
                    self.visit(*scope, order);
                }
                ScopePart::Figure(figure) => order.push(self.figures[*figure].line),
            }
        }
    }
}
