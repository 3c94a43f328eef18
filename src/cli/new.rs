//! `soleplate new`: lays out a package with a first calculation, or begins a sheet as a copy of another.
//!
//! A copy brings its values along; each is marked as inherited until somebody changes or accepts it.

use super::exit::{Failure, Outcome};
use super::output::Output;
use super::task::{Task, tasks, tell_findings};
use super::terminal::Terminal;
use super::today::day;
use crate::package::{Built, CLAUSES, Disk, Files, MANIFEST, RestsOn, Wanted, is_note, locate};
use crate::review::{By, MarkKind, Marks, inherit, marks_path};
use crate::storage::LEFTOVER;
use crate::text::SourceFile;
use anyhow::Context;
use std::path::{Path, PathBuf};

/// What can be typed behind `new`.
#[derive(Debug, clap::Args)]
pub struct Arguments {
    /// Folder of the new package, which must be empty or not exist yet; with --from the new sheet
    pub path: PathBuf,
    /// Sheet that the new one begins as a copy of; its given values are marked as inherited, not confirmed
    #[arg(long, value_name = "SHEET")]
    pub from: Option<PathBuf>,
    /// Who copies: initials or another name, kept with the marks
    #[arg(long, value_name = "NAME", requires = "from", default_value = "not stated")]
    pub by: String,
    /// The day of the marks; today (UTC) where none is named
    #[arg(long, value_name = "YYYY-MM-DD", requires = "from")]
    pub date: Option<String>,
}

/// Files of the new package, with what each is for.
const FILES: [(&str, &str, &str); 8] = [
    (MANIFEST, MANIFEST_TEXT, "title and owner of the package"),
    ("bracket.md", include_str!("../../templates/new-package/bracket.md"), "a first calculation, as short as can be"),
    ("base.md", include_str!("../../templates/new-package/base.md"), "a base plate, with every failure mode"),
    (
        "data/fx-12.toml",
        include_str!("../../sheets/fellmere-tram-depot/data/fx-12.toml"),
        "an anchor's values, invented",
    ),
    (
        "clauses/own/bracket-anchor.md",
        include_str!("../../templates/new-package/bracket-anchor.md"),
        "a clause of your own",
    ),
    ("README.md", include_str!("../../templates/new-package/README.md"), "for whoever opens the folder"),
    (".gitignore", "/out/\n.soleplate*\n", "keeps generated pages out of version control"),
    (
        ".gitattributes",
        "*.marks merge=union\n*.sig -text\n",
        "lets Git keep the marks of both sides of a merge, and sign-offs as they are",
    ),
];

const MANIFEST_TEXT: &str = r#"title = TITLE
owner = "Owner not stated"

# Who signs calculations, and in which role; `soleplate sign` makes the signatures. Without these lines nobody can.
# Whose keys count stands in the file `allowed_signers`, a line each: the name, then the public key.
# They sign in this order, and are different people; the rules are signed too, so that an edit of them voids what was
# signed.
#
# [sign_off.roles]
# creator = ["name@example.invalid"]
# checker = ["other@example.invalid"]
#
# [sign_off.initials]
# "N.N." = "name@example.invalid"
"#;

/// Lays a package out, or copies a sheet.
pub fn run(arguments: &Arguments, terminal: &mut Terminal) -> anyhow::Result<Outcome> {
    match &arguments.from {
        Some(from) => copy(arguments, from, terminal),
        None => lay_out(&arguments.path, terminal),
    }
}

/// Writes every file of a new package, the manifest last: a folder without one is no package yet, and a layout that was
/// cut off goes on from there.
fn lay_out(folder: &Path, terminal: &mut Terminal) -> anyhow::Result<Outcome> {
    let title = title(folder);
    let text_of = |path: &str, text: &str| match path {
        MANIFEST => text.replace("TITLE", &toml::Value::from(title.as_str()).to_string()),
        _ => text.replace("TITLE", &title),
    };
    let files: Vec<(&str, String)> = FILES.iter().map(|(path, text, _)| (*path, text_of(path, text))).collect();
    refuse_what_is_there(folder, &files)?;
    let output = Output::new(folder);
    for (path, text) in files.iter().rev() {
        output
            .write_durably(path, text.as_bytes())
            .with_context(|| format!("{} cannot be written", folder.join(path).display()))?;
    }
    let shown = folder.display();
    terminal.say(&format!("{shown} is a package now:"));
    for (path, _, purpose) in FILES {
        terminal.say(&format!("  {path:<31}{purpose}"));
    }
    terminal.say("");
    terminal.say("Next:");
    terminal.say(&format!("  soleplate render {shown}    writes out/index.html and a page for each sheet"));
    terminal.say(&format!("  soleplate watch {shown}     writes them anew whenever a sheet is saved"));
    Ok(Outcome::Satisfied)
}

