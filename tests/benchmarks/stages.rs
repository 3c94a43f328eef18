//! Where the time of one sheet goes, stage by stage through the public modules, in one process on one thread.
//!
//! 1. [`demo_by_stage`] takes the demo's calculation from the disk to its files;
//! 2. [`plain_sheet`] compiles a sheet of sixty statements and runs it beside the same formulas in Rust.
#![expect(clippy::disallowed_methods, reason = "benchmarks read and write files")]

mod shared;

use anyhow::{Context, Result, ensure};
use shared::packages::{DEMO_SHEET, demo};
use shared::table::Measure::Time;
use shared::table::{Table, Target};
use shared::timing::{Samples, in_turn, timed};
use soleplate::cli::Output;
use soleplate::compile::{Settings, compile};
use soleplate::evaluate::evaluate;
use soleplate::package::{Disk, Memory, Package};
use soleplate::program::run;
use soleplate::quantity::DisplayUnits;
use soleplate::render::address::Addresses;
use soleplate::render::json::to_json;
use soleplate::render::page::Pages;
use soleplate::render::present::{Surroundings, present};
use soleplate::render::{figure, math};
use soleplate::syntax::read_sheet;
use soleplate::text::SourceFile;
use std::fmt::Write;
use std::fs;
use std::hint::black_box;

/// How often each sheet goes through.
const ROUNDS: usize = 60;
/// Runs of a program to one time, since a single one is too short for the clock.
const RUNS: usize = 200;

fn main() -> Result<()> {
    if shared::is_asked_for() {
        println!("{}", demo_by_stage()?);
        println!("{}", plain_sheet()?);
    }
    Ok(())
}

/// The stages in their order.
const STAGES: [&str; 9] = [
    "read and parse the sheet",
    "check and lower (compile)",
    "evaluate",
    "present: equations",
    "present: figures",
    "present: all else",
    "page (templates)",
    "JSON",
    "write both files",
];

fn demo_by_stage() -> Result<Table> {
    let mut stages: [Samples; STAGES.len()] = std::array::from_fn(|_| Samples::default());
    let (mut opening, mut first_use, mut templates) = (Samples::default(), Samples::default(), Samples::default());
    let settings = Settings { figures: 3, display: DisplayUnits::from_units(Vec::new()) };
    let folder = tempfile::tempdir()?;
    for round in 0..ROUNDS {
        let (opened, opening_took) = timed(|| Package::open(Box::new(Disk::new(demo()))));
        let (package, _) = opened?;
        let (read, reading) = timed(|| -> Result<_> {
            Ok(read_sheet(&SourceFile::new(DEMO_SHEET, fs::read_to_string(demo().join(DEMO_SHEET))?)))
        });
        let (sheet, _) = read?;
        // The first sheet of a package reads the clauses and the data that it uses; the others find them read.
        let (first, with_clauses) = timed(|| compile(&sheet, &package, &settings));
        drop(first);
        let (compiled, compiling) = timed(|| compile(&sheet, &package, &settings));
        let compiled = compiled.0.context("the demo has errors")?;
        let (trace, evaluating) = timed(|| evaluate(compiled));

        let addresses = Addresses::new(&trace);
        let (_, equations) = timed(|| {
            trace.order.iter().for_each(|line| drop(black_box(math::equation(&trace, *line, &addresses))));
        });
        let figures = &trace.compiled.notes.figures;
        let (_, drawing) = timed(|| figures.iter().for_each(|drawn| drop(black_box(figure::draw(&trace, drawn)))));
        let image = |path: &str| package.image(path).ok();
        let title = &package.manifest.title;
        let surroundings = Surroundings { package: title, owner: &package.manifest.owner, image: &image };
        let (view, presenting) = timed(|| present(&sheet, &trace, &surroundings));

        let (pages, loading) = timed(Pages::new);
        let pages = pages?;
        let (page, filling) = timed(|| pages.page(&view));
        let page = page?;
        let (json, printing) = timed(|| to_json(&sheet.document.front, &trace, &view.provenance.digest));
        // A file that stands there already with the same bytes would not be written.
        let output = Output::new(folder.path().join(round.to_string()));
        output.make()?;
        let (written, writing) = timed(|| -> std::io::Result<_> {
            output.write_atomically("page.html", page.as_bytes())?;
            output.write_atomically("page.json", json.as_bytes())
        });
        written?;

        let else_presenting = presenting.saturating_sub(equations + drawing);
        let times = [reading, compiling, evaluating, equations, drawing, else_presenting, filling, printing, writing];
        stages.iter_mut().zip(times).for_each(|(stage, time)| stage.push(time));
        opening.push(opening_took);
        first_use.push(with_clauses.saturating_sub(compiling));
        templates.push(loading);
    }

    let whole: f64 = stages.iter().map(Samples::median).sum();
    let mut table = Table::new(&format!("The demo's calculation by stage ({ROUNDS} rounds, medians)"));
    for (what, stage) in STAGES.iter().zip(&stages) {
        table.share(what, Time, stage.median(), whole);
    }
    table.share("all stages", Time, whole, whole);
    table.share("once a package: open it", Time, opening.median(), whole);
    table.share("once a package: read clauses and data", Time, first_use.median(), whole);
    table.share("once a process: load templates and fonts", Time, templates.median(), whole);
    Ok(table)
}

