//! `soleplate render`: builds sheets and writes their pages.
//!
//! 1. `tasks` opens the packages;
//! 2. `build` builds sheets on all cores, writes the pages of each and keeps a `Row` of it, so that memory stays flat;
//! 3. `Report` tells how they came out.

use super::drawing::Drawing;
use super::exit::{Failure, Outcome};
use super::output::Output;
use super::row::{Row, status};
use super::task::{Task, places, tasks, tell_findings};
use super::terminal::{Progress, Terminal};
use crate::diagnostic::Diagnostic;
use crate::evaluate::Trace;
use crate::issue::{carry, collect};
use crate::package::{Built, Package, RestsOn};
use crate::render::address::Addresses;
use crate::render::json::{Circumstances, to_json};
use crate::render::page::Pages;
use crate::render::present::{Surroundings, present};
use crate::render::provenance::PROGRAM;
use crate::render::review::PageReview;
use crate::render::view::{IndexRow, IndexView, PageView, VerdictView};
use crate::render::wording::{ratio_text, verdict_view};
use crate::review::shown;
use crate::sign_off::{self, Standing, reviewed, standing};
use crate::syntax::Sheet;
use anyhow::Context;
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write;
use std::path::{Path, PathBuf};
use std::sync::OnceLock;

/// What can be typed behind `render`.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// A package's folder, or sheets inside one; the current folder where nothing is named
    pub paths: Vec<PathBuf>,
    /// Folder that the pages are written to
    #[arg(long, value_name = "DIR", default_value = "out")]
    pub out: PathBuf,
    /// Write pages that carry what they were made of, so that `soleplate verify` can prove them from the page alone
    #[arg(long)]
    pub issue: bool,
}

/// Writes pages.
pub fn run(arguments: &Arguments, terminal: &mut Terminal) -> anyhow::Result<Outcome> {
    let tasks = tasks(places(&arguments.paths)?)?;
    let outputs = outputs(&tasks, &arguments.out)?;
    let mut outcome = Outcome::Satisfied;
    for (task, output) in tasks.iter().zip(&outputs) {
        tell_findings(task, terminal);
        let kept = task.is_sound().then_some(output);
        let progress = terminal.progress(task.sheets.len());
        let built = build(
            &task.package,
            &task.drawing(terminal.colour),
            &task.sheets,
            kept.map(|output| (output, arguments.issue)),
            &progress,
        );
        drop(progress);
        let rows: Vec<Row> = built.into_iter().map(|(row, _)| row).collect();
        if let (Some(output), true) = (kept, task.is_whole) {
            write_index(output, &task.package, &rows)?;
        }
        let mut report = Report::new(task);
        for row in &rows {
            if row.outcome != Outcome::Satisfied {
                report.tell_line(row, terminal);
            }
            report.tell(row, terminal);
        }
        report.tell_equal_numbers(&task.package, &rows, terminal);
        let written = match kept {
            Some(output) => format!("pages in {}", output.folder().display()),
            None => "no page was written, since the package itself has errors".to_owned(),
        };
        outcome = outcome.max(report.close(Some(&written), terminal));
    }
    Ok(outcome)
}

/// The folder of each package's pages: below the one that was named, if there are several.
fn outputs(tasks: &[Task], out: &Path) -> Result<Vec<Output>, Failure> {
    if tasks.len() < 2 {
        return Ok(vec![Output::new(out); tasks.len()]);
    }
    let mut taken = BTreeSet::new();
    let mut outputs = Vec::with_capacity(tasks.len());
    for task in tasks {
        let name = task.folder.file_name().unwrap_or_default();
        if !taken.insert(name.to_owned()) {
            let message = format!("two packages would be written to `{}`", out.join(name).display());
            return Err(Failure::usage(message).help("render them one by one, each with its own --out"));
        }
        outputs.push(Output::new(out.join(name)));
    }
    Ok(outputs)
}

