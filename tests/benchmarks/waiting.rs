//! How long somebody waits: for the demo's pages from a cold start, and for the page that follows a save.
//!
//! Cold means a new process; the files themselves are in the system's memory.
#![expect(clippy::disallowed_methods, reason = "benchmarks lay out packages and look at what was written")]

mod shared;

use anyhow::{Context, Result, ensure};
use shared::packages::{DEMO_SHEET, Kind, copy_demo, demo};
use shared::program::{render, soleplate, time};
use shared::table::Figure::Time;
use shared::table::{Table, Target};
use shared::timing::{Samples, in_turn};
use soleplate::live::QUIET;
use std::fs;
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Stdio};
use std::sync::mpsc::channel;
use std::thread::{sleep, spawn};
use std::time::{Duration, Instant, SystemTime};

/// Cold starts.
const STARTS: usize = 40;
/// Saves, half of them in each way.
const SAVES: usize = 60;
/// What somebody takes for at once.
const AT_ONCE: Target = Target::AtMost(Time(0.050));
/// A page that does not come is no figure.
const DEADLINE: Duration = Duration::from_secs(20);

fn main() -> Result<()> {
    if shared::is_asked_for() {
        print!("{}", cold()?);
        print!("{}", saves()?);
    }
    Ok(())
}

/// A sheet of the demo, and the whole of it, each by a process of its own, beside a process that does nothing.
fn cold() -> Result<Table> {
    let folder = tempfile::tempdir()?;
    // A page that stands there already with the same bytes would not be written.
    let fresh = |name: &str, run: usize| folder.path().join(format!("{name}{run}"));
    let (mut sheets, mut packages) = (0, 0);
    let [sheet, package, nothing] = in_turn(
        STARTS,
        [
            &mut || {
                sheets += 1;
                time(&mut render(&demo().join(DEMO_SHEET), &fresh("sheet", sheets)))
            },
            &mut || {
                packages += 1;
                time(&mut render(&demo(), &fresh("package", packages)))
            },
            &mut || time(soleplate().arg("--version")),
        ],
    )?;
    let mut table = Table::new(format!("The demo by a new process ({STARTS} starts)"));
    table.against("a sheet of it, median", Time(sheet.median()), AT_ONCE);
    table.plain("a sheet of it, 95th percentile", Time(sheet.p95()));
    table.plain("the whole package, median", Time(package.median()));
    table.plain("start of the program alone, median", Time(nothing.median()));
    Ok(table)
}

/// How a file is saved.
#[derive(Copy, Clone, PartialEq)]
enum Way {
    /// A finished copy takes the file's name.
    Rename,
    /// The file is emptied and written.
    Overwrite,
}

fn saves() -> Result<Table> {
    let watch = Watch::start()?;
    let mut times: Vec<(Way, Duration)> = Vec::new();
    for save in 1..=SAVES {
        let way = if save % 2 == 0 { Way::Rename } else { Way::Overwrite };
        times.push((way, watch.save(save, way)?));
        // The round ends after the page, and the next save must not fall into step with it.
        sleep(Duration::from_millis(60 + 7 * (save as u64 % 5)));
    }
    let all: Samples = times.iter().map(|(_, time)| *time).collect();
    let of = |way| times.iter().filter(|(by, _)| *by == way).map(|(_, time)| *time).collect::<Samples>();

    let mut table = Table::new(format!("From a save to the replaced page under `watch` ({SAVES} saves of the demo)"));
    table.against("all saves, 95th percentile", Time(all.p95()), AT_ONCE);
    table.plain("all saves, median", Time(all.median()));
    table.plain("by renaming, median", Time(of(Way::Rename).median()));
    table.plain("by overwriting, median", Time(of(Way::Overwrite).median()));
    table.plain("in all of them: wait for the end of a burst", Time(QUIET.as_secs_f64()));
    Ok(table)
}

/// A watching program over a copy of the demo, ended when it is dropped.
struct Watch {
    folder: tempfile::TempDir,
    child: Child,
}

impl Watch {
    fn start() -> Result<Self> {
        let folder = tempfile::tempdir()?;
        let package = folder.path().join("depot");
        copy_demo(&package)?;
        let mut command = soleplate();
        command.arg("watch").arg(package).arg("--out").arg(folder.path().join("out"));
        let mut child = command.stderr(Stdio::piped()).spawn().context("the program cannot be started")?;
        let errors = child.stderr.take();
        let watch = Self { folder, child };
        let (sender, lines) = channel();
        // Its lines are read to the end, lest it wait for a reader.
        spawn(move || {
            let lines = errors.into_iter().flat_map(|errors| BufReader::new(errors).lines()).map_while(Result::ok);
            lines.for_each(|line| drop(sender.send(line)));
        });
        while !lines.recv_timeout(DEADLINE).context("`watch` does not start")?.contains("watching") {}
        Ok(watch)
    }

    fn sheet(&self) -> PathBuf {
        self.folder.path().join("depot").join(DEMO_SHEET)
    }

    /// Saves the sheet with other values and waits until its page is another file.
    fn save(&self, number: usize, way: Way) -> Result<Duration> {
        let text = Kind::LikeDemo.sheet(number)?;
        let page = self.folder.path().join("out").join(DEMO_SHEET).with_extension("html");
        let before = identity(&page).context("there is no page")?;
        // The watcher leaves hidden files alone, so that the copy is no event.
        let copy = self.sheet().with_file_name(".copy.md");
        if way == Way::Rename {
            fs::write(&copy, &text)?;
        }
        let start = Instant::now();
        match way {
            Way::Rename => fs::rename(&copy, self.sheet())?,
            Way::Overwrite => fs::write(self.sheet(), &text)?,
        }
        while identity(&page)? == before {
            ensure!(start.elapsed() < DEADLINE, "the page is not replaced");
            sleep(Duration::from_micros(200));
        }
        Ok(start.elapsed())
    }
}

impl Drop for Watch {
    fn drop(&mut self) {
        // It may have ended already.
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// What differs between a file and the one that takes its place.
fn identity(path: &Path) -> std::io::Result<(SystemTime, u64)> {
    let metadata = fs::metadata(path)?;
    #[cfg(unix)]
    let number = std::os::unix::fs::MetadataExt::ino(&metadata);
    #[cfg(not(unix))]
    let number = metadata.len();
    Ok((metadata.modified()?, number))
}
