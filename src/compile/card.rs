//! Cards for the site: which values of the sheet and its data stand in a card's words, and which are open.

use super::expression::Reading;
use super::{CardEntry, CardUse, Compiler, Frame, LineId, ScopePart, Value};
use crate::diagnostic::{Code, any_error, nearest};
use crate::library::{CardText, Form};
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
        let mut values: Vec<CardEntry> = Vec::new();
        for name in wanted {
            values.extend(self.entry(frame, used, (name, text.from_records)));
        }
        self.refuse_forms(frame, used, text, &values);
        let title =
            statement.suffix.description.as_ref().map_or_else(|| text.title.clone(), |words| words.node.clone());
        // What was mistaken is told already, here or where the name behind `from` stands.
        let is_known = |from: &Spanned<String>| frame.symbols.get(&from.node).is_some_and(|s| !s.value.is_unknown());
        if !any_error(&self.findings[before..]) && used.from.iter().all(is_known) {
            self.warn_of_open(frame, used, text, &values);
        }
        let products =
            used.from.iter().filter_map(|from| match frame.symbols.get(&from.node).map(|symbol| &symbol.value) {
                Some(Value::Data(data)) => Some((data.line, data.file.clone())),
                _ => None,
            });
        let products = products.collect();
        let number = self.notes.cards.len();
        self.notes.cards.push(CardUse { card: card.clone(), title, values, products });
        self.scope_mut(frame.scope).parts.push(ScopePart::Card(number));
    }

    /// The value of a symbol on the card, and what the product says of it where the sheet says it as well.
    fn entry(&mut self, frame: &Frame, used: &Use, (name, from_records): (&str, bool)) -> Option<CardEntry> {
        let expression = self.on_card(frame, used, (name, from_records))?;
        let mut reading = Reading::default();
        let value = self.infer(frame, &mut reading, &expression);
        let lines: Vec<LineId> = reading.mentions.iter().filter_map(|mention| mention.line).collect();
        if reading.mentions.is_empty() && !value.is_unknown() {
            let message =
                format!("`{name}` on the card is given where it is shown, and a card shows what the sheet says");
            let finding = frame.error(Code::UnboundTake, expression.span, message).here("names nothing of the sheet");
            self.report(finding.help(format!("write it as a given with its source, and name it: `with {name} = …`")));
            return None;
        }
        let is_of_product = used.from.iter().any(|from| is_field(&expression, &from.node, name));
        let of_product = if is_of_product || from_records { None } else { self.of_product(frame, used, name) };
        let line = reading.mentions.last().and_then(|mention| mention.line);
        Some(CardEntry { symbol: name.to_owned(), value, line, lines, of_product })
    }

    /// What the data behind `from` say of a symbol, without a line of its own: it is held against the card alone.
    fn of_product(&mut self, frame: &Frame, used: &Use, name: &str) -> Option<Value> {
        let of = |from: &Spanned<String>| frame.symbols.get(&from.node).map(|symbol| symbol.value.clone());
        used.from.iter().filter_map(of).find_map(|value| match value {
            Value::Data(data) => {
                let entry = data.file.values.get(name)?;
                if let Some(line) = self.data_lines.get(&(data.line, name.to_owned())) {
                    return Some(self.notes.line(*line).value.clone());
                }
                let own = Frame::of_file(frame.scope, &data.file.source);
                let mut reading = Reading { is_data: true, words: entry.words.clone(), ..Reading::default() };
                Some(self.given_value(&own, &mut reading, &entry.value))
            }
            Value::Row(row) => row.fields.iter().find(|(field, _)| field == name).map(|(_, value)| value.clone()),
            _ => None,
        })
    }

    /// Says so where a place asks for rows of what is no table, or for a tolerance of what has none.
    fn refuse_forms(&mut self, frame: &Frame, used: &Use, text: &CardText, values: &[CardEntry]) {
        let value = |symbol: &str| {
            let entry = values.iter().find(|entry| entry.symbol == symbol);
            entry.map(|entry| &entry.value).filter(|value| !value.is_unknown())
        };
        let path = &used.path.node;
        let mut told: Vec<String> = Vec::new();
        for place in text.places() {
            let Some(of) = value(place.symbol) else { continue };
            let message = match (place.form, of) {
                (Form::Count | Form::Each, Value::Table(_)) => continue,
                (Form::Count | Form::Each, other) => {
                    let kind = other.kind().describe();
                    format!("the card `{path}` names the rows of `{}`, which is {kind}", place.symbol)
                }
                (Form::Between(tolerance) | Form::AtMost(tolerance), of) => match (of, value(tolerance)) {
                    (_, None) => continue,
                    (Value::Number(number), Some(Value::Number(tolerance)))
                        if tolerance.dimension.is_none() || tolerance.dimension == number.dimension =>
                    {
                        continue;
                    }
                    (of, Some(other)) => format!(
                        "`{tolerance}` is {}, which is no tolerance of `{}`, {}",
                        other.kind().describe(),
                        place.symbol,
                        of.kind().describe()
                    ),
                },
                (Form::Value | Form::Some | Form::Words, _) => continue,
            };
            if !told.contains(&message) {
                told.push(message);
            }
        }
        for message in told {
            let finding = frame.error(Code::KindMismatch, used.path.span, message);
            self.report(finding.help("name another symbol of the sheet behind `with`"));
        }
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
    fn warn_of_open(&mut self, frame: &Frame, used: &Use, text: &CardText, values: &[CardEntry]) {
        let is_open = |symbol: &&str| text.needs(symbol) && !values.iter().any(|entry| entry.symbol == *symbol);
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
            false => "name each behind `with`, by its symbol in the sheet, or give it in the data behind `from`",
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

/// Whether an expression is `of.name` and nothing else.
fn is_field(expression: &Expression, of: &str, name: &str) -> bool {
    matches!(&expression.kind, ExpressionKind::Field(file, field) if file.as_name() == Some(of) && field.node == name)
}
