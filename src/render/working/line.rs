//! One line of the working: number, description, equation, outcome, and in the margin where it comes from and leads to.

use super::{verdict, verdict_of};
use crate::compile::{Check, Line, LineId, ScopeId, Value, Work};
use crate::evaluate::{State, Verdict};
use crate::render::markup::Markup;
use crate::render::math;
use crate::render::review::{write_notes, write_words};
use crate::render::wording::{Wording, is_unsourced, ratio_text};
use crate::syntax::StatementKind;

/// Writes a line of a block.
pub(super) fn write(out: &mut Markup, wording: &Wording<'_>, id: LineId) {
    let line = wording.line(id);
    let is_faulty = wording.trace.state(id) != State::Sound;
    out.tags("<div class=\"line ");
    out.tags(work_name(&line.work));
    out.tags(if is_faulty { " faulty\" id=\"" } else { "\" id=\"" });
    out.say(wording.addresses.line(id));
    out.tags("\"");
    if let Work::Check(check) = &line.work {
        name_check(out, wording, id, check);
    }
    out.tags(">");
    number(out, wording, id);
    out.tags("<div class=\"text\">");
    if !line.description.is_empty() {
        out.tags("<p class=\"d\">");
        math::described(out, &line.description);
        out.tags("</p>");
    }
    math::equation(out, wording.trace, id, wording.addresses);
    remarks(out, wording, line);
    outcome(out, wording, id, is_faulty);
    let remarks = wording.remarks(id);
    if let Some(remarks) = remarks {
        write_notes(out, remarks);
    }
    out.tags("</div>");
    if has_origin(line) || remarks.is_some() {
        out.tags("<p class=\"margin\">");
        origin(out, line);
        if let Some(remarks) = remarks {
            write_words(out, remarks);
        }
        out.tags("</p>");
    }
    if !wording.used_in(id).is_empty() {
        out.tags("<p class=\"used\">");
        used_in(out, wording, id);
        out.tags("</p>");
    }
    out.tags("</div>");
}

/// Writes a line that only passes a value on: what it is stands with the clause that passes it.
pub(super) fn write_passed(out: &mut Markup, wording: &Wording<'_>, id: LineId) {
    out.tags("<span class=\"pass\" id=\"");
    out.say(wording.addresses.line(id));
    out.tags("\">");
    number(out, wording, id);
    out.tags(" ");
    math::equation(out, wording.trace, id, wording.addresses);
    if let Some(remarks) = wording.remarks(id) {
        out.tags(" ");
        write_words(out, remarks);
    }
    out.tags("</span>");
}

/// Writes the line that uses a clause, as the summary of its working.
pub(super) fn write_use(
    out: &mut Markup,
    wording: &Wording<'_>,
    id: LineId,
    scope: ScopeId,
    level: u8,
    verdicts: &[Verdict],
) {
    let line = wording.line(id);
    let title = &wording.trace.compiled.notes.scope(scope).document.front.title;
    let (open, close) = match level {
        ..=3 => ("<h3>", "</h3>"),
        4 => ("<h4>", "</h4>"),
        5 => ("<h5>", "</h5>"),
        6.. => ("<h6>", "</h6>"),
    };
    out.tags("<summary class=\"line\" id=\"");
    out.say(wording.addresses.line(id));
    out.tags("\">");
    number(out, wording, id);
    out.tags("<span class=\"text\">");
    out.tags(open);
    out.say(title);
    out.tags(close);
    if !line.description.is_empty() && line.description != *title {
        out.tags(" <span class=\"d\">");
        math::described(out, &line.description);
        out.tags("</span>");
    }
    for each in verdicts {
        out.tags(" ");
        verdict_of(out, *each);
    }
    out.tags("</span><span class=\"margin\">");
    // The reference of the clause comes before one that the sheet gives for using it.
    out.tags("<span class=\"reference\">");
    out.say(&wording.clause_reference(scope));
    out.tags("</span> ");
    let origin_of_clause = wording.clause_origin(scope);
    if !origin_of_clause.is_empty() {
        mark(out, origin_of_clause);
    }
    origin(out, line);
    if let Some(remarks) = wording.remarks(id) {
        write_words(out, remarks);
    }
    out.tags("</span>");
    if !wording.used_in(id).is_empty() {
        out.tags("<span class=\"used\">");
        used_in(out, wording, id);
        out.tags("</span>");
    }
    out.tags("</summary>");
}

/// What is wrong with the use of a clause, and what was asked about it, below its summary.
pub(super) fn write_use_remarks(out: &mut Markup, wording: &Wording<'_>, id: LineId) {
    let is_faulty = wording.trace.state(id) != State::Sound;
    let remarks = wording.remarks(id).filter(|remarks| remarks.has_notes());
    if !is_faulty && remarks.is_none() {
        return;
    }
    out.tags("\n<div class=\"line use-line\"><div class=\"text\">");
    outcome(out, wording, id, is_faulty);
    if let Some(remarks) = remarks {
        write_notes(out, remarks);
    }
    out.tags("</div></div>");
}

/// A check is a group with a name, so that it can be reached and heard as a whole.
fn name_check(out: &mut Markup, wording: &Wording<'_>, id: LineId, check: &Check) {
    out.tags(" role=\"group\" aria-label=\"check, line ");
    out.count(wording.trace.number(id));
    out.tags(": ");
    out.say(&wording.check_name(wording.line(id)));
    out.tags(", ");
    let verdict = wording.trace.verdict(id, check);
    out.tags(verdict.words());
    if let Some(ratio) = ratio_of(wording, check, verdict) {
        out.tags(", ratio ");
        out.say(&ratio);
    }
    out.tags("\"");
}

