//! A comparison as a page and as JSON.

use super::{Compared, Result};
use crate::cli::render::templates;
use crate::comparison::Comparison;
use crate::render::comparison::{ComparedView, ComparisonView};
use crate::render::provenance::PROGRAM;
use anyhow::Context;
use serde::Serialize;

/// The page, complete in itself.
pub(super) fn html([old, new]: [&str; 2], tally: &str, all: &[Compared]) -> anyhow::Result<String> {
    let broken = |compared: &Compared| ComparedView {
        path: compared.path.clone(),
        only: "has errors, not compared",
        ..ComparedView::default()
    };
    let differing = all.iter().filter(|compared| !compared.is_equal());
    let view = ComparisonView {
        title: "Comparison".to_owned(),
        old: old.to_owned(),
        new: new.to_owned(),
        tally: format!("{tally}."),
        sheets: differing.map(|compared| compared.view.clone().unwrap_or_else(|| broken(compared))).collect(),
        equal: all.iter().filter(|compared| compared.is_equal()).map(|compared| compared.path.clone()).collect(),
        program: PROGRAM.to_owned(),
    };
    templates()?.comparison(&view).context("the page cannot be made")
}

#[derive(Serialize)]
struct Document<'a> {
    old: &'a str,
    new: &'a str,
    sheets: Vec<Sheet<'a>>,
}

#[derive(Serialize)]
struct Sheet<'a> {
    path: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    old_path: Option<&'a str>,
    /// `equal`, `changed`, `gone`, `new` or `not compared`.
    state: &'static str,
    /// The revision that both sides bear although they differ.
    #[serde(skip_serializing_if = "Option::is_none")]
    kept_revision: Option<&'a str>,
    #[serde(skip_serializing_if = "Option::is_none")]
    comparison: Option<&'a Comparison>,
}

/// Every change as JSON, with a line end.
pub(super) fn json([old, new]: [&str; 2], all: &[Compared]) -> anyhow::Result<String> {
    let sheets = all.iter().map(|compared| Sheet {
        path: &compared.path,
        old_path: compared.old_path.as_deref(),
        state: compared.word(),
        kept_revision: match &compared.result {
            Result::Both(comparison) => comparison.kept_revision(),
            _ => None,
        },
        comparison: match &compared.result {
            Result::Both(comparison) if !comparison.is_equal() => Some(comparison),
            _ => None,
        },
    });
    let document = Document { old, new, sheets: sheets.collect() };
    let mut text = serde_json::to_string_pretty(&document).context("the comparison cannot be written as JSON")?;
    text.push('\n');
    Ok(text)
}
