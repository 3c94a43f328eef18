//! Where the time of one sheet goes, stage by stage through the public modules, in one process on one thread.
//!
//! 1. [`demo_by_stage`] takes the demo's calculation from the disk to its files;
//! 2. [`whole_group`] takes a sheet with four anchors with and without the clause that verifies them all;
//! 3. [`sixty_line_sheet`] compiles and evaluates a sheet of sixty lines, bare and with long prose;
//! 4. [`areas`] computes projected areas of groups, the dearest geometry that a clause asks for.
#![expect(clippy::disallowed_methods, reason = "benchmarks read and write files")]

mod shared;

use anyhow::{Context, Result, ensure};
use shared::packages::{DEMO_SHEET, LONG, demo, sixty_lines};
use shared::table::Figure::Time;
use shared::table::{Table, Target};
use shared::timing::{Samples, in_turn, timed};
use soleplate::cli::Output;
use soleplate::compile::{Settings, compile};
use soleplate::evaluate::evaluate;
use soleplate::numerics::anchor_group::{Anchors, Edges, projected_area};
use soleplate::package::{Disk, Memory, Package};
use soleplate::program::run;
use soleplate::quantity::DisplayUnits;
use soleplate::render::address::Addresses;
use soleplate::render::json::{Circumstances, to_json};
use soleplate::render::markup::Markup;
use soleplate::render::page::Pages;
use soleplate::render::present::{Surroundings, present};
use soleplate::render::view::{PageView, SignOffView};
use soleplate::render::{figure, math};
use soleplate::syntax::read_sheet;
use soleplate::text::SourceFile;
use std::fs;
use std::hint::black_box;
use std::time::Duration;
use uom::si::area::square_millimeter;
use uom::si::f64::{Angle, Length};
use uom::si::{angle::degree, length::millimeter};

/// A sheet of the demo that verifies its group by one clause.
const GROUP_SHEET: &str = "signal-mast-m1.md";
/// How often each sheet goes through.
const ROUNDS: usize = 60;
/// Repetitions to one time of what is too short for the clock.
const RUNS: u32 = 500;

fn main() -> Result<()> {
    if shared::is_asked_for() {
        print!("{}", demo_by_stage()?);
        print!("{}", whole_group()?);
        print!("{}", sixty_line_sheet()?);
        print!("{}", areas()?);
    }
    Ok(())
}

fn settings() -> Settings {
    Settings { figures: 3, display: DisplayUnits::from_units(Vec::new()) }
}

/// The stages of a sheet in their order, and behind them what happens once a package or process.
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
const ONCE: [&str; 3] = ["open the package", "read the clauses and data in use", "load templates and fonts"];

fn demo_by_stage() -> Result<Table> {
    let mut stages: [Samples; STAGES.len()] = Default::default();
    let mut once: [Samples; ONCE.len()] = Default::default();
    let settings = settings();
    let folder = tempfile::tempdir()?;
    for round in 0..ROUNDS {
        let (opened, opening) = timed(|| Package::open(Box::new(Disk::new(demo()))));
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
            let mut out = Markup::default();
            trace.order.iter().for_each(|line| math::equation(&mut out, &trace, *line, &addresses));
            black_box(out)
        });
        let figures = &trace.compiled.notes.figures;
        let (_, drawing) = timed(|| figures.iter().for_each(|drawn| drop(black_box(figure::draw(&trace, drawn)))));
        let image = |path: &str| package.file(path).ok();
        let manifest = &package.manifest;
        let surroundings = Surroundings {
            package: &manifest.title,
            owner: &manifest.owner,
            image: &image,
            review: None,
            status: "draft, unchecked",
            sign_off: &SignOffView::default(),
        };
        let (view, presenting) = timed(|| present(&sheet, &trace, &addresses, &surroundings));

        let (pages, loading) = timed(Pages::new);
        let pages = pages?;
        let (page, filling) = timed(|| pages.page(&view));
        let page = page?;
        let (json, printing) = timed(|| to_json(&sheet.document.front, &trace, &addresses, beside(&view)));
        // A file that stands there already with the same bytes would not be written.
        let output = Output::new(folder.path().join(round.to_string()));
        output.make()?;
        let (written, writing) = timed(|| -> std::io::Result<_> {
            output.write("page.html", page.as_bytes())?;
            output.write("page.json", &json)
        });
        written?;

        let rest = presenting.saturating_sub(equations + drawing);
        let times = [reading, compiling, evaluating, equations, drawing, rest, filling, printing, writing];
        stages.iter_mut().zip(times).for_each(|(stage, time)| stage.push(time));
        let times = [opening, with_clauses.saturating_sub(compiling), loading];
        once.iter_mut().zip(times).for_each(|(stage, time)| stage.push(time));
    }

    let whole = Time(stages.iter().map(Samples::median).sum());
    let mut table = Table::new(format!("The demo's calculation by stage ({ROUNDS} rounds, medians)"));
    for (what, stage) in STAGES.iter().zip(&stages) {
        table.share(what, Time(stage.median()), whole);
    }
    table.share("all stages", whole, whole);
    for (what, stage) in ONCE.iter().zip(&once) {
        table.share(&format!("once: {what}"), Time(stage.median()), whole);
    }
    Ok(table)
}

