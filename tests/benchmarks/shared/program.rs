//! The program as a process of its own: its time, the processors' time and its memory.

use anyhow::{Context, Result, ensure};
use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

/// The program as `cargo bench` built it, in silence.
pub fn soleplate() -> Command {
    silent(env!("CARGO_BIN_EXE_soleplate").as_ref())
}

/// A program that neither hears nor says anything.
pub fn silent(program: &Path) -> Command {
    let mut command = Command::new(program);
    command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
    command
}

/// A command that renders a package.
pub fn render(package: &Path, out: &Path) -> Command {
    let mut command = soleplate();
    command.arg("render").arg(package).arg("--out").arg(out);
    command
}

/// From before the start of a process to after its end, which must be a good one.
pub fn time(command: &mut Command) -> Result<Duration> {
    let start = Instant::now();
    let status = command.status().context("the program cannot be started")?;
    let time = start.elapsed();
    ensure!(status.success(), "the program ended with {status}");
    Ok(time)
}

/// What a process took beside time.
#[derive(Copy, Clone, Debug)]
pub struct Usage {
    /// Time of all processors together; others who use the machine hardly touch it.
    pub processors: Duration,
    /// The most memory that it held at once, in bytes.
    pub peak_memory: f64,
}

/// Runs a command and says what it took; nothing where the system does not tell.
///
/// The mark of memory only rises while the process runs, so that the last reading before its end is the one that counts.
pub fn usage(command: &mut Command) -> Result<Option<Usage>> {
    let before = processors_of_children();
    let mut child = command.spawn().context("the program cannot be started")?;
    let mut peak = None;
    let status = loop {
        if let Some(status) = child.try_wait()? {
            break status;
        }
        peak = high_water_mark(child.id()).or(peak);
        sleep(Duration::from_millis(1));
    };
    ensure!(status.success(), "the program ended with {status}");
    let taken = before.zip(processors_of_children()).zip(peak);
    Ok(taken.map(|((before, after), peak_memory)| Usage { processors: after.saturating_sub(before), peak_memory }))
}

/// Linux shows it in a file; elsewhere there is no such file.
fn high_water_mark(process: u32) -> Option<f64> {
    let status = fs::read_to_string(format!("/proc/{process}/status")).ok()?;
    let mark = status.lines().find_map(|line| line.strip_prefix("VmHWM:"))?;
    let kibibytes: f64 = mark.trim().strip_suffix("kB")?.trim().parse().ok()?;
    Some(kibibytes * 1024.0)
}

/// The time of all ended children of this process, which Linux shows in hundredths of a second.
fn processors_of_children() -> Option<Duration> {
    let stat = fs::read_to_string("/proc/self/stat").ok()?;
    // The name of the program stands in brackets and may hold spaces; `cutime` and `cstime` are fields 16 and 17.
    let (_, fields) = stat.rsplit_once(')')?;
    let ticks: Vec<u64> = fields.split_whitespace().skip(13).take(2).map_while(|field| field.parse().ok()).collect();
    (ticks.len() == 2).then(|| Duration::from_millis(10 * ticks.iter().sum::<u64>()))
}
