//! A package of a thousand sheets: time, threads, memory, growth with the number of sheets, and the floor.
//!
//! The floor is the least that any program would do for as many pages: read, turn Markdown into HTML, fill a template,
//! put the page in place. It leaves out all that a calculation is about, and its pages are far smaller.
//! It runs as a process of its own as well, so that both start alike.
#![expect(clippy::disallowed_methods, reason = "benchmarks lay out packages, and the floor reads files")]

mod shared;

use anyhow::{Context, Result};
use pulldown_cmark::{Options, Parser};
use rayon::prelude::*;
use shared::packages::lay_out;
use shared::program::{peak_memory, render, time};
use shared::table::Measure::{Memory, Time, Times};
use shared::table::{Table, Target};
use shared::timing::{Samples, in_turn};
use std::env;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;
use tera::Tera;

/// Sheets of the packages.
const SIZES: [usize; 3] = [100, 300, 1000];
/// How often everything runs.
const ROUNDS: usize = 3;
/// What makes this program the floor.
const FLOOR: &str = "floor";

fn main() -> Result<()> {
    let arguments: Vec<String> = env::args().skip(1).collect();
    if let [what, sheets, out] = arguments.as_slice()
        && what == FLOOR
    {
        return floor(Path::new(sheets), Path::new(out));
    }
    if shared::is_asked_for() {
        println!("{}", measure()?);
    }
    Ok(())
}

fn measure() -> Result<Table> {
    let desk = Desk::new()?;
    let [small, middle, large] = SIZES;
    let [ours, ours_alone, floor, floor_alone, of_middle, of_small] = in_turn(
        ROUNDS,
        [
            &mut || desk.time(render, large, 2),
            &mut || desk.time(render, large, 1),
            &mut || desk.time(floor_command, large, 2),
            &mut || desk.time(floor_command, large, 1),
            &mut || desk.time(render, middle, 2),
            &mut || desk.time(render, small, 2),
        ],
    )?;

    let mut table = Table::new(&format!("{large} sheets like the demo's ({ROUNDS} rounds, medians)"));
    table.against("two threads", Time, ours.median(), Target::AtMost(2.0));
    table.beside("one thread", Time, ours_alone.median(), ours_alone.ratio_to(&ours), "two threads");
    table.against("gain by the second thread", Times, ours_alone.ratio_to(&ours), Target::AtLeast(1.6));
    table.beside("floor, two threads", Time, floor.median(), floor.ratio_to(&ours), "ours");
    table.beside("floor, one thread", Time, floor_alone.median(), floor_alone.ratio_to(&ours_alone), "ours");
    table.plain("ours over the floor, two threads", Ok((Times, ours.ratio_to(&floor))));
    table.plain("ours over the floor, one thread", Ok((Times, ours_alone.ratio_to(&floor_alone))));
    table.plain("the floor's gain by the second thread", Ok((Times, floor_alone.ratio_to(&floor))));
    let smallest = of_small.median() / small as f64;
    table.plain(&format!("time a sheet, of {small}, two threads"), Ok((Time, smallest)));
    for (size, samples) in [(middle, &of_middle), (large, &ours)] {
        let a_sheet = |samples: &Samples, size: usize| samples.median() / size as f64;
        let growth = samples.ratio_to(&of_small) * small as f64 / size as f64;
        let what = format!("time a sheet, of {size}, two threads");
        table.beside(&what, Time, a_sheet(samples, size), growth, &format!("of {small}"));
    }
    desk.memory(&mut table)?;
    Ok(table)
}

/// A temporary folder with the packages, cleared away when it is dropped.
struct Desk {
    folder: tempfile::TempDir,
}

impl Desk {
    fn new() -> Result<Self> {
        let desk = Self { folder: tempfile::tempdir()? };
        for size in SIZES {
            lay_out(&desk.package(size), size)?;
        }
        Ok(desk)
    }

    fn package(&self, size: usize) -> PathBuf {
        self.folder.path().join(size.to_string())
    }

