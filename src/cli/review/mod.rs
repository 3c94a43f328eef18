//! `soleplate review`: what is left to check in a sheet, and the checker's marks on its lines.
//!
//! 1. the sheet is built, with the marks beside it;
//! 2. [`lines`] finds the lines that were named, and each action makes marks of marks;
//! 3. the file of marks is replaced as a whole; [`list`] tells what was marked and how much is left, or what is left.
//!
//! With `--page` all of this happens on a page in the browser: [`desk`] serves it.

mod desk;
mod lines;
mod list;

use super::exit::{Failure, Outcome};
use super::output::{Output, locked};
use super::task::{prefix, tasks, tell_findings};
use super::terminal::Terminal;
use super::today::day;
use crate::compile::LineId;
use crate::diagnostic::any_error;
use crate::evaluate::Trace;
use crate::package::{Built, Package, Wanted, locate};
use crate::review::{Action, By, Marks, Reason, Refusal, Tick, mark, marks_path, state};
use crate::sign_off::{reviewed, standing};
use anyhow::Context;
use lines::lines;
use list::{tell, tell_done};
use std::path::{Path, PathBuf};

const SYNTAX: &str = "\
LINE is the number or the address shown on the page (a link to line 12 ends in its address, such as #N_Rd_c),
a range of numbers such as 3-9, or the address of a clause's working, such as clause-concrete-cone.

Examples:
  soleplate review b4.md                                       tell what is left to check
  soleplate review b4.md --tick 3-9 N_Rd_c --by R.T.           say that lines are right
  soleplate review b4.md --query 12 \"which load case?\" --by R.T.
  soleplate review b4.md --answer 12 \"case 7, as stated\" --by K.L.
  soleplate review b4.md --close 12 --by R.T.
  soleplate review b4.md --accept f_ck --by R.T.               say that an inherited value holds here
  soleplate review b4.md --page --by R.T.                      do all of this by click, on the page

Marks are written to b4.marks, beside the sheet.";

/// What can be typed behind `review`.
#[derive(Debug, clap::Args)]
#[command(after_help = SYNTAX)]
pub struct Arguments {
    /// The sheet
    pub sheet: PathBuf,
    /// Say that lines are right
    #[arg(long, value_name = "LINE", num_args = 1..)]
    pub tick: Vec<String>,
    /// Take own ticks back
    #[arg(long, value_name = "LINE", num_args = 1..)]
    pub untick: Vec<String>,
    /// Ask something about a line
    #[arg(long, value_names = ["LINE", "WORDS"], num_args = 2)]
    pub query: Vec<String>,
    /// Answer what was asked
    #[arg(long, value_names = ["LINE", "WORDS"], num_args = 2)]
    pub answer: Vec<String>,
    /// Say that what was asked is settled
    #[arg(long, value_name = "LINE", num_args = 1..)]
    pub close: Vec<String>,
    /// Say that inherited values hold here as well
    #[arg(long, value_name = "LINE", num_args = 1..)]
    pub accept: Vec<String>,
    /// Serve the page to a browser on this machine, where lines are marked by click
    #[arg(long, conflicts_with_all = ["tick", "untick", "query", "answer", "close", "accept", "remark"])]
    pub page: bool,
    /// The port of the page; a free one where none is named
    #[arg(long, value_name = "NUMBER", default_value_t = 0, hide_default_value = true, requires = "page")]
    pub port: u16,
    /// Words kept with ticks, closings and acceptances
    #[arg(long, value_name = "WORDS", default_value = "", hide_default_value = true)]
    pub remark: String,
    /// Who marks: initials or another name
    #[arg(long, value_name = "NAME")]
    pub by: Option<String>,
    /// The day of the marks; today (UTC) where none is named
    #[arg(long, value_name = "YYYY-MM-DD")]
    pub date: Option<String>,
}

