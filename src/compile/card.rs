//! Cards for the site: which values of the sheet and its data stand in a card's words, and which are open.

use super::expression::Reading;
use super::{CardUse, Compiler, Frame, LineId, Mention, ScopePart, Value};
use crate::diagnostic::{Code, any_error, nearest};
use crate::library::CardText;
use crate::syntax::{Expression, ExpressionKind, Statement, Use};
use crate::text::{Span, Spanned};
use std::sync::Arc;

impl Compiler<'_> {
    pub(super) fn card(&mut self, frame: &Frame, statement: &Arc<Statement>, used: &Use) {
        let path = &used.path.node;
        if frame.is_clause {
            let finding = frame.error(Code::MisplacedStatement, statement.span, "a card stands in a calculation");
            self.report(finding.help("use it in the sheet, where its values are verified"));
            return;
        }
        let Some(card) = self.sources.card(path) else {
            let paths = self.sources.card_paths();
            let finding = frame.error(Code::UnknownClause, used.path.span, format!("there is no card `{path}`"));
            let finding = match nearest(path, paths.iter().map(String::as_str)) {
                Some(near) => finding.help(format!("did you mean `{near}`?")),
                None => finding.note(format!("the cards are {}", paths.join(", "))),
            };
            self.report(finding);
            return;
        };
        let (text, findings) = card.text();
        self.findings.extend(findings.iter().cloned());
        self.rests_on.insert(format!("card {path}"), card.source.clone());
        if any_error(findings) {
            return;
        }
        let mut wanted = text.symbols();
        if text.plan {
            wanted.extend(
                ["anchors", "plate_x", "plate_y", "edges", "d"]
                    .into_iter()
                    .filter(|name| !text.symbols().contains(name)),
            );
        }
        let before = self.findings.len();
        for binding in used.with.iter().filter(|_| text.from_records) {
            let message = format!(
                "`{}` of the card `{path}` is what records say, and nobody gives it by hand",
                binding.name.node
            );
            let finding = frame.error(Code::UnboundTake, binding.name.span, message);
            self.report(finding.help("name the records behind `from`; what counts there is said where they are named"));
        }
        if text.from_records && !used.from.iter().any(|from| self.are_records(frame, &from.node)) {
            let message = format!("the card `{path}` is filled from records, and none stand behind `from`");
            let finding = frame.error(Code::UnboundTake, used.path.span, message);
            self.report(finding.help("write `from log`, with the name that the records have in the sheet"));
        }
        for binding in used.with.iter().filter(|_| !text.from_records) {
            if !wanted.contains(&binding.name.node.as_str()) {
                let message = format!("the card `{path}` has no place for `{}`", binding.name.node);
                let finding = frame
                    .error(Code::UnboundTake, binding.name.span, message)
                    .note(format!("it has places for {}", wanted.join(", ")))
                    .suggest(&binding.name.node, wanted.iter().copied());
                self.report(finding);
            }
        }
        self.refuse_empty_from(frame, used);
        let mut values: Vec<(String, Value, Option<LineId>)> = Vec::new();
        for name in wanted {
            let Some(expression) = self.on_card(frame, used, (name, text.from_records)) else { continue };
            let mut reading = Reading::default();
            let value = self.infer(frame, &mut reading, &expression);
            let line = reading.mentions.last().and_then(|mention: &Mention| mention.line);
            values.push((name.to_owned(), value, line));
        }
        let title =
            statement.suffix.description.as_ref().map_or_else(|| text.title.clone(), |words| words.node.clone());
        // What was mistaken is told already, here or where the name behind `from` stands.
        let is_known = |from: &Spanned<String>| frame.symbols.get(&from.node).is_some_and(|s| !s.value.is_unknown());
        if !any_error(&self.findings[before..]) && used.from.iter().all(is_known) {
            self.warn_of_open(frame, used, text, &values);
        }
        let products =
            used.from.iter().filter_map(|from| match frame.symbols.get(&from.node).map(|symbol| &symbol.value) {
                Some(Value::Data(data)) => Some(data.file.clone()),
                _ => None,
            });
        let products = products.collect();
        let number = self.notes.cards.len();
        self.notes.cards.push(CardUse { card: card.clone(), title, values, products });
        self.scope_mut(frame.scope).parts.push(ScopePart::Card(number));
    }

    /// What stands in a place: what `with` says, a symbol of the sheet, or a value of the data or records after `from`.
    ///
    /// What was verified goes before the data, unlike in a clause: the sheet may have chosen another embedment.
    fn on_card(&self, frame: &Frame, used: &Use, (name, from_records): (&str, bool)) -> Option<Expression> {
        if from_records {
            return self.from(frame, used, name, |from| self.are_records(frame, from));
        }
        if let Some(binding) = used.with.iter().find(|binding| binding.name.node == name) {
            return Some(binding.value.clone());
        }
        let span = used.path.span;
        if frame.symbols.contains_key(name) {
            return Some(Expression::new(ExpressionKind::Name(name.to_owned()), span));
        }
        self.from(frame, used, name, |_| true)
    }

    /// Whether a name of the sheet is that of records; of what was mistaken nobody knows, and it is told where it stands.
    fn are_records(&self, frame: &Frame, name: &str) -> bool {
        let Some(symbol) = frame.symbols.get(name) else { return false };
        let is_of_records = |line| self.notes.records.iter().any(|records| records.line == line);
        symbol.value.is_unknown() || symbol.line.is_some_and(is_of_records)
    }

    /// Warns of places that the card needs filled and that nothing fills.
    fn warn_of_open(&mut self, frame: &Frame, used: &Use, text: &CardText, values: &[(String, Value, Option<LineId>)]) {
        let is_open = |symbol: &&str| text.needs(symbol) && !values.iter().any(|(name, ..)| name == symbol);
        let open: Vec<String> = text
            .symbols()
            .into_iter()
            .filter(is_open)
            .map(|symbol| match text.name_of(symbol) {
                Some(name) => format!("{name} (`{symbol}`)"),
                None => format!("`{symbol}`"),
            })
            .collect();
        if open.is_empty() {
            return;
        }
        let message = format!("the card leaves open: {}", open.join(", "));
        let finding = frame.error(Code::MissingValue, used.path.span, message).as_warning();
        self.report(finding.help(match text.from_records {
            true => "the records hold them where their columns are there: `batch`, `done` with its `words`",
            false => "give each behind `with`, by its symbol in the sheet, or in the data behind `from`",
        }));
    }

    /// A value of the data or records after `from`.
    fn from(&self, frame: &Frame, used: &Use, name: &str, counts: impl Fn(&str) -> bool) -> Option<Expression> {
        let span = used.path.span;
        used.from.iter().filter(|from| counts(&from.node)).find_map(|from| {
            let has = match frame.symbols.get(&from.node).map(|symbol| &symbol.value) {
                Some(Value::Data(data)) => data.file.values.contains_key(name),
                Some(Value::Row(row)) => row.fields.iter().any(|(field, _)| field == name),
                _ => false,
            };
            let file = Expression::new(ExpressionKind::Name(from.node.clone()), Span { end: span.start, ..span });
            let field = Spanned { node: name.to_owned(), span };
            has.then(|| Expression::new(ExpressionKind::Field(Box::new(file), field), span))
        })
    }

    /// Says so where nothing stands behind a name after `from`: what it should give would be open without a word.
    fn refuse_empty_from(&mut self, frame: &Frame, used: &Use) {
        for from in &used.from {
            match frame.symbols.get(&from.node).map(|symbol| &symbol.value) {
                Some(Value::Data(_) | Value::Row(_) | Value::Unknown) => {}
                Some(other) => {
                    let message = format!("`{}` is {}, not a data file or records", from.node, other.kind().describe());
                    let finding = frame.error(Code::KindMismatch, from.span, message);
                    self.report(finding.help("name single values behind `with`"));
                }
                None => {
                    let message = format!("nothing defines `{}` above this card", from.node);
                    let finding = frame.error(Code::UnknownSymbol, from.span, message);
                    self.report(finding.suggest(&from.node, frame.names()));
                }
            }
        }
    }
}
