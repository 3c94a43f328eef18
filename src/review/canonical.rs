//! What a line says, in a form that stays the same however it is written.
//!
//! Four parts: formula, values, reference and description. Each is a run of named fields with their lengths, so that
//! no text can pass for the end of its field. Spaces, spellings of units and operators, the unit in which a number is
//! written (`300 mm` or `0.3 m`), places in files, how many figures are shown and the order of other lines leave no
//! trace in it; a unit that the line asks for by `in` does.

use crate::compile::{Line, LineId, Number, Value, Work};
use crate::evaluate::Trace;
use crate::library::Origin;
use crate::program::Register;
use crate::quantity::{Unit, read_number};
use crate::syntax::{
    Applies, Binding, Branch, Definition, Expression, ExpressionKind, Giving, Solving, Statement, StatementKind,
    Suffix, Table, print_expression, print_solving, print_statement,
};
use crate::text::Spanned;
use std::fmt::Write;

/// What a line says.
pub(super) struct Said {
    /// What is computed, in which unit it is shown, and within which limits it holds.
    pub formula: String,
    /// The values that enter, what comes out, and how a check came out.
    pub value: String,
    /// Where it comes from, with its mark.
    pub reference: String,
    /// What it is.
    pub description: String,
}

/// What a line of a trace says.
pub(super) fn said(trace: &Trace, id: LineId) -> Said {
    let line = trace.compiled.notes.line(id);
    Said {
        formula: formula(trace, line),
        value: values(trace, id, line),
        reference: reference(trace, line),
        description: description(trace, line),
    }
}

/// A field of a part.
fn field(out: &mut String, name: &str, text: &str) {
    let _ = write!(out, "{name}:{}:{text};", text.len());
}

fn formula(trace: &Trace, line: &Line) -> String {
    let mut out = String::new();
    field(&mut out, "kind", kind(&line.work));
    field(&mut out, "symbol", line.symbol.as_deref().unwrap_or(""));
    field(&mut out, "formula", &formula_text(line));
    match &line.work {
        Work::Check(check) => {
            write_units(&mut out, &check.demand, false);
            write_units(&mut out, &check.resistance, false);
        }
        Work::Use(used) => {
            let scope = trace.compiled.notes.scope(*used);
            field(&mut out, "clause", &words(&scope.document.front.title));
            // A clause of the package's own is another clause than the shipped one of that name.
            let origin = match scope.clause.as_ref().map(|clause| clause.origin) {
                Some(Origin::Package) => "package",
                Some(Origin::Override) => "override",
                Some(Origin::Shipped) | None => "shipped",
            };
            field(&mut out, "origin", origin);
        }
        _ => write_units(&mut out, &line.value, line.statement.suffix.unit.is_some()),
    }
    if let Some(limits) = &line.limits {
        field(&mut out, "from", &value_text(trace, &limits.low));
        field(&mut out, "to", &value_text(trace, &limits.high));
    }
    if line.is_default {
        field(&mut out, "default", "yes");
    }
    out
}

fn values(trace: &Trace, id: LineId, line: &Line) -> String {
    let mut out = String::new();
    for mention in &line.mentions {
        field(&mut out, "enters", &value_text(trace, &mention.value));
    }
    field(&mut out, "result", &value_text(trace, &line.value));
    // Other records may come to the same counts.
    if let Some(records) = trace.compiled.notes.records_of(id) {
        field(&mut out, "records", &records.source.text);
    }
    let mut truth = |name: &str, register: Register| field(&mut out, name, truth_text(trace.register(register)));
    match &line.work {
        Work::Cases(taken) => taken.iter().for_each(|register| truth("taken", *register)),
        Work::Require { holds, .. } => truth("holds", *holds),
        Work::Check(check) => {
            check.applies.iter().for_each(|register| truth("applies", *register));
            field(&mut out, "demand", &value_text(trace, &check.demand));
            field(&mut out, "resistance", &value_text(trace, &check.resistance));
            field(&mut out, "ratio", &number_text(trace.register(check.ratio)));
            field(&mut out, "verdict", trace.verdict(id, check).words());
        }
        Work::Solved(solved) => {
            for value in [&solved.low, &solved.high, &solved.target] {
                field(&mut out, "solving", &value_text(trace, value));
            }
        }
        Work::Given | Work::FromData(_) | Work::Takes(_) | Work::Derive | Work::Use(_) | Work::Figure => {}
    }
    if let Some(limits) = &line.limits {
        field(&mut out, "within", truth_text(trace.register(limits.holds)));
    }
    out
}

fn reference(trace: &Trace, line: &Line) -> String {
    let mut out = String::new();
    if let Work::Use(used) = line.work {
        let front = &trace.compiled.notes.scope(used).document.front;
        field(&mut out, "standard", &words(&front.standard));
        field(&mut out, "clause", &words(&front.clause));
    }
    field(&mut out, "reference", &words(&line.origin.text));
    if let Some(mark) = &line.origin.mark {
        field(&mut out, "mark", mark.kind.words());
        field(&mut out, "reason", &words(&mark.reason));
    }
    out
}

