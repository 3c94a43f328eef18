//! Tables of records, and data files with a line for each value in use.

use super::expression::Reading;
use super::{Compiler, Data, DataProblem, Frame, Kind, Line, LineId, List, Origin, ScopePart, Table, Value, Work};
use crate::diagnostic::Code;
use crate::quantity::Unit;
use crate::syntax::{Expression, ExpressionKind, Name};
use crate::text::Spanned;
use std::sync::Arc;

impl Compiler<'_> {
    pub(super) fn table(&mut self, frame: &Frame, reading: &mut Reading, table: &crate::syntax::Table) -> Value {
        let mut columns = Vec::with_capacity(table.columns.len());
        let mut is_unknown = false;
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
            is_unknown |= items.iter().any(Value::is_unknown);
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
                return self.report(finding.help("give each row a label of its own"));
            }
            labels.push(label.node.clone());
        }
        if is_unknown {
            return Value::Unknown;
        }
        Value::Table(Arc::new(Table { columns, labels }))
    }

    /// A cell is a bare number in its column's unit, or a value with a unit of the same dimension.
    pub(super) fn cell(
        &mut self,
        frame: &Frame,
        reading: &mut Reading,
        cell: &Expression,
        unit: &Unit,
        column: &Name,
    ) -> Value {
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

    pub(super) fn data_file(&mut self, frame: &Frame, path: &Spanned<String>) -> Option<Arc<crate::library::DataFile>> {
        let problem = match self.sources.data(&path.node) {
            Ok(file) => {
                self.rests_on.insert(format!("data {}", path.node), file.source.clone());
                self.findings.extend(file.warnings.iter().cloned());
                return Some(file);
            }
            Err(problem) => problem,
        };
        self.unreadable(frame, path, "the data file", problem);
        None
    }

    /// Why a file that the sheet names cannot be had.
    pub(super) fn unreadable(&mut self, frame: &Frame, path: &Spanned<String>, what: &str, problem: DataProblem) {
        match problem {
            DataProblem::Findings(findings) => self.findings.extend(findings),
            DataProblem::Outside => {
                let message = format!("`{}` leads outside the package", path.node);
                let finding = frame.error(Code::OutsidePackage, path.span, message);
                self.report(
                    finding.help("put the file inside the package and name it by its path from the package's folder"),
                );
            }
            DataProblem::Unreadable { why, near } => {
                let message = format!("{what} `{}` cannot be read: {why}", path.node);
                let finding = frame.error(Code::Unreadable, path.span, message);
                self.report(match near {
                    Some(near) => finding.help(format!("did you mean `{near}`?")),
                    None => finding.help("paths of files start at the package's folder"),
                });
            }
        }
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
            return self.report_once(format!("{} of line {}", field.node, data.line.0), finding);
        };
        // Places in the value are places in the data file, and only numbers of it count.
        let own = Frame::of_file(frame.scope, &data.file.source);
        let words = entry.words.clone();
        let mut reading = Reading { inputs: true, is_data: true, words, ..Reading::default() };
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
    pub(super) fn place_below(&mut self, scope: super::ScopeId, file: LineId, line: LineId) {
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
}
