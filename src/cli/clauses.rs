//! `soleplate clauses`: lists the library, or shows one clause as text.

use super::exit::{Failure, Outcome};
use super::task::prefix;
use super::terminal::{Terminal, plain};
use crate::cli::drawing::Drawing;
use crate::diagnostic::{any_error, nearest};
use crate::document::BlockKind;
use crate::library::{Clause, Library, Origin};
use crate::package::{Disk, Package, locate};
use crate::syntax::{SheetPart, StatementKind, print_statement};
use anyhow::Context;
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

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
    let mut outcome = Outcome::Satisfied;
    let mut shown_prefix = String::new();
    let library = match &arguments.package {
        None => Library::shipped(),
        Some(path) => {
            let place = locate(path).map_err(Failure::from)?;
            shown_prefix = prefix(&place.folder);
            let (package, findings) = Package::open(Box::new(Disk::new(&place.folder)))
                .with_context(|| format!("the package {shown_prefix} cannot be read"))?;
            let drawing = drawing(&shown_prefix, &package.library, terminal);
            for finding in &findings {
                terminal.tell_drawn(&drawing.draw(finding));
            }
            if any_error(&findings) {
                outcome = Outcome::Errors;
            }
            package.library
        }
    };
    match &arguments.name {
        None => list(&library, terminal),
        Some(name) => {
            let clause = find(&library, name)?;
            show(clause, terminal);
            let (_, findings) = clause.sheet();
            let drawing = drawing(&shown_prefix, &library, terminal);
            for finding in findings {
                terminal.tell_drawn(&drawing.draw(finding));
            }
            if any_error(findings) {
                outcome = Outcome::Errors;
            }
        }
    }
    Ok(outcome)
}

fn drawing<'a>(prefix: &'a str, library: &'a Library, terminal: &Terminal) -> Drawing<'a> {
    Drawing { prefix, library, colour: terminal.colour }
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
                origin(clause)
            );
            terminal.say(plain(&line).trim_end());
        }
    }
}

fn origin(clause: &Clause) -> &'static str {
    match clause.origin {
        Origin::Shipped => "",
        Origin::Package => " (the package's own)",
        Origin::Override => " (the package's, in place of the library's)",
    }
}

/// The clause of a name, which may be the last part of a path if only one ends in it.
fn find<'a>(library: &'a Library, name: &str) -> Result<&'a Arc<Clause>, Failure> {
    let name = name.strip_suffix(".md").unwrap_or(name);
    if let Some(clause) = library.clause(name) {
        return Ok(clause);
    }
    fn last(path: &str) -> &str {
        path.rsplit('/').next().unwrap_or(path)
    }
    let ending: Vec<&Arc<Clause>> = library.clauses().filter(|clause| last(&clause.path) == name).collect();
    if let [clause] = ending.as_slice() {
        return Ok(clause);
    }
    if !ending.is_empty() {
        let paths: Vec<&str> = ending.iter().map(|clause| clause.path.as_str()).collect();
        let message = format!("more than one clause is called `{name}`");
        return Err(Failure::usage(message).help(format!("name one of `{}`", paths.join("`, `"))));
    }
    let paths = || library.clauses().map(|clause| clause.path.as_str());
    let near = nearest(name, paths()).or_else(|| nearest(last(name), paths().map(last)));
    let failure = Failure::usage(format!("there is no clause `{name}`"));
    Err(match near {
        Some(near) => failure.help(format!("did you mean `{near}`?")),
        None => failure.help("`soleplate clauses` lists them all; `--package PATH` includes a package's own"),
    })
}

/// One clause as text.
fn show(clause: &Clause, terminal: &mut Terminal) {
    let (sheet, _) = clause.sheet();
    let front = &sheet.document.front;
    terminal.say(&plain(&format!("{}{}", clause.path, origin(clause))));
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
