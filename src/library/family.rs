//! Families of product data: which values a data file of one kind of fastener gives, of which kind and in which range.
//!
//! A family is a TOML file beside the clauses, which take these values under the same names.
//! It is read when a data file first names it.

use super::Origin;
use crate::diagnostic::{Code, Diagnostic};
use crate::document::broken_toml;
use crate::quantity::{Dimension, Unit, read_number};
use crate::text::{SourceFile, Span};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::sync::{Arc, OnceLock};
use toml::Spanned;

/// One family.
#[derive(Debug)]
pub struct Family {
    /// Its path, such as `en-1992-4/expansion-anchor`.
    pub path: String,
    /// Where it comes from.
    pub origin: Origin,
    /// Its text.
    pub source: Arc<SourceFile>,
    read: OnceLock<(Schema, Vec<Diagnostic>)>,
}

/// What a family says.
#[derive(Clone, Debug, Default)]
pub struct Schema {
    /// Of what the data is.
    pub title: String,
    /// The standard whose clauses take the values.
    pub standard: String,
    /// What symbols and ranges were taken from.
    pub basis: String,
    /// The values, in the order of the file.
    pub values: Vec<Field>,
}

/// One value that a file of the family may give.
#[derive(Clone, Debug)]
pub struct Field {
    /// Its symbol.
    pub name: String,
    /// What it has to be.
    pub kind: FieldKind,
    /// What it is.
    pub description: String,
    /// The clause that it belongs to.
    pub reference: String,
    /// Whether every file of the family gives it.
    pub is_required: bool,
}

/// What a value has to be.
#[derive(Clone, Debug)]
pub enum FieldKind {
    /// A number in a range.
    Number(Range),
    /// Yes or no.
    Truth,
    /// One of these words.
    Word(Arc<[String]>),
}

/// A range with both its ends, which also tells the dimension.
#[derive(Clone, Debug)]
pub struct Range {
    /// As written: `40 mm to 500 mm`.
    pub text: String,
    /// The unit of its start.
    pub unit: Unit,
    /// Its start in SI units.
    pub low: f64,
    /// Its end in SI units.
    pub high: f64,
}

impl Family {
    pub(super) fn new(path: &str, origin: Origin, source: Arc<SourceFile>) -> Arc<Self> {
        Arc::new(Self { path: path.to_owned(), origin, source, read: OnceLock::new() })
    }

    /// What it says, with what is wrong in it.
    pub fn schema(&self) -> (&Schema, &[Diagnostic]) {
        let (schema, findings) = self.read.get_or_init(|| read_schema(&self.source));
        (schema, findings)
    }
}

impl Schema {
    /// The value of a symbol.
    pub fn field(&self, name: &str) -> Option<&Field> {
        self.values.iter().find(|field| field.name == name)
    }
}

impl Field {
    /// In a line what it is: words, range and reference, as far as they are stated.
    pub fn describe(&self) -> String {
        let range = match &self.kind {
            FieldKind::Number(range) => range.text.clone(),
            other => other.describe(),
        };
        let parts = [self.description.as_str(), range.as_str(), self.reference.as_str()];
        let stated: Vec<&str> = parts.into_iter().filter(|part| !part.is_empty()).collect();
        format!("`{}`: {}", self.name, stated.join(", "))
    }
}

impl FieldKind {
    /// In words with an article.
    pub fn describe(&self) -> String {
        match self {
            FieldKind::Number(range) => range.dimension().describe(),
            FieldKind::Truth => "yes or no".to_owned(),
            FieldKind::Word(words) => format!("a word among {}", words.join(", ")),
        }
    }

    /// In one word.
    pub fn name(&self) -> &'static str {
        match self {
            FieldKind::Number(range) => range.dimension().name().unwrap_or("quantity"),
            FieldKind::Truth => "yes/no",
            FieldKind::Word(_) => "word",
        }
    }
}

impl Range {
    /// The dimension of what lies in it.
    pub fn dimension(&self) -> Dimension {
        self.unit.dimension()
    }

    /// Whether a value in SI units lies in it; ends count, and values that differ by less than 1e-9 are equal.
    pub fn holds(&self, value: f64) -> bool {
        let guard = |limit: f64| 1e-9 * limit.abs();
        value >= self.low - guard(self.low) && value <= self.high + guard(self.high)
    }

