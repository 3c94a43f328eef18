//! A million as-installed records, read and judged: time, growth with the number of records, and peak memory.
//!
//! Memory is that of a process of its own, this program started again, with the whole file and the specification in it.
#![expect(clippy::disallowed_methods, reason = "benchmarks write and read files")]

mod shared;

use anyhow::{Context, Result, bail, ensure};
use shared::program::{silent, usage};
use shared::table::Figure::{Bytes, Time, Times};
use shared::table::{Table, Target};
use shared::timing::{Samples, in_turn, timed};
use soleplate::records::{
    Base, Calibration, Day, Demand, EmbedmentBand, Field, Mapping, Order, Report, Specification, Tool, TorqueBand,
    judge,
};
use std::fmt::Write;
use std::fs;
use std::path::Path;
use std::sync::Arc;
use uom::si::f64::{Length, Ratio, Torque};
use uom::si::length::millimeter;
use uom::si::ratio::percent;
use uom::si::torque::newton_meter;

/// Records of the files.
const SIZES: [usize; 2] = [250_000, 1_000_000];
/// Anchors of a base.
const ANCHORS: usize = 16;
/// How often everything runs.
const ROUNDS: usize = 5;
/// What makes this program one run on a file.
const ONE_RUN: &str = "one-run";

fn main() -> Result<()> {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    if let [ONE_RUN, file, count] = arguments.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        let count = count.parse()?;
        return run(&fs::read(file)?, &specification(count)?, count).map(drop);
    }
    if shared::is_asked_for() {
        print!("{}", measure()?);
    }
    Ok(())
}

fn measure() -> Result<Table> {
    let [small, large] = SIZES;
    let folder = tempfile::tempdir()?;
    let (small_text, large_text) = (records(small)?, records(large)?);
    let (small_rules, large_rules) = (specification(small)?, specification(large)?);
    let [of_small, of_large] = in_turn(
        ROUNDS,
        [&mut || time(small_text.as_bytes(), &small_rules, small), &mut || {
            time(large_text.as_bytes(), &large_rules, large)
        }],
    )?;
    let mut table = Table::new(format!("{large} records, read and judged ({ROUNDS} rounds, medians)"));
    table.plain("file", Bytes(large_text.len() as f64));
    table.against("time", Time(of_large.median()), Target::AtMost(Time(3.0)));
    table.plain("time a record", Time(of_large.median() / large as f64));
    let growth = of_large.ratio_to(&of_small) * small as f64 / large as f64;
    table.plain(&format!("time a record over that of {small}"), Times(growth));
    let file = folder.path().join("records.csv");
    fs::write(&file, &large_text)?;
    let mut processors = Samples::default();
    let mut peak: Option<f64> = None;
    for _ in 0..ROUNDS {
        // Where the system does not tell, there are no such rows.
        let Some(usage) = usage(&mut one_run(&file, large))? else { continue };
        processors.push(usage.processors);
        peak = Some(peak.unwrap_or(0.0).max(usage.peak_memory));
    }
    if let Some(peak) = peak {
        let what = "processor time of a process, which others touch less";
        table.against(what, Time(processors.median()), Target::AtMost(Time(3.0)));
        table.against("peak memory", Bytes(peak), Target::AtMost(Bytes(300e6)));
    }
    Ok(table)
}

/// This program again, on one file.
fn one_run(file: &Path, count: usize) -> std::process::Command {
    // The path of the running program is known wherever it was started by one; else the start fails and says so.
    let mut command = silent(&std::env::current_exe().unwrap_or_default());
    command.arg(ONE_RUN).arg(file).arg(count.to_string());
    command
}

fn time(bytes: &[u8], rules: &Specification, count: usize) -> Result<std::time::Duration> {
    let (report, time) = timed(|| run(bytes, rules, count));
    report?;
    Ok(time)
}