/// Builds sheets, writes the pages of those without errors, and keeps a row of each in the order of their paths.
///
/// Beside the output stands whether pages carry what they were made of.
/// The old pages of a sheet with errors stay as they are.
pub(super) fn build(
    package: &Package,
    drawing: &Drawing<'_>,
    sheets: &[String],
    output: Option<(&Output, bool)>,
    progress: &Progress,
) -> Vec<(Row, RestsOn)> {
    sheets
        .par_iter()
        .map(|path| {
            let built = package.build(path);
            let standing = standing(package, &built);
            let review = review_of(package, &built, &standing);
            let mut row = Row::new(&built, review.as_ref(), &standing, drawing);
            let is_issue = built.trace.is_some() && output.is_some_and(|(_, is_issue)| is_issue);
            let name = format!("{}{path}", drawing.prefix);
            if is_issue && row.void > 0 {
                row.outcome = row.outcome.max(Outcome::SignatureVoid);
                row.not_written = Some(not_issued(&name, &standing.void_files()));
            } else if is_issue && row.asked_since > 0 {
                row.outcome = row.outcome.max(Outcome::NotChecked);
                row.not_written = Some(format!(
                    "{name} was not issued, since a query is open that was asked after it was signed\n\
                     have it answered and closed: `soleplate review {name}` lists it"
                ));
            } else if let Some((output, _)) = output
                && let Err(error) = write_pages(output, package, &built, review.as_ref(), &standing, is_issue)
            {
                row.outcome = Outcome::Unreadable;
                row.not_written = Some(format!("{error:#}"));
            }
            row.is_withheld = is_issue && (row.void > 0 || row.asked_since > 0);
            if let (true, Some((output, _)), Some(told)) = (row.is_withheld, output, &mut row.not_written) {
                let page = page_path(path, "html");
                if output.holds(&page) {
                    let _ = write!(
                        told,
                        "\nan earlier page of it is left in {}: do not hand it out as this state",
                        output.folder().join(page).display()
                    );
                }
            }
            progress.step();
            (row, built.rests_on())
        })
        .collect()
}

/// Why a page is not issued, and what can be done: whoever holds it would take what it bears for signed.
fn not_issued(name: &str, files: &[&str]) -> String {
    format!(
        "{name} was not issued, since what is signed does not count: {}\n\
         have it signed anew, or take these files out of the package",
        files.join(", ")
    )
}

/// What the marks beside a sheet come to; nothing where there are none.
pub(super) fn review_of(package: &Package, built: &Built, standing: &Standing) -> Option<PageReview> {
    built.marks.as_ref()?;
    Some(shown(&reviewed(package, built, standing)?))
}

fn write_pages(
    output: &Output,
    package: &Package,
    built: &Built,
    review: Option<&PageReview>,
    standing: &Standing,
    is_issue: bool,
) -> anyhow::Result<()> {
    if built.trace.is_none() {
        return Ok(());
    }
    let files = pages_of(package, built, review, standing, is_issue)?;
    // A page that was issued is what others hold in their hands; any other can be made again.
    write(output, &files, is_issue)
}

/// Writes the page of the package: one row a sheet.
pub(super) fn write_index<'a>(
    output: &Output,
    package: &Package,
    rows: impl IntoIterator<Item = &'a Row>,
) -> anyhow::Result<()> {
    write(output, &index_of(package, &rows.into_iter().collect::<Vec<_>>())?, false)
}

fn write(output: &Output, files: &[(String, Vec<u8>)], is_durable: bool) -> anyhow::Result<()> {
    for (path, bytes) in files {
        let written = if is_durable { output.write_durably(path, bytes) } else { output.write(path, bytes) };
        written.with_context(|| format!("{} cannot be written", output.folder().join(path).display()))?;
    }
    Ok(())
}

/// Where a sheet's page stands: `a/b.md` gives `a/b.html`.
pub(super) fn page_path(sheet: &str, ending: &str) -> String {
    format!("{}.{ending}", sheet.strip_suffix(".md").unwrap_or(sheet))
}

/// The templates, read once for all threads.
pub(super) fn templates() -> anyhow::Result<&'static Pages> {
    static PAGES: OnceLock<Result<Pages, String>> = OnceLock::new();
    match PAGES.get_or_init(|| Pages::new().map_err(|error| error.to_string())) {
        Ok(pages) => Ok(pages),
        Err(error) => Err(anyhow::anyhow!("the page templates cannot be used: {error}")),
    }
}

