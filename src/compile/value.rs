//! What an expression stands for: registers with a kind and a dimension, and how to show them.

use super::notes::LineId;
use crate::library::DataFile;
use crate::program::Register;
use crate::quantity::{Dimension, Unit};
use std::sync::Arc;

/// A value before it is computed.
#[derive(Clone, Debug)]
pub enum Value {
    /// A quantity or a plain number.
    Number(Number),
    /// Yes or no.
    Truth(Register),
    /// One word of a closed set.
    Word(Word),
    /// Values of one kind.
    List(List),
    /// Records by label.
    Table(Arc<Table>),
    /// One record of a table.
    Row(Arc<Row>),
    /// A data file.
    Data(Arc<Data>),
    /// What a mistake left; it silences what merely follows.
    Unknown,
}

/// A quantity or a plain number.
#[derive(Clone, Debug)]
pub struct Number {
    /// Where its SI value is.
    pub register: Register,
    /// Its dimension.
    pub dimension: Dimension,
    /// How it is shown, where that was said.
    pub shown: Option<Arc<Shown>>,
}

/// How a number is shown.
#[derive(Clone, Debug)]
pub struct Shown {
    /// In which unit.
    pub unit: Unit,
    /// The digits as typed, of a value that was given.
    pub digits: Option<String>,
    /// Significant figures, if not the sheet's.
    pub figures: Option<usize>,
}

/// A word.
#[derive(Clone, Debug)]
pub struct Word {
    /// Where its place in the set is.
    pub register: Register,
    /// The words to choose from.
    pub set: Arc<[String]>,
}

/// A list; its length is known when the sheet is compiled.
#[derive(Clone, Debug)]
pub struct List {
    /// The elements.
    pub items: Vec<Value>,
    /// What they are, also where there is none.
    pub element: Kind,
}

/// A table.
#[derive(Clone, Debug)]
pub struct Table {
    /// Names and values of the columns.
    pub columns: Vec<(String, List)>,
    /// Labels of the rows.
    pub labels: Vec<String>,
}

/// The label of the one row of a table whose rows are not known; no name is written like it.
pub(super) const ANY_ROW: &str = "?";

impl Table {
    /// One of its rows; without values where it has no such row.
    pub fn row(&self, at: usize) -> Arc<Row> {
        let cells = self.columns.iter();
        let fields = cells.filter_map(|(column, list)| Some((column.clone(), list.items.get(at)?.clone()))).collect();
        Arc::new(Row { label: self.labels.get(at).cloned().unwrap_or_default(), fields })
    }
}

/// A row of a table.
#[derive(Clone, Debug)]
pub struct Row {
    /// Its label.
    pub label: String,
    /// Its values by column.
    pub fields: Vec<(String, Value)>,
}

/// A data file in use.
#[derive(Clone, Debug)]
pub struct Data {
    /// The line that names it.
    pub line: LineId,
    /// The file.
    pub file: Arc<DataFile>,
}

/// The kind of a value.
#[derive(Clone, Debug, PartialEq)]
pub enum Kind {
    /// A number of a dimension.
    Number(Dimension),
    /// Yes or no.
    Truth,
    /// A word of a set.
    Word(Arc<[String]>),
    /// A list.
    List(Box<Kind>),
    /// A table with columns.
    Table(Vec<(String, Kind)>),
    /// A row with fields.
    Row(Vec<(String, Kind)>),
    /// A data file.
    Data,
    /// Any: of an empty list, or of what a mistake left.
    Unknown,
}

impl Kind {
    /// In words with an article.
    pub fn describe(&self) -> String {
        match self {
            Kind::Number(dimension) => dimension.describe(),
            Kind::Truth => "yes or no".to_owned(),
            Kind::Word(set) => format!("a word among {}", set.join(", ")),
            Kind::List(element) => format!("a list, each element {}", element.describe()),
            Kind::Table(columns) => format!("a table with {}", names(columns)),
            Kind::Row(fields) => format!("a row with {}", names(fields)),
            Kind::Data => "a data file".to_owned(),
            Kind::Unknown => "anything".to_owned(),
        }
    }

