//! A package: a folder of sheets with its manifest, its own clauses and its data.
//!
//! 1. [`Package::open`] reads `soleplate.toml` and the clauses under `clauses/`;
//! 2. [`Package::build`] reads, compiles and evaluates one sheet.
//!
//! [`Files`] is the only door to the disk, with a twin in memory. [`locate()`] finds the package of a path that was typed,
//! and [`Built::rests_on`] the files that decide a page.

mod files;
mod locate;
mod reach;
mod signers;
mod strays;
#[cfg(test)]
mod tests;

pub use files::{Disk, Files, Memory};
pub use locate::{Nowhere, Place, Wanted, locate};
pub use reach::RestsOn;
pub use signers::{SIGN_OFFS, SignOffFile, SignOffSettings, Signers, is_sign_off_of, sign_off_path};

use crate::compile::{DataProblem, Settings, Sources, check_clause, compile};
use crate::diagnostic::{Code, Diagnostic, any_error, nearest};
use crate::document::{SIZE_LIMIT, SheetKind, broken_toml, place_of_key};
use crate::evaluate::{Trace, evaluate};
use crate::library::{Card, Clause, DataFile, Library, Mode, Origin, read_data};
use crate::quantity::{DisplayUnits, Unit};
use crate::review::{Marks, marks_path};
use crate::syntax::{Sheet, read_sheet};
use crate::text::{SourceFile, Span};
use serde::Deserialize;
use std::collections::{BTreeMap, BTreeSet};
use std::io;
use std::sync::{Arc, Mutex};

/// The file that makes a folder a package.
pub const MANIFEST: &str = "soleplate.toml";
/// The folder of a package's own clauses.
pub const CLAUSES: &str = "clauses/";
/// Bytes of a file of records at most: a few million rows.
const RECORDS_LIMIT: u64 = 256 << 20;

/// What the manifest says.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct Manifest {
    /// Title of the package.
    pub title: String,
    /// Legal owner, shown in title blocks.
    pub owner: String,
    /// Significant figures shown.
    pub figures: Option<usize>,
    /// Units preferred for results.
    pub units: Vec<String>,
    /// Who signs, and what for.
    pub sign_off: SignOffSettings,
    /// Sheets that others replace, each with what replaces it.
    ///
    /// It stands here and not in the sheet, so that what was signed stays as it was signed.
    pub superseded: BTreeMap<String, String>,
}

/// A folder of sheets.
pub struct Package {
    /// What its manifest says.
    pub manifest: Manifest,
    /// Clauses: shipped ones and its own.
    pub library: Library,
    /// Who may sign for its sheets.
    pub signers: Signers,
    files: Box<dyn Files>,
    paths: Vec<String>,
    settings: Settings,
    data: Mutex<BTreeMap<String, Result<Arc<DataFile>, DataProblem>>>,
}

/// One sheet, built.
#[derive(Debug)]
pub struct Built {
    /// Its path in the package.
    pub path: String,
    /// What was read; nothing where the file could not be.
    pub sheet: Option<Sheet>,
    /// The run; nothing where there was an error.
    pub trace: Option<Trace>,
    /// The marks beside it; nothing where there is no file of marks.
    pub marks: Option<Marks>,
    /// The sign-offs that lie under its name, in the order of their paths.
    pub sign_offs: Vec<SignOffFile>,
    /// The lists of signers and of revoked keys, also where there are none.
    pub lists: [String; 2],
    /// What was found.
    pub findings: Vec<Diagnostic>,
    /// Whether the file could not be read at all.
    pub is_unreadable: bool,
}

impl Built {
    /// Whether it is a clause, which is used by sheets and not built itself.
    pub fn is_clause(&self) -> bool {
        self.sheet.as_ref().is_some_and(|sheet| sheet.document.front.kind == SheetKind::Clause)
    }
}

impl Package {
    /// Opens a package; a manifest that cannot be read is reported and its keys take their defaults.
    pub fn open(files: Box<dyn Files>) -> io::Result<(Self, Vec<Diagnostic>)> {
        Self::open_with(files, Library::shipped())
    }