/// What a page that carries its sources says about that.
const HOW_TO_VERIFY: &str = "This page carries everything it was made of: “soleplate verify” with the name of this file \
    makes it anew from that alone, compares every byte and verifies the signatures. Whether the keys are those of the \
    people named, “--allowed-signers” tells by a list of your own.";

/// What the page of a sheet shows that was built without errors.
pub(super) fn view_of(
    package: &Package,
    (sheet, trace): (&Sheet, &Trace),
    addresses: &Addresses,
    review: Option<&PageReview>,
    standing: &Standing,
    note: &str,
) -> PageView {
    let image = |path: &str| package.file(path).ok();
    let (status, mut sign_off) = (status(standing, review), sign_off::shown(standing, &sheet.document.front));
    sign_off.note = note.to_owned();
    let surroundings = Surroundings {
        package: &package.manifest.title,
        owner: &package.manifest.owner,
        image: &image,
        review,
        status: &status,
        sign_off: &sign_off,
    };
    present(sheet, trace, addresses, &surroundings)
}

/// The files made of one sheet that was built without errors.
pub(super) fn pages_of(
    package: &Package,
    built: &Built,
    review: Option<&PageReview>,
    standing: &Standing,
    is_issue: bool,
) -> anyhow::Result<Vec<(String, Vec<u8>)>> {
    let (Some(sheet), Some(trace)) = (&built.sheet, &built.trace) else { return Ok(Vec::new()) };
    let sources = if is_issue { collect(package, built) } else { None };
    let note = if sources.is_some() { HOW_TO_VERIFY } else { "" };
    let addresses = Addresses::new(trace);
    let view = view_of(package, (sheet, trace), &addresses, review, standing, note);
    let mut page = templates()?.page(&view)?;
    if let Some(sources) = &sources {
        page = carry(&page, sources);
    }
    let beside = Circumstances {
        modes: &view.modes,
        review,
        digest: &view.provenance.digest,
        status: &view.head.status,
        sign_offs: &view.sign_off.rows,
        void: &view.sign_off.void,
    };
    let json = to_json(&sheet.document.front, trace, &addresses, beside);
    Ok(vec![(page_path(&built.path, "html"), page.into_bytes()), (page_path(&built.path, "json"), json)])
}

/// The files made of a package as a whole.
fn index_of(package: &Package, rows: &[&Row]) -> anyhow::Result<Vec<(String, Vec<u8>)>> {
    let sheets = rows
        .iter()
        .map(|row| {
            let (governs, ratio) = match &row.governing {
                Some(governing) => (governing.description.clone(), ratio_text(governing.ratio)),
                None => (String::new(), String::new()),
            };
            let slug = match row.verdict {
                Some(verdict) => verdict_view(verdict).slug,
                None => "has-errors".to_owned(),
            };
            IndexRow {
                href: if row.verdict.is_some() && row.not_written.is_none() {
                    page_path(&row.path, "html")
                } else {
                    String::new()
                },
                path: row.path.clone(),
                number: row.number.clone(),
                title: row.title.clone(),
                revision: row.revision.clone(),
                status: row.status.clone(),
                verdict: VerdictView { words: row.words().to_owned(), slug },
                governs,
                ratio,
                remarks: row.open(),
            }
        })
        .collect();
    let view = IndexView {
        title: package.manifest.title.clone(),
        owner: package.manifest.owner.clone(),
        sheets,
        program: PROGRAM.to_owned(),
    };
    Ok(vec![("index.html".to_owned(), templates()?.index(&view)?.into_bytes())])
}

/// Tells how sheets came out, every finding once, and counts.
pub(super) struct Report<'a> {
    prefix: &'a str,
    outcome: Outcome,
    sheets: usize,
    /// How many sheets came out in which way; the order of outcomes is that of the closing line.
    tally: BTreeMap<(Outcome, &'static str), usize>,
    /// Keys of findings that were told of.
    told: BTreeSet<String>,
    /// Sheets of which a signature does not count.
    void: usize,
    errors: usize,
    warnings: usize,
}

