//! The working of a calculation: every block, clause, figure and line in order, as HTML.
//!
//! A calculation has hundreds of lines, so they are written here and not by a template; how they look is said by the
//! style sheets alone. [`line`](mod@line) writes a line, this file what stands around the lines.

mod line;
#[cfg(test)]
mod tests;

use super::card;
use super::figure;
use super::markup::Markup;
use super::prose::{Prose, Setting};
use super::records;
use super::wording::{Wording, slug};
use crate::compile::{Idle, LineId, ScopeId, ScopePart, Work};
use crate::document::BlockKind;
use crate::evaluate::Verdict;
use crate::syntax::StatementKind;
use std::sync::Arc;

/// The bytes of an image of the package.
pub type Image<'a> = dyn Fn(&str) -> Option<Vec<u8>> + 'a;

/// The working, and the footnotes of its prose.
pub fn working(wording: &Wording<'_>, image: &Image<'_>) -> (Markup, Markup) {
    let out = Markup::with_capacity(1024 * wording.trace.order.len());
    let mut writer = Writer { wording, image, figures: 0, out, footnotes: Markup::new() };
    writer.scope(ScopeId(0), FIRST_LEVEL);
    (writer.out, writer.footnotes)
}

/// Level of the headings in the prose of a sheet; those of a clause come below the clause's own.
const FIRST_LEVEL: u8 = 2;

struct Writer<'a> {
    wording: &'a Wording<'a>,
    image: &'a Image<'a>,
    figures: u32,
    out: Markup,
    footnotes: Markup,
}

