//! Functions of lists: extremes, sums, counts and choices.

use super::{Function, Signature};
use crate::program::Binary;

/// The family.
pub(super) const FUNCTIONS: &[Function] = &[
    Function {
        name: "min",
        usage: "min(a, b, …)",
        summary: "the least of values and of the elements of lists, all of one dimension",
        signature: Signature::Extreme(Binary::Minimum),
        examples: &[("min(3 mm, 0.2 cm)", "2 mm"), ("min(4, [3, 5])", "3")],
    },
    Function {
        name: "max",
        usage: "max(a, b, …)",
        summary: "the greatest of values and of the elements of lists, all of one dimension",
        signature: Signature::Extreme(Binary::Maximum),
        examples: &[("max(3 mm, 0.2 cm)", "3 mm"), ("max([1, 2])", "2")],
    },
    Function {
        name: "sum",
        usage: "sum(list)",
        summary: "the sum of the elements; zero for none",
        signature: Signature::Sum,
        examples: &[("sum([1 kN, 2 kN])", "3 kN"), ("sum([0.5, 0.25])", "0.75")],
    },
    Function {
        name: "mean",
        usage: "mean(list)",
        summary: "the mean of the elements",
        signature: Signature::Mean,
        examples: &[("mean([1 mm, 2 mm])", "1.5 mm"), ("mean([4])", "4")],
    },
    Function {
        name: "count",
        usage: "count(list)",
        summary: "how many elements a list has, or rows a table",
        signature: Signature::Count,
        examples: &[("count([5 mm, 6 mm])", "2"), ("count([])", "0")],
    },
    Function {
        name: "count_where",
        usage: "count_where(conditions)",
        summary: "how many of a list of yes/no are yes",
        signature: Signature::CountWhere,
        examples: &[("count_where([1, 2, 3] > 1)", "2"), ("count_where([yes, no])", "1")],
    },
    Function {
        name: "any",
        usage: "any(conditions)",
        summary: "whether at least one of a list of yes/no is yes",
        signature: Signature::Join(Binary::Or),
        examples: &[("any([1, 2] > 1)", "yes"), ("any([no, no])", "no")],
    },
    Function {
        name: "all",
        usage: "all(conditions)",
        summary: "whether all of a list of yes/no are yes",
        signature: Signature::Join(Binary::And),
        examples: &[("all([1, 2] > 1)", "no"), ("all([yes, yes])", "yes")],
    },
    Function {
        name: "either",
        usage: "either(condition, a, b)",
        summary: "a where the condition holds and b elsewhere, element by element",
        signature: Signature::Either,
        examples: &[("either(1 < 2, 3 mm, 4 mm)", "3 mm"), ("either([yes, no], 1, 0)", "[1, 0]")],
    },
];