    fn read(text: &str) -> Result<Self, Unread> {
        let (low, high) = text.split_once(" to ").ok_or(Unread::Form)?;
        let ((unit, low), (end_unit, high)) = (read_end(low)?, read_end(high)?);
        if unit.dimension() != end_unit.dimension() || low > high {
            return Err(Unread::Ends);
        }
        Ok(Self { text: text.to_owned(), unit, low, high })
    }
}

/// Why a range cannot be read.
enum Unread {
    Form,
    Ends,
    Unit(String),
}

fn read_end(text: &str) -> Result<(Unit, f64), Unread> {
    let (digits, unit) = text.trim().split_once(' ').unwrap_or((text.trim(), ""));
    let unit = match unit {
        "" => Unit::one(),
        unit => Unit::parse(unit).map_err(|error| Unread::Unit(error.problem(unit)))?,
    };
    let value = if unit.is_one() { read_number(digits) } else { unit.literal_to_si(digits) };
    value.map(|value| (unit, value)).ok_or(Unread::Form)
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawFamily {
    title: String,
    standard: String,
    basis: String,
    values: BTreeMap<Spanned<String>, RawField>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, expecting = "a table with a range, and a description")]
struct RawField {
    range: Option<Spanned<String>>,
    kind: Option<RawKind>,
    among: Option<Vec<String>>,
    description: String,
    #[serde(default)]
    reference: String,
    #[serde(default)]
    required: bool,
}

#[derive(Deserialize)]
enum RawKind {
    #[serde(rename = "yes/no")]
    Truth,
}

/// Reads a family; values that cannot be read are left out and reported.
fn read_schema(source: &Arc<SourceFile>) -> (Schema, Vec<Diagnostic>) {
    let raw: RawFamily = match toml::from_str(&source.text) {
        Ok(raw) => raw,
        Err(error) => {
            let finding = broken_toml(Code::BadData, source, 0, "this family of product data", &error);
            return (Schema::default(), vec![finding]);
        }
    };
    let mut findings = Vec::new();
    let mut values = Vec::with_capacity(raw.values.len());
    // The map is sorted by name; people gave the values another order.
    let mut fields: Vec<(Spanned<String>, RawField)> = raw.values.into_iter().collect();
    fields.sort_by_key(|(name, _)| name.span().start);
    for (name, raw) in fields {
        let place = Span::new(name.span().start, name.span().end);
        let name = name.into_inner();
        match read_kind(source, &name, place, &raw) {
            Ok(kind) => values.push(Field {
                name,
                kind,
                description: raw.description,
                reference: raw.reference,
                is_required: raw.required,
            }),
            Err(finding) => findings.push(*finding),
        }
    }
    (Schema { title: raw.title, standard: raw.standard, basis: raw.basis, values }, findings)
}

fn read_kind(source: &Arc<SourceFile>, name: &str, place: Span, raw: &RawField) -> Result<FieldKind, Box<Diagnostic>> {
    match (&raw.range, &raw.kind, &raw.among) {
        (Some(range), None, None) => {
            // The range of a TOML string holds its quotes.
            let place = Span::new(range.span().start + 1, range.span().end - 1);
            Range::read(range.get_ref()).map(FieldKind::Number).map_err(|problem| {
                let (code, message) = match problem {
                    Unread::Form => (Code::BadData, format!("the range of `{name}` cannot be read")),
                    Unread::Ends => (Code::BadData, format!("the range of `{name}` does not lead from less to more")),
                    Unread::Unit(message) => (Code::UnknownUnit, message),
                };
                let finding = Diagnostic::error(code, source, place, message);
                Box::new(finding.help("write `40 mm to 500 mm`, or `1 to 2` for a plain number"))
            })
        }
        (None, Some(RawKind::Truth), None) => Ok(FieldKind::Truth),
        (None, None, Some(words)) if !words.is_empty() => Ok(FieldKind::Word(words.iter().cloned().collect())),
        _ => {
            let message = format!("`{name}` has to say in one way what it is");
            let finding = Diagnostic::error(Code::BadData, source, place, message);
            Err(Box::new(finding.help(
                "write one of `range = \"40 mm to 500 mm\"`, `kind = \"yes/no\"` and `among = [\"round\", \"square\"]`",
            )))
        }
    }
}
