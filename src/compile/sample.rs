//! Calls of the functions of tables: pairs of rows, rows by the labels of another table, and random samples.
//!
//! Which rows a table has is known when a sheet is compiled. What a sample is drawn by is known once the steps so far have
//! run: they run here, as they do for records.

use super::{ANY_ROW, Compiler, Frame, List, Table, Value, Word};
use crate::diagnostic::Code;
use crate::function::{LARGEST_SEED, LabelRule, MOST_PAIRS, draw};
use crate::program::run;
use crate::quantity::print_shortest;
use crate::syntax::Expression;
use crate::text::Span;
use std::collections::{HashMap, HashSet};
use std::sync::Arc;

impl Compiler<'_> {
    /// All pairs of the rows of two tables, with the columns of the second.
    pub(super) fn pairs(&mut self, frame: &Frame, outer: (&Expression, Value), inner: (&Expression, Value)) -> Value {
        let (Some(outer), Some(inner)) = (self.table_of(frame, outer), self.table_of(frame, inner)) else {
            return Value::Unknown;
        };
        let (bases, anchors) = (outer.0.labels.len(), inner.0.labels.len());
        if bases.saturating_mul(anchors) > MOST_PAIRS {
            let message = format!("{bases} rows with {anchors} each are more than {MOST_PAIRS}");
            let finding = frame.error(Code::TooLarge, inner.1.span, message);
            return self.report(finding.help("draw from each part by itself"));
        }
        let label = |base: &String, anchor: &String| match base == ANY_ROW || anchor == ANY_ROW {
            // Which rows there are is not known, or only a use of the clause says.
            true => ANY_ROW.to_owned(),
            false => format!("{base} {anchor}"),
        };
        let labels =
            outer.0.labels.iter().flat_map(|base| inner.0.labels.iter().map(move |anchor| label(base, anchor)));
        let columns = inner.0.columns.iter().map(|(name, list)| {
            let items = (0..bases).flat_map(|_| list.items.iter().cloned()).collect();
            (name.clone(), List { items, element: list.element.clone() })
        });
        Value::Table(Arc::new(Table { columns: columns.collect(), labels: labels.collect() }))
    }

    /// The rows of a table whose labels another table lacks, or has.
    pub(super) fn by_labels(
        &mut self,
        frame: &Frame,
        rule: LabelRule,
        rows: (&Expression, Value),
        others: (&Expression, Value),
    ) -> Value {
        let (Some((rows, _)), Some((others, _))) = (self.table_of(frame, rows), self.table_of(frame, others)) else {
            return Value::Unknown;
        };
        if rows.labels.iter().chain(&others.labels).any(|label| label == ANY_ROW) {
            // Which rows there are only a use of the clause says.
            return Value::Table(rows);
        }
        let places: HashMap<&String, usize> = rows.labels.iter().zip(0..).collect();
        let kept: Vec<usize> = match rule {
            LabelRule::InOrderOf => others.labels.iter().filter_map(|label| places.get(label).copied()).collect(),
            LabelRule::Without => {
                let others: HashSet<&String> = others.labels.iter().collect();
                (0..rows.labels.len()).filter(|place| !others.contains(&rows.labels[*place])).collect()
            }
        };
        Value::Table(Arc::new(only(&rows, &kept)))
    }

    /// The rows of a table that a seed draws.
    pub(super) fn random_sample(
        &mut self,
        frame: &Frame,
        span: Span,
        rows: (&Expression, Value),
        n: (&Expression, Value),
        seed: (&Expression, Value),
    ) -> Value {
        // Within a clause that is solved backwards the number might have any value.
        if frame.is_clause {
            let finding = frame.error(Code::MisplacedStatement, span, "a sample is drawn in a calculation");
            return self.report(finding.help("draw it in the sheet, and hand it to the clause as a table"));
        }
        let Some((table, _)) = self.table_of(frame, rows) else { return Value::Unknown };
        let most = table.labels.len();
        let few = format!("a whole number from 0 to {most}, the rows that there are");
        let n = self.whole(frame, "n", n, most as f64, &few);
        let any = format!("a whole number from 0 to {LARGEST_SEED}");
        let (n, seed) = match (n, self.whole(frame, "seed", seed, LARGEST_SEED, &any)) {
            (Whole::Is(n), Whole::Is(seed)) => (n, seed),
            (Whole::Mistaken, _) | (_, Whole::Mistaken) => return Value::Unknown,
            _ => return self.undrawn(&table),
        };
        let drawn = draw(seed, &table.labels, usize::try_from(n).unwrap_or(most));
        Value::Table(Arc::new(only(&table, &drawn)))
    }

    fn table_of<'e>(
        &mut self,
        frame: &Frame,
        (argument, value): (&'e Expression, Value),
    ) -> Option<(Arc<Table>, &'e Expression)> {
        match value {
            Value::Table(table) => Some((table, argument)),
            Value::Unknown => None,
            other => {
                let message = format!("a table is needed, this is {}", other.kind().describe());
                let finding = frame.error(Code::KindMismatch, argument.span, message);
                self.report(finding.help("its rows are drawn, paired or picked by their labels"));
                None
            }
        }
    }

    /// One row of which nothing is known: a sample that rests on no number is *not valid*, like any other value.
    fn undrawn(&mut self, table: &Table) -> Value {
        let none = self.builder.constant(f64::NAN);
        let unknown = |item: &Value| match item {
            Value::Number(number) => Value::number(none, number.dimension),
            Value::Truth(_) => Value::Truth(none),
            Value::Word(word) => Value::Word(Word { register: none, set: word.set.clone() }),
            other => other.clone(),
        };
        let columns = table.columns.iter().map(|(name, list)| {
            let items = list.items.iter().take(1).map(unknown).collect();
            (name.clone(), List { items, element: list.element.clone() })
        });
        Value::Table(Arc::new(Table { columns: columns.collect(), labels: vec![ANY_ROW.to_owned()] }))
    }

    /// A whole number from 0 on, as the steps so far give it.
    fn whole(
        &mut self,
        frame: &Frame,
        name: &str,
        (argument, value): (&Expression, Value),
        most: f64,
        wanted: &str,
    ) -> Whole {
        let register = match &value {
            Value::Number(number) if number.dimension.is_none() => number.register,
            other => {
                let message = format!("`{name}` must be {wanted}, not {}", other.kind().describe());
                self.report(frame.error(Code::KindMismatch, argument.span, message));
                return Whole::Mistaken;
            }
        };
        let run = run(self.builder.program(), &self.inputs);
        let value = run.registers.get(register.index()).copied().unwrap_or(f64::NAN);
        if value.is_nan() {
            return Whole::NoNumber;
        }
        if value.fract() == 0.0 && (0.0..=most).contains(&value) {
            // Whole and within 2^53, so that nothing is lost.
            return Whole::Is(value as u64);
        }
        let message = format!("`{name}` is {}, expected {wanted}", print_shortest(value));
        let finding = frame.error(Code::MistakenValue, argument.span, message);
        self.report(finding.help(match name == "n" && value.fract() != 0.0 {
            true => "round it up: `ceil(…)`",
            false if name == "n" => "correct the value, or the table that is drawn from",
            false => "write digits alone, such as a day as `20261105`",
        }));
        Whole::Mistaken
    }
}

/// Some rows of a table, by their places.
fn only(table: &Table, places: &[usize]) -> Table {
    let columns = table.columns.iter().map(|(name, list)| {
        let items = places.iter().filter_map(|place| list.items.get(*place).cloned()).collect();
        (name.clone(), List { items, element: list.element.clone() })
    });
    let labels = places.iter().filter_map(|place| table.labels.get(*place).cloned());
    Table { columns: columns.collect(), labels: labels.collect() }
}

/// What a whole number comes to.
enum Whole {
    Is(u64),
    /// The steps so far give none; evaluation says why.
    NoNumber,
    /// It was reported.
    Mistaken,
}
