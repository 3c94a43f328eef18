//! Data files: TOML with named values, each with a unit and a source.

use crate::diagnostic::{Code, Diagnostic};
use crate::document::{BlockText, broken_toml};
use crate::syntax::{Expression, parse_literal};
use crate::text::{SourceFile, Span};
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
    /// The values by symbol.
    pub values: BTreeMap<String, DataEntry>,
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
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct RawFile {
    title: String,
    #[serde(default)]
    notice: String,
    #[serde(default)]
    source: String,
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
        values: BTreeMap::new(),
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
    for (name, entry) in raw.values {
        let inside = entry.value.span();
        // The range of a TOML string holds its quotes.
        let text = BlockText::at(entry.value.get_ref(), inside.start + 1);
        let (value, mut more) = parse_literal(&text, source);
        findings.append(&mut more);
        if let Some(value) = value {
            let entry = DataEntry {
                value,
                source: if entry.source.is_empty() { file.origin.clone() } else { entry.source },
                description: entry.description,
                span: Span::new(inside.start, inside.end),
            };
            file.values.insert(name.into_inner(), entry);
        }
    }
    (file, findings)
}
