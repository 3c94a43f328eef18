//! A package of a thousand sheets: time, threads, memory, growth with the number of sheets, and the floor.
//!
//! The floor is the least that any program would do for as many pages: read, turn Markdown into HTML, fill a template,
//! put the page in place. It leaves out all that a calculation is about, and its pages are far smaller.
//! It is this program, started again, so that both are processes of their own.
#![expect(clippy::disallowed_methods, reason = "benchmarks lay out packages, and the floor reads files")]

mod shared;

use anyhow::{Context, Result};
use pulldown_cmark::{Options, Parser};
use rayon::prelude::*;
use shared::packages::{Kind, lay_out};
use shared::program::{Usage, render, silent, time, usage};
use shared::table::Figure::{Bytes, Time, Times};
use shared::table::{Table, Target};
use shared::timing::{Samples, in_turn};
use std::env;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Duration;
use tera::Tera;

/// Sheets of the packages.
const SIZES: [usize; 3] = [250, 500, 1000];
/// How often everything runs.
const ROUNDS: usize = 3;
/// What makes this program the floor.
const FLOOR: &str = "floor";

fn main() -> Result<()> {
    let arguments: Vec<String> = env::args().skip(1).collect();
    if let [FLOOR, sheets, out] = arguments.iter().map(String::as_str).collect::<Vec<_>>()[..] {
        return floor(Path::new(sheets), Path::new(out));
    }
    if shared::is_asked_for() {
        print!("{}", measure(Kind::LikeDemo, "the demo's calculation under other loads")?);
        print!("{}", measure(Kind::SixtyLines, "sixty lines of their own, long prose and a plan")?);
    }
    Ok(())
}

fn measure(kind: Kind, what: &str) -> Result<Table> {
    let [small, middle, large] = SIZES;
    let desk = Desk { folder: tempfile::tempdir()? };
    for size in SIZES {
        lay_out(&desk.package(size), kind, size)?;
    }
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

    let mut table = Table::new(format!("{large} sheets: {what} ({ROUNDS} rounds, medians)"));
    let (markdown, pages) = desk.weights(small)?;
    table.plain("Markdown a sheet", Bytes(markdown / small as f64));
    table.plain("page and JSON a sheet", Bytes(pages / small as f64));
    table.against("two threads", Time(ours.median()), Target::AtMost(Time(2.0)));
    table.plain("one thread", Time(ours_alone.median()));
    table.against("gain by the second thread", Times(ours_alone.ratio_to(&ours)), Target::AtLeast(Times(1.6)));
    table.plain("floor, two threads", Time(floor.median()));
    table.plain("floor, one thread", Time(floor_alone.median()));
    table.plain("over the floor, two threads", Times(ours.ratio_to(&floor)));
    table.plain("over the floor, one thread", Times(ours_alone.ratio_to(&floor_alone)));
    for (size, samples) in [(small, &of_small), (middle, &of_middle), (large, &ours)] {
        table.plain(&format!("{size} sheets: time a sheet"), Time(samples.median() / size as f64));
    }
    for (size, samples) in [(middle, &of_middle), (large, &ours)] {
        let growth = samples.ratio_to(&of_small) * small as f64 / size as f64;
        table.plain(&format!("{size} sheets: time a sheet over that of {small}"), Times(growth));
    }
    desk.usage(&mut table)?;
    Ok(table)
}

/// A temporary folder with the packages, cleared away when it is dropped.
struct Desk {
    folder: tempfile::TempDir,
}

impl Desk {
    fn package(&self, size: usize) -> PathBuf {
        self.folder.path().join(size.to_string())
    }

    /// Does something with a fresh folder for pages, and empties those pages afterwards.
    ///
    /// Half a gigabyte of pages a run is too much to keep; removing thousands of files at once would disturb the run
    /// that follows.
    fn with_out<T>(&self, work: impl FnOnce(&Path) -> Result<T>) -> Result<T> {
        let out = tempfile::tempdir_in(self.folder.path())?.keep();
        let result = work(&out)?;
        for entry in fs::read_dir(&out)? {
            fs::File::create(entry?.path())?;
        }
        Ok(result)
    }

    fn time(&self, command: fn(&Path, &Path) -> Command, size: usize, threads: usize) -> Result<Duration> {
        self.with_out(|out| time(command(&self.package(size), out).env("RAYON_NUM_THREADS", threads.to_string())))
    }

    /// Bytes of a package's sheets and of all that is made of them.
    fn weights(&self, size: usize) -> Result<(f64, f64)> {
        let package = self.package(size);
        let pages = self.with_out(|out| time(&mut render(&package, out)).and_then(|_| weight(out)))?;
        Ok((weight(&package)?, pages))
    }

    /// Processors' time and memory, by runs of their own, since looking at a process slows it.
    fn usage(&self, table: &mut Table) -> Result<()> {
        let mut usages: [Vec<Usage>; SIZES.len()] = Default::default();
        for _ in 0..ROUNDS {
            for (usages, size) in usages.iter_mut().zip(SIZES) {
                let command = |out: &Path| usage(render(&self.package(size), out).env("RAYON_NUM_THREADS", "2"));
                usages.extend(self.with_out(command)?);
            }
        }
        // Where the system does not tell, there are no such rows.
        for (usages, size) in usages.iter().zip(SIZES).filter(|(usages, _)| !usages.is_empty()) {
            let processors: Samples = usages.iter().map(|usage| usage.processors).collect();
            let peak = usages.iter().map(|usage| usage.peak_memory).fold(0.0, f64::max);
            table.plain(&format!("{size} sheets: processor time a sheet"), Time(processors.median() / size as f64));
            table.against(&format!("{size} sheets: peak memory"), Bytes(peak), Target::AtMost(Bytes(64e6)));
        }
        Ok(())
    }
}

/// Bytes of the files of a folder, without those of folders inside it.
fn weight(folder: &Path) -> Result<f64> {
    let mut bytes = 0;
    for entry in fs::read_dir(folder)? {
        let metadata = entry?.metadata()?;
        bytes += if metadata.is_file() { metadata.len() } else { 0 };
    }
    Ok(bytes as f64)
}

/// This program again, as the floor.
fn floor_command(sheets: &Path, out: &Path) -> Command {
    // The path of the running program is known wherever it was started by one; else the start fails and says so.
    let mut command = silent(&env::current_exe().unwrap_or_default());
    command.arg(FLOOR).arg(sheets).arg(out);
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
