//! How long somebody waits: for one page from a cold start, and for the page that follows a save.
//!
//! Cold means a new process; the files themselves are in the system's memory.
#![expect(clippy::disallowed_methods, reason = "benchmarks lay out packages and look at what was written")]

mod shared;

use anyhow::{Context, Result, bail};
use shared::packages::{DEMO_SHEET, demo, with_tension};
use shared::program::{render, soleplate, time};
use shared::table::Measure::Time;
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
const AT_ONCE: Target = Target::AtMost(0.050);
/// A page that does not come is no figure.
const DEADLINE: Duration = Duration::from_secs(20);

fn main() -> Result<()> {
    if !shared::is_asked_for() {
        return Ok(());
    }
    println!("{}", cold()?);
    println!("{}", saves()?);
    Ok(())
}

/// One page by a process of its own, beside a process that does nothing.
fn cold() -> Result<Table> {
    let sheet = demo().join(DEMO_SHEET);
    let folder = tempfile::tempdir()?;
    let mut run = 0;
    let [page, nothing] = in_turn(
        STARTS,
        [
            &mut || {
                // A page that stands there already with the same bytes would not be written.
                run += 1;
                time(&mut render(&sheet, &folder.path().join(run.to_string()), 2))
            },
            &mut || time(soleplate().arg("--version")),
        ],
    )?;
    let mut table = Table::new(&format!("One page of the demo by a new process ({STARTS} starts)"));
    table.against("render, median", Time, page.median(), AT_ONCE);
    table.against("render, p95", Time, page.p95(), AT_ONCE);
    table.beside("starting the program alone", Time, nothing.median(), nothing.ratio_to(&page), "render");
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
    for save in 0..SAVES {
        let way = if save % 2 == 0 { Way::Rename } else { Way::Overwrite };
        times.push((way, watch.save(save, way)?));
        // The round ends after the page, and the next save must not fall into step with it.
        sleep(Duration::from_millis(60 + 7 * (save as u64 % 5)));
    }
    let of = |way| times.iter().filter(|(by, _)| *by == way).map(|(_, time)| *time).collect::<Samples>();
    let (renamed, overwritten) = (of(Way::Rename), of(Way::Overwrite));
    let all: Samples = times.iter().map(|(_, time)| *time).collect();

    let quiet = QUIET.as_secs_f64();
    let mut table = Table::new(&format!("From a save to the replaced page under `watch` ({} saves)", all.count()));
    table.against("all saves, p95", Time, all.p95(), AT_ONCE);
    table.against("all saves, median", Time, all.median(), AT_ONCE);
    table.plain("less the wait for the end of a burst, p95", Ok((Time, all.p95() - quiet)));
    table.plain("less the wait for the end of a burst, median", Ok((Time, all.median() - quiet)));
    table.beside("by renaming, median", Time, renamed.median(), renamed.ratio_to(&overwritten), "overwriting");
    table.plain("by overwriting, median", Ok((Time, overwritten.median())));
    Ok(table)
}

/// A watching program over a package with the demo's calculation, ended when it is dropped.
struct Watch {
    folder: tempfile::TempDir,
    child: Child,
}

impl Watch {
    fn start() -> Result<Self> {
        let folder = tempfile::tempdir()?;
        shared::packages::lay_out(&folder.path().join("depot"), 1)?;
        let mut command = soleplate();
        command.arg("watch").arg(folder.path().join("depot")).arg("--out").arg(folder.path().join("out"));
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
        self.folder.path().join("depot/base-k0001.md")
    }

    /// Saves the sheet with another tension and waits until its page is another file.
    fn save(&self, number: usize, way: Way) -> Result<Duration> {
        let text = with_tension(1, 10.0 + 0.1 * number as f64)?;
        let page = self.folder.path().join("out/base-k0001.html");
        let before = identity(&page).context("there is no page")?;
        // The watcher leaves hidden files alone, so that the copy is no event.
        let copy = self.sheet().with_file_name(".base-k0001.md");
        if way == Way::Rename {
            fs::write(&copy, &text)?;
        }
        let start = Instant::now();
        match way {
            Way::Rename => fs::rename(&copy, self.sheet())?,
            Way::Overwrite => fs::write(self.sheet(), &text)?,
        }
        while identity(&page)? == before {
            if start.elapsed() > DEADLINE {
                bail!("the page is not replaced");
            }
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