/// Writes a sheet as a copy of another, and the marks that say what it inherited.
fn copy(arguments: &Arguments, from: &Path, terminal: &mut Terminal) -> anyhow::Result<Outcome> {
    let target = &arguments.path;
    let name = target.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    if !name.ends_with(".md") || is_note(&name) {
        let failure = Failure::usage(format!("`{}` cannot be the name of a sheet", target.display()));
        return Err(failure.help("names of sheets end in `.md` and start with a small letter").into());
    }
    let folder = target.parent().filter(|parent| !parent.as_os_str().is_empty()).unwrap_or(Path::new("."));
    for path in [target.clone(), folder.join(marks_path(&name))] {
        if path.exists() && !is_of_unfinished_copy(folder, &name) {
            return Err(Failure::unreadable(format!("`{}` is there already", path.display())).into());
        }
    }
    let place = locate(from).map_err(Failure::from)?;
    if !matches!(place.wanted, Wanted::Sheet(_) | Wanted::LoneSheet(_)) {
        let failure = Failure::usage(format!("`{}` is a folder", from.display()));
        return Err(failure.help("name the sheet that is copied").into());
    }
    let date = day(arguments.date.as_deref())?;
    let task = tasks(vec![place])?.pop().context("there is nothing to copy")?;
    let path = task.sheets.first().context("there is nothing to copy")?;
    tell_findings(&task, terminal);
    let built = task.package.build(path);
    for finding in &built.findings {
        terminal.tell_drawn(&task.drawing(terminal.colour).draw(finding));
    }
    let (Some(sheet), Some(trace)) = (&built.sheet, &built.trace) else {
        let failure = Failure::unreadable(format!("`{}` has errors, so that nothing can be inherited", from.display()));
        return Err(Failure { outcome: Outcome::Errors, ..failure }.help("mend it first").into());
    };
    let front = &sheet.document.front;
    let by = By { who: arguments.by.clone(), date, remark: format!("from {}, {}", front.number, front.revision) };
    let marks = inherit(trace, &by);
    let along = bring_along(&task, &built, folder)?;
    let output = Output::new(folder);
    // The marks come first: a copy without them would pass for confirmed.
    for (path, text) in [(marks_path(&name), marks.write()), (name, sheet.document.source.text.clone())] {
        output
            .write_durably(&path, text.as_bytes())
            .with_context(|| format!("{} cannot be written", folder.join(&path).display()))?;
    }
    let shown = target.display();
    let values = match marks.all().len() {
        1 => "1 given value is".to_owned(),
        many => format!("{many} given values are"),
    };
    terminal.say(&format!("{shown} is a copy of {}; {values} inherited, not confirmed.", from.display()));
    for (words, paths) in [
        ("These files came along, since it rests on them", &along.brought),
        ("These files are in the package already, with another content, and were left; compare them", &along.differing),
        ("It makes these calculations again, which did not come along; copy them with `--from` as well", &along.sheets),
    ] {
        if !paths.is_empty() {
            terminal.say(&format!("{words}: {}.", paths.join(", ")));
        }
    }
    terminal.say("");
    terminal.say("Next:");
    terminal.say("  give it its own number, title and revision");
    terminal.say("  change each given value, or confirm that it holds here as well:");
    terminal.say(&format!("  soleplate review {shown} --accept LINE --by NAME"));
    Ok(Outcome::Satisfied)
}

/// What became of the files that a copied sheet rests on in its own package.
#[derive(Default)]
struct Along {
    /// Copied.
    brought: Vec<String>,
    /// There already, but not the same.
    differing: Vec<String>,
    /// Calculations, which bring no values along that nobody has marked as inherited.
    sheets: Vec<String>,
}

