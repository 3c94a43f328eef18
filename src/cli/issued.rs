//! Verifying an issued page from the page alone.
//!
//! 1. the sources that it carries become a package in memory, which is built and rendered;
//! 2. the page that comes out is compared with the page at hand, byte for byte;
//! 3. the sign-offs are judged by the lists in the page, or by those that the reader brings along.

use super::demand::Demand;
use super::drawing::Drawing;
use super::exit::{Failure, Outcome};
use super::render::{pages_of, review_of};
use super::row::Row;
use super::terminal::{Terminal, plain};
use crate::diagnostic::{Diagnostic, any_error};
use crate::issue::{Sources, carried, differing_results, first_difference, results};
use crate::package::{Built, Disk, Files, Package};
use crate::render::provenance::PROGRAM;
use crate::sign_off::{SignOffState, Standing, SuppliedLists, standing, standing_by};
use crate::signature::{AllowedSigners, Day, RevokedKeys};
use std::path::Path;

/// A page is read up to this size in bytes.
const SIZE_LIMIT: u64 = 256 << 20;
/// Lines told of where results differ.
const TOLD_LIMIT: usize = 10;

/// The lists that the reader brings along.
pub(super) fn lists(allowed: Option<&Path>, revoked: Option<&Path>) -> Result<Option<SuppliedLists>, Failure> {
    let Some(allowed) = allowed else { return Ok(None) };
    let told = |findings: Vec<Diagnostic>| {
        let failure = Failure::unreadable("the list of keys cannot be used");
        findings.iter().fold(failure, |failure, finding| failure.because(finding.to_string()))
    };
    let read_allowed = AllowedSigners::read(&allowed.display().to_string(), &read(allowed)?).map_err(told)?;
    let revoked = match revoked {
        Some(path) => RevokedKeys::read(&path.display().to_string(), &read(path)?).map_err(told)?,
        None => RevokedKeys::default(),
    };
    Ok(Some(SuppliedLists { allowed: read_allowed, revoked }))
}

/// What the reader wants of a page.
pub(super) struct Wanted<'a> {
    /// The lists that they bring along.
    pub lists: Option<&'a SuppliedLists>,
    /// The last day that a sign-off may state.
    pub latest: Day,
    /// What is demanded.
    pub demands: &'a [Demand],
}

/// Says whether an issued page is what its sources give, who signed it, and what it lacks of what is demanded.
pub(super) fn verify(path: &Path, wanted: &Wanted<'_>, terminal: &mut Terminal) -> anyhow::Result<Outcome> {
    let name = path.display();
    let page = read(path)?;
    let sources = match carried(&page) {
        Ok(sources) => sources,
        Err(why) => {
            terminal.tell_error(&format!("{name} cannot be verified: {why}"));
            terminal.tell_help("pages that can are written by `soleplate render --issue`");
            return Ok(Outcome::Errors);
        }
    };
    let (package, findings) = sources.open()?;
    let built = package.build(&sources.sheet);
    if built.trace.is_none() || any_error(&findings) {
        terminal.tell_error(&format!("{name} is false: what it carries cannot be built"));
        for finding in findings.iter().chain(&built.findings).filter(|finding| finding.is_error()) {
            terminal.tell(&format!("  {finding}"));
        }
        return Ok(Outcome::Errors);
    }
    let inside = standing(&package, &built);
    let mut case = Case { name: name.to_string(), sources: &sources, is_as_issued: true, terminal };
    case.compare(&page, &package, &built, &inside)?;
    let is_as_issued = case.is_as_issued;
    let judged = standing_by(&package, &built, wanted.lists, Some(wanted.latest));
    case.tell_objections(&judged);
    if !is_as_issued {
        // What else its sources say of signatures and status would read as if it were said of the page.
        case.say("false: this is not the page that was issued");
        return Ok(Outcome::Errors);
    }
    case.tell_signatures(&judged, wanted.lists.is_some());
    let drawing = Drawing { prefix: "", library: &package.library, colour: false };
    let row = Row::new(&built, review_of(&package, &built, &judged).as_ref(), &judged, &drawing);
    case.say(&format!("status {}; {}", row.status, row.words()));
    let mut outcome = if row.void == 0 { row.outcome } else { row.outcome.max(Outcome::SignatureVoid) };
    for demand in wanted.demands {
        let Some(lacks) = demand.lacks(&row).or_else(|| unknown_keys(demand, wanted.lists.is_some())) else { continue };
        case.say(&format!("not {demand}: {lacks}"));
        outcome = outcome.max(Outcome::NotChecked);
    }
    Ok(outcome)
}