    /// Whether a value of the other kind can stand where this one is asked for.
    pub fn accepts(&self, other: &Kind) -> bool {
        match (self, other) {
            (Kind::Unknown, _) | (_, Kind::Unknown) => true,
            (Kind::List(a), Kind::List(b)) => a.accepts(b),
            (Kind::Table(a), Kind::Table(b)) | (Kind::Row(a), Kind::Row(b)) => {
                a.iter().all(|(name, kind)| b.iter().any(|(other, found)| name == other && kind.accepts(found)))
            }
            (a, b) => a == b,
        }
    }
}

impl Kind {
    /// Of two tables or rows with the same columns the first that is of another kind: its name, as wanted, as found.
    pub(super) fn other_column<'a>(&'a self, found: &'a Kind) -> Option<(&'a str, &'a Kind, &'a Kind)> {
        let ((Kind::Table(wanted), Kind::Table(found)) | (Kind::Row(wanted), Kind::Row(found))) = (self, found) else {
            return None;
        };
        let given = |name: &str| found.iter().find(|(other, _)| other == name).map(|(_, kind)| kind);
        let mut pairs = Vec::with_capacity(wanted.len());
        for (name, kind) in wanted {
            pairs.push((name.as_str(), kind, given(name)?));
        }
        pairs.into_iter().find(|(_, kind, given)| !kind.accepts(given))
    }
}

fn names(columns: &[(String, Kind)]) -> String {
    let names: Vec<String> = columns.iter().map(|(name, _)| format!("`{name}`")).collect();
    match names.len() {
        0 => "no column".to_owned(),
        1 => format!("the column {}", names.concat()),
        _ => format!("the columns {}", names.join(", ")),
    }
}

impl Value {
    /// A number.
    pub fn number(register: Register, dimension: Dimension) -> Self {
        Value::Number(Number { register, dimension, shown: None })
    }

    /// A plain number.
    pub fn plain(register: Register) -> Self {
        Self::number(register, Dimension::NONE)
    }

    /// Its kind.
    pub fn kind(&self) -> Kind {
        match self {
            Value::Number(number) => Kind::Number(number.dimension),
            Value::Truth(_) => Kind::Truth,
            Value::Word(word) => Kind::Word(word.set.clone()),
            Value::List(list) => Kind::List(Box::new(list.element.clone())),
            Value::Table(table) => {
                Kind::Table(table.columns.iter().map(|(name, list)| (name.clone(), list.element.clone())).collect())
            }
            Value::Row(row) => Kind::Row(row.fields.iter().map(|(name, value)| (name.clone(), value.kind())).collect()),
            Value::Data(_) => Kind::Data,
            Value::Unknown => Kind::Unknown,
        }
    }

    /// Whether a mistake left it.
    pub fn is_unknown(&self) -> bool {
        matches!(self, Value::Unknown)
    }

    /// A list of values, whose kind is that of the first; one that a mistake left makes the list such a value.
    pub fn list(items: Vec<Value>) -> Self {
        if items.iter().any(Value::is_unknown) {
            return Value::Unknown;
        }
        let element = items.first().map_or(Kind::Unknown, Value::kind);
        Value::List(List { items, element })
    }

    /// Every register that it stands for.
    pub fn registers(&self) -> Vec<Register> {
        match self {
            Value::Number(number) => vec![number.register],
            Value::Truth(register) => vec![*register],
            Value::Word(word) => vec![word.register],
            Value::List(list) => list.items.iter().flat_map(Value::registers).collect(),
            Value::Table(table) => {
                table.columns.iter().flat_map(|(_, list)| list.items.iter().flat_map(Value::registers)).collect()
            }
            Value::Row(row) => row.fields.iter().flat_map(|(_, value)| value.registers()).collect(),
            Value::Data(_) | Value::Unknown => Vec::new(),
        }
    }

    /// The same value, its numbers shown in a way; numbers of another dimension keep theirs.
    #[must_use]
    pub fn shown_as(self, shown: &Arc<Shown>) -> Self {
        match self {
            Value::Number(number) if number.dimension == shown.unit.dimension() => {
                Value::Number(Number { shown: Some(shown.clone()), ..number })
            }
            Value::List(list) => Value::List(List {
                items: list.items.into_iter().map(|item| item.shown_as(shown)).collect(),
                element: list.element,
            }),
            other => other,
        }
    }
}