/// From the text of a sheet to the bytes of its files, with and without the one clause that verifies a whole group.
fn whole_group() -> Result<Table> {
    let (package, _) = Package::open(Box::new(Disk::new(demo())))?;
    let (settings, pages) = (settings(), Pages::new()?);
    let text = fs::read_to_string(demo().join(GROUP_SHEET))?;
    let start = text.rfind("```clause").context("the sheet uses a clause")?;
    let files = |text: &str| -> Result<Duration> {
        let source = SourceFile::new(GROUP_SHEET, text);
        let (bytes, time) = timed(|| -> Result<usize> {
            let (sheet, _) = read_sheet(&source);
            let trace = evaluate(compile(&sheet, &package, &settings).0.context("the sheet has errors")?);
            let addresses = Addresses::new(&trace);
            let surroundings = Surroundings {
                package: "",
                owner: "",
                image: &|_| None,
                review: None,
                status: "draft, unchecked",
                sign_off: &SignOffView::default(),
            };
            let view = present(&sheet, &trace, &addresses, &surroundings);
            let json = to_json(&sheet.document.front, &trace, &addresses, beside(&view));
            Ok(pages.page(&view)?.len() + json.len())
        });
        black_box(bytes?);
        Ok(time)
    };
    let [with, without] = in_turn(ROUNDS, [&mut || files(&text), &mut || files(&text[..start])])?;
    let mut table = Table::new(format!("A group of four anchors by one clause ({ROUNDS} rounds, medians)"));
    table.plain("the sheet without the clause", Time(without.median()));
    table.against("added by the clause", Time(with.median() - without.median()), Target::AtMost(Time(0.005)));
    Ok(table)
}

fn sixty_line_sheet() -> Result<Table> {
    let mut table = Table::new(format!("A sheet of sixty lines ({ROUNDS} rounds, medians)"));
    let (package, _) = Package::open(Box::new(Memory::default()))?;
    let settings = settings();
    for (what, bytes) in [("bare", 0), ("30 KB", LONG)] {
        let source = SourceFile::new("lengths.md", sixty_lines(1, bytes));
        let (sheet, findings) = read_sheet(&source);
        let (compiled, more) = compile(&sheet, &package, &settings);
        let compiled = compiled.with_context(|| format!("the sheet has errors: {findings:?} {more:?}"))?;
        ensure!(compiled.notes.lines.len() == 61, "sixty lines and a figure, not {}", compiled.notes.lines.len());
        let [parsing, both, evaluating, running] = in_turn(
            ROUNDS,
            [
                &mut || Ok(timed(|| black_box(read_sheet(&source))).1),
                &mut || Ok(timed(|| black_box(compile(&read_sheet(&source).0, &package, &settings))).1),
                &mut || {
                    let compiled = compiled.clone();
                    Ok(timed(|| black_box(evaluate(compiled))).1)
                },
                &mut || Ok(repeated(|| drop(black_box(run(&compiled.program, black_box(&compiled.inputs)))))),
            ],
        )?;
        table.against(&format!("{what}: parse, check and lower"), Time(both.median()), Target::AtMost(Time(0.001)));
        table.plain(&format!("{what}: parse alone"), Time(parsing.median()));
        table.plain(&format!("{what}: evaluate"), Time(evaluating.median()));
        table.plain(&format!("{what}: run of the program alone"), Time(running.median()));
    }
    Ok(table)
}

/// The mean time of many repetitions.
fn repeated(mut work: impl FnMut()) -> Duration {
    timed(|| (0..RUNS).for_each(|_| work())).1 / RUNS
}

/// Groups 150 mm apart with cones that reach 105 mm, away from edges, at one, and at one that is turned by 30°.
fn areas() -> Result<Table> {
    let mut table = Table::new(format!("Projected area A_c,N of a group ({ROUNDS} rounds, medians)"));
    let reach = Length::new::<millimeter>(105.0);
    for side in [2, 3] {
        let place = |step: usize| Length::new::<millimeter>(150.0 * step as f64);
        let (x, y): (Vec<_>, Vec<_>) =
            (0..side * side).map(|anchor| (place(anchor % side), place(anchor / side))).unzip();
        let active = vec![true; x.len()];
        let anchors = Anchors { x: &x, y: &y, active: &active };
        let clear = Length::new::<millimeter>(80.0);
        let straight = ([Angle::new::<degree>(0.0)], [place(side - 1) + clear]);
        let turned = ([Angle::new::<degree>(30.0)], [place(side - 1) * 1.37 + clear]);
        let away = Edges { normal: &[], distance: &[] };
        let [straight, turned] = [&straight, &turned].map(|(normal, distance)| Edges { normal, distance });

        let width = 150.0 * (side - 1) as f64 + 210.0;
        let area = projected_area(anchors, reach, away).get::<square_millimeter>();
        ensure!((area - width * width).abs() < 1e-3, "{} anchors have {area} mm²", x.len());
        let time = |edges| repeated(|| _ = black_box(projected_area(black_box(anchors), reach, edges)));
        let samples = in_turn(ROUNDS, [&mut || Ok(time(away)), &mut || Ok(time(straight)), &mut || Ok(time(turned))])?;
        for (samples, what) in samples.iter().zip(["no edge", "an edge", "a turned edge"]) {
            table.plain(&format!("{} anchors, {what}", x.len()), Time(samples.median()));
        }
    }
    Ok(table)
}

/// What the JSON tells beside the lines, of a sheet that nobody has marked or signed.
fn beside(view: &PageView) -> Circumstances<'_> {
    let (modes, digest, status) = (&view.modes, &view.provenance.digest, &view.head.status);
    Circumstances { modes, digest, status, ..Circumstances::default() }
}
