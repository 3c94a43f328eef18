//! A comparison with one of everything.

use crate::render::comparison::{
    ChangeRow, ComparedView, ComparisonView, FormulaRow, OutcomeView, SaidRow, StandingView, WordsRow,
};
use crate::render::markup::Markup;
use crate::render::view::VerdictView;

/// The view, every text of it passed through a function.
pub fn sample(text: &dyn Fn(&str) -> String) -> ComparisonView {
    let set = |words: &str| Markup::text(&text(words));
    let verdict = |words: &str| VerdictView { words: text(words), slug: words.replace(' ', "-") };
    let outcome = |ratio: &str, words: &str| Some(OutcomeView { ratio: text(ratio), verdict: verdict(words) });
    let change = |name: &str, is_check: bool| ChangeRow {
        number: 7,
        symbol: set(&format!("{name} symbol")),
        description: set(name),
        old: text(&format!("{name} was")),
        new: text(&format!("{name} is")),
        old_outcome: if is_check { outcome("0.94", "satisfied") } else { None },
        new_outcome: if is_check { outcome("1.04", "not satisfied") } else { None },
        percent: text(&format!("{name} +10 %")),
    };
    let said = |name: &str| SaidRow { number: 8, description: set(name), text: text(&format!("{name} formula")) };
    let standing = |revision: &str| {
        Some(StandingView {
            revision: text(revision),
            verdict: verdict("satisfied"),
            governing: set("pull-out"),
            ratio: text("0.94"),
        })
    };
    let changed = ComparedView {
        path: text("b4.md"),
        name: text("FTD-ST-CALC-014 Gantry column base"),
        only: "",
        old: standing("P01"),
        new: standing("P02"),
        kept_revision: text("P02"),
        flipped: vec![change("flipped", true)],
        inputs: vec![change("input", false)],
        formulas: vec![FormulaRow {
            number: 9,
            description: set("formula"),
            uses: text("in 2 uses of the clause"),
            old: set("old formula"),
            new: set("new formula"),
            percent: text("+1 %"),
        }],
        checks: vec![change("check", true)],
        results: vec![change("result", false)],
        working: vec![change("working", false)],
        removed: vec![said("removed")],
        added: vec![said("added")],
        moved: vec![said("moved")],
        words: vec![WordsRow { what: text("scope"), old: text("old scope"), new: text("new scope") }],
        prose_removed: vec![text("old prose")],
        prose_added: vec![text("new prose")],
    };
    let gone = ComparedView {
        path: text("b5.md"),
        name: text("FTD-ST-CALC-015"),
        only: "gone",
        old: standing("P03"),
        ..ComparedView::default()
    };
    ComparisonView {
        title: text("Comparison"),
        old: text("HEAD~1"),
        new: text("the current folder"),
        tally: text("3 sheets: 1 changed, 1 gone, 1 equal."),
        sheets: vec![changed, gone],
        equal: vec![text("b6.md")],
        program: text("soleplate"),
    }
}
