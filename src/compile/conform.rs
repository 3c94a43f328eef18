//! Kinds as written, and whether a value is of one.

use super::{Compiler, Frame, Kind, List, Value};
use crate::diagnostic::{Code, Diagnostic};
use crate::quantity::Dimension;
use crate::syntax::{KindText, Name};
use std::sync::Arc;

impl Compiler<'_> {
    /// The kind that a `takes` statement asks for.
    pub(super) fn kind(&mut self, frame: &Frame, text: &KindText, among: Option<&Vec<Name>>) -> Kind {
        match text {
            KindText::Truth => Kind::Truth,
            KindText::Data => Kind::Data,
            KindText::Word => Kind::Word(words(among)),
            KindText::Unit(text) => match self.unit(frame, text) {
                Some(unit) => Kind::Number(unit.dimension()),
                None => Kind::Unknown,
            },
            KindText::List(element) => Kind::List(Box::new(self.kind(frame, element, among))),
            KindText::Table(columns) => Kind::Table(self.columns(frame, columns)),
            KindText::Filled(kind) => self.kind(frame, kind, among),
            KindText::Row(fields) => Kind::Row(self.columns(frame, fields)),
            KindText::Dimension(name) => match Dimension::from_name(&name.node) {
                Some(dimension) => Kind::Number(dimension),
                None => {
                    let message = format!("`{}` is not the name of a dimension", name.node);
                    let finding = frame
                        .error(Code::UnknownSymbol, name.span, message)
                        .suggest(&name.node, Dimension::names())
                        .help("or write a unit: `in N/mm²`");
                    self.report(finding);
                    Kind::Unknown
                }
            },
        }
    }

    fn columns(&mut self, frame: &Frame, columns: &[(Name, KindText)]) -> Vec<(String, Kind)> {
        columns.iter().map(|(name, kind)| (name.node.clone(), self.kind(frame, kind, None))).collect()
    }

    /// The value if it is of the kind; otherwise the finding, to which the caller adds the places.
    pub(super) fn conform(
        &self,
        frame: &Frame,
        value: Value,
        kind: &Kind,
        at: crate::text::Span,
        name: &str,
    ) -> Result<Value, Diagnostic> {
        // A list without elements is one of whatever is asked for.
        if let (Value::List(list), Kind::List(element)) = (&value, kind)
            && list.items.is_empty()
        {
            return Ok(Value::List(List { items: Vec::new(), element: Kind::clone(element) }));
        }
        let found = value.kind();
        if kind.accepts(&found) {
            return Ok(value);
        }
        if let Some((column, wanted, given)) = kind.other_column(&found) {
            let message =
                format!("the column `{column}` of `{name}` must be {}, not {}", wanted.describe(), given.describe());
            let finding = frame.error(Code::UnitMismatch, at, message);
            return Err(match wanted {
                Kind::Number(wanted) if !wanted.is_none() => {
                    let unit = self.settings.display.choose(*wanted);
                    finding.help(format!("write `{column} in {unit}`, or another unit of that dimension"))
                }
                _ => finding,
            });
        }
        let message = format!("`{name}` must be {}, not {}", kind.describe(), found.describe());
        let code = match (kind, &found) {
            (Kind::Number(wanted), Kind::Number(found)) if found.is_none() && !wanted.is_none() => Code::MissingUnit,
            (Kind::Number(_), Kind::Number(_)) => Code::UnitMismatch,
            _ => Code::KindMismatch,
        };
        let finding = frame.error(code, at, message).here(found.describe());
        Err(match (kind, &found) {
            (Kind::List(element), found) if element.accepts(found) => {
                finding.help("write a list of one element, `[…]`")
            }
            (Kind::Number(wanted), Kind::Number(_)) if !wanted.is_none() => {
                let unit = self.settings.display.choose(*wanted);
                finding.help(format!("it is in {unit} or another unit of that dimension"))
            }
            _ => finding,
        })
    }
}

/// The words of `among`.
pub(super) fn words(among: Option<&Vec<Name>>) -> Arc<[String]> {
    among.into_iter().flatten().map(|word| word.node.clone()).collect()
}
