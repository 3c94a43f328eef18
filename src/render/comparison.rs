//! What the page of a comparison is made of, in the words of its template.

use super::markup::Markup;
use super::view::VerdictView;
use serde::Serialize;

/// The page of a comparison.
#[derive(Clone, Debug, Serialize)]
pub struct ComparisonView {
    /// What was compared.
    pub title: String,
    /// The older side, as it was named.
    pub old: String,
    /// The newer side, as it was named.
    pub new: String,
    /// How many calculations differ, in a sentence.
    pub tally: String,
    /// Calculations that differ, are gone or are new.
    pub sheets: Vec<ComparedView>,
    /// Paths of those that say the same.
    pub equal: Vec<String>,
    /// Version of the program.
    pub program: String,
}

/// A calculation on both sides.
#[derive(Clone, Debug, Default, Serialize)]
pub struct ComparedView {
    /// Its path, as it is now.
    pub path: String,
    /// Number and title.
    pub name: String,
    /// Where it is found where that is not both sides: `gone` or `new`; empty otherwise.
    pub only: &'static str,
    /// How it came out.
    pub old: Option<StandingView>,
    /// How it comes out.
    pub new: Option<StandingView>,
    /// The revision that both bear although they differ; empty otherwise.
    pub kept_revision: String,
    /// Checks that came out in another way, and lines that became valid or not valid.
    pub flipped: Vec<ChangeRow>,
    /// Values that the calculation starts from.
    pub inputs: Vec<ChangeRow>,
    /// Formulas.
    pub formulas: Vec<FormulaRow>,
    /// Checks that came out as before.
    pub checks: Vec<ChangeRow>,
    /// Results of the sheet itself.
    pub results: Vec<ChangeRow>,
    /// Results in the working of clauses.
    pub working: Vec<ChangeRow>,
    /// Lines that are gone.
    pub removed: Vec<SaidRow>,
    /// Lines that are new.
    pub added: Vec<SaidRow>,
    /// Lines that stand elsewhere.
    pub moved: Vec<SaidRow>,
    /// What is said in other words: keys of the front matter, answers to failure modes, clauses, lines.
    pub words: Vec<WordsRow>,
    /// Prose that is gone.
    pub prose_removed: Vec<String>,
    /// Prose that is new.
    pub prose_added: Vec<String>,
}

/// How a calculation came out.
#[derive(Clone, Debug, Serialize)]
pub struct StandingView {
    /// Revision.
    pub revision: String,
    /// Verdict.
    pub verdict: VerdictView,
    /// The governing check.
    pub governing: Markup,
    /// Its ratio.
    pub ratio: String,
}

/// A line with an old and a new value.
#[derive(Clone, Debug, Serialize)]
pub struct ChangeRow {
    /// Its number on the newer page.
    pub number: u32,
    /// Its symbol; empty for a line without one.
    pub symbol: Markup,
    /// What it is.
    pub description: Markup,
    /// The value as it was.
    pub old: String,
    /// The value as it is.
    pub new: String,
    /// Of a check its ratio and how it came out, of a line that became valid or not valid how it came out.
    pub old_outcome: Option<OutcomeView>,
    /// The same, now.
    pub new_outcome: Option<OutcomeView>,
    /// Change in per cent; empty where there is none to tell.
    pub percent: String,
}

/// How a line came out.
#[derive(Clone, Debug, Serialize)]
pub struct OutcomeView {
    /// Ratio as shown; empty where there is none.
    pub ratio: String,
    /// In words.
    pub verdict: VerdictView,
}

/// A formula that changed.
#[derive(Clone, Debug, Serialize)]
pub struct FormulaRow {
    /// Its line's number on the newer page.
    pub number: u32,
    /// What it is.
    pub description: Markup,
    /// In how many uses of its clause it stands, where in several; empty otherwise.
    pub uses: String,
    /// The equation as it was.
    pub old: Markup,
    /// The equation as it is.
    pub new: Markup,
    /// Change of its value in per cent; empty where there is none to tell.
    pub percent: String,
}

/// A line by itself.
#[derive(Clone, Debug, Serialize)]
pub struct SaidRow {
    /// Its number on its page.
    pub number: u32,
    /// What it is.
    pub description: Markup,
    /// Formula and result.
    pub text: String,
}

/// Words as they were and as they are.
#[derive(Clone, Debug, Serialize)]
pub struct WordsRow {
    /// What they are about.
    pub what: String,
    /// As they were.
    pub old: String,
    /// As they are.
    pub new: String,
}