fn description(trace: &Trace, line: &Line) -> String {
    let mut out = String::new();
    field(&mut out, "description", &words(&line.description));
    match (&line.work, &line.value) {
        // Who ticks the use of a clause has read for what it holds.
        (Work::Use(used), _) => {
            let front = &trace.compiled.notes.scope(*used).document.front;
            field(&mut out, "scope", &words(&front.scope));
            field(&mut out, "basis", &words(&front.basis));
        }
        (Work::Given, Value::Data(data)) => {
            field(&mut out, "title", &words(&data.file.title));
            field(&mut out, "notice", &words(&data.file.notice));
        }
        _ => {}
    }
    out
}

fn kind(work: &Work) -> &'static str {
    match work {
        Work::Given => "given",
        Work::FromData(_) => "data",
        Work::Takes(_) => "takes",
        Work::Solved(_) => "solved",
        Work::Derive => "derive",
        Work::Cases(_) => "cases",
        Work::Require { .. } => "require",
        Work::Check(_) => "check",
        Work::Use(_) => "use",
        Work::Figure => "figure",
    }
}

/// Text without what editors and people do to spaces.
fn words(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The units that the line asks its value to be shown in, or else the dimensions.
fn write_units(out: &mut String, value: &Value, is_asked: bool) {
    match value {
        Value::Number(Number { dimension, shown, .. }) => match shown.as_ref().filter(|_| is_asked) {
            Some(shown) => field(out, "unit", &shown.unit.to_string()),
            None => field(out, "unit", &dimension.describe()),
        },
        Value::List(list) => list.items.iter().for_each(|item| write_units(out, item, is_asked)),
        Value::Table(table) => {
            let cells = table.columns.iter().filter_map(|(_, list)| list.items.first());
            cells.for_each(|cell| write_units(out, cell, is_asked));
        }
        Value::Row(row) => row.fields.iter().for_each(|(_, value)| write_units(out, value, is_asked)),
        Value::Truth(_) | Value::Word(_) | Value::Data(_) | Value::Unknown => {}
    }
}

/// A number in coherent SI units, to twelve significant figures: enough to tell any two that matter apart.
fn number_text(value: f64) -> String {
    match value {
        value if !value.is_finite() => "none".to_owned(),
        0.0 => "0".to_owned(),
        value => format!("{value:.11e}"),
    }
}

fn truth_text(value: f64) -> &'static str {
    match value {
        value if value.is_nan() => "undecided",
        0.0 => "no",
        _ => "yes",
    }
}

/// A value with all that it holds.
fn value_text(trace: &Trace, value: &Value) -> String {
    let mut out = String::new();
    write_value(&mut out, trace, value);
    out
}

fn write_value(out: &mut String, trace: &Trace, value: &Value) {
    match value {
        Value::Number(number) => out.push_str(&number_text(trace.register(number.register))),
        Value::Truth(register) => out.push_str(truth_text(trace.register(*register))),
        Value::Word(word) => {
            let _ = write!(out, "{} of {}", number_text(trace.register(word.register)), word.set.join(" "));
        }
        Value::List(list) => list.items.iter().for_each(|item| field(out, "item", &value_text(trace, item))),
        Value::Table(table) => {
            table.labels.iter().for_each(|label| field(out, "row", label));
            for (name, list) in &table.columns {
                field(out, "column", name);
                list.items.iter().for_each(|item| field(out, "item", &value_text(trace, item)));
            }
        }
        Value::Row(row) => {
            field(out, "row", &row.label);
            for (name, value) in &row.fields {
                field(out, name, &value_text(trace, value));
            }
        }
        // Each value of the file has a line of its own.
        Value::Data(data) => out.push_str(&words(&data.file.title)),
        Value::Unknown => {}
    }
}

/// The formula in the language, as every way of writing it comes out.
fn formula_text(line: &Line) -> String {
    match &line.work {
        Work::FromData(_) => String::new(),
        Work::Takes(binding) => print_expression(&tidy(binding)),
        Work::Solved(solved) => print_solving(&tidy_solving(&solved.solving)),
        _ => print_statement(&tidy_statement(&line.statement)),
    }
}

/// A statement without what is told by other fields: description, reference, limits, unit and figures.
fn tidy_statement(statement: &Statement) -> Statement {
    let applies = |applies: &Applies| Applies {
        condition: tidy(&applies.condition),
        reason: Spanned::new(words(&applies.reason.node), applies.reason.span),
    };
    let giving = |giving: &Giving| Giving {
        unit: tidy_unit(&giving.unit),
        with: giving.with.iter().map(|(name, unit)| (name.clone(), tidy_unit(unit))).collect(),
    };
    let suffix = Suffix {
        giving: statement.suffix.giving.as_ref().map(giving),
        applies: statement.suffix.applies.iter().map(applies).collect(),
        ..Suffix::default()
    };
    Statement { span: statement.span, kind: tidy_kind(&statement.kind), suffix }
}

