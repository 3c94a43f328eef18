//! A data file held against the family that it names.
//!
//! One mistake, one finding: a misspelt name is not told as a missing value as well.

use super::Library;
use super::data::{DataEntry, DataFile};
use super::family::{Family, Field, FieldKind, Range};
use crate::diagnostic::{Code, Diagnostic, any_error, nearest};
use crate::quantity::{Unit, read_number};
use crate::syntax::{ExpressionKind, UnaryOperator};
use crate::text::{Span, Spanned};

impl Library {
    /// What in a data file is not as its family has it; words that the family knows become words of the file.
    pub fn check_data(&self, file: &mut DataFile) -> Vec<Diagnostic> {
        let Some(named) = file.family.clone() else {
            return Vec::new();
        };
        let Some(family) = self.family(&named.node) else {
            let paths: Vec<&str> = self.families().map(|family| family.path.as_str()).collect();
            let message = format!("there is no family `{}` of product data", named.node);
            let finding = Diagnostic::error(Code::UnknownFamily, &file.source, named.span, message)
                .note(format!("the families are {}", paths.join(", ")))
                .suggest(&named.node, paths);
            return vec![finding.help("without `family` values are taken as they are")];
        };
        let (schema, problems) = family.schema();
        if any_error(problems) {
            return problems.to_vec();
        }
        file.known = schema.values.iter().map(|field| field.name.clone()).collect();
        let mut findings = Vec::new();
        let is_given = |file: &DataFile, name: &str| {
            file.values.contains_key(name) || file.unreadable.iter().any(|unreadable| unreadable == name)
        };
        let absent: Vec<&Field> = schema.values.iter().filter(|field| !is_given(file, &field.name)).collect();
        let mut meant: Vec<&str> = Vec::new();
        for (name, entry) in &file.values {
            match schema.field(name) {
                Some(field) => findings.extend(check_value(file, field, entry)),
                None => {
                    let near = nearest(name, absent.iter().map(|field| field.name.as_str()));
                    meant.extend(near);
                    let near = near.and_then(|near| schema.field(near));
                    findings.push(unknown_name(file, family, name, entry.name_span, near));
                }
            }
        }
        let missing: Vec<&Field> =
            absent.into_iter().filter(|field| field.is_required && !meant.contains(&field.name.as_str())).collect();
        findings.extend(missing_values(file, family, &named, &missing));
        findings.sort_by_key(|finding| finding.labels.first().map(|label| label.span.start));
        for (name, entry) in &mut file.values {
            if let Some(Field { kind: FieldKind::Word(words), .. }) = schema.field(name) {
                entry.words = Some(words.clone());
            }
        }
        findings
    }
}

/// A name that the family does not have: an error where a value that must be there is meant, a warning otherwise, since
/// people may keep values of their own.
fn unknown_name(file: &DataFile, family: &Family, name: &str, place: Span, near: Option<&Field>) -> Diagnostic {
    let message = format!("the family `{}` has no value `{name}`", family.path);
    let finding = Diagnostic::error(Code::UnknownValue, &file.source, place, message);
    match near {
        Some(near) => {
            let finding = finding.note(near.describe()).help(format!("did you mean `{}`?", near.name));
            if near.is_required { finding } else { finding.as_warning() }
        }
        None => finding
            .as_warning()
            .note("neither its kind nor its range is checked")
            .help(format!("`soleplate data {}` shows the values of the family", family.path)),
    }
}

/// All that must be there and is not, in one finding.
fn missing_values(file: &DataFile, family: &Family, named: &Spanned<String>, missing: &[&Field]) -> Option<Diagnostic> {
    let (first, others) = missing.split_first()?;
    let path = &family.path;
    let message = match others.len() {
        0 => format!("this data file gives no `{}`, which the family `{path}` requires", first.name),
        others => format!("this data file lacks {} values that the family `{path}` requires", others + 1),
    };
    let finding = Diagnostic::error(Code::MissingValue, &file.source, named.span, message);
    let finding = missing.iter().fold(finding, |finding, field| finding.note(field.describe()));
    let unit = match &first.kind {
        FieldKind::Number(range) if !range.unit.is_one() => format!("… {}", range.unit),
        _ => "…".to_owned(),
    };
    Some(finding.help(format!("add `{} = {{ value = \"{unit}\", source = \"…\" }}` under `[values]`", first.name)))
}

