//! Whether every failure mode of the standards in use was dealt with: none can be left out silently.
//!
//! A clause says in its front matter which modes its checks answer, and so the library as a whole says which there
//! are. A mode is *verified* if a check for it applies, *not applicable* if none does or a sheet says why,
//! *not verified* if a sheet says so with its reason, and *unanswered* otherwise.

use super::view::{ModeRow, ModeTable};
use super::wording::{Wording, ratio_text, verdict_view};
use crate::compile::{LineId, ScopePart, Work};
use crate::document::{FrontMatter, SheetKind};
use crate::evaluate::{State, Verdict};
use crate::library::Mode;

/// Every failure mode of the standards in use, in the order of their clauses.
pub fn completeness(wording: &Wording<'_>) -> Vec<ModeTable> {
    let compiled = &wording.trace.compiled;
    let fronts: Vec<&FrontMatter> = compiled.notes.scopes.iter().map(|scope| &scope.document.front).collect();
    let is_in_use = |mode: &&Mode| fronts.iter().any(|front| front.standard == mode.standard);
    let mut tables: Vec<ModeTable> = Vec::new();
    let mut last_family = None;
    for mode in compiled.modes.iter().filter(is_in_use) {
        let (row, family) = row(wording, &fronts, mode);
        let is_same_family = family.is_some() && family == last_family;
        match tables.last_mut() {
            Some(table) if table.standard == mode.standard => match table.rows.last_mut() {
                // One reason for a whole family, such as fire, stands in one row.
                Some(last) if is_same_family => last.mode = family.clone().unwrap_or_default(),
                _ => table.rows.push(row),
            },
            _ => tables.push(ModeTable { standard: mode.standard.clone(), rows: vec![row] }),
        }
        last_family = family;
    }
    tables
}

const NOT_APPLICABLE: &str = "not applicable";

/// The row of a mode, and the name by which a sheet gives a reason for it and others.
fn row(wording: &Wording<'_>, fronts: &[&FrontMatter], mode: &Mode) -> (ModeRow, Option<String>) {
    let mut row = ModeRow {
        mode: mode.name.clone(),
        clause: mode.clause.clone(),
        answer: "not verified".to_owned(),
        is_open: false,
        is_unanswered: false,
        stated: String::new(),
        verdict: None,
        id: String::new(),
        number: 0,
        ratio: String::new(),
        reason: String::new(),
    };
    let mut family = None;
    let answers = answers(wording, mode);
    if let Some(answer) = answers.iter().min_by(|a, b| a.verdict.cmp(&b.verdict).then(b.ratio.total_cmp(&a.ratio))) {
        row.id = wording.addresses.line(answer.line).to_owned();
        row.number = wording.trace.number(answer.line);
        match answer.verdict {
            Verdict::NotApplicable => {
                row.answer = NOT_APPLICABLE.to_owned();
                row.reason = wording.reason(answer.line);
            }
            verdict => {
                row.answer = "verified".to_owned();
                row.verdict = Some(verdict_view(verdict));
                if answer.ratio.is_finite() {
                    row.ratio = ratio_text(answer.ratio);
                }
            }
        }
    } else if let Some(reason) = idle(wording, mode) {
        row.answer = NOT_APPLICABLE.to_owned();
        row.reason = reason;
    } else if let Some(said) = said(fronts, |front| &front.not_applicable, mode) {
        row.answer = NOT_APPLICABLE.to_owned();
        (family, row.reason, row.stated) = (Some(said.name), said.reason, said.by);
    } else if let Some(said) = said(fronts, |front| &front.not_verified, mode) {
        row.is_open = true;
        (family, row.reason, row.stated) = (Some(said.name), said.reason, said.by);
    } else {
        row.is_open = true;
        row.is_unanswered = true;
        row.answer = "unanswered".to_owned();
        row.reason = "no clause for it is used".to_owned();
    }
    (row, family)
}

/// A check or a requirement that answers a mode.
struct Answer {
    line: LineId,
    verdict: Verdict,
    /// Minus infinity for a requirement, which has none.
    ratio: f64,
}

fn answers(wording: &Wording<'_>, mode: &Mode) -> Vec<Answer> {
    let trace = wording.trace;
    let notes = &trace.compiled.notes;
    let mut checks = Vec::new();
    let mut requirements = Vec::new();
    for id in &trace.order {
        let line = notes.line(*id);
        let front = &notes.scope(line.scope).document.front;
        if !shows(front, mode) {
            continue;
        }
        match &line.work {
            Work::Check(_) if is_of_another(front, mode, &line.description) => {}
            Work::Check(check) => {
                let ratio = trace.register(check.ratio);
                checks.push(Answer { line: *id, verdict: trace.verdict(*id, check), ratio });
            }
            Work::Require { .. } => {
                let holds = trace.state(*id) == State::Sound;
                let verdict = if holds { Verdict::Satisfied } else { Verdict::NotValid };
                requirements.push(Answer { line: *id, verdict, ratio: f64::NEG_INFINITY });
            }
            _ => {}
        }
    }
    // Requirements that hold are answers only of clauses that have no check; one that fails always counts.
    if !checks.is_empty() {
        requirements.retain(|answer| answer.verdict == Verdict::NotValid);
    }
    checks.append(&mut requirements);
    checks
}