/// Copies into another package what the sheet rests on in its own: clauses, data, records, images.
#[expect(clippy::disallowed_methods, reason = "another package is looked at where it lies")]
fn bring_along(task: &Task, built: &Built, folder: &Path) -> anyhow::Result<Along> {
    let root = locate(folder).map_or_else(|_| folder.to_owned(), |place| place.folder);
    let mut along = Along::default();
    if root.canonicalize().is_ok_and(|root| root == task.folder) {
        return Ok(along);
    }
    let RestsOn::Files(files) = built.rests_on() else { return Ok(along) };
    // Neither what was marked and signed nor who may sign is the copy's.
    let mut its_own: Vec<String> = vec![built.path.clone(), marks_path(&built.path)];
    its_own.extend(built.sign_offs.iter().map(|file| file.path.clone()));
    its_own.extend(built.lists.iter().cloned());
    let output = Output::new(&root);
    for path in files.into_iter().filter(|path| !its_own.contains(path)) {
        // What is not there is not there for the copy either.
        let Ok(bytes) = task.package.file(&path) else { continue };
        match std::fs::read(root.join(&path)) {
            Ok(found) if found == bytes => {}
            Ok(_) => along.differing.push(path),
            Err(_) if path.ends_with(".md") && !path.starts_with(CLAUSES) => along.sheets.push(path),
            Err(_) => {
                output
                    .write_durably(&path, &bytes)
                    .with_context(|| format!("{} cannot be written", root.join(&path).display()))?;
                along.brought.push(path);
            }
        }
    }
    Ok(along)
}

/// Refuses a folder that holds anything but what a layout that was cut off has left in it.
fn refuse_what_is_there(folder: &Path, files: &[(&str, String)]) -> anyhow::Result<()> {
    if !folder.exists() {
        return Ok(());
    }
    if !folder.is_dir() {
        return Err(Failure::unreadable(format!("`{}` is a file", folder.display())).into());
    }
    if folder.join(MANIFEST).exists() || !holds_only(folder, "", files)? {
        let failure = Failure::unreadable(format!("the folder `{}` is not empty", folder.display()));
        return Err(failure.help("name a folder that is empty or does not exist yet").into());
    }
    Ok(())
}

/// Whether all that lies in a folder is one of the files, as it is to be written, or was to become one.
#[expect(clippy::disallowed_methods, reason = "what a folder holds can only be seen on disk")]
fn holds_only(folder: &Path, below: &str, files: &[(&str, String)]) -> anyhow::Result<bool> {
    let cannot = || format!("{} cannot be read", folder.display());
    for entry in std::fs::read_dir(folder.join(below)).with_context(cannot)? {
        let name = entry.with_context(cannot)?.file_name().to_string_lossy().into_owned();
        let path = format!("{below}{name}");
        let is_ours = match files.iter().find(|(known, _)| *known == path) {
            Some((_, text)) => std::fs::read(folder.join(&path)).is_ok_and(|found| found == text.as_bytes()),
            None if files.iter().any(|(known, _)| known.starts_with(&format!("{path}/"))) => {
                folder.join(&path).is_dir() && holds_only(folder, &format!("{path}/"), files)?
            }
            None => name.starts_with(LEFTOVER),
        };
        if !is_ours {
            return Ok(false);
        }
    }
    Ok(true)
}

/// Whether a file of marks without its sheet is what a copy that was cut off has left: nothing but inherited values.
fn is_of_unfinished_copy(folder: &Path, sheet: &str) -> bool {
    let path = marks_path(sheet);
    let Ok(bytes) = Disk::new(folder).read(&path) else { return false };
    let (marks, findings) = Marks::read(&SourceFile::new(path.as_str(), String::from_utf8_lossy(&bytes)));
    !folder.join(sheet).exists()
        && findings.is_empty()
        && marks.all().iter().all(|mark| mark.kind == MarkKind::Inherited)
}

/// `tram-depot` is called "Tram depot".
fn title(folder: &Path) -> String {
    let name = folder.file_name().map_or_else(|| "Package".into(), |name| name.to_string_lossy());
    let words = name.replace(['-', '_'], " ");
    let words = words.trim();
    let mut letters = words.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => "Package".to_owned(),
    }
}