/// What stands in the place of a value.
enum Found<'a> {
    Number { digits: &'a str, unit: Unit, value: f64 },
    Truth,
    Word(&'a str),
    Other(&'static str),
}

impl Found<'_> {
    fn describe(&self) -> String {
        match self {
            Found::Number { unit, .. } => unit.dimension().describe(),
            Found::Truth => "yes or no".to_owned(),
            Found::Word(word) => format!("the word `{word}`"),
            Found::Other(what) => (*what).to_owned(),
        }
    }
}

fn check_value(file: &DataFile, field: &Field, entry: &DataEntry) -> Option<Diagnostic> {
    let found = match find(file, entry) {
        Ok(found) => found,
        Err(finding) => return Some(*finding),
    };
    let error = |code, message: String| {
        Some(Diagnostic::error(code, &file.source, entry.value.span, message).note(field.describe()))
    };
    let name = &field.name;
    match (&field.kind, &found) {
        (FieldKind::Truth, Found::Truth) => None,
        (FieldKind::Number(range), Found::Number { unit, value, .. }) if unit.dimension() == range.dimension() => {
            if range.holds(*value) {
                return None;
            }
            let side = if *value < range.low { "below" } else { "above" };
            let written = file.source.slice(entry.value.span);
            let message = format!("`{name}` is {written}, {side} its range of {}", range.text);
            error(Code::OutsideRange, message).map(|finding| {
                finding.help("compare value and unit with the product's assessment, whose limits hold").help(
                    "where it goes further, put the family into the package's `clauses/` and widen the range there",
                )
            })
        }
        (FieldKind::Word(words), Found::Word(word)) => {
            if words.iter().any(|known| known == word) {
                return None;
            }
            let message = format!("`{word}` is not among the words for `{name}`");
            error(Code::UnknownWord, message).map(|finding| finding.suggest(word, words.iter().map(String::as_str)))
        }
        (kind, found) => {
            let message = format!("`{name}` must be {}, not {}", kind.describe(), found.describe());
            error(mismatch(kind, found), message).map(|finding| match (kind, found) {
                (FieldKind::Number(range), Found::Number { digits, unit, .. }) => {
                    unit_help(finding, range, digits, unit)
                }
                (FieldKind::Number(range), _) => finding.help(format!("write one value from {}", range.text)),
                (FieldKind::Truth, _) => finding.help("write `yes` or `no`"),
                (FieldKind::Word(words), _) => finding.help(format!("write `{}`", words.join("` or `"))),
            })
        }
    }
}

fn mismatch(kind: &FieldKind, found: &Found<'_>) -> Code {
    match (kind, found) {
        (FieldKind::Number(_), Found::Number { unit, .. }) if unit.is_one() => Code::MissingUnit,
        (FieldKind::Number(_), Found::Number { .. }) => Code::UnitMismatch,
        _ => Code::KindMismatch,
    }
}

fn unit_help(finding: Diagnostic, range: &Range, digits: &str, found: &Unit) -> Diagnostic {
    if range.dimension().is_none() {
        finding.help("write a plain number without a unit")
    } else if found.is_one() {
        finding.help(format!("write the unit as well, such as `{digits} {}`", range.unit))
    } else {
        finding.help(format!("write it in {} or another unit of that dimension", range.unit))
    }
}

/// What stands there; a number that cannot be read is a finding of its own.
fn find<'a>(file: &DataFile, entry: &'a DataEntry) -> Result<Found<'a>, Box<Diagnostic>> {
    let (kind, sign) = match &entry.value.kind {
        ExpressionKind::Unary(UnaryOperator::Minus, operand) => (&operand.kind, -1.0),
        kind => (kind, 1.0),
    };
    let (digits, unit) = match kind {
        ExpressionKind::Number(digits, unit) => (digits, unit),
        ExpressionKind::Truth(_) if sign > 0.0 => return Ok(Found::Truth),
        ExpressionKind::Name(word) if sign > 0.0 => return Ok(Found::Word(word)),
        ExpressionKind::List(_) if sign > 0.0 => return Ok(Found::Other("a list")),
        _ => return Ok(Found::Other("a formula")),
    };
    let unit = match unit {
        None => Unit::one(),
        Some(text) => Unit::parse(&text.node).map_err(|error| {
            let finding = Diagnostic::error(Code::UnknownUnit, &file.source, text.span, error.problem(&text.node));
            let advice = error.advice().unwrap_or_else(|| "units are written like `mm`, `kN` or `N/mm²`".to_owned());
            Box::new(finding.help(advice))
        })?,
    };
    let value = if unit.is_one() { read_number(digits) } else { unit.literal_to_si(digits) };
    match value.filter(|value| value.is_finite()) {
        Some(value) => Ok(Found::Number { digits, unit, value: sign * value }),
        None => {
            let message = format!("`{digits}` is too large to be computed with");
            let finding = Diagnostic::error(Code::BadNumber, &file.source, entry.value.span, message);
            Err(Box::new(finding.help("numbers go up to about 1e308 in SI units")))
        }
    }
}