fn tidy_kind(kind: &StatementKind) -> StatementKind {
    let bindings = |with: &[Binding]| -> Vec<Binding> {
        with.iter().map(|binding| Binding { name: binding.name.clone(), value: tidy(&binding.value) }).collect()
    };
    match kind {
        StatementKind::Define { name, value } => {
            StatementKind::Define { name: name.clone(), value: tidy_definition(value) }
        }
        StatementKind::Require { condition, on } => {
            StatementKind::Require { condition: tidy(condition), on: on.clone() }
        }
        StatementKind::Verify(condition) => StatementKind::Verify(tidy(condition)),
        StatementKind::Use(used) => {
            let mut used = used.clone();
            used.each = used.each.map(|(name, of)| (name, tidy(&of)));
            used.with = bindings(&used.with);
            used.solving = used.solving.map(|solving| Box::new(tidy_solving(&solving)));
            StatementKind::Use(used)
        }
        StatementKind::Figure { name, with } => StatementKind::Figure { name: name.clone(), with: bindings(with) },
        StatementKind::Takes { .. } | StatementKind::Gives(_) | StatementKind::Unreadable(_) => kind.clone(),
    }
}

fn tidy_definition(value: &Definition) -> Definition {
    match value {
        Definition::Expression(expression) => Definition::Expression(tidy(expression)),
        Definition::Cases(branches) => {
            let branch =
                |branch: &Branch| Branch { value: tidy(&branch.value), condition: branch.condition.as_ref().map(tidy) };
            Definition::Cases(branches.iter().map(branch).collect())
        }
        Definition::Table(table) => {
            let columns = table.columns.iter().map(|(name, unit)| (name.clone(), unit.as_ref().map(tidy_unit)));
            let rows = table.rows.iter().map(|(label, cells)| (label.clone(), cells.iter().map(tidy).collect()));
            Definition::Table(Table { columns: columns.collect(), rows: rows.collect(), file: table.file.clone() })
        }
        Definition::Data(path) => Definition::Data(path.clone()),
        Definition::Records(records) => {
            let mut records = records.clone();
            records.with.iter_mut().for_each(|binding| binding.value = tidy(&binding.value));
            Definition::Records(records)
        }
    }
}

fn tidy_solving(solving: &Solving) -> Solving {
    Solving {
        name: solving.name.clone(),
        low: tidy(&solving.low),
        high: tidy(&solving.high),
        result: solving.result.clone(),
        target: tidy(&solving.target),
    }
}

/// `kN*m` and `kN·m` are one unit.
fn tidy_unit(unit: &Spanned<String>) -> Spanned<String> {
    let text = Unit::parse(&unit.node).map_or_else(|_| unit.node.clone(), |unit| unit.to_string());
    Spanned::new(text, unit.span)
}

/// A number with its unit, as its value in coherent SI units; as it is written where it cannot be read.
fn tidy_number(digits: &str, unit: Option<&Spanned<String>>) -> ExpressionKind {
    let Some(unit) = unit else {
        let value = read_number(digits).map_or_else(|| digits.to_owned(), number_text);
        return ExpressionKind::Number(value, None);
    };
    let parsed = Unit::parse(&unit.node).ok();
    let read = parsed.and_then(|unit| Some((number_text(unit.literal_to_si(digits)?), unit.dimension().describe())));
    match read {
        Some((value, dimension)) => ExpressionKind::Number(value, Some(Spanned::new(dimension, unit.span))),
        None => ExpressionKind::Number(digits.to_owned(), Some(unit.clone())),
    }
}

/// An expression with its numbers in one unit and spelling.
fn tidy(expression: &Expression) -> Expression {
    use ExpressionKind as K;
    let inner = |expression: &Expression| Box::new(tidy(expression));
    let kind = match &expression.kind {
        K::Number(digits, unit) => tidy_number(digits, unit.as_ref()),
        K::Field(of, name) => K::Field(inner(of), name.clone()),
        K::Index(of, index) => K::Index(inner(of), index.clone()),
        K::List(items) => K::List(items.iter().map(tidy).collect()),
        K::Unary(operator, operand) => K::Unary(*operator, inner(operand)),
        K::Binary(operator, left, right) => K::Binary(*operator, inner(left), inner(right)),
        K::Call(name, arguments) => K::Call(name.clone(), arguments.iter().map(tidy).collect()),
        K::Truth(_) | K::Name(_) | K::Unreadable => expression.kind.clone(),
    };
    Expression::new(kind, expression.span)
}