    /// Opens a package over a library that may be another than the one in the binary.
    pub fn open_with(files: Box<dyn Files>, mut library: Library) -> io::Result<(Self, Vec<Diagnostic>)> {
        let paths = files.list()?;
        let mut findings = Vec::new();
        let mut manifest = Manifest::default();
        let mut signers = Signers::default();
        if paths.iter().any(|path| path == MANIFEST) && !files.is_inside(MANIFEST) {
            let source = SourceFile::new(MANIFEST, "");
            findings.push(outside(&source, "the manifest is a link that leads outside the package"));
        } else if paths.iter().any(|path| path == MANIFEST) {
            let (source, problem) = read_text(files.as_ref(), MANIFEST)?;
            findings.extend(problem);
            match toml::from_str(&source.text) {
                Ok(read) => manifest = read,
                Err(error) => findings.push(broken_toml(Code::FrontMatter, &source, 0, "the manifest", &error)),
            }
            let figures = manifest.figures.unwrap_or(3);
            if !(2..=12).contains(&figures) {
                let span = place_of_key(&source, 0, source.text.len(), "figures");
                let finding = Diagnostic::error(Code::FrontMatter, &source, span, "`figures` must be from 2 to 12");
                findings.push(finding.help("leave the line out for 3 figures"));
                manifest.figures = None;
            }
            for unit in &manifest.units {
                if let Err(error) = Unit::parse(unit) {
                    let at = source.text.find(unit.as_str()).unwrap_or(0);
                    let span = Span::new(at, at + unit.len());
                    let mut finding = Diagnostic::error(Code::UnknownUnit, &source, span, error.problem(unit));
                    finding.help.extend(error.advice());
                    findings.push(finding);
                }
            }
            for path in manifest.superseded.keys().filter(|path| !paths.contains(path)) {
                let at = source.text.find(&format!("\"{path}\"")).unwrap_or(0);
                let span = Span::new(at, at + if at > 0 { path.len() + 2 } else { 0 });
                let message = format!("`{path}` is no sheet of this package, so that nothing can supersede it");
                findings.push(Diagnostic::error(Code::FrontMatter, &source, span, message).as_warning());
            }
            let (read, mut more) = Signers::read(files.as_ref(), &paths, &manifest, &source);
            signers = read;
            findings.append(&mut more);
        }
        findings.extend(strays::stray_sign_offs(files.as_ref(), &paths));
        for path in paths.iter().filter(|path| path.starts_with(CLAUSES)) {
            if let Some(slug) = path.strip_prefix(CLAUSES).and_then(|path| path.strip_suffix(".toml")) {
                let unread = || SourceFile::new(path.as_str(), "");
                match files.is_inside(path).then(|| read_text(files.as_ref(), path)) {
                    Some(Ok((source, None))) => match slug.split_once("/cards/") {
                        Some((standard, card)) => library.add_card(&format!("{standard}/{card}"), source),
                        None => library.add_family(slug, source),
                    },
                    Some(Ok((_, Some(problem)))) => findings.push(problem),
                    Some(Err(error)) => {
                        let message = format!("this family of product data cannot be read: {}", reason(&error));
                        findings.push(Diagnostic::error(Code::Unreadable, &unread(), Span::default(), message));
                    }
                    None => findings.push(outside(&unread(), "this family is a link that leads outside the package")),
                }
            }
            if let Some(slug) = path.strip_prefix(CLAUSES).and_then(|path| path.strip_suffix(".md")) {
                if !files.is_inside(path) {
                    let source = SourceFile::new(path.as_str(), "");
                    let finding = outside(&source, "this clause is a link that leads outside the package");
                    library.add_unreadable(slug, source, finding);
                    continue;
                }
                let unread = || SourceFile::new(path.as_str(), "");
                match read_text(files.as_ref(), path) {
                    Ok((source, None)) => library.add(slug, source),
                    // The readable beginning of a broken file could pass for a whole clause.
                    Ok((_, Some(problem))) => library.add_unreadable(slug, unread(), problem),
                    Err(error) => {
                        let message = format!("this clause cannot be read: {}", reason(&error));
                        let finding = Diagnostic::error(Code::Unreadable, &unread(), Span::default(), message);
                        library.add_unreadable(slug, unread(), finding);
                    }
                }
            }
        }
        findings.extend(replaced(&library));
        let units = manifest.units.iter().filter_map(|unit| Unit::parse(unit).ok()).collect();
        let settings = Settings { figures: manifest.figures.unwrap_or(3), display: DisplayUnits::from_units(units) };
        let package = Self { manifest, library, signers, files, paths, settings, data: Mutex::default() };
        Ok((package, findings))
    }

