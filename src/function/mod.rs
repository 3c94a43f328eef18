//! The built-in functions: one table, one file a family.
//!
//! A [`Function`] is its name, its [`Signature`] over kinds and dimensions, and a sentence that says what it does.
//! The compiler lowers a call by its signature; the language reference is checked against this table.

mod anchor_group;
mod base_plate;
mod elementary;
mod list;
mod sample;
#[cfg(test)]
mod tests;
mod unpack;

pub use sample::{LARGEST_SEED, MOST_PAIRS, draw};

use crate::program::{Binary, Routine, Unary};
use crate::quantity::Dimension;

/// One built-in function.
#[derive(Clone, Debug)]
pub struct Function {
    /// Its name.
    pub name: &'static str,
    /// How it is called, as the reference page shows it.
    pub usage: &'static str,
    /// What it gives, in a sentence.
    pub summary: &'static str,
    /// What goes in and comes out.
    pub signature: Signature,
    /// Formulas with the results that the tests compare.
    pub examples: &'static [(&'static str, &'static str)],
}

/// What a function takes and gives.
#[derive(Clone, Debug)]
pub enum Signature {
    /// One value, number by number; what it asks of the dimension and makes of it.
    Elementwise(Unary, DimensionRule),
    /// Two values of equal dimension to a plain number.
    Quotient(Binary),
    /// Any values and lists of one dimension to one of them.
    Extreme(Binary),
    /// A list to its sum.
    Sum,
    /// A list to its mean.
    Mean,
    /// A list to the number of its elements.
    Count,
    /// A list of yes/no to how many are yes.
    CountWhere,
    /// A list of yes/no to one, joined by the operation.
    Join(Binary),
    /// A condition and two values, element by element.
    Either,
    /// Two tables to one of all pairs of their rows.
    Pairs,
    /// Two tables to the rows of the first whose labels the second lacks, or has, by labels.
    Labels(LabelRule),
    /// A table, how many of its rows, and a seed to a table of those drawn.
    RandomSample,
    /// A routine of `numerics`.
    Routine(&'static TypedRoutine),
}

/// Which rows of a table another picks by its labels.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub enum LabelRule {
    /// Those that the other lacks, in their own order.
    Without,
    /// Those that the other has, in the order of the other.
    InOrderOf,
}

/// What a function asks of the dimension of its argument.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub enum DimensionRule {
    /// Any; kept.
    Kept,
    /// Any; its root.
    Root,
    /// Plain numbers to plain numbers.
    Plain,
}

/// A routine of `numerics` with what it takes and gives.
#[derive(Debug)]
pub struct TypedRoutine {
    /// Names and kinds of the arguments.
    pub parameters: &'static [(&'static str, Parameter)],
    /// What it gives.
    pub gives: Gives,
    /// The call.
    pub routine: Routine,
}

/// What an argument of a routine is.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub enum Parameter {
    /// A table of anchors.
    Anchors,
    /// A list, one element an anchor, of numbers that count where positive, or of yes/no.
    Counts,
    /// A list of quantities, one an anchor.
    PerAnchor(Dimension),
    /// A table of straight edges of a member.
    Edges,
    /// One row of such a table.
    Edge,
    /// A table of corners of a polygon, in either sense.
    Corners,
    /// A table of corners of several polygons; those with one number belong together.
    Rings,
    /// A table of straight walls from one point to another.
    Walls,
    /// A quantity.
    Quantity(Dimension),
}

impl Parameter {
    /// Columns of a table or fields of a row; none for what is neither.
    pub fn columns(self) -> &'static [(&'static str, Dimension)] {
        const LENGTH: Dimension = Dimension::LENGTH;
        match self {
            Parameter::Anchors | Parameter::Corners => &[("x", LENGTH), ("y", LENGTH)],
            Parameter::Edges | Parameter::Edge => &[("normal", Dimension::NONE), ("distance", LENGTH)],
            Parameter::Rings => &[("ring", Dimension::NONE), ("x", LENGTH), ("y", LENGTH)],
            Parameter::Walls => &[("x_1", LENGTH), ("y_1", LENGTH), ("x_2", LENGTH), ("y_2", LENGTH)],
            Parameter::Counts | Parameter::PerAnchor(_) | Parameter::Quantity(_) => &[],
        }
    }
}

/// What a routine gives.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub enum Gives {
    /// A quantity.
    Quantity(Dimension),
    /// Two quantities.
    Two(Dimension),
    /// A quantity for each anchor.
    PerAnchor(Dimension),
    /// A quantity for each edge.
    PerEdge(Dimension),
    /// Yes or no for each anchor.
    TruthPerAnchor,
    /// Several results, each with a name.
    Record(&'static [(&'static str, Gives)]),
    /// So many values, for a figure.
    Samples(usize, Dimension),
    /// A table of so many rows; values come column by column.
    Table(Parameter, usize),
}

/// Every function, in the order of the reference page.
pub fn all() -> impl Iterator<Item = &'static Function> {
    elementary::FUNCTIONS
        .iter()
        .chain(list::FUNCTIONS)
        .chain(sample::FUNCTIONS)
        .chain(anchor_group::FUNCTIONS)
        .chain(base_plate::FUNCTIONS)
}

/// The function of a name.
pub fn find(name: &str) -> Option<&'static Function> {
    all().find(|function| function.name == name)
}

/// The table of the reference page.
pub fn reference_table() -> String {
    let mut table = String::from("| function | gives |\n| --- | --- |\n");
    for function in all() {
        table.push_str(&format!("| `{}` | {} |\n", function.usage, function.summary));
    }
    table
}