    /// Does something with a fresh folder for pages, whose files are emptied afterwards.
    ///
    /// They are removed at the very end: a file system that shuns the places of files removed just before makes new
    /// ones far more slowly, and a gigabyte of pages a run is too much to keep.
    fn with_out<T>(&self, work: impl FnOnce(&Path) -> Result<T>) -> Result<T> {
        let out = tempfile::tempdir_in(self.folder.path())?.keep();
        settle();
        let result = work(&out)?;
        for entry in fs::read_dir(&out)? {
            fs::File::create(entry?.path())?;
        }
        Ok(result)
    }

    fn time(&self, command: fn(&Path, &Path, usize) -> Command, size: usize, threads: usize) -> Result<Duration> {
        self.with_out(|out| time(&mut command(&self.package(size), out, threads)))
    }

    /// The most memory held at once, by runs of their own, since looking at a process slows it.
    fn memory(&self, table: &mut Table) -> Result<()> {
        let [small, _, large] = SIZES;
        let peak = |size: usize| self.with_out(|out| peak_memory(&mut render(&self.package(size), out, 2)));
        let (Some(of_small), Some(of_large)) = (peak(small)?, peak(large)?) else {
            table.plain("peak memory", Err("not measured"));
            return Ok(());
        };
        table.plain(&format!("peak memory, {small} sheets"), Ok((Memory, of_small)));
        table.against(&format!("peak memory, {large} sheets"), Memory, of_large, Target::AtMost(64.0));
        let what = format!("peak memory, {large} over {small} sheets");
        table.against(&what, Times, of_large / of_small, Target::AtMost(1.5));
        Ok(())
    }
}

/// Lets the disk finish with the pages of the run before.
fn settle() {
    // Where there is no such command, figures scatter more.
    let _ = Command::new("sync").stdout(Stdio::null()).stderr(Stdio::null()).status();
}

/// This program again, as the floor.
fn floor_command(sheets: &Path, out: &Path, threads: usize) -> Command {
    // The path of the running program is known wherever it was started by one; else the start fails and says so.
    let mut command = Command::new(env::current_exe().unwrap_or_default());
    command.arg(FLOOR).arg(sheets).arg(out).env("RAYON_NUM_THREADS", threads.to_string());
    command.stdin(Stdio::null()).stdout(Stdio::null());
    command
}

/// Turns every sheet of a folder into a plain page.
fn floor(sheets: &Path, out: &Path) -> Result<()> {
    let mut tera = Tera::new();
    tera.add_raw_template("page.html", PAGE)?;
    let mut paths: Vec<PathBuf> = Vec::new();
    for entry in fs::read_dir(sheets)? {
        let path = entry?.path();
        if path.extension().is_some_and(|ending| ending == "md") {
            paths.push(path);
        }
    }
    paths.sort();
    paths.par_iter().try_for_each(|path| plain_page(&tera, path, out))
}

/// The template of a plain page.
const PAGE: &str = "<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n\
    <title>{{ name }}</title>\n<style>body{max-width:40em;margin:auto}</style>\n</head>\n\
    <body>\n{{ body | safe }}</body>\n</html>\n";

fn plain_page(tera: &Tera, path: &Path, out: &Path) -> Result<()> {
    let text = fs::read_to_string(path)?;
    let options = Options::ENABLE_TABLES | Options::ENABLE_FOOTNOTES | Options::ENABLE_PLUSES_DELIMITED_METADATA_BLOCKS;
    let mut body = String::with_capacity(2 * text.len());
    pulldown_cmark::html::push_html(&mut body, Parser::new_ext(&text, options));
    let name = path.file_stem().context("a sheet has a name")?.to_string_lossy();
    let mut context = tera::Context::new();
    context.insert("name", &name);
    context.insert("body", &body);
    let page = tera.render("page.html", &context)?;
    let mut file = tempfile::Builder::new().prefix(".page-").tempfile_in(out)?;
    file.write_all(page.as_bytes())?;
    file.persist(out.join(format!("{name}.html")))?;
    Ok(())
}