    /// Paths of its sheets, sorted.
    ///
    /// Names that start with a capital or an underscore are notes for people, not sheets.
    pub fn sheets(&self) -> impl Iterator<Item = &str> {
        self.paths
            .iter()
            .map(String::as_str)
            .filter(|path| path.ends_with(".md") && !path.starts_with(CLAUSES) && !is_note(path))
    }

    /// Reads, compiles and evaluates a sheet.
    pub fn build(&self, path: &str) -> Built {
        let mut built = Built {
            path: path.to_owned(),
            sheet: None,
            trace: None,
            marks: None,
            sign_offs: Vec::new(),
            lists: self.signers.paths.clone(),
            findings: Vec::new(),
            is_unreadable: false,
        };
        if !self.files.is_inside(path) {
            let source = SourceFile::new(path, "");
            built.findings.push(outside(&source, "this sheet is a link that leads outside the package"));
            return built;
        }
        let source = match read_text(self.files.as_ref(), path) {
            Ok((source, None)) => source,
            Ok((_, Some(problem))) => {
                built.findings.push(problem);
                return built;
            }
            Err(error) => {
                let source = SourceFile::new(path, "");
                let message = format!("this sheet cannot be read: {}", reason(&error));
                built.findings.push(Diagnostic::error(Code::Unreadable, &source, Span::default(), message));
                built.is_unreadable = true;
                return built;
            }
        };
        let (sheet, findings) = read_sheet(&source);
        built.findings = findings;
        if path == "index.md" {
            let message = "the page of this sheet would stand in the place of the package's index";
            built.findings.push(
                Diagnostic::error(Code::ReservedName, &source, Span::default(), message)
                    .help("give the sheet another name than `index.md`"),
            );
        }
        let is_clause = sheet.document.front.kind == SheetKind::Clause;
        if !is_clause {
            // Mistakes of the text and of what it means are told together.
            let (compiled, mut more) = compile(&sheet, self, &self.settings);
            built.findings.append(&mut more);
            let (marks, mut more) = self.marks(path);
            built.marks = marks;
            built.findings.append(&mut more);
            let (sign_offs, mut more) = signers::sign_offs(self.files.as_ref(), &self.paths, path);
            built.sign_offs = sign_offs;
            built.findings.append(&mut more);
            // In the order of the sheet's lines; mistakes in other files follow.
            built.findings.sort_by_key(|finding| match finding.labels.first() {
                Some(place) if place.source == source => (0, place.span.start),
                _ => (1, 0),
            });
            if !any_error(&built.findings) {
                let trace = compiled.map(evaluate);
                built.findings.extend(trace.iter().flat_map(Trace::mistakes));
                built.trace = trace.filter(|_| !any_error(&built.findings));
            }
        }
        built.sheet = Some(sheet);
        built
    }

    /// The marks beside a sheet, and what is wrong with their file.
    ///
    /// A page made without the marks that stand in a broken file would show as unchecked what was checked, and hide
    /// what was asked; so a mistake in it is one of the sheet.
    pub fn marks(&self, sheet: &str) -> (Option<Marks>, Vec<Diagnostic>) {
        let path = marks_path(sheet);
        if !self.files.is_inside(&path) {
            let source = SourceFile::new(path, "");
            return (None, vec![outside(&source, "these marks are a link that leads outside the package")]);
        }
        match read_text(self.files.as_ref(), &path) {
            Ok((source, None)) => {
                let (marks, findings) = Marks::read(&source);
                (Some(marks), findings)
            }
            Ok((_, Some(problem))) => (None, vec![problem]),
            Err(error) if error.kind() == io::ErrorKind::NotFound => (None, Vec::new()),
            Err(error) => {
                let message = format!("the marks of this sheet cannot be read: {}", reason(&error));
                let source = SourceFile::new(path, "");
                (None, vec![Diagnostic::error(Code::Unreadable, &source, Span::default(), message)])
            }
        }
    }

