//! A comparison on the terminal: what flipped, what changed and by how much, in few lines.

use super::{Compared, Result};
use crate::cli::terminal::{Terminal, plain};
use crate::comparison::{Comparison, Kind, LineChange, LineSaid, Side, Standing, clause_rows};
use crate::render::difference::percent_text;

/// Characters of a text that stand in one line with another; longer ones stand below each other.
const BESIDE: usize = 72;
/// Characters of a text that are shown.
const LIMIT: usize = 240;

/// Tells every calculation that differs.
pub(super) fn tell(all: &[Compared], terminal: &mut Terminal) {
    let mut is_first = true;
    for compared in all {
        let lines = match &compared.result {
            Result::Both(comparison) if comparison.is_equal() => continue,
            Result::Both(comparison) => changed(compared, comparison),
            Result::Gone(name) | Result::New(name) => {
                vec![format!("{}  {name}: {}", compared.path, compared.word())]
            }
            Result::Broken => vec![format!("{}: not compared, since it has errors", compared.path)],
        };
        if !std::mem::take(&mut is_first) {
            terminal.say("");
        }
        lines.iter().for_each(|line| terminal.say(plain(line).trim_end()));
    }
}

/// How many calculations came out in which way, and what was not looked at.
pub(super) fn tally(all: &[Compared]) -> String {
    let sheets = if all.len() == 1 { "1 sheet".to_owned() } else { format!("{} sheets", all.len()) };
    let words = ["changed", "new", "gone", "not compared", "equal"];
    let counts = words.map(|word| (all.iter().filter(|compared| compared.word() == word).count(), word));
    let told: Vec<String> =
        counts.iter().filter(|(count, _)| *count > 0).map(|(count, word)| format!("{count} {word}")).collect();
    format!("{sheets}: {}; marks and sign-offs are not compared", told.join(", "))
}

fn changed(compared: &Compared, comparison: &Comparison) -> Vec<String> {
    let mut lines = vec![format!("{}  {}", compared.path, comparison.new.name())];
    if let Some(was) = &compared.old_path {
        lines.push(format!("  was {was}"));
    }
    lines.push(format!("  was {}", standing(&comparison.old)));
    lines.push(format!("  is  {}", standing(&comparison.new)));
    if let Some(revision) = comparison.kept_revision() {
        lines.push(format!("  both are revision {revision}, although the content differs"));
    }
    let mut list = List { lines };
    list.changes("Came out another way", comparison, Kind::Flipped);
    list.changes("Starts from", comparison, Kind::Input);
    list.changes("Formulas", comparison, Kind::Formula);
    list.changes("Checks that came out as before", comparison, Kind::Check);
    list.changes("Results", comparison, Kind::Result);
    let inside = comparison.results_in_clauses().count();
    if inside > 0 {
        let values = if inside == 1 { "value changes" } else { "values change" };
        list.lines.push(format!("\n  {inside} {values} in the working of clauses"));
    }
    list.said("Lines that are gone", &comparison.removed);
    list.said("Lines that are new", &comparison.added);
    list.said("Lines that stand elsewhere", &comparison.moved);
    let modes = comparison.modes.iter().map(|mode| (mode.mode.clone(), mode.old.clone(), mode.new.clone()));
    list.words("Failure modes", modes);
    list.words("Clauses", comparison.clauses.iter().flat_map(clause_rows));
    let front = comparison.front.iter().map(|field| (field.key.to_owned(), field.old.clone(), field.new.clone()));
    list.words("Front matter", front);
    list.changes("Words of lines", comparison, Kind::Words);
    let prose = &comparison.prose;
    if !prose.is_empty() {
        list.lines.push("\n  Prose".to_owned());
        list.lines.extend(prose.removed.iter().map(|text| format!("    was {}", shortened(text))));
        list.lines.extend(prose.added.iter().map(|text| format!("    is  {}", shortened(text))));
    }
    list.lines
}

fn standing(standing: &Standing) -> String {
    let governing = match (standing.governing.is_empty(), standing.ratio.as_str()) {
        (true, _) => String::new(),
        (false, "") => format!(", {}", standing.governing),
        (false, ratio) => format!(", {ratio}: {}", standing.governing),
    };
    format!("{}, {}{governing}", standing.revision, standing.verdict)
}

struct List {
    lines: Vec<String>,
}

