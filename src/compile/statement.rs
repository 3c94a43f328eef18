//! Statements: one line each, and the symbols that they define.

use super::conform::words;
use super::expression::{Reading, named};
use super::{
    Check, Compiler, Data, DataProblem, Frame, Kind, Limits, Line, LineId, List, Origin, ScopePart, Shown, Symbol,
    Table, Value, Work,
};
use crate::diagnostic::Code;
use crate::document::BlockKind;
use crate::program::{Binary, Register, Unary};
use crate::quantity::Unit;
use crate::syntax::{
    BinaryOperator, Branch, Definition, Expression, ExpressionKind, Giving, Name, Sheet, SheetPart, Statement,
    StatementKind, Suffix,
};
use crate::text::Spanned;
use std::sync::Arc;

impl Compiler<'_> {
    /// All parts of a sheet in order.
    pub(super) fn parts(&mut self, frame: &mut Frame, sheet: &Sheet) {
        for part in &sheet.parts {
            match part {
                SheetPart::Prose(index) => self.add_part(frame, ScopePart::Prose(*index)),
                SheetPart::Block(kind, statements) => {
                    for statement in statements {
                        self.statement(frame, *kind, statement);
                    }
                }
            }
        }
    }

    fn add_part(&mut self, frame: &Frame, part: ScopePart) {
        self.scope_mut(frame.scope).parts.push(part);
    }

    /// Puts a line into the block that is being filled, or opens one.
    fn place(&mut self, frame: &Frame, kind: BlockKind, line: LineId) {
        let parts = &mut self.scope_mut(frame.scope).parts;
        match parts.last_mut() {
            Some(ScopePart::Lines(last, lines)) if *last == kind => lines.push(line),
            _ => parts.push(ScopePart::Lines(kind, vec![line])),
        }
    }

    fn statement(&mut self, frame: &mut Frame, block: BlockKind, statement: &Arc<Statement>) {
        match &statement.kind {
            StatementKind::Define { name, value } => self.definition(frame, block, statement, name, value),
            StatementKind::Require(condition) => self.requirement(frame, block, statement, condition),
            StatementKind::Verify(check) => self.check(frame, block, statement, check),
            StatementKind::Use(used) => self.use_clause(frame, statement, used),
            StatementKind::Figure { name, with } => self.figure(frame, statement, name, with),
            // What a clause takes is bound before its statements run; what it gives is looked up after them.
            StatementKind::Takes { name, .. } => {
                if frame.used_at.is_none() {
                    let finding = frame.error(Code::MisplacedStatement, statement.span, "only a clause takes values");
                    self.report(
                        finding.help(
                            "write `kind = \"clause\"` in the front matter, or define the value in a `given` block",
                        ),
                    );
                    let symbol =
                        Symbol { value: Value::Unknown, line: None, source: frame.source.clone(), span: name.span };
                    self.define(frame, &name.node, name.span, symbol);
                }
            }
            StatementKind::Gives(name) => frame.gives.push(name.clone()),
        }
    }

    /// A line with what every statement may carry.
    pub(super) fn line(
        &self,
        frame: &Frame,
        statement: &Arc<Statement>,
        work: Work,
        value: Value,
        reading: Reading,
    ) -> Line {
        let suffix = &statement.suffix;
        Line {
            scope: frame.scope,
            symbol: None,
            work,
            statement: statement.clone(),
            source: frame.source.clone(),
            value,
            mentions: reading.mentions,
            limits: None,
            origin: suffix.reference.as_ref().map_or_else(Origin::default, |reference| Origin {
                text: reference.text.clone(),
                mark: reference.mark.clone(),
            }),
            description: suffix.description.as_ref().map_or_else(String::new, |words| words.node.clone()),
        }
    }

    fn definition(
        &mut self,
        frame: &mut Frame,
        block: BlockKind,
        statement: &Arc<Statement>,
        name: &Name,
        definition: &Definition,
    ) {
        let suffix = &statement.suffix;
        let mut reading = Reading {
            inputs: block == BlockKind::Given,
            words: suffix.among.as_ref().map(|among| words(Some(among))),
            ..Reading::default()
        };
        let mut data = None;
        let (work, value) = match definition {
            Definition::Expression(expression) if block == BlockKind::Given => {
                (Work::Given, self.given_value(frame, &mut reading, expression))
            }
            Definition::Expression(expression) => {
                self.open_giving(frame, &mut reading, suffix.giving.as_ref());
                let value = self.infer(frame, &mut reading, expression);
                let value = self.close_giving(frame, suffix.giving.as_ref(), value, expression);
                (Work::Derive, value)
            }
            Definition::Cases(branches) => {
                self.open_giving(frame, &mut reading, suffix.giving.as_ref());
                let (taken, value) = self.cases(frame, &mut reading, branches);
                let value = match branches.first() {
                    Some(first) => self.close_giving(frame, suffix.giving.as_ref(), value, &first.value),
                    None => value,
                };
                (Work::Cases(taken), value)
            }
            Definition::Table(table) => (Work::Given, self.table(frame, &mut reading, table)),
            Definition::Data(path) => {
                data = self.data_file(frame, path);
                (Work::Given, Value::Unknown)
            }
        };
        let is_given = block == BlockKind::Given;
        let value = self.show(frame, suffix, value, is_given);
        let limits = self.limits(frame, &mut reading, suffix, &value);
        let mut line = self.line(frame, statement, work, value.clone(), reading);
        line.symbol = Some(name.node.clone());
        line.limits = limits;
        let id = self.add_line(line);
        let value = match data {
            Some(file) => {
                let value = Value::Data(Arc::new(Data { line: id, file }));
                self.notes.lines[id.0 as usize].value = value.clone();
                value
            }
            None => value,
        };
        self.place(frame, block, id);
        let symbol = Symbol { value, line: Some(id), source: frame.source.clone(), span: name.span };
        self.define(frame, &name.node, name.span, symbol);
    }

    /// A given is a value, not a formula.
    fn given_value(&mut self, frame: &Frame, reading: &mut Reading, expression: &Expression) -> Value {
        if let Some(place) = first_operator(expression) {
            let finding = frame
                .error(Code::MisplacedStatement, place.span, "a given is a value, not a formula")
                .help("move this line to a `derive` block, or write the value itself");
            return self.report(finding);
        }
        if let (Some(name), None) = (expression.as_name(), &reading.words) {
            let message = format!("`{name}` is a word; say which words there are to choose from");
            let finding = frame
                .error(Code::UnknownWord, expression.span, message)
                .help(format!("write `{name} among {name}, …`"));
            return self.report(finding);
        }
        self.infer(frame, reading, expression)
    }

    fn open_giving(&mut self, frame: &Frame, reading: &mut Reading, giving: Option<&Giving>) {
        for (name, unit) in giving.into_iter().flat_map(|giving| &giving.with) {
            if !frame.symbols.contains_key(&name.node) && !frame.places.contains_key(&name.node) {
                let finding = frame
                    .error(Code::UnknownSymbol, name.span, format!("nothing defines `{}`", name.node))
                    .suggest(&name.node, frame.names());
                self.report(finding);
            }
            if let Some(unit) = self.unit(frame, unit) {
                reading.bare.push((name.node.clone(), unit));
            }
        }
    }

    /// The number that an empirical formula gives takes its unit again.
    fn close_giving(&mut self, frame: &Frame, giving: Option<&Giving>, value: Value, formula: &Expression) -> Value {
        let Some(giving) = giving else { return value };
        let Some(unit) = self.unit(frame, &giving.unit) else {
            return Value::Unknown;
        };
        self.each(value, &mut |compiler, value| match value {
            Value::Number(number) if number.dimension.is_none() => {
                let mut register = number.register;
                let (up, down) = unit.scale();
                for (operation, factor) in [(Binary::Multiply, up), (Binary::Divide, down)] {
                    if factor != 1.0 {
                        let factor = compiler.builder.constant(factor);
                        register = compiler.builder.binary(operation, register, factor);
                    }
                }
                Value::number(register, unit.dimension())
            }
            Value::Unknown => Value::Unknown,
            Value::Number(number) => {
                let message = format!("the formula gives {}, not a bare number", named(number.dimension, formula));
                let finding = frame
                    .error(Code::UnitMismatch, formula.span, message)
                    .also(&frame.source, giving.unit.span, "its result takes this unit")
                    .help("name in `with … in …` every quantity of the formula that has a unit");
                compiler.report(finding)
            }
            other => {
                let message = format!("the formula gives {}, not a number", other.kind().describe());
                let finding = frame.error(Code::KindMismatch, formula.span, message);
                compiler.report(finding)
            }
        })
    }

    fn cases(&mut self, frame: &Frame, reading: &mut Reading, branches: &[Branch]) -> (Vec<Register>, Value) {
        let mut conditions = Vec::with_capacity(branches.len());
        let mut values = Vec::with_capacity(branches.len());
        for branch in branches {
            let words = reading.words.take();
            let condition =
                branch.condition.as_ref().map(|condition| (condition, self.infer(frame, reading, condition)));
            reading.words = words;
            values.push(self.infer(frame, reading, &branch.value));
            conditions.push(condition);
        }
        let mut result = values.last().cloned().unwrap_or(Value::Unknown);
        let otherwise = branches.last().map(|branch| &branch.value);
        for ((branch, condition), value) in branches.iter().zip(&conditions).zip(&values).rev() {
            if let (Some((expression, condition)), Some(otherwise)) = (condition, otherwise) {
                result = self.choose(frame, (expression, condition), (&branch.value, value), (otherwise, &result));
            }
        }
        // A branch is taken where its condition holds and none before it did.
        let mut open: Option<Register> = None;
        let mut taken = Vec::with_capacity(branches.len());
        for condition in conditions {
            let holds = match condition {
                Some((_, Value::Truth(holds))) => Some(holds),
                Some(_) => return (Vec::new(), Value::Unknown),
                None => None,
            };
            let here = match (open, holds) {
                (None, Some(holds)) => holds,
                (Some(open), Some(holds)) => self.builder.binary(Binary::And, open, holds),
                (Some(open), None) => open,
                (None, None) => self.builder.constant(1.0),
            };
            taken.push(here);
            if let Some(holds) = holds {
                let fails = self.builder.unary(Unary::Not, holds);
                open = Some(match open {
                    None => fails,
                    Some(open) => self.builder.binary(Binary::And, open, fails),
                });
            }
        }
        (taken, result)
    }

    fn table(&mut self, frame: &Frame, reading: &mut Reading, table: &crate::syntax::Table) -> Value {
        let mut columns = Vec::with_capacity(table.columns.len());
        for (at, (name, unit)) in table.columns.iter().enumerate() {
            let unit = match unit {
                Some(text) => match self.unit(frame, text) {
                    Some(unit) => unit,
                    None => return Value::Unknown,
                },
                None => Unit::one(),
            };
            let mut items = Vec::with_capacity(table.rows.len());
            for (_, cells) in &table.rows {
                let Some(cell) = cells.get(at) else { continue };
                items.push(self.cell(frame, reading, cell, &unit, name));
            }
            let element = match items.first() {
                Some(item) => item.kind(),
                None => Kind::Number(unit.dimension()),
            };
            if let Some(odd) = items.iter().position(|item| !element.accepts(&item.kind())) {
                let place = table.rows[odd].1[at].span;
                let message =
                    format!("this is {}, the column starts with {}", items[odd].kind().describe(), element.describe());
                let finding = frame.error(Code::KindMismatch, place, message);
                return self.report(finding);
            }
            columns.push((name.node.clone(), List { items, element }));
        }
        let mut labels: Vec<String> = Vec::with_capacity(table.rows.len());
        for (label, _) in &table.rows {
            if labels.contains(&label.node) {
                let finding =
                    frame.error(Code::Redefined, label.span, format!("two rows are labelled `{}`", label.node));
                return self.report(finding);
            }
            labels.push(label.node.clone());
        }
        Value::Table(Arc::new(Table { columns, labels }))
    }

    /// A cell is a bare number in its column's unit, or a value with a unit of the same dimension.
    fn cell(&mut self, frame: &Frame, reading: &mut Reading, cell: &Expression, unit: &Unit, column: &Name) -> Value {
        let (digits, is_negative, place) = match &cell.kind {
            ExpressionKind::Number(digits, None) => (digits, false, cell.span),
            ExpressionKind::Unary(_, operand) => match &operand.kind {
                ExpressionKind::Number(digits, None) => (digits, true, cell.span),
                _ => return self.given_value(frame, reading, cell),
            },
            _ => {
                let value = self.given_value(frame, reading, cell);
                if let Value::Number(number) = &value
                    && number.dimension != unit.dimension()
                {
                    let message =
                        format!("the column `{}` is in {unit}, this is {}", column.node, number.dimension.describe());
                    let finding = frame.error(Code::UnitMismatch, cell.span, message);
                    return self.report(finding.also(&frame.source, column.span, "the column"));
                }
                return value;
            }
        };
        let text = Spanned::new(unit.to_string(), place);
        let unit = (!unit.is_one()).then_some(&text);
        self.literal(frame, reading, digits, unit, place, is_negative)
    }

    fn data_file(&mut self, frame: &Frame, path: &Spanned<String>) -> Option<Arc<crate::library::DataFile>> {
        let problem = match self.sources.data(&path.node) {
            Ok(file) => {
                self.rests_on.insert(format!("data {}", path.node), file.source.clone());
                return Some(file);
            }
            Err(problem) => problem,
        };
        match problem {
            DataProblem::Findings(findings) => self.findings.extend(findings),
            DataProblem::Outside => {
                let message = format!("`{}` leads outside the package", path.node);
                let finding = frame.error(Code::OutsidePackage, path.span, message);
                self.report(
                    finding.help("put the file inside the package and name it by its path from the package's folder"),
                );
            }
            DataProblem::Unreadable(why) => {
                let message = format!("the data file `{}` cannot be read: {why}", path.node);
                let finding = frame.error(Code::Unreadable, path.span, message);
                self.report(finding.help("paths of data files start at the package's folder"));
            }
        }
        None
    }

    /// The value of a data file, with a line of its own under the file's.
    pub(super) fn data_value(&mut self, frame: &Frame, data: &Arc<Data>, field: &Name) -> Value {
        let key = (data.line, field.node.clone());
        if let Some(line) = self.data_lines.get(&key) {
            return self.notes.line(*line).value.clone();
        }
        let Some(entry) = data.file.values.get(&field.node) else {
            let needed = match self.clause_stack.last() {
                Some(clause) => format!(", which the clause `{clause}` needs"),
                None => String::new(),
            };
            let message = format!("the data file `{}` gives no `{}`{needed}", data.file.source.name, field.node);
            let finding = frame
                .error(Code::MissingValue, field.span, message)
                .suggest(&field.node, data.file.values.keys().map(String::as_str))
                .help(format!("add `{} = {{ value = \"…\", source = \"…\" }}` to the file", field.node));
            return self.report(finding);
        };
        // Places in the value are places in the data file, and only numbers of it count.
        let own = Frame {
            scope: frame.scope,
            source: data.file.source.clone(),
            symbols: Default::default(),
            places: Default::default(),
            gives: Vec::new(),
            used_at: None,
        };
        let mut reading = Reading { inputs: true, ..Reading::default() };
        let value = self.given_value(&own, &mut reading, &entry.value);
        let file_line = self.notes.line(data.line).clone();
        let line = Line {
            symbol: Some(field.node.clone()),
            work: Work::FromData(data.line),
            value: value.clone(),
            mentions: Vec::new(),
            limits: None,
            origin: Origin { text: entry.source.clone(), mark: None },
            description: entry.description.clone(),
            ..file_line
        };
        let scope = line.scope;
        let id = self.add_line(line);
        self.data_lines.insert(key, id);
        self.place_below(scope, data.line, id);
        value
    }

    /// Puts a data file's value behind the file's line and the values that stand there already.
    fn place_below(&mut self, scope: super::ScopeId, file: LineId, line: LineId) {
        let mut parts = std::mem::take(&mut self.scope_mut(scope).parts);
        for part in &mut parts {
            if let ScopePart::Lines(_, lines) = part
                && let Some(at) = lines.iter().position(|id| *id == file)
            {
                let after = lines[at + 1..]
                    .iter()
                    .take_while(|id| matches!(self.notes.line(**id).work, Work::FromData(of) if of == file))
                    .count();
                lines.insert(at + 1 + after, line);
            }
        }
        self.scope_mut(scope).parts = parts;
    }

    /// How a line's value is shown: as said, as typed, or in the package's unit for the dimension.
    pub(super) fn show(&mut self, frame: &Frame, suffix: &Suffix, value: Value, is_given: bool) -> Value {
        let figures = suffix.figures.as_ref().map(|figures| figures.node);
        let dimension = match &value {
            Value::Number(number) => number.dimension,
            Value::List(list) => match &list.element {
                Kind::Number(dimension) => *dimension,
                _ => return self.refuse_unit(frame, suffix, value),
            },
            Value::Unknown => return value,
            _ => return self.refuse_unit(frame, suffix, value),
        };
        let unit = match &suffix.unit {
            Some(text) => match self.unit(frame, text) {
                Some(unit) if unit.dimension() == dimension => unit,
                Some(unit) => {
                    let message = format!("the value is {}, so it cannot be shown in {unit}", dimension.describe());
                    let finding = frame.error(Code::ShownUnit, text.span, message);
                    return self.report(finding);
                }
                None => return value,
            },
            None if is_given && figures.is_none() => return value,
            None => self.settings.display.choose(dimension),
        };
        value.shown_as(&Arc::new(Shown { unit, digits: None, figures }))
    }

    fn refuse_unit(&mut self, frame: &Frame, suffix: &Suffix, value: Value) -> Value {
        match &suffix.unit {
            None => value,
            Some(text) => {
                let message = format!("the value is {}, which has no unit", value.kind().describe());
                let finding = frame.error(Code::ShownUnit, text.span, message);
                self.report(finding)
            }
        }
    }

    /// `within A to B`.
    pub(super) fn limits(
        &mut self,
        frame: &Frame,
        reading: &mut Reading,
        suffix: &Suffix,
        value: &Value,
    ) -> Option<Limits> {
        let (low, high) = suffix.within.as_ref()?;
        let inputs = std::mem::take(&mut reading.inputs);
        let (low_value, high_value) = (self.infer(frame, reading, low), self.infer(frame, reading, high));
        reading.inputs = inputs;
        let mut holds: Option<Register> = None;
        let items = match value {
            Value::List(list) => list.items.clone(),
            single => vec![single.clone()],
        };
        for item in &items {
            let (Value::Number(low_number), Value::Number(high_number), Value::Number(number)) =
                (&low_value, &high_value, item)
            else {
                return None;
            };
            for (limit, text) in [(low_number, low), (high_number, high)] {
                if limit.dimension != number.dimension {
                    let message = format!(
                        "the value is {}, its limit is {}",
                        number.dimension.describe(),
                        limit.dimension.describe()
                    );
                    let code = if limit.dimension.is_none() { Code::MissingUnit } else { Code::UnitMismatch };
                    let finding = frame.error(code, text.span, message);
                    self.report(finding);
                    return None;
                }
            }
            for (a, b) in [(low_number.register, number.register), (number.register, high_number.register)] {
                let holds_here = self.builder.binary(Binary::LessOrEqual, a, b);
                holds = Some(match holds {
                    None => holds_here,
                    Some(holds) => self.builder.binary(Binary::And, holds, holds_here),
                });
            }
        }
        Some(Limits { low: low_value, high: high_value, holds: holds? })
    }

    fn requirement(&mut self, frame: &mut Frame, block: BlockKind, statement: &Arc<Statement>, condition: &Expression) {
        let mut reading = Reading::default();
        let value = self.infer(frame, &mut reading, condition);
        let holds = match &value {
            Value::Truth(register) => *register,
            Value::Unknown => return,
            other => {
                let message = format!("a condition is yes or no, this is {}", other.kind().describe());
                let finding = frame.error(Code::KindMismatch, condition.span, message);
                let finding = match other {
                    Value::List(_) => finding.help("write `all(…)` or `any(…)`"),
                    _ => finding,
                };
                self.report(finding);
                return;
            }
        };
        let line = self.line(frame, statement, Work::Require { holds }, value, reading);
        let id = self.add_line(line);
        self.place(frame, block, id);
    }

    fn check(&mut self, frame: &mut Frame, block: BlockKind, statement: &Arc<Statement>, check: &Expression) {
        let mut reading = Reading::default();
        let holds = self.infer(frame, &mut reading, check);
        let ExpressionKind::Binary(operator, left, right) = &check.kind else {
            return;
        };
        let (left_value, right_value) = {
            // The same steps again, found by the builder; only the values of the two sides are wanted.
            let mut sides = Reading::default();
            let before = self.findings.len();
            let values = (self.infer(frame, &mut sides, left), self.infer(frame, &mut sides, right));
            self.findings.truncate(before);
            values
        };
        let holds = match holds {
            Value::Truth(register) => register,
            Value::Unknown => return,
            _ => {
                let finding = frame
                    .error(Code::KindMismatch, check.span, "a check compares two numbers, not lists")
                    .help("write `max(…)` on the side of the demand, or `min(…)` on that of the resistance");
                self.report(finding);
                return;
            }
        };
        let demand_first = matches!(operator, BinaryOperator::LessOrEqual | BinaryOperator::Less);
        let (demand, resistance) = if demand_first { (left_value, right_value) } else { (right_value, left_value) };
        let (Value::Number(x), Value::Number(y)) = (&demand, &resistance) else {
            return;
        };
        let ratio = self.builder.binary(Binary::Divide, x.register, y.register);
        let applies = match &statement.suffix.applies {
            None => None,
            Some(applies) => match self.infer(frame, &mut reading, &applies.condition) {
                Value::Truth(register) => Some(register),
                Value::Unknown => return,
                other => {
                    let message = format!("a condition is yes or no, this is {}", other.kind().describe());
                    let finding = frame.error(Code::KindMismatch, applies.condition.span, message);
                    self.report(finding);
                    return;
                }
            },
        };
        let show = |value: Value, compiler: &Self| match &value {
            Value::Number(number) if number.shown.is_none() => {
                let unit = compiler.settings.display.choose(number.dimension);
                value.shown_as(&Arc::new(Shown { unit, digits: None, figures: None }))
            }
            _ => value,
        };
        let (demand, resistance) = (show(demand, self), show(resistance, self));
        let work = Work::Check(Check { demand, resistance, demand_first, holds, ratio, applies });
        let line = self.line(frame, statement, work, Value::Truth(holds), reading);
        let id = self.add_line(line);
        self.place(frame, block, id);
    }
}

/// The first part of an expression that computes.
fn first_operator(expression: &Expression) -> Option<&Expression> {
    match &expression.kind {
        ExpressionKind::Number(..) | ExpressionKind::Truth(_) | ExpressionKind::Unreadable => None,
        ExpressionKind::Unary(crate::syntax::UnaryOperator::Minus, operand) => match operand.kind {
            ExpressionKind::Number(..) => None,
            _ => Some(expression),
        },
        ExpressionKind::List(items) => items.iter().find_map(|item| first_operator(item)),
        ExpressionKind::Name(_) => None,
        _ => Some(expression),
    }
}