    /// What is wrong in the package's own clauses, whoever uses them; each mistake once, at its place.
    pub fn check_clauses(&self) -> Vec<Diagnostic> {
        let mut findings = Vec::new();
        let mut cycles = BTreeSet::new();
        for clause in self.library.clauses().filter(|clause| clause.origin != Origin::Shipped) {
            for finding in check_clause(clause, self, &self.settings) {
                if finding.code == Code::ClauseCycle {
                    let mut members: Vec<String> =
                        finding.notes.iter().flat_map(|note| note.split(' ')).map(str::to_owned).collect();
                    members.sort();
                    members.dedup();
                    // A circle is found from each of its clauses.
                    if !cycles.insert(members) {
                        continue;
                    }
                } else if finding.labels.first().is_none_or(|place| place.source.name != clause.source.name) {
                    continue;
                }
                findings.push(finding);
            }
        }
        findings
    }

    /// The paths of all of its files, sorted.
    pub fn paths(&self) -> &[String] {
        &self.paths
    }

    /// The bytes of a file of the package, such as an image.
    pub fn file(&self, path: &str) -> io::Result<Vec<u8>> {
        if !self.files.is_inside(path) {
            return Err(io::Error::new(io::ErrorKind::PermissionDenied, "the path leads outside the package"));
        }
        self.files.read(path)
    }
}

/// Whether a file's name makes it a note for people.
pub fn is_note(path: &str) -> bool {
    let name = path.rsplit('/').next().unwrap_or(path);
    name.starts_with(|c: char| c.is_uppercase() || c == '_')
}

/// Why a file cannot be read, without the system's numbers.
fn reason(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "there is no such file".to_owned(),
        io::ErrorKind::PermissionDenied => "reading it is not permitted".to_owned(),
        _ => error.to_string(),
    }
}

fn outside(source: &Arc<SourceFile>, message: &str) -> Diagnostic {
    Diagnostic::error(Code::OutsidePackage, source, Span::default(), message)
        .help("put the file itself into the package in the place of the link")
}

/// A file's text under its path; what is not UTF-8 or too large gives an empty text and a finding.
fn read_text(files: &dyn Files, path: &str) -> io::Result<(Arc<SourceFile>, Option<Diagnostic>)> {
    let size = files.size(path)?;
    if size > SIZE_LIMIT as u64 {
        let source = SourceFile::new(path, "");
        let message = format!("this file is {} MB long", size / 1_000_000);
        let finding = Diagnostic::error(Code::TooLarge, &source, Span::default(), message)
            .help(format!("files are at most {} MB: split it, or move data to a data file", SIZE_LIMIT >> 20));
        return Ok((source, Some(finding)));
    }
    match String::from_utf8(files.read(path)?) {
        Ok(text) => Ok((SourceFile::new(path, text.trim_start_matches('\u{feff}')), None)),
        Err(error) => {
            let at = error.utf8_error().valid_up_to();
            let valid = String::from_utf8_lossy(&error.as_bytes()[..at]).into_owned();
            let source = SourceFile::new(path, valid);
            let finding = Diagnostic::error(
                Code::NotUtf8,
                &source,
                Span::new(at, at),
                "this file is not text in UTF-8 from here on",
            )
            .help("save it in UTF-8");
            Ok((source, Some(finding)))
        }
    }
}

