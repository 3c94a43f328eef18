//! The command line: one file a verb, no engineering.
//!
//! 1. [`Arguments`] says what can be typed; the comments on it are the help;
//! 2. [`run`] hands over to the verb and words what stopped it;
//! 3. [`Terminal`] writes, [`Outcome`] becomes the exit code.
//!
//! `render` is the place to start reading: `verify` and `watch` build sheets by the same functions.

mod clauses;
mod compare;
mod data;
mod demand;
mod drawing;
mod exit;
mod issued;
mod junit;
mod library;
mod new;
mod output;
mod register;
mod render;
mod review;
mod row;
mod sign;
mod summary;
mod task;
mod terminal;
mod today;
mod verify;
mod watch;

pub use exit::{Failure, Outcome};
pub use output::Output;
pub use terminal::Terminal;

use crate::storage::steps;
use clap::{Parser, Subcommand};

const EXAMPLES: &str = "\
Examples:
  soleplate new depot                  lay out a package with a first calculation
  soleplate render depot               write out/index.html and a page for each sheet
  soleplate render depot/bracket.md    write the page of one sheet
  soleplate verify depot               say how every sheet came out, write nothing
  soleplate review depot/bracket.md    tell what is left to check, or mark lines as checked
  soleplate sign depot/bracket.md …    sign a calculation as creator, checker or approver
  soleplate compare main depot         say what changed since the branch main
  soleplate register depot             list the sheets with what is still open in each
  soleplate watch depot                write pages anew whenever a sheet is saved
  soleplate clauses concrete-cone      show what a clause takes, gives and computes
  soleplate data bonded-anchor         show which values the data of a bonded anchor gives

Exit codes:
  0  every check is satisfied, or what is compared says the same
  1  a check is not satisfied, or what is compared differs
  2  wrong usage
  3  a sheet is not valid
  4  a sheet has errors, or an issued page is false
  5  something could not be read or written
  6  a sheet or a page lacks what --demand asks for, or with --issue a query is open on what is signed
  7  a signature does not count";

/// Auditable calculations for steel base plates fixed to concrete, from Markdown sheets.
#[derive(Debug, Parser)]
#[command(name = "soleplate", version, after_help = EXAMPLES, arg_required_else_help = true)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub verb: Verb,
}

/// What can be done.
#[derive(Debug, Subcommand)]
pub enum Verb {
    /// Lay out a package with a first calculation, or begin a sheet as a copy of another
    New(new::Arguments),
    /// Write the pages of a package or of single sheets
    Render(render::Arguments),
    /// Write pages anew whenever something is saved
    Watch(watch::Arguments),
    /// Say how every sheet came out, and write nothing
    Verify(verify::Arguments),
    /// Tell what is left to check in a sheet, and mark its lines
    Review(review::Arguments),
    /// Sign a calculation as its creator, checker or approver
    Sign(sign::Arguments),
    /// Say what changed between two states of a package or of a sheet
    Compare(compare::Arguments),
    /// List the sheets of a package with what is still open in each
    Register(register::Arguments),
    /// List the clauses of the library, or show one
    Clauses(clauses::Arguments),
    /// List the families of product data, or show the values of one
    Data(data::Arguments),
}

/// Runs a verb and tells on the terminal what stopped it.
pub fn run(arguments: &Arguments, terminal: &mut Terminal) -> Outcome {
    let result = match &arguments.verb {
        Verb::New(arguments) => new::run(arguments, terminal),
        Verb::Render(arguments) => render::run(arguments, terminal),
        Verb::Watch(arguments) => watch::run(arguments, terminal),
        Verb::Verify(arguments) => verify::run(arguments, terminal),
        Verb::Review(arguments) => review::run(arguments, terminal),
        Verb::Sign(arguments) => sign::run(arguments, terminal),
        Verb::Compare(arguments) => compare::run(arguments, terminal),
        Verb::Register(arguments) => register::run(arguments, terminal),
        Verb::Clauses(arguments) => clauses::run(arguments, terminal),
        Verb::Data(arguments) => data::run(arguments, terminal),
    };
    let mut outcome = result.unwrap_or_else(|error| {
        terminal.tell_error(&format!("{error:#}"));
        match error.downcast_ref::<Failure>() {
            Some(failure) => {
                for why in &failure.because {
                    terminal.tell(&format!("  {why}"));
                }
                for help in &failure.help {
                    terminal.tell_help(help);
                }
                failure.outcome
            }
            None => Outcome::Unreadable,
        }
    });
    if let Err(error) = terminal.finish() {
        terminal.tell_error(&format!("the output cannot be written: {error}"));
        outcome = outcome.max(Outcome::Unreadable);
    }
    // Whoever reads the last line may pull the plug.
    steps::step();
    outcome
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn what_can_be_typed_is_free_of_contradictions() {
        Arguments::command().debug_assert();
    }
}
