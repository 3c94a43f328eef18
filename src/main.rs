//! The `soleplate` command: reads the arguments, runs the verb and ends with its exit code.

use clap::Parser;
use soleplate::cli::{Arguments, Terminal, run};
use std::process::ExitCode;

fn main() -> ExitCode {
    let arguments = Arguments::parse();
    run(&arguments, &mut Terminal::of_process()).into()
}