/// Says of each clause, card and family of the package that it stands in the place of a shipped one: all else about it is
/// read as if it were that.
fn replaced(library: &Library) -> Vec<Diagnostic> {
    let clauses = library.clauses().map(|clause| ("clause", &clause.path, clause.origin, &clause.source));
    let cards = library.cards().map(|card| ("card", &card.path, card.origin, &card.source));
    let families = library.families().map(|family| ("family", &family.path, family.origin, &family.source));
    let replacing = clauses.chain(cards).chain(families).filter(|(_, _, origin, _)| *origin == Origin::Override);
    let told = replacing.map(|(what, path, _, source)| {
        let message = format!("`{}` stands in the place of the shipped {what} `{path}`", source.name);
        Diagnostic::error(Code::Redefined, source, Span::default(), message)
            .as_warning()
            .help(format!("give it a path of its own, unless the shipped {what} must not be used here"))
    });
    told.collect()
}

impl Sources for Package {
    fn clause(&self, path: &str) -> Option<Arc<Clause>> {
        self.library.clause(path).cloned()
    }

    fn clause_paths(&self) -> Vec<String> {
        self.library.clauses().map(|clause| clause.path.clone()).collect()
    }

    fn card(&self, path: &str) -> Option<Arc<Card>> {
        self.library.card(path).cloned()
    }

    fn card_paths(&self) -> Vec<String> {
        self.library.cards().map(|card| card.path.clone()).collect()
    }

    fn modes(&self) -> Arc<[Mode]> {
        self.library.modes().clone()
    }

    fn data(&self, path: &str) -> Result<Arc<DataFile>, DataProblem> {
        let mut known = self.data.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        if let Some(data) = known.get(path) {
            return data.clone();
        }
        let data = self.read_data_file(path);
        known.insert(path.to_owned(), data.clone());
        data
    }

    fn calculation(&self, path: &str) -> Result<Arc<Clause>, DataProblem> {
        if !self.files.is_inside(path) {
            return Err(DataProblem::Outside);
        }
        let unreadable =
            |why: String| DataProblem::Unreadable { why, near: nearest(path, self.sheets()).map(str::to_owned) };
        // By its one path, so that a calculation that uses itself is known by it.
        if !self.paths.iter().any(|own| own == path) {
            return Err(unreadable("there is no such sheet".to_owned()));
        }
        let (source, problem) = read_text(self.files.as_ref(), path).map_err(|error| unreadable(reason(&error)))?;
        match problem {
            Some(problem) => Err(DataProblem::Findings(vec![problem])),
            None => Ok(Clause::calculation(path, source)),
        }
    }

    fn records(&self, path: &str) -> Result<Vec<u8>, DataProblem> {
        if !self.files.is_inside(path) {
            return Err(DataProblem::Outside);
        }
        let unreadable = |why: String| DataProblem::Unreadable {
            why,
            near: nearest(path, self.paths.iter().map(String::as_str)).map(str::to_owned),
        };
        let size = self.files.size(path).map_err(|error| unreadable(reason(&error)))?;
        if size > RECORDS_LIMIT {
            return Err(unreadable(format!(
                "it is {} MB long, and records are at most {} MB",
                size >> 20,
                RECORDS_LIMIT >> 20
            )));
        }
        self.files.read(path).map_err(|error| unreadable(reason(&error)))
    }
}

impl Package {
    fn read_data_file(&self, path: &str) -> Result<Arc<DataFile>, DataProblem> {
        // A file of the package has an ending; what stands without one is of the library.
        if let Some(source) = self.library.data(path) {
            return self.read_values(&source);
        }
        if !self.files.is_inside(path) {
            return Err(DataProblem::Outside);
        }
        let (source, problem) = read_text(self.files.as_ref(), path).map_err(|error| DataProblem::Unreadable {
            why: reason(&error),
            near: nearest(path, self.paths.iter().map(String::as_str))
                .or_else(|| nearest(path, Library::shipped_data_paths()))
                .map(str::to_owned),
        })?;
        if let Some(problem) = problem {
            return Err(DataProblem::Findings(vec![problem]));
        }
        self.read_values(&source)
    }

    fn read_values(&self, source: &Arc<SourceFile>) -> Result<Arc<DataFile>, DataProblem> {
        let (mut data, mut findings) = read_data(source);
        findings.extend(self.library.check_data(&mut data));
        if any_error(&findings) {
            return Err(DataProblem::Findings(findings));
        }
        data.warnings = findings;
        Ok(Arc::new(data))
    }
}