impl List {
    fn heading(&mut self, heading: &str) {
        self.lines.push(format!("\n  {heading}"));
    }

    /// The changes of a kind; results in the working of clauses are only counted.
    fn changes(&mut self, heading: &str, comparison: &Comparison, kind: Kind) {
        let is_told = |change: &LineChange| kind != Kind::Result || !change.is_in_clause;
        let changes: Vec<_> = comparison.of_kind(kind).into_iter().filter(|(change, _)| is_told(change)).collect();
        if changes.is_empty() {
            return;
        }
        self.heading(heading);
        for (change, uses) in changes {
            let name = match (change.symbol.as_str(), change.description.as_str()) {
                ("", "") => change.new.formula.clone(),
                ("", description) => description.to_owned(),
                (symbol, "") => symbol.to_owned(),
                (symbol, description) => format!("{symbol}, {description}"),
            };
            let uses = if uses > 1 { format!(" ({uses} uses)") } else { String::new() };
            let head = format!("{}  {name}{uses}", number(change.new.line));
            let percent = change.percent.map_or_else(String::new, |percent| format!("  {}", percent_text(percent)));
            let (old, new) = sides(change, kind);
            self.pair(&head, &old, &new, &percent);
            // A formula tells why, its value by how much.
            if kind == Kind::Formula && change.kind == kind && change.old.value != change.new.value {
                self.lines.push(format!("{:>8}{} → {}", "", change.old.value, change.new.value));
            }
        }
    }

    fn words(&mut self, heading: &str, rows: impl Iterator<Item = (String, String, String)>) {
        for (at, (what, old, new)) in rows.enumerate() {
            if at == 0 {
                self.heading(heading);
            }
            self.pair(&format!("    {what}"), &old, &new, "");
        }
    }

    fn said(&mut self, heading: &str, lines: &[LineSaid]) {
        if lines.is_empty() {
            return;
        }
        self.heading(heading);
        for line in lines {
            let words = if line.description.is_empty() { String::new() } else { format!("{}: ", line.description) };
            self.lines.push(shortened(&format!("{}  {words}{}", number(line.line), line.text)));
        }
    }

    /// Old and new behind what they are of, or below it where they are long.
    fn pair(&mut self, head: &str, old: &str, new: &str, end: &str) {
        let or_none = |text: &str| if text.is_empty() { "nothing".to_owned() } else { shortened(text) };
        let (old, new) = (or_none(old), or_none(new));
        if old.chars().count() + new.chars().count() <= BESIDE {
            self.lines.push(format!("{head}: {old} → {new}{end}"));
        } else {
            self.lines.extend([format!("{head}{end}"), format!("{:>8}was {old}", ""), format!("{:>8}is  {new}", "")]);
        }
    }
}

/// What is told of a change: of a check ratio and verdict, of a formula the formula, of anything else its value.
fn sides(change: &LineChange, kind: Kind) -> (String, String) {
    let told = |side: &Side| match (kind, side.ratio.as_str()) {
        (Kind::Flipped | Kind::Check, "") => outcome(side),
        (Kind::Flipped | Kind::Check, ratio) => format!("{ratio} {}", side.outcome),
        (Kind::Formula, _) if !side.formula.is_empty() => side.formula.clone(),
        _ => side.value.clone(),
    };
    // Where that reads the same, the ratio changed by less than is shown, or the unit, a limit or a clause's origin.
    let in_full = |side: &Side| match kind {
        Kind::Flipped | Kind::Check => outcome(side),
        _ => format!("{} = {}", side.formula, side.value),
    };
    let (old, new) = match kind {
        Kind::Words => change.words(),
        _ => (told(&change.old), told(&change.new)),
    };
    if old == new { (in_full(&change.old), in_full(&change.new)) } else { (old, new) }
}

fn outcome(side: &Side) -> String {
    if side.value.is_empty() { side.outcome.to_owned() } else { format!("{} {}", side.value, side.outcome) }
}

/// A line's number in its column; a figure has none.
fn number(line: u32) -> String {
    if line == 0 { format!("{:>6}", "") } else { format!("{line:>6}") }
}

fn shortened(text: &str) -> String {
    match text.char_indices().nth(LIMIT) {
        Some((end, _)) => format!("{}…", &text[..end]),
        None => text.to_owned(),
    }
}