impl<'a> Report<'a> {
    /// A report in which nothing was told but what concerns the package itself and its clauses.
    pub fn new(task: &'a Task) -> Self {
        Self::of_package(&task.prefix, task.findings.iter().chain(&task.clause_findings))
    }

    /// A report on the package behind a prefix.
    pub fn of_package<'b>(prefix: &'a str, findings: impl Iterator<Item = &'b Diagnostic>) -> Self {
        let findings: Vec<&Diagnostic> = findings.collect();
        let errors = findings.iter().filter(|finding| finding.is_error()).count();
        Self {
            prefix,
            outcome: if errors > 0 { Outcome::Errors } else { Outcome::Satisfied },
            sheets: 0,
            tally: BTreeMap::new(),
            void: 0,
            told: findings.iter().map(ToString::to_string).collect(),
            errors,
            warnings: findings.len() - errors,
        }
    }

    /// One line of results.
    pub fn tell_line(&mut self, row: &Row, terminal: &mut Terminal) {
        terminal.say(&row.line(self.prefix));
    }

    /// What is wrong with a sheet.
    pub fn tell(&mut self, row: &Row, terminal: &mut Terminal) {
        for remark in &row.remarks {
            terminal.say(&format!("    {remark}"));
        }
        self.tell_findings(row, terminal);
    }

    /// Warns of sheets that bear one number: whoever is sent to it cannot tell which is meant. A sheet that another
    /// replaces may share its number with that one.
    pub fn tell_equal_numbers<'r>(
        &mut self,
        package: &Package,
        rows: impl IntoIterator<Item = &'r Row>,
        terminal: &mut Terminal,
    ) {
        let mut paths: BTreeMap<&str, Vec<String>> = BTreeMap::new();
        for row in rows.into_iter().filter(|row| !row.number.is_empty() && row.verdict.is_some()) {
            if !package.manifest.superseded.contains_key(&row.path) {
                paths.entry(&row.number).or_default().push(format!("{}{}", self.prefix, row.path));
            }
        }
        for (number, paths) in paths {
            let [one, other, more @ ..] = paths.as_slice() else { continue };
            let more = if more.is_empty() { String::new() } else { format!(", and of {} more", more.len()) };
            self.warnings += 1;
            terminal.tell_warning(&format!("{number} is the number of {one} and of {other}{more}"));
        }
    }

    /// What was found in a sheet, without the remarks on its results.
    pub fn tell_findings(&mut self, row: &Row, terminal: &mut Terminal) {
        self.sheets += 1;
        self.outcome = self.outcome.max(row.outcome);
        let words = if row.is_withheld { "not issued" } else { row.words() };
        *self.tally.entry((row.outcome, words)).or_default() += 1;
        self.void += usize::from(row.void > 0 && !row.is_withheld);
        for finding in &row.findings {
            // A mistake in a clause or a data file concerns every sheet that uses it.
            if self.told.insert(finding.key.clone()) {
                *(if finding.is_error { &mut self.errors } else { &mut self.warnings }) += 1;
                terminal.tell_drawn(&finding.text);
            }
        }
        if let Some(problem) = &row.not_written {
            terminal.tell_error(problem);
        }
    }

    /// The closing line with the counts.
    pub fn close(self, remark: Option<&str>, terminal: &mut Terminal) -> Outcome {
        let mut line = match self.sheets {
            0 => "no sheet".to_owned(),
            1 => "1 sheet".to_owned(),
            many => format!("{many} sheets"),
        };
        let kinds: Vec<String> = self.tally.iter().map(|((_, words), count)| format!("{count} {words}")).collect();
        if !kinds.is_empty() {
            line += &format!(": {}", kinds.join(", "));
        }
        if self.void > 0 {
            line += &format!("; {} with a signature that does not count", self.void);
        }
        for (count, word) in [(self.errors, "error"), (self.warnings, "warning")] {
            match count {
                0 => {}
                1 => line += &format!("; 1 {word}"),
                many => line += &format!("; {many} {word}s"),
            }
        }
        if let Some(remark) = remark {
            line += &format!("; {remark}");
        }
        terminal.tell(&line);
        self.outcome
    }
}
