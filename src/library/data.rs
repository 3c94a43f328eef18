//! Data files: TOML with named values, each with a unit and a source.

use crate::diagnostic::{Code, Diagnostic};
use crate::document::{BlockText, broken_toml};
use crate::syntax::{Expression, parse_literal};
use crate::text::{SourceFile, Span, Spanned as Placed};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::sync::Arc;
use toml::Spanned;

/// A data file.
#[derive(Clone, Debug)]
pub struct DataFile {
    /// The file.
    pub source: Arc<SourceFile>,
    /// What the data is of.
    pub title: String,
    /// Shown wherever the data is used.
    pub notice: String,
    /// Where all of it comes from, unless an entry says otherwise.
    pub origin: String,
    /// The family whose values it gives, where it names one.
    pub family: Option<Placed<String>>,
    /// The values by symbol.
    pub values: BTreeMap<String, DataEntry>,
    /// The symbols that the family has, whether the file gives them or not; empty without a family.
    pub known: Vec<String>,
    /// Symbols whose values could not be read.
    pub unreadable: Vec<String>,
    /// What somebody should look at although the file can be used.
    pub warnings: Vec<Diagnostic>,
}

/// One value.
#[derive(Clone, Debug)]
pub struct DataEntry {
    /// The value as written.
    pub value: Expression,
    /// Where it comes from; empty if unstated.
    pub source: String,
    /// What it is.
    pub description: String,
    /// The place of the value in the file.
    pub span: Span,
    /// The place of its symbol.
    pub name_span: Span,
    /// The words to choose from, where the file's family has them.
    pub words: Option<Arc<[String]>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawFile {
    title: String,
    #[serde(default)]
    notice: String,
    #[serde(default)]
    source: String,
    family: Option<Spanned<String>>,
    values: BTreeMap<Spanned<String>, RawEntry>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields, expecting = "a table with a value and its source")]
struct RawEntry {
    value: Spanned<String>,
    #[serde(default)]
    source: String,
    #[serde(default)]
    description: String,
}

/// Reads a data file; entries that cannot be read are left out and reported.
pub fn read_data(source: &Arc<SourceFile>) -> (DataFile, Vec<Diagnostic>) {
    let mut findings = Vec::new();
    let mut file = DataFile {
        source: source.clone(),
        title: String::new(),
        notice: String::new(),
        origin: String::new(),
        family: None,
        values: BTreeMap::new(),
        known: Vec::new(),
        unreadable: Vec::new(),
        warnings: Vec::new(),
    };
    let raw: RawFile = match toml::from_str(&source.text) {
        Ok(raw) => raw,
        Err(error) => {
            let finding = broken_toml(Code::BadData, source, 0, "this data file", &error)
                .help("an entry reads `h_ef = { value = \"70 mm\", source = \"…\" }` under `[values]`");
            return (file, vec![finding]);
        }
    };
    file.title = raw.title;
    file.notice = raw.notice;
    file.origin = raw.source;
    file.family = raw.family.map(|family| {
        // The range of a TOML string holds its quotes.
        let inside = family.span();
        Placed::new(family.into_inner(), Span::new(inside.start + 1, inside.end - 1))
    });
    for (name, entry) in raw.values {
        let inside = entry.value.span();
        let name_span = Span::new(name.span().start, name.span().end);
        let text = BlockText::at(entry.value.get_ref(), inside.start + 1);
        let (value, mut more) = parse_literal(&text, source);
        findings.append(&mut more);
        let Some(value) = value else {
            file.unreadable.push(name.into_inner());
            continue;
        };
        let entry = DataEntry {
            value,
            source: if entry.source.is_empty() { file.origin.clone() } else { entry.source },
            description: entry.description,
            span: Span::new(inside.start, inside.end),
            name_span,
            words: None,
        };
        file.values.insert(name.into_inner(), entry);
    }
    (file, findings)
}
