//! `soleplate data`: lists the families of product data and the data of public standards, shows the values of a family,
//! or writes its JSON Schema.

use super::exit::Outcome;
use super::library::{Shelf, find, origin};
use super::terminal::{Terminal, plain};
use crate::library::{Family, Field, FieldKind, Library, json_schema, read_data};
use std::collections::BTreeMap;
use std::path::PathBuf;

const EXAMPLES: &str = "\
Examples:
  soleplate data                           list the families
  soleplate data bonded-anchor             show which values a file of the family gives
  soleplate data bonded-anchor --schema    write a JSON Schema, for editors that check TOML by one";

/// What can be typed behind `data`.
#[derive(Debug, clap::Args)]
#[command(after_help = EXAMPLES)]
pub struct Arguments {
    /// A family to show, such as `en-1992-4/bonded-anchor`, or the last part of its name
    pub name: Option<String>,
    /// Write the family as a JSON Schema of its data files
    #[arg(long, requires = "name")]
    pub schema: bool,
    /// A package whose own families are included
    #[arg(long, value_name = "PATH")]
    pub package: Option<PathBuf>,
}

/// Lists families, or shows one.
pub fn run(arguments: &Arguments, terminal: &mut Terminal) -> anyhow::Result<Outcome> {
    let shelf = Shelf::open(arguments.package.as_deref(), terminal)?;
    let Some(name) = &arguments.name else {
        list(&shelf.library, terminal);
        list_data(terminal);
        return Ok(shelf.outcome);
    };
    let paths: Vec<&str> = shelf.library.families().map(|family| family.path.as_str()).collect();
    let path = find("family", "data", name.strip_suffix(".toml").unwrap_or(name), &paths)?;
    let Some(family) = shelf.library.family(path) else {
        return Ok(shelf.outcome);
    };
    if arguments.schema {
        terminal.say(&serde_json::to_string_pretty(&json_schema(family))?);
    } else {
        show(family, terminal);
    }
    Ok(shelf.tell(family.schema().1, terminal))
}

/// All families by standard.
fn list(library: &Library, terminal: &mut Terminal) {
    let mut standards: BTreeMap<&str, Vec<&Family>> = BTreeMap::new();
    for family in library.families() {
        standards.entry(family.schema().0.standard.as_str()).or_default().push(family);
    }
    let width = library.families().map(|family| family.path.chars().count()).max().unwrap_or(0);
    for (at, (standard, families)) in standards.iter().enumerate() {
        if at > 0 {
            terminal.say("");
        }
        terminal.say(&plain(if standard.is_empty() { "no standard stated" } else { standard }));
        for family in families {
            let line = format!("  {:<width$}  {}{}", family.path, family.schema().0.title, origin(family.origin));
            terminal.say(plain(&line).trim_end());
        }
    }
}

/// The data that is shipped: what to write behind `data`, and what it is.
fn list_data(terminal: &mut Terminal) {
    let shipped: Vec<(&str, String)> = Library::shipped_data_paths()
        .filter_map(|path| Some((path, read_data(&Library::shipped_data(path)?).0.title)))
        .collect();
    let width = shipped.iter().map(|(path, _)| path.chars().count()).max().unwrap_or(0);
    if !shipped.is_empty() {
        terminal.say("");
        terminal.say("Data of public standards, named without an ending in a sheet");
    }
    for (path, title) in shipped {
        terminal.say(plain(&format!("  {path:<width$}  {title}")).trim_end());
    }
}

/// One family: what it says of itself, and a table of its values.
fn show(family: &Family, terminal: &mut Terminal) {
    let (schema, _) = family.schema();
    terminal.say(&plain(&format!("{}{}", family.path, origin(family.origin))));
    for (name, text) in [("title", &schema.title), ("standard", &schema.standard), ("basis", &schema.basis)] {
        terminal.say(&plain(&format!("  {name:<8}  {text}")));
    }
    terminal.say("");
    let head = ["value", "kind", "range", "required", "description", "reference"].map(str::to_owned);
    let rows: Vec<[String; 6]> = std::iter::once(head).chain(schema.values.iter().map(row)).collect();
    let mut widths = [0; 6];
    for (width, column) in widths.iter_mut().zip(0..) {
        *width = rows.iter().map(|row| row[column].chars().count()).max().unwrap_or(0);
    }
    for row in &rows {
        let cells: Vec<String> = row.iter().zip(widths).map(|(cell, width)| format!("{cell:<width$}")).collect();
        terminal.say(plain(&cells.join("  ")).trim_end());
    }
}

fn row(field: &Field) -> [String; 6] {
    let range = match &field.kind {
        FieldKind::Number(range) => range.text.clone(),
        FieldKind::Truth => String::new(),
        FieldKind::Word(words) => words.join(", "),
    };
    [
        field.name.clone(),
        field.kind.name().to_owned(),
        range,
        if field.is_required { "required" } else { "" }.to_owned(),
        field.description.clone(),
        field.reference.clone(),
    ]
}