/// Reads and judges, and makes sure that every record was.
fn run(bytes: &[u8], rules: &Specification, count: usize) -> Result<Report> {
    let report = match judge(bytes, &mapping(), rules) {
        Ok(report) => report,
        Err(mistakes) => bail!("{}", mistakes.first().map(ToString::to_string).unwrap_or_default()),
    };
    ensure!(report.totals.rows_judged == count, "{:?}", report.totals);
    ensure!(report.totals.passed > count / 2 && report.totals.failed > count / 100, "{:?}", report.totals);
    Ok(report)
}

fn mapping() -> Mapping {
    Mapping::default()
        .column(Field::Base, "Base")
        .column(Field::Anchor, "Anchor")
        .column(Field::Time, "Date")
        .column(Field::Operative, "Operative")
        .column(Field::Tool, "Tool")
        .column(Field::CalibratedUntil, "Valid to")
        .column(Field::Torque, "Torque")
        .column(Field::Embedment, "Embedment")
        .column(Field::Batch, "Batch")
        .column(Field::Remark, "Remark")
}

/// As many records, in time by bases, with a torque in twenty and an embedment in fifty out of bounds.
fn records(count: usize) -> Result<String> {
    let mut text = String::with_capacity(100 * count);
    text.push_str("Base;Anchor;Date;Operative;Tool;Valid to;Torque (Nm);Embedment/mm;Batch;Remark\r\n");
    // A linear congruential generator: the same records on every machine.
    let mut state: u64 = 20_261_102;
    for number in 0..count {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let dice = (state >> 33) as usize;
        let (base, anchor) = (number / ANCHORS, number % ANCHORS + 1);
        let (day, minute) = (number / 60_000 + 1, number / 100 % 600);
        let torque = 580 + dice % 42 + if dice.is_multiple_of(20) { 40 } else { 0 };
        let depth = 690 + dice / 64 % 30 - if dice.is_multiple_of(50) { 40 } else { 0 };
        let remark = if dice.is_multiple_of(100) { "\"gap under plate, shim; checked\"" } else { "" };
        write!(
            text,
            "FTD-{base:05};A{anchor};{day:02}.11.2026 {:02}:{:02}:{:02};OP-{:02};TW-{:03};31.12.2026;{},{};{},{};L{};{remark}\r\n",
            7 + minute / 60,
            minute % 60,
            number % 60,
            dice % 40,
            dice % 25,
            torque / 10,
            torque % 10,
            depth / 10,
            depth % 10,
            dice % 7,
        )?;
    }
    Ok(text)
}

/// Bases of sixteen anchors, the order of which counts on every tenth.
fn specification(count: usize) -> Result<Specification> {
    let demand = Arc::new(Demand {
        torque: TorqueBand::around(Torque::new::<newton_meter>(60.0), Ratio::new::<percent>(4.0)),
        embedment: Some(EmbedmentBand {
            target: Length::new::<millimeter>(70.0),
            lower: Length::new::<millimeter>(68.0),
            upper: Length::new::<millimeter>(80.0),
        }),
        batches: Some((0..7).map(|batch| format!("L{batch}")).collect()),
        cure: None,
    });
    let anchors: Vec<String> = (1..=ANCHORS).map(|anchor| format!("A{anchor}")).collect();
    let bases = (0..count.div_ceil(ANCHORS)).map(|base| Base {
        id: format!("FTD-{base:05}"),
        anchors: anchors.clone(),
        demand: demand.clone(),
        order: if base % 10 == 0 { Order::Listed(anchors.clone()) } else { Order::NotRequired },
    });
    let [from, until] = [Day::new(2026, 1, 1), Day::new(2026, 12, 31)];
    let calibrated = from.zip(until).context("two days")?;
    let tools = (0..25).map(|tool| Tool {
        serial: format!("TW-{tool:03}"),
        range: Some((Torque::new::<newton_meter>(20.0), Torque::new::<newton_meter>(100.0))),
        calibrated: Some(calibrated),
    });
    Ok(Specification {
        bases: bases.collect(),
        tools: tools.collect(),
        calibration: Calibration::Required,
        required: vec![Field::Operative],
        ..Specification::default()
    })
}