fn number(out: &mut Markup, wording: &Wording<'_>, id: LineId) {
    out.tags("<a class=\"no\" href=\"#");
    out.say(wording.addresses.line(id));
    out.tags("\">");
    out.count(wording.trace.number(id));
    out.tags("</a>");
}

/// Units of an empirical formula, limits of validity, the notice of a data file.
fn remarks(out: &mut Markup, wording: &Wording<'_>, line: &Line) {
    const OPEN: &str = "<p class=\"remark\">";
    let defines = matches!(line.statement.kind, StatementKind::Define { .. });
    if let (true, Some(giving)) = (defines, &line.statement.suffix.giving) {
        out.tags(OPEN);
        out.tags("empirical: ");
        for (name, unit) in &giving.with {
            out.push(math::symbol_html(&name.node));
            out.tags(" in ");
            out.say(&unit.node);
            out.tags(", ");
        }
        out.tags("result in ");
        out.say(&giving.unit.node);
        out.tags("</p>");
    }
    if let Some(limits) = &line.limits {
        out.tags(OPEN);
        out.tags("valid from ");
        out.say(&math::quantity_text(wording.trace, &limits.low));
        out.tags(" to ");
        out.say(&math::quantity_text(wording.trace, &limits.high));
        out.tags("</p>");
    }
    if let Work::Solved(solved) = &line.work {
        out.tags(OPEN);
        out.tags("looked for from ");
        out.say(&math::quantity_text(wording.trace, &solved.low));
        out.tags(" to ");
        out.say(&math::quantity_text(wording.trace, &solved.high));
        out.tags(", so that ");
        out.push(math::symbol_html(&solved.result));
        out.tags(" comes to ");
        out.say(&math::quantity_text(wording.trace, &solved.target));
        out.tags("</p>");
    }
    if let (Work::Given, Value::Data(data)) = (&line.work, &line.value) {
        out.tags(OPEN);
        out.tags("<span class=\"notice\">");
        out.say(&data.file.notice);
        out.tags("</span></p>");
    }
}

/// How a check or a requirement came out, and why.
fn outcome(out: &mut Markup, wording: &Wording<'_>, id: LineId, is_faulty: bool) {
    const OPEN: &str = "<p class=\"outcome\">";
    match &wording.line(id).work {
        Work::Check(check) => {
            let verdict = wording.trace.verdict(id, check);
            out.tags(OPEN);
            verdict_of(out, verdict);
            if let Some(ratio) = ratio_of(wording, check, verdict) {
                out.tags(", ratio <b>");
                out.say(&ratio);
                out.tags("</b>");
            }
        }
        _ if is_faulty => {
            out.tags(OPEN);
            verdict_of(out, Verdict::NotValid);
        }
        Work::Require { .. } => {
            out.tags(OPEN);
            verdict(out, "satisfied", "holds");
        }
        _ => return,
    }
    let reason = wording.reason(id);
    if !reason.is_empty() {
        out.tags(": ");
        out.say(&reason);
    }
    out.tags("</p>");
}

/// The ratio of a check that came out; where nothing at all is allowed there is none.
fn ratio_of(wording: &Wording<'_>, check: &Check, verdict: Verdict) -> Option<String> {
    let has_ratio = matches!(verdict, Verdict::Satisfied | Verdict::NotSatisfied);
    let ratio = wording.trace.register(check.ratio);
    (has_ratio && ratio.is_finite()).then(|| ratio_text(ratio))
}

fn has_origin(line: &Line) -> bool {
    !line.origin.text.is_empty() || line.origin.mark.is_some() || is_unsourced(line) || line.is_default
}

/// Where a line comes from, and whether that is still to be confirmed.
fn origin(out: &mut Markup, line: &Line) {
    if !line.origin.text.is_empty() {
        out.tags("<span class=\"reference\">");
        out.say(&line.origin.text);
        out.tags("</span> ");
    }
    if let Some(marked) = &line.origin.mark {
        mark(out, marked.kind.words());
        if !marked.reason.is_empty() {
            out.tags("<span class=\"why\">");
            out.say(&marked.reason);
            out.tags("</span> ");
        }
    }
    if is_unsourced(line) {
        mark(out, "source not stated");
    }
    if line.is_default {
        mark(out, "default");
    }
}

fn mark(out: &mut Markup, words: &'static str) {
    out.tags("<span class=\"mark\">");
    out.tags(words);
    out.tags("</span> ");
}

/// Lines that a list of uses names at most.
const MOST_USES: usize = 12;

/// The lines that name a line.
fn used_in(out: &mut Markup, wording: &Wording<'_>, id: LineId) {
    let users = wording.used_in(id);
    // What nearly every line uses says no more by a longer list.
    let shown = if users.len() > MOST_USES + 2 { MOST_USES } else { users.len() };
    out.tags("used in ");
    for (at, user) in users[..shown].iter().enumerate() {
        if at > 0 {
            out.tags(", ");
        }
        out.tags("<a href=\"#");
        out.say(wording.addresses.line(*user));
        out.tags("\">");
        out.count(wording.trace.number(*user));
        out.tags("</a>");
    }
    if shown < users.len() {
        out.tags(" and ");
        out.count((users.len() - shown) as u32);
        out.tags(" more");
    }
}

fn work_name(work: &Work) -> &'static str {
    match work {
        Work::Given => "given",
        Work::FromData(_) => "data",
        Work::Takes(_) | Work::Solved(_) => "takes",
        Work::Derive => "derive",
        Work::Cases(_) => "cases",
        Work::Require { .. } => "require",
        Work::Check(_) => "check",
        Work::Use(_) => "use",
        Work::Figure => "figure",
    }
}