/// Why a role is not proved to the reader by keys that the page itself lists.
fn unknown_keys(demand: &Demand, is_by_own_list: bool) -> Option<String> {
    let asks_who = matches!(demand, Demand::Signed | Demand::Role(..) | Demand::DifferentPeople);
    (asks_who && !is_by_own_list)
        .then(|| "whose keys these are, only the page says; give your own list with --allowed-signers FILE".to_owned())
}

/// One page under examination.
struct Case<'a> {
    name: String,
    sources: &'a Sources,
    /// Whether nothing differs from what its sources give.
    is_as_issued: bool,
    terminal: &'a mut Terminal,
}

impl Case<'_> {
    fn say(&mut self, words: &str) {
        self.terminal.say(&plain(&format!("{}: {words}", self.name)));
    }

    fn fail(&mut self, words: &str) {
        self.is_as_issued = false;
        self.terminal.tell_error(&format!("{}: {words}", self.name));
    }

    fn compare(&mut self, page: &[u8], package: &Package, built: &Built, inside: &Standing) -> anyhow::Result<()> {
        let Some(trace) = &built.trace else { return Ok(()) };
        let issued = String::from_utf8_lossy(self.sources.results()).into_owned();
        let differing = differing_results(&issued, &results(trace));
        for (before, now) in differing.iter().take(TOLD_LIMIT) {
            self.fail("a result is another");
            self.terminal.tell(&format!("  issued: {before}\n  now:    {now}"));
        }
        if differing.len() > TOLD_LIMIT {
            self.terminal.tell(&format!("  and {} results more", differing.len() - TOLD_LIMIT));
        }
        if self.sources.program != PROGRAM {
            let words = format!(
                "issued by {}, run anew by {PROGRAM} with the clauses that it carries; the page itself cannot be compared, {}",
                self.sources.program,
                if differing.is_empty() { "all results are the same" } else { "and results differ" }
            );
            self.say(&words);
            return Ok(());
        }
        for name in self.sources.not_as_shipped() {
            self.fail(&format!("it carries `{name}` in the name of the library, but this program ships another text"));
        }
        let review = review_of(package, built, inside);
        let files = pages_of(package, built, review.as_ref(), inside, true)?;
        let Some((_, expected)) = files.first() else { return Ok(()) };
        match first_difference(page, expected) {
            Some(difference) => {
                self.fail(&format!("line {} is not what the page was made of gives", difference.line));
                let (found, expected) = (difference.found, difference.expected);
                self.terminal.tell(&format!("  found:    {found}\n  expected: {expected}"));
            }
            None => self.say("every byte is as its sources give it"),
        }
        Ok(())
    }

    fn tell_objections(&mut self, standing: &Standing) {
        for words in standing.void_in_words() {
            self.terminal.tell_error(&format!("{}: {words}", self.name));
        }
        for (path, why) in &standing.unreadable {
            self.terminal.tell_error(&format!("{}: {path} {why}", self.name));
        }
    }

    fn tell_signatures(&mut self, standing: &Standing, is_by_own_list: bool) {
        if standing.sign_offs.is_empty() && standing.unreadable.is_empty() {
            self.say("nobody has signed it");
            return;
        }
        if standing.held().next().is_some() {
            self.say(&format!("the rules that were signed: {}", standing.rules));
        }
        for (signed, state) in standing.states() {
            let facts = signed.statement.facts();
            match state {
                SignOffState::Good => {
                    self.say(&format!("as {}, {}, date stated {}", facts.role, signed.verdict, facts.date));
                }
                SignOffState::Former => {
                    let words = format!("for revision {} signed by {} as {}", facts.revision, facts.signer, facts.role);
                    self.say(&words);
                }
                // Told above.
                SignOffState::Void(_) => {}
            }
        }
        self.say(match is_by_own_list {
            true => "whose keys these are was judged by your own list",
            false => "whose keys these are, the page says itself: compare them, or use --allowed-signers",
        });
    }
}

/// The bytes of a file outside any package.
pub(super) fn read(path: &Path) -> Result<Vec<u8>, Failure> {
    let folder = match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    };
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let disk = Disk::new(folder);
    let cannot = |error: std::io::Error| Failure::unreadable(format!("`{}` cannot be read: {error}", path.display()));
    if disk.size(&name).map_err(cannot)? > SIZE_LIMIT {
        return Err(Failure::unreadable(format!("`{}` is larger than any page", path.display())));
    }
    disk.read(&name).map_err(cannot)
}