impl Writer<'_> {
    /// Everything of the sheet or of one use of a clause.
    fn scope(&mut self, id: ScopeId, level: u8) {
        let wording = self.wording;
        let notes = &wording.trace.compiled.notes;
        let scope = notes.scope(id);
        let address = |name: &str| address(wording, id, name);
        // A clause's images lie in the library, which has none.
        let image = |path: &str| if id == ScopeId(0) { (self.image)(path) } else { None };
        let prefix = if id == ScopeId(0) { String::new() } else { format!("{}.", wording.addresses.scope(id)) };
        let setting = Setting { address: &address, image: &image, prefix: &prefix, level };
        let mut prose = Prose::new(&scope.document, setting);
        let mut figures = Vec::new();
        for part in &scope.parts {
            if let ScopePart::Figure(index) = part {
                figures.push(*index);
                continue;
            }
            if let ScopePart::Prose(index) = part {
                let html = prose.part(*index);
                self.footnotes.push(prose.take_footnotes());
                if html.is_empty() {
                    continue;
                }
                self.figures(&mut figures);
                self.out.tags("\n<div class=\"prose\">");
                self.out.push(html);
                self.out.tags("</div>");
                continue;
            }
            self.figures(&mut figures);
            match part {
                ScopePart::Lines(kind, lines) => self.block(*kind, lines),
                ScopePart::Use(line, inner) => self.clause(*line, *inner, level),
                ScopePart::Idle(idle) => self.idle(idle),
                ScopePart::Card(at) => self.card(*at),
                ScopePart::Prose(_) | ScopePart::Figure(_) => {}
            }
        }
        self.figures(&mut figures);
    }

    /// Where a card stands, which has a page of its own.
    fn card(&mut self, at: usize) {
        self.out.tags("\n<p class=\"prose\"><a href=\"#");
        self.out.say(&card::address(at));
        self.out.tags("\">");
        self.out.say(&self.wording.trace.compiled.notes.cards[at].title);
        self.out.tags("</a> <span class=\"aside\">stands on a page of its own</span></p>");
    }

    fn block(&mut self, kind: BlockKind, lines: &[LineId]) {
        self.out.tags("\n<div class=\"block ");
        self.out.tags(kind.name());
        self.out.tags("\">");
        for (passes, run) in runs(lines, |id| self.wording.passes(*id)) {
            self.out.tags(if passes { "\n<div class=\"passed\">" } else { "" });
            for id in run {
                self.out.tags("\n");
                if passes {
                    line::write_passed(&mut self.out, self.wording, *id);
                } else {
                    line::write(&mut self.out, self.wording, *id);
                    if let Some(used) = self.wording.trace.compiled.notes.records_of(*id) {
                        records::report(&mut self.out, used);
                    }
                }
            }
            self.out.tags(if passes { "</div>" } else { "" });
        }
        self.out.tags("\n</div>");
    }

    /// Figures that follow each other stand in pairs side by side.
    fn figures(&mut self, waiting: &mut Vec<usize>) {
        let trace = self.wording.trace;
        for pair in waiting.chunks(2) {
            self.out.tags(if pair.len() == 2 { "\n<div class=\"figures pair\">" } else { "\n<div class=\"figures\">" });
            for figure in pair {
                let figure = &trace.compiled.notes.figures[*figure];
                self.figures += 1;
                self.out.tags("\n<figure id=\"figure:");
                self.out.count(self.figures);
                self.out.tags("\">");
                self.out.push(figure::draw(trace, figure));
                self.out.tags("<figcaption><b>Figure ");
                self.out.count(self.figures);
                self.out.tags(".</b> ");
                self.out.say(&figure.caption);
                self.out.tags("</figcaption></figure>");
            }
            self.out.tags("\n</div>");
        }
        waiting.clear();
    }

    /// A use of a clause: its line as the summary of its working, which may be folded.
    fn clause(&mut self, id: LineId, scope: ScopeId, level: u8) {
        let wording = self.wording;
        let (verdicts, level) = (self.verdicts(scope), (level + 1).min(LAST_LEVEL));
        let again = self.first_of_rows(id);
        self.out.tags(if again.is_some() {
            "\n<details class=\"use again\" id=\""
        } else {
            "\n<details class=\"use\" id=\""
        });
        self.out.say(wording.addresses.scope(scope));
        self.out.tags("\" open>\n");
        line::write_use(&mut self.out, wording, id, scope, level, &verdicts);
        self.out.tags("\n<div class=\"within\">");
        line::write_use_remarks(&mut self.out, wording, id);
        if let Some(first) = again {
            self.out.tags("\n<p class=\"on-paper\">Formulas, words and references are those of line ");
            self.out.count(wording.trace.number(first));
            self.out.tags("; here stand the numbers of this row.</p>");
        }
        self.scope(scope, level);
        self.out.tags("\n</div>\n</details>");
    }

    /// The use for the first row, of a use for a further row of one table: on paper its formulas stand once.
    fn first_of_rows(&self, id: LineId) -> Option<LineId> {
        let line = self.wording.line(id);
        let StatementKind::Use(used) = &line.statement.kind else { return None };
        used.each.as_ref()?;
        let notes = &self.wording.trace.compiled.notes;
        let alike = notes.scope(line.scope).parts.iter().find_map(|part| match part {
            ScopePart::Use(other, _) if Arc::ptr_eq(&notes.line(*other).statement, &line.statement) => Some(*other),
            _ => None,
        });
        alike.filter(|first| *first != id)
    }

    /// A clause that had nothing to be used for.
    fn idle(&mut self, idle: &Idle) {
        let (sheet, _) = idle.clause.sheet();
        self.out.tags("\n<p class=\"idle\">");
        self.out.say(&sheet.document.front.title);
        self.out.tags(": ");
        verdict_of(&mut self.out, Verdict::NotApplicable);
        self.out.tags(", since ");
        self.out.say(&idle.reason);
        self.out.tags("</p>");
    }

    /// Each verdict of the checks of a clause and of those that it uses, once.
    fn verdicts(&self, scope: ScopeId) -> Vec<Verdict> {
        let trace = self.wording.trace;
        let notes = &trace.compiled.notes;
        let mut each = Vec::new();
        for (id, check) in trace.checks().filter(|(id, _)| notes.is_within(self.wording.line(*id).scope, scope)) {
            let verdict = trace.verdict(id, check);
            if !each.contains(&verdict) {
                each.push(verdict);
            }
        }
        each
    }
}

/// Neighbours that are alike.
fn runs(lines: &[LineId], is: impl Fn(&LineId) -> bool) -> Vec<(bool, &[LineId])> {
    lines.chunk_by(|a, b| is(a) == is(b)).map(|run| (run.first().is_some_and(&is), run)).collect()
}

/// The lowest level of headings in HTML.
const LAST_LEVEL: u8 = 6;

/// The address of a symbol of a scope; what the scope itself defines goes before what its data files hold.
fn address(wording: &Wording<'_>, scope: ScopeId, name: &str) -> Option<String> {
    let notes = &wording.trace.compiled.notes;
    let (own, data): (Vec<_>, Vec<_>) = (0..notes.lines.len() as u32)
        .map(LineId)
        .filter(|id| notes.line(*id).scope == scope && notes.line(*id).symbol.as_deref() == Some(name))
        .partition(|id| !matches!(notes.line(*id).work, Work::FromData(_)));
    own.first().or(data.first()).map(|id| wording.addresses.line(*id).to_owned())
}

/// A verdict with the shape that the style sheet draws, which says nothing that the word does not.
fn verdict(out: &mut Markup, slug: &'static str, words: &'static str) {
    out.tags("<span class=\"verdict ");
    out.tags(slug);
    out.tags("\"><i class=\"shape\" aria-hidden=\"true\"></i>");
    out.tags(words);
    out.tags("</span>");
}

/// The verdict on a check.
fn verdict_of(out: &mut Markup, of: Verdict) {
    verdict(out, slug(of), of.words());
}