fn shows(front: &FrontMatter, mode: &Mode) -> bool {
    front.standard == mode.standard && front.shows.contains(&mode.name)
}

/// Whether a check of a clause that shows several modes is called by the name of another one.
fn is_of_another(front: &FrontMatter, mode: &Mode, check: &str) -> bool {
    // The longest name that fits counts: one mode may be called as the beginning of another.
    let named = front.shows.iter().filter(|name| check.starts_with(name.as_str())).max_by_key(|name| name.len());
    named.is_some_and(|name| *name != mode.name)
}

/// Why a clause that was to be used for each row was used for none.
fn idle(wording: &Wording<'_>, mode: &Mode) -> Option<String> {
    let mut parts = wording.trace.compiled.notes.scopes.iter().flat_map(|scope| &scope.parts);
    parts.find_map(|part| match part {
        ScopePart::Idle(idle) if shows(&idle.clause.sheet().0.document.front, mode) => Some(idle.reason.clone()),
        _ => None,
    })
}

/// A reason that stands in the front matter of the sheet or of a clause in use.
struct Said {
    /// The mode, or the beginning that it shares with others.
    name: String,
    reason: String,
    by: String,
}

/// What is said of a mode: `fire: …` speaks of all modes that begin with `fire`.
fn said(fronts: &[&FrontMatter], list: impl Fn(&FrontMatter) -> &Vec<String>, mode: &Mode) -> Option<Said> {
    let mode = mode.name.to_lowercase();
    let mut entries = fronts.iter().flat_map(|front| list(front).iter().map(move |entry| (front, entry)));
    entries.find_map(|(front, entry)| {
        let (name, reason) = entry.split_once(':')?;
        let name = name.trim().to_lowercase();
        let by = match front.kind {
            SheetKind::Calculation if std::ptr::eq(*front, fronts[0]) => "stated by this sheet".to_owned(),
            SheetKind::Calculation => format!("stated by {}", front.number),
            SheetKind::Clause => format!("stated by the clause “{}”", front.title),
        };
        mode.starts_with(&name).then(|| Said { name, reason: reason.trim().to_owned(), by })
    })
}