/// Marks what was named, then tells what is left.
pub fn run(arguments: &Arguments, terminal: &mut Terminal) -> anyhow::Result<Outcome> {
    let place = locate(&arguments.sheet).map_err(Failure::from)?;
    if !matches!(place.wanted, Wanted::Sheet(_) | Wanted::LoneSheet(_)) {
        return Err(not_a_sheet(&arguments.sheet).into());
    }
    if arguments.page {
        return desk::run(arguments, place, terminal);
    }
    let task = tasks(vec![place])?.pop().context("there is nothing to review")?;
    let path = task.sheets.first().context("there is nothing to review")?.clone();
    tell_findings(&task, terminal);
    let built = task.package.build(&path);
    for finding in &built.findings {
        terminal.tell_drawn(&task.drawing(terminal.colour).draw(finding));
    }
    let Some(trace) = built.trace.as_ref().filter(|_| task.is_sound()) else {
        return Ok(Outcome::of(&built).max(Outcome::Errors));
    };
    let name = format!("{}{path}", task.prefix);
    let before = built.marks.clone().unwrap_or_default();
    let (mut marks, done) = marked(arguments, trace, &before)?;
    if marks != before {
        marks = add_marks(&task.package, &task.folder, &path, &before, &marks)?;
    }
    let standing = standing(&task.package, &built);
    let built = Built { marks: Some(marks), ..built };
    if let (Some(trace), Some(review)) = (&built.trace, reviewed(&task.package, &built, &standing)) {
        match done.is_empty() {
            true => tell(&name, trace, &review, terminal),
            false => tell_done(&name, trace, &review, &done, terminal),
        }
    }
    Ok(Outcome::Satisfied)
}

/// Writes marks that were made of others together with what was marked meanwhile, and gives all of them.
fn add_marks(package: &Package, folder: &Path, sheet: &str, before: &Marks, marks: &Marks) -> anyhow::Result<Marks> {
    let _lock = locked(folder, "nothing was marked")?;
    let (now, findings) = package.marks(sheet);
    if any_error(&findings) {
        let message = format!("the marks of `{}{sheet}` were changed meanwhile and cannot be read", prefix(folder));
        return Err(Failure::unreadable(message).help("nothing was marked: put them right and run this again").into());
    }
    let all = marks.merged(before, &now.unwrap_or_default());
    write_marks(folder, sheet, &all)?;
    Ok(all)
}

/// Puts marks in the place of those that they were made of, if these are still there, and says whether that was done.
///
/// What is clicked on a page is meant for the marks that the page shows.
fn replace_marks(package: &Package, folder: &Path, sheet: &str, before: &Marks, marks: &Marks) -> anyhow::Result<bool> {
    let _lock = locked(folder, "nothing was marked")?;
    let (now, findings) = package.marks(sheet);
    if any_error(&findings) || now.unwrap_or_default() != *before {
        return Ok(false);
    }
    write_marks(folder, sheet, marks)?;
    Ok(true)
}

fn write_marks(folder: &Path, sheet: &str, marks: &Marks) -> anyhow::Result<()> {
    let path = marks_path(sheet);
    Output::new(folder)
        .write_durably(&path, marks.write().as_bytes())
        .with_context(|| format!("{}{path} cannot be written", prefix(folder)))?;
    Ok(())
}

fn not_a_sheet(path: &Path) -> Failure {
    Failure::usage(format!("`{}` is a folder", path.display())).help("sheets are reviewed one by one: name a sheet")
}

fn nobody_marks() -> Failure {
    Failure::usage("who marks?").help("add your initials, such as --by R.T.")
}