/// Givens, formulas and checks of the plain sheet: sixty statements.
const GIVENS: usize = 20;
const FORMULAS: usize = 30;
const CHECKS: usize = 10;

fn plain_sheet() -> Result<Table> {
    let source = SourceFile::new("plain.md", plain_text()?);
    let (package, _) = Package::open(Box::new(Memory::default()))?;
    let settings = Settings { figures: 3, display: DisplayUnits::from_units(Vec::new()) };
    let (sheet, findings) = read_sheet(&source);
    let (compiled, more) = compile(&sheet, &package, &settings);
    let compiled = compiled.with_context(|| format!("the plain sheet has errors: {findings:?} {more:?}"))?;
    let trace = evaluate(compiled.clone());
    let ratios: Vec<f64> = trace.checks().map(|(_, check)| trace.register(check.ratio)).collect();
    let givens: Vec<f64> = (1..=GIVENS).map(given).collect();
    let in_rust = formulas_in_rust(&givens);
    ensure!(ratios.len() == CHECKS, "the plain sheet has {} checks", ratios.len());
    for (ours, rust) in ratios.iter().zip(in_rust) {
        ensure!((ours - rust).abs() <= 1e-12 * rust, "the sheet gives {ours}, the same formulas in Rust give {rust}");
    }

    let [reading, compiling, running, rust] = in_turn(
        ROUNDS,
        [
            &mut || Ok(timed(|| drop(black_box(read_sheet(&source)))).1),
            &mut || Ok(timed(|| drop(black_box(compile(&sheet, &package, &settings)))).1),
            &mut || Ok(timed(|| (0..RUNS).for_each(|_| drop(black_box(run(&compiled.program, &compiled.inputs))))).1),
            &mut || Ok(timed(|| (0..RUNS).for_each(|_| _ = black_box(formulas_in_rust(black_box(&givens))))).1),
        ],
    )?;
    let mut table = Table::new(&format!("A plain sheet of sixty statements ({ROUNDS} rounds, medians)"));
    let together = reading.median() + compiling.median();
    table.against("parse, check and lower", Time, together, Target::AtMost(0.001));
    table.share("parse", Time, reading.median(), together);
    table.share("check and lower", Time, compiling.median(), together);
    let once = |samples: &Samples| samples.median() / RUNS as f64;
    table.plain("the same formulas in Rust", Ok((Time, once(&rust))));
    table.beside("run of the program", Time, once(&running), running.ratio_to(&rust), "Rust");
    Ok(table)
}

/// The value of a given, in metres.
fn given(number: usize) -> f64 {
    (10.0 + number as f64) / 1000.0
}

/// The given that a formula takes.
fn given_of(formula: usize) -> usize {
    formula % GIVENS + 1
}

/// A sheet of lengths under roots and powers, each formula on the one before it.
fn plain_text() -> Result<String> {
    let mut text = String::from(
        "+++\ntitle = \"Lengths\"\nnumber = \"FTD-ST-CALC-090\"\nrevision = \"P01\"\n\
         purpose = \"To have formulas.\"\nscope = \"Nothing real.\"\n+++\n\n```given\n",
    );
    for number in 1..=GIVENS {
        writeln!(text, "g_{number} = {} mm  \"length {number}\"  @ drawing FTD-ST-101", 10 + number)?;
    }
    text += "```\n\n```derive\n";
    for formula in 1..=FORMULAS {
        let before = if formula == 1 { "g_1".to_owned() } else { format!("d_{}", formula - 1) };
        let given = given_of(formula);
        let right = match formula % 3 {
            0 => format!("sqrt({before}^2 + g_{given}^2)"),
            1 => format!("({before} * g_{given}^2)^(1/3)"),
            _ => format!("{before}^1.5 / sqrt(g_{given})"),
        };
        writeln!(text, "d_{formula} = {right} in mm  \"formula {formula}\"")?;
    }
    text += "```\n\n```verify\n";
    for check in 1..=CHECKS {
        writeln!(text, "d_{} <= 100 mm  \"check {check}\"", 3 * check)?;
    }
    text += "```\n";
    Ok(text)
}

/// What [`plain_text`] says, as a person would write it in Rust; the ratios of its checks.
fn formulas_in_rust(givens: &[f64]) -> [f64; CHECKS] {
    let mut ratios = [0.0; CHECKS];
    let mut before = givens[0];
    for formula in 1..=FORMULAS {
        let given = givens[given_of(formula) - 1];
        before = match formula % 3 {
            0 => (before * before + given * given).sqrt(),
            1 => libm::pow(before * (given * given), 1.0 / 3.0),
            _ => libm::pow(before, 1.5) / given.sqrt(),
        };
        if formula % 3 == 0 {
            ratios[formula / 3 - 1] = before / 0.1;
        }
    }
    ratios
}