/// The modes of which nothing was said at all, those that share a beginning such as `fire` together.
pub fn unanswered(tables: &[ModeTable]) -> Vec<String> {
    let mut groups: Vec<(&str, Vec<&str>)> = Vec::new();
    let rows = tables.iter().flat_map(|table| &table.rows);
    for mode in rows.filter(|row| row.is_unanswered).map(|row| row.mode.as_str()) {
        let beginning = mode.split(", ").next().unwrap_or(mode);
        match groups.iter_mut().find(|(other, _)| *other == beginning) {
            Some((_, modes)) => modes.push(mode),
            None => groups.push((beginning, vec![mode])),
        }
    }
    let told = groups.into_iter().map(|(beginning, modes)| match modes.as_slice() {
        [mode] => (*mode).to_owned(),
        modes => format!("{beginning} ({} modes)", modes.len()),
    });
    told.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::package::{Memory, Package};
    use crate::render::address::Addresses;

    const FRONT: &str = "title = \"T\"\nnumber = \"1\"\nrevision = \"A\"\npurpose = \"p\"\nscope = \"s\"\n";

    fn clause(name: &str, number: &str, body: &str) -> String {
        format!(
            "+++\nkind = \"clause\"\ntitle = \"{name}\"\nstandard = \"S\"\nclause = \"{number}\"\nversion = \"1\"\n\
             scope = \"s\"\nbasis = \"b\"\nshows = [\"{name}\"]\n+++\n{body}"
        )
    }

    /// Mode, answer, result or reason.
    #[track_caller]
    fn answers(front: &str, blocks: &str) -> Vec<String> {
        let takes = "\n```clause\ntakes q : number\n```\n";
        let check = |rest: &str| format!("{takes}\n```verify\nq <= 2 \"check\" {rest}\n```\n");
        let files = Memory::default()
            .with("clauses/s/crushing.md", clause("crushing", "7.10", &check("")))
            .with("clauses/s/tearing.md", clause("tearing", "7.9", &check("when q > 1 otherwise \"q is small\"")))
            .with("clauses/s/room.md", clause("room", "7.2", &format!("{takes}\n```derive\nrequire q > 0\n```\n")))
            .with("clauses/s/fire.md", clause("fire, heat", "D.1", &check("")))
            .with("clauses/s/smoke.md", clause("fire, smoke", "D.2", &check("")))
            .with("a.md", format!("+++\n{FRONT}{front}+++\n{blocks}"));
        let (package, _) = Package::open(Box::new(files)).unwrap();
        let built = package.build("a.md");
        let trace = built.trace.unwrap_or_else(|| panic!("{:#?}", built.findings));
        let addresses = Addresses::new(&trace);
        let tables = completeness(&Wording::new(&trace, &addresses));
        let rows = tables.into_iter().filter(|table| table.standard == "S").flat_map(|table| table.rows);
        rows.map(|row| {
            let result = row.verdict.map_or(row.reason, |verdict| format!("{} {}", verdict.words, row.ratio));
            format!("{}: {}: {}", row.mode, row.answer, result.trim())
        })
        .collect()
    }

    #[test]
    fn no_mode_of_a_standard_in_use_is_left_out() {
        let given = "```given\nq = 1 @ s\nrows = [3, 1] @ s\n```\n";
        assert_eq!(
            answers(
                "not_verified = [\"Fire: outside the scope\"]\n",
                &format!("{given}```clause\nuse s/crushing\n```\n")
            ),
            [
                "room: unanswered: no clause for it is used",
                "tearing: unanswered: no clause for it is used",
                "crushing: verified: satisfied 0.50",
                "fire: not verified: outside the scope",
            ]
        );
        assert_eq!(
            answers(
                "not_applicable = [\"fire: nothing burns\"]\n",
                &format!("{given}```clause\nuse s/crushing for each q of rows\nuse s/tearing\nuse s/room\n```\n")
                    .replace("q = 1 @ s\n", "")
                    .replace("use s/tearing\nuse s/room", "use s/tearing with q = 1\nuse s/room with q = 0")
            ),
            [
                "room: verified: not valid",
                "tearing: not applicable: q is small",
                "crushing: verified: not satisfied 1.50",
                "fire: not applicable: nothing burns",
            ]
        );
    }

    #[test]
    fn a_clause_used_for_no_row_is_not_applicable() {
        let blocks = "```given\nedges = table distance in mm @ s\nq = 1 @ s\n```\n\
            ```clause\nuse s/tearing for each edge of edges\nuse s/room\n```\n";
        assert_eq!(answers("", blocks)[1], "tearing: not applicable: edges has no row");
    }

    #[test]
    fn a_check_answers_the_mode_it_is_called_by_and_a_failed_condition_every_one() {
        let clause = |shows: &str, body: &str| {
            format!(
                "+++\nkind = \"clause\"\ntitle = \"C\"\nstandard = \"S\"\nclause = \"1\"\nversion = \"1\"\n\
                 scope = \"s\"\nbasis = \"b\"\nshows = [{shows}]\n+++\n```clause\ntakes q : number\n```\n{body}"
            )
        };
        let sides = "```verify\nq <= 2 \"left side\"\nq <= 4 \"left side and right\"\nq <= 8 \"sum\"\n```\n";
        let told = |q: &str| {
            let files = Memory::default()
                .with("clauses/s/sides.md", clause("\"left side\", \"left side and right\"", sides))
                .with("clauses/s/room.md", clause("\"left side\"", "```derive\nrequire q < 2\n```\n"))
                .with(
                    "a.md",
                    format!("+++\n{FRONT}+++\n```given\nq = {q} @ s\n```\n```clause\nuse s/sides\nuse s/room\n```\n"),
                );
            let (package, _) = Package::open(Box::new(files)).unwrap();
            let built = package.build("a.md");
            let trace = built.trace.unwrap_or_else(|| panic!("{:#?}", built.findings));
            let addresses = Addresses::new(&trace);
            let tables = completeness(&Wording::new(&trace, &addresses));
            let rows = tables.into_iter().flat_map(|table| table.rows);
            let row = |row: ModeRow| format!("{}: {} {}", row.mode, row.verdict.unwrap().words, row.ratio);
            rows.map(row).collect::<Vec<_>>()
        };
        assert_eq!(told("1"), ["left side: satisfied 0.50", "left side and right: satisfied 0.25"]);
        // The check of the mode holds, but not the condition that another clause has for it.
        assert_eq!(told("2"), ["left side: not valid ", "left side and right: satisfied 0.50"]);
    }

    #[test]
    fn a_standard_that_is_not_used_has_no_table() {
        assert!(answers("", "```given\nq = 1 @ s\n```\n").is_empty());
    }
}