/// What was done, in words, and to which lines.
type Done = Vec<(&'static str, Vec<LineId>)>;

/// The marks with those that were asked for, and on which lines these are; nothing was done where none was named.
fn marked(arguments: &Arguments, trace: &Trace, marks: &Marks) -> anyhow::Result<(Marks, Done)> {
    let plain = [
        (Action::Untick, &arguments.untick),
        (Action::Accept, &arguments.accept),
        (Action::Tick, &arguments.tick),
        (Action::Close, &arguments.close),
    ];
    let with_words = [(Action::Query, &arguments.query), (Action::Answer, &arguments.answer)];
    if plain.iter().chain(&with_words).all(|(_, named)| named.is_empty()) {
        return match arguments.remark.is_empty() && arguments.by.is_none() && arguments.date.is_none() {
            true => Ok((marks.clone(), Vec::new())),
            false => Err(Failure::usage("which line is marked?")
                .help("name lines behind --tick, --query, --answer, --close or --accept")
                .into()),
        };
    }
    let who = arguments.by.as_deref().map(str::trim).filter(|who| !who.is_empty());
    let Some(who) = who else { return Err(nobody_marks().into()) };
    let by = |remark: &str| -> anyhow::Result<By> {
        Ok(By { who: who.to_owned(), date: day(arguments.date.as_deref())?, remark: remark.to_owned() })
    };
    let (mut marks, mut done) = (marks.clone(), Vec::new());
    for (action, named) in with_words {
        for pair in named.chunks(2) {
            let [line, words] = pair else { continue };
            let wanted = lines(trace, &marks, action, std::slice::from_ref(line), who)?;
            if wanted.len() != 1 {
                return Err(Failure::usage(format!("`{line}` is more than one line")).help("ask line by line").into());
            }
            marks = add(trace, &marks, &wanted, action, &by(words)?)?;
            done.push((list::words(action), wanted));
        }
    }
    for (action, named) in plain.into_iter().filter(|(_, named)| !named.is_empty()) {
        let wanted = lines(trace, &marks, action, named, who)?;
        let before = std::mem::take(&mut marks);
        marks = add(trace, &before, &wanted, action, &by(&arguments.remark)?)?;
        match action {
            Action::Tick => done.extend(ticked(trace, &before, &wanted, who)),
            Action::Close => done.extend(closed(trace, &before, &wanted, who)),
            _ => done.push((list::words(action), wanted)),
        }
    }
    Ok((marks, done))
}

/// Lines whose query was closed, apart those of which others had asked.
fn closed(trace: &Trace, before: &Marks, lines: &[LineId], who: &str) -> Done {
    let review = state(trace, before);
    let is_own =
        |id: &LineId| review.line(*id).open_thread().is_none_or(|thread| thread.asked_by_others(who).is_empty());
    let (own, others) = lines.iter().partition(|id| is_own(id));
    let done: [(&str, Vec<LineId>); 2] = [(list::words(Action::Close), own), ("closed for those who asked", others)];
    done.into_iter().filter(|(_, lines)| !lines.is_empty()).collect()
}

/// Lines that were to be ticked, apart from those on which that does nothing or for which nobody waits.
fn ticked(trace: &Trace, before: &Marks, lines: &[LineId], who: &str) -> Done {
    let review = state(trace, before);
    let is_ticked = |id: &LineId| {
        let line = review.line(*id);
        matches!(&line.tick, Tick::Holds(ticks) if !line.came_back && ticks.iter().any(|tick| tick.who == who))
    };
    let (already, new): (Vec<LineId>, Vec<LineId>) = lines.iter().partition(|id| is_ticked(id));
    let (needed, others): (Vec<LineId>, Vec<LineId>) = new.into_iter().partition(|id| review.line(*id).needs_tick);
    let done = [
        (list::words(Action::Tick), needed),
        ("ticked, although no tick is needed", others),
        ("ticked already by the same name", already),
    ];
    done.into_iter().filter(|(_, lines)| !lines.is_empty()).collect()
}

fn add(trace: &Trace, marks: &Marks, lines: &[LineId], action: Action, by: &By) -> Result<Marks, Failure> {
    mark(trace, marks, lines, action, by).map_err(|refusal: Refusal| {
        let failure = Failure::usage(refusal.to_string());
        match refusal.reason {
            Reason::NothingAsked => failure.help("--query asks something"),
            Reason::NotTicked(_) => failure.help("a tick is taken back under the name that it was made with"),
            Reason::AskedByOthers(_) => failure.help("add words, such as --remark \"settled with R.T. on site\""),
            Reason::Figure | Reason::Passes(_) | Reason::NotInherited | Reason::NoWords => failure,
        }
    })
}
