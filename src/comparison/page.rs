//! A comparison in the words of its page.

use super::change::{LineChange, LineSaid, Side};
use super::words::ClauseChange;
use super::{Calculation, Comparison, Kind, Standing};
use crate::compile::{LineId, Work};
use crate::evaluate::Trace;
use crate::render::address::Addresses;
use crate::render::comparison::{ChangeRow, ComparedView, FormulaRow, OutcomeView, SaidRow, StandingView, WordsRow};
use crate::render::difference::percent_text;
use crate::render::markup::Markup;
use crate::render::math;
use crate::render::view::VerdictView;
use crate::render::wording::Wording;

/// What a page shows of a calculation that is on both sides.
pub fn page(path: &str, comparison: &Comparison, old: Calculation<'_>, new: Calculation<'_>) -> ComparedView {
    let rows = |kind: Kind| -> Vec<ChangeRow> {
        comparison.of_kind(kind).into_iter().map(|(change, _)| row(change)).collect()
    };
    let results = comparison.changes.iter().filter(|change| change.kind == Kind::Result && !change.is_in_clause);
    let formula = |(change, uses): (&LineChange, usize)| FormulaRow {
        number: change.new.line,
        description: Wording::described(&change.description),
        uses: if uses > 1 { format!("in {uses} uses of the clause") } else { String::new() },
        old: equation(old.trace, change.lines.0),
        new: equation(new.trace, change.lines.1),
        percent: change.percent.map_or_else(String::new, percent_text),
    };
    ComparedView {
        path: path.to_owned(),
        name: comparison.new.name(),
        only: "",
        old: Some(standing(&comparison.old)),
        new: Some(standing(&comparison.new)),
        kept_revision: comparison.kept_revision().unwrap_or_default().to_owned(),
        flipped: rows(Kind::Flipped),
        inputs: rows(Kind::Input),
        formulas: comparison.of_kind(Kind::Formula).into_iter().map(formula).collect(),
        checks: rows(Kind::Check),
        results: results.map(row).collect(),
        working: comparison.results_in_clauses().map(row).collect(),
        removed: comparison.removed.iter().map(said).collect(),
        added: comparison.added.iter().map(said).collect(),
        moved: comparison.moved.iter().map(said).collect(),
        words: words(comparison),
        prose_removed: comparison.prose.removed.clone(),
        prose_added: comparison.prose.added.clone(),
    }
}

/// What a page shows of a calculation that is gone or new.
pub fn page_of_one(path: &str, calculation: Calculation<'_>, is_gone: bool) -> ComparedView {
    let addresses = Addresses::new(calculation.trace);
    let own = super::standing(calculation, &Wording::new(calculation.trace, &addresses));
    let shown = Some(standing(&own));
    let (old, new) = if is_gone { (shown, None) } else { (None, shown) };
    let only = if is_gone { "gone" } else { "new" };
    ComparedView { path: path.to_owned(), name: own.name(), only, old, new, ..ComparedView::default() }
}

impl Standing {
    /// Number and title.
    pub fn name(&self) -> String {
        match self.number.is_empty() {
            true => self.title.clone(),
            false => format!("{} {}", self.number, self.title),
        }
    }
}

/// A standing for the template.
fn standing(standing: &Standing) -> StandingView {
    StandingView {
        revision: standing.revision.clone(),
        verdict: outcome(standing.verdict),
        governing: Wording::described(&standing.governing),
        ratio: standing.ratio.clone(),
    }
}

/// How something came out, with its shape.
fn outcome(words: &str) -> VerdictView {
    VerdictView { words: words.to_owned(), slug: words.replace(' ', "-") }
}

fn row(change: &LineChange) -> ChangeRow {
    let is_told = matches!(change.kind, Kind::Flipped | Kind::Check);
    let outcome_of =
        |side: &Side| is_told.then(|| OutcomeView { ratio: side.ratio.clone(), verdict: outcome(side.outcome) });
    ChangeRow {
        number: change.new.line,
        symbol: if change.symbol.is_empty() { Markup::new() } else { math::symbol_html(&change.symbol) },
        description: Wording::described(&change.description),
        old: change.old.value.clone(),
        new: change.new.value.clone(),
        old_outcome: outcome_of(&change.old),
        new_outcome: outcome_of(&change.new),
        percent: change.percent.map_or_else(String::new, percent_text),
    }
}

/// The equation of a line, or the words of the use of a clause, which has none; nothing in it leads anywhere, since its
/// own page is another one.
fn equation(trace: &Trace, line: LineId) -> Markup {
    let mut out = Markup::new();
    match trace.compiled.notes.line(line).work {
        Work::Use(_) | Work::Figure => out.say(&crate::review::line_text(trace, line)),
        _ => math::equation(&mut out, trace, line, &Addresses::none()),
    }
    out
}

fn said(said: &LineSaid) -> SaidRow {
    SaidRow { number: said.line, description: Wording::described(&said.description), text: said.text.clone() }
}

/// All that is said in other words.
fn words(comparison: &Comparison) -> Vec<WordsRow> {
    let row =
        |what: &str, old: &str, new: &str| WordsRow { what: what.to_owned(), old: old.to_owned(), new: new.to_owned() };
    let mut rows: Vec<WordsRow> = comparison.front.iter().map(|field| row(field.key, &field.old, &field.new)).collect();
    rows.extend(
        comparison.modes.iter().map(|mode| row(&format!("{} ({})", mode.mode, mode.standard), &mode.old, &mode.new)),
    );
    for clause in &comparison.clauses {
        rows.extend(clause_rows(clause).map(|(what, old, new)| WordsRow { what, old, new }));
    }
    for (change, _) in comparison.of_kind(Kind::Words) {
        let what = format!("line {} {}", change.new.line, change.symbol);
        let (old, new) = change.words();
        rows.push(row(what.trim_end(), &old, &new));
    }
    rows
}

/// What changed of a clause: which words, as they were and as they are.
pub fn clause_rows(clause: &ClauseChange) -> impl Iterator<Item = (String, String, String)> + '_ {
    let version = |version: &Option<String>| match version {
        Some(version) => format!("version {version}"),
        None => "not used".to_owned(),
    };
    let versions = (clause.old != clause.new)
        .then(|| (format!("clause {}", clause.path), version(&clause.old), version(&clause.new)));
    let fields = clause
        .fields
        .iter()
        .map(|field| (format!("clause {}, {}", clause.path, field.key), field.old.clone(), field.new.clone()));
    let prose = (!clause.prose.is_empty()).then(|| {
        let text = |list: &[String]| list.join(" ");
        (format!("clause {}, prose", clause.path), text(&clause.prose.removed), text(&clause.prose.added))
    });
    versions.into_iter().chain(fields).chain(prose)
}

impl LineChange {
    /// Description and reference as they were and as they are, whichever of them changed.
    pub fn words(&self) -> (String, String) {
        let joined = |side: &Side| {
            let is_other = |a: &str, b: &str| a != b;
            let mut parts = Vec::new();
            if is_other(&self.old.description, &self.new.description) {
                parts.push(side.description.clone());
            }
            if is_other(&self.old.reference, &self.new.reference) {
                parts.push(format!("@ {}", side.reference));
            }
            parts.join(" ")
        };
        (joined(&self.old), joined(&self.new))
    }
}
