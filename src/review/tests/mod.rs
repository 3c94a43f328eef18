//! Digests, files of marks and the state of review, through real sheets.

mod digests;
mod files;
mod inherited;
mod moves;
mod states;

use super::*;
use crate::compile::LineId;
use crate::evaluate::Trace;
use crate::package::{Memory, Package};
use crate::render::address::Addresses;

const HEAD: &str =
    "+++\ntitle = \"T\"\nnumber = \"FTD-1\"\nrevision = \"P01\"\npurpose = \"P.\"\nscope = \"S.\"\n+++\n\n";

/// A clause, to be used twice.
const CLAUSE: &str = "+++\nkind = \"clause\"\ntitle = \"Share of a force\"\nstandard = \"Invented standard\"\n\
    clause = \"7.2\"\nversion = \"1\"\nscope = \"Any.\"\nbasis = \"Written for the test.\"\n+++\n\n\
    ```clause\ntakes N : force \"the force\"\ntakes k : number \"the share\"\ngives R \"its part\"\n```\n\n\
    ```derive\nR = k * N in kN \"its part\" @ Invented standard, (7.1)\n```\n\n\
    ```verify\nR <= 90 kN \"part\" @ Invented standard, (7.2)\n```\n";

/// A clause that passes on to the other what it takes.
const OUTER: &str = "+++\nkind = \"clause\"\ntitle = \"Outer\"\nstandard = \"Invented standard\"\nclause = \"7\"\n\
    version = \"1\"\nscope = \"Any.\"\nbasis = \"Written for the test.\"\n+++\n\n\
    ```clause\ntakes N : force \"the force\"\nuse share with k = 0.5\n```\n";

/// A data file.
const DATA: &str = "title = \"Bolt (invented)\"\nnotice = \"Illustrative values.\"\n\n[values]\n\
    N_Rk = { value = \"20 kN\", source = \"schedule\", description = \"resistance\" }\n";

#[track_caller]
fn trace_of(files: Memory) -> Trace {
    let files = files.with("clauses/share.md", CLAUSE).with("clauses/outer.md", OUTER).with("data/bolt.toml", DATA);
    let (package, findings) = Package::open(Box::new(files)).unwrap();
    assert!(findings.is_empty(), "{findings:#?}");
    let built = package.build("a.md");
    let findings: Vec<String> = built.findings.iter().map(ToString::to_string).collect();
    built.trace.unwrap_or_else(|| panic!("{findings:#?}"))
}

#[track_caller]
fn trace(blocks: &str) -> Trace {
    trace_of(Memory::default().with("a.md", format!("{HEAD}{blocks}")))
}

#[track_caller]
fn line(trace: &Trace, address: &str) -> LineId {
    let addresses = Addresses::new(trace);
    let found = trace.order.iter().find(|id| addresses.line(**id) == address);
    *found.unwrap_or_else(|| panic!("there is no line {address}"))
}

fn by(who: &str) -> By {
    By { who: who.to_owned(), date: Day::parse("2026-11-20").unwrap(), remark: String::new() }
}

fn saying(who: &str, remark: &str) -> By {
    By { remark: remark.to_owned(), ..by(who) }
}

/// The marks with one more.
#[track_caller]
fn marked(trace: &Trace, marks: &Marks, address: &str, action: Action, by: &By) -> Marks {
    mark(trace, marks, &[line(trace, address)], action, by).unwrap()
}

/// Marks with every line ticked that needs it.
fn all_ticked(trace: &Trace) -> Marks {
    let review = state(trace, &Marks::default());
    let lines: Vec<LineId> = trace.order.iter().copied().filter(|id| review.line(*id).needs_tick).collect();
    mark(trace, &Marks::default(), &lines, Action::Tick, &by("R.T.")).unwrap()
}

/// Addresses of the lines that are not ticked as they are, each with what became of it, and then of orphans.
fn left(trace: &Trace, marks: &Marks) -> String {
    let addresses = Addresses::new(trace);
    let review = state(trace, marks);
    let mut told = Vec::new();
    for id in &trace.order {
        let line = review.line(*id);
        match &line.tick {
            Tick::Changed(change) => {
                let what: Vec<&str> = change.what.iter().map(|part| part.words()).collect();
                told.push(format!("{} {}", addresses.line(*id), what.join("+")));
            }
            Tick::Missing if line.needs_tick => told.push(format!("{} to check", addresses.line(*id))),
            Tick::Missing | Tick::Holds(_) => {}
        }
    }
    told.extend(review.orphans.iter().map(|mark| format!("{} gone", mark.address)));
    told.join(", ")
}
