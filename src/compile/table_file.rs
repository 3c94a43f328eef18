//! Tables whose rows stand in a file: read into rows as if they were written in the sheet, with places in the file.

use super::as_installed::{decimal_mark, in_sheet};
use super::expression::Reading;
use super::{Compiler, Frame, Value};
use crate::diagnostic::Code;
use crate::quantity::Unit;
use crate::records::{Field, Mapping, TableCell, TableRow, decode, read_table};
use crate::syntax::{Expression, ExpressionKind, Name, Statement, Table, TableFile, UnaryOperator};
use crate::text::{SourceFile, Spanned};

/// The column that holds the labels of the rows.
const LABEL: &str = "label";

impl Compiler<'_> {
    /// A table with its rows, wherever they stand.
    pub(super) fn any_table(
        &mut self,
        frame: &Frame,
        reading: &mut Reading,
        statement: &Statement,
        table: &Table,
    ) -> Value {
        let Some(file) = &table.file else {
            return self.table(frame, reading, table);
        };
        if frame.is_clause || self.is_alone {
            let finding = frame.error(Code::MisplacedStatement, statement.span, "a clause cannot name a file");
            return self.report(finding.help("name it in the sheet that uses the clause"));
        }
        let before = self.findings.len();
        let Some(mapping) = self.mapping_of_table(frame, table, file) else { return Value::Unknown };
        let Some(bytes) = self.records_file(frame, &file.path) else { return Value::Unknown };
        if self.findings[before..].iter().any(|finding| finding.is_error()) {
            return Value::Unknown;
        }
        let decoded = match decode(&bytes) {
            Ok(decoded) => decoded,
            Err(mistake) => return self.report(in_sheet(frame, &file.path, &mistake)),
        };
        let source = SourceFile::new(file.path.node.as_str(), decoded.text.as_ref());
        self.rests_on.insert(format!("records {}", file.path.node), source.clone());
        let rows = match read_table(&decoded, &mapping) {
            Ok(rows) => rows,
            Err(mistakes) => {
                for mistake in mistakes {
                    let finding = match mistake.line {
                        Some(_) => mistake.diagnostic(&source).also(&frame.source, file.path.span, "the table"),
                        None => in_sheet(frame, &file.path, &mistake),
                    };
                    let is_about = |words: &str| mistake.help.iter().any(|help| help.contains(words));
                    self.report(if is_about("decimal mark") {
                        finding.help("write `reading decimal_mark = \"comma\"` or `\"point\"` behind the columns")
                    } else if is_about("commas part thousands") {
                        finding.help("write `reading groups = \"comma\"` behind the columns")
                    } else if is_about("points part thousands") {
                        finding.help("write `reading groups = \"point\"` behind the columns")
                    } else {
                        finding
                    });
                }
                return Value::Unknown;
            }
        };
        let units = mapping.cells.values();
        let columns = table.columns.iter().zip(units).map(|((name, _), unit)| {
            let text = (!unit.is_one()).then(|| Spanned::new(unit.to_string(), name.span));
            (name.clone(), text)
        });
        let columns = columns.collect();
        let rows = rows.into_iter().map(|row| written(row, &mapping)).collect();
        let own = Frame::of_file(frame.scope, &source);
        self.table(&own, reading, &Table { columns, rows, file: None })
    }

    /// The header of each column and its unit; nothing where that is not said.
    fn mapping_of_table(&mut self, frame: &Frame, table: &Table, file: &TableFile) -> Option<Mapping> {
        let mut known: Vec<&str> = table.columns.iter().map(|(name, _)| name.node.as_str()).collect();
        known.push(LABEL);
        for (name, _) in file.columns.iter().filter(|(name, _)| !known.contains(&name.node.as_str())) {
            let finding = frame
                .error(Code::UnboundTake, name.span, format!("the table has no column `{}`", name.node))
                .note(format!("there are {}", known.join(", ")))
                .suggest(&name.node, known.iter().copied());
            self.report(finding);
        }
        let header = |name: &str| file.columns.iter().find(|(column, _)| column.node == name);
        let Some((_, label)) = header(LABEL) else {
            let finding = frame.error(Code::UnboundTake, file.path.span, "the table does not say what labels its rows");
            self.report(finding.help("write `columns label = \"…\"` behind the path, with the header of that column"));
            return None;
        };
        let mut mapping = Mapping::default().column(Field::Label, label.node.trim());
        for (name, unit) in &table.columns {
            let unit = match unit {
                Some(text) => self.unit(frame, text)?,
                None => Unit::one(),
            };
            // A column has its own name as header unless another is given.
            mapping = mapping.cell(header(&name.node).map_or(&name.node, |(_, header)| &header.node).trim(), unit);
        }
        for (name, text) in &file.reading {
            let mark = decimal_mark(text.node.trim());
            match name.node.as_str() {
                "decimal_mark" => mapping.decimal_mark = mark,
                "groups" => mapping.groups = mark,
                _ => {}
            }
            if !["decimal_mark", "groups"].contains(&name.node.as_str()) || mark.is_none() {
                let message = format!("`{} = \"{}\"` does not say how to read a table", name.node, text.node);
                let finding = frame.error(Code::UnknownWord, name.span.to(text.span), message);
                self.report(finding.help("write `decimal_mark = \"comma\"` or `decimal_mark = \"point\"`; `groups = …` for the mark that parts thousands, where one does"));
            }
        }
        Some(mapping)
    }
}

/// A row as it would be written in a sheet; a unit stands with a number where the file has another than the table.
fn written(row: TableRow, mapping: &Mapping) -> (Name, Vec<Expression>) {
    let (label, place) = row.label;
    let cells = row.cells.into_iter().zip(mapping.cells.values()).map(|(TableCell { digits, unit, span }, own)| {
        let text = (unit != *own).then(|| Spanned::new(unit.to_string(), span));
        let number = |digits: &str| Expression::new(ExpressionKind::Number(digits.to_owned(), text.clone()), span);
        match digits.strip_prefix('-') {
            Some(digits) => {
                Expression::new(ExpressionKind::Unary(UnaryOperator::Minus, Box::new(number(digits))), span)
            }
            None => number(&digits),
        }
    });
    (Spanned::new(label, place), cells.collect())
}
