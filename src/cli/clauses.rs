//! `soleplate clauses`: lists the library, or shows one clause as text.

use super::exit::Outcome;
use super::library::{Shelf, find, origin};
use super::terminal::{Terminal, plain};
use crate::document::BlockKind;
use crate::library::{Clause, Library};
use crate::syntax::{SheetPart, StatementKind, print_statement};
use std::collections::BTreeMap;
use std::path::PathBuf;

/// What can be typed behind `clauses`.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// A clause to show, such as `en-1992-4/concrete-cone`, or the last part of its name
    pub name: Option<String>,
    /// A package whose own clauses are included
    #[arg(long, value_name = "PATH")]
    pub package: Option<PathBuf>,
}

/// Lists clauses or shows one.
pub fn run(arguments: &Arguments, terminal: &mut Terminal) -> anyhow::Result<Outcome> {
    let shelf = Shelf::open(arguments.package.as_deref(), terminal)?;
    let Some(name) = &arguments.name else {
        list(&shelf.library, terminal);
        return Ok(shelf.outcome);
    };
    let paths: Vec<&str> = shelf.library.clauses().map(|clause| clause.path.as_str()).collect();
    let path = find("clause", "clauses", name.strip_suffix(".md").unwrap_or(name), &paths)?;
    let Some(clause) = shelf.library.clause(path) else {
        return Ok(shelf.outcome);
    };
    show(clause, terminal);
    Ok(shelf.tell(clause.sheet().1, terminal))
}

/// All clauses by standard.
fn list(library: &Library, terminal: &mut Terminal) {
    let mut standards: BTreeMap<&str, Vec<&Clause>> = BTreeMap::new();
    for clause in library.clauses() {
        let standard = clause.sheet().0.document.front.standard.as_str();
        standards.entry(standard).or_default().push(clause);
    }
    if standards.is_empty() {
        terminal.say("there are no clauses");
    }
    let width = |of: fn(&Clause) -> usize| library.clauses().map(|clause| of(clause)).max().unwrap_or(0);
    let path_width = width(|clause| clause.path.chars().count());
    let number_width = width(|clause| clause.sheet().0.document.front.clause.chars().count());
    for (at, (standard, clauses)) in standards.iter().enumerate() {
        if at > 0 {
            terminal.say("");
        }
        let standard = if standard.is_empty() { "no standard stated" } else { standard };
        terminal.say(&plain(standard));
        for clause in clauses {
            let front = &clause.sheet().0.document.front;
            let line = format!(
                "  {:<path_width$}  {:<number_width$}  {}{}",
                clause.path,
                front.clause,
                front.title,
                origin(clause.origin)
            );
            terminal.say(plain(&line).trim_end());
        }
    }
}

/// One clause as text.
fn show(clause: &Clause, terminal: &mut Terminal) {
    let (sheet, _) = clause.sheet();
    let front = &sheet.document.front;
    terminal.say(&plain(&format!("{}{}", clause.path, origin(clause.origin))));
    let fields = [
        ("title", front.title.clone()),
        ("standard", format!("{}, {}", front.standard, front.clause)),
        ("version", front.version.clone()),
        ("scope", front.scope.clone()),
        ("basis", front.basis.clone()),
    ];
    for (name, text) in fields {
        terminal.say(&plain(&format!("  {name:<8}  {text}")));
    }
    for part in &sheet.parts {
        let SheetPart::Block(kind, statements) = part else {
            continue;
        };
        let mut heading = "";
        for statement in statements {
            let new = match (kind, &statement.kind) {
                (_, StatementKind::Takes { .. }) => "takes",
                (_, StatementKind::Gives(_)) => "gives",
                (BlockKind::Clause, _) => "clauses in use",
                (kind, _) => kind.name(),
            };
            if new != heading {
                heading = new;
                terminal.say("");
                terminal.say(heading);
            }
            for line in print_statement(statement).lines() {
                let line = line.strip_prefix("takes ").or_else(|| line.strip_prefix("gives ")).unwrap_or(line);
                terminal.say(&plain(&format!("  {line}")));
            }
        }
    }
}
