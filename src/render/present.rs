//! A trace as the view that the templates show.

use super::by_row::by_row;
use super::card::cards;
use super::completeness::{completeness, unanswered};
use super::figure;
use super::markup::Markup;
use super::math;
use super::provenance::provenance;
use super::recalculation::recalculations;
use super::review::{self, PageReview};
use super::view::{CheckRow, ClauseRow, PageView, Pointer, SignOffView, TitleBlock};
use super::wording::{Wording, is_assumption, is_unsourced, ratio_text, verdict_view};
use super::working::{Image, working};
use crate::compile::{Check, Line, LineId, ScopeId, Value, Work};
use crate::document::FrontMatter;
use crate::evaluate::{Trace, Verdict};
use crate::render::address::Addresses;
use crate::syntax::Sheet;
use std::cmp::Ordering;

/// What a page needs beside the trace.
pub struct Surroundings<'a> {
    /// Title of the package.
    pub package: &'a str,
    /// Owner of the package, where the sheet names none.
    pub owner: &'a str,
    /// The bytes of an image of the package.
    pub image: &'a Image<'a>,
    /// What was checked and asked; nothing for a sheet without marks.
    pub review: Option<&'a PageReview>,
    /// The status of the document.
    pub status: &'a str,
    /// Who signed.
    pub sign_off: &'a SignOffView,
}

/// The view of one calculation.
pub fn present(sheet: &Sheet, trace: &Trace, addresses: &Addresses, surroundings: &Surroundings<'_>) -> PageView {
    let wording = Wording::new(trace, addresses).reviewed(surroundings.review);
    let front = &sheet.document.front;
    let modes = completeness(&wording);
    let (working, footnotes) = working(&wording, surroundings.image);
    PageView {
        head: title_block(front, surroundings),
        purpose: Wording::described(&front.purpose),
        scope: Wording::described(&front.scope),
        not_verified: not_verified(front, trace),
        verdict: verdict_view(trace.verdict_of_sheet()),
        by_row: by_row(&wording),
        scale: figure::bar::scale(BAR_SCALE),
        tally: tally(trace, &unanswered(&modes)),
        checks: checks(&wording),
        recalculations: recalculations(&wording),
        modes,
        not_applicable: not_applicable(&wording),
        faults: trace.faults().map(|(id, _)| wording.pointer(id, wording.reason(id))).collect(),
        assumptions: lines_where(&wording, |line| is_assumption(line).then(|| line.origin.text.clone())),
        defaults: defaults(&wording),
        unsourced: lines_where(&wording, |line| is_unsourced(line).then(String::new)),
        marked: lines_where(&wording, |line| {
            let mark = line.origin.mark.as_ref()?;
            let reason = if mark.reason.is_empty() { String::new() } else { format!(": {}", mark.reason) };
            Some(format!("{}{reason} ({})", mark.kind.words(), line.origin.text))
        }),
        inherited: inherited(&wording),
        review: surroundings.review.map(|review| review::view(&wording, review)),
        notices: notices(trace),
        overrides: clauses(&wording).into_iter().filter(|clause| !clause.origin.is_empty()).collect(),
        clauses: clauses(&wording),
        sign_off: surroundings.sign_off.clone(),
        working,
        footnotes,
        provenance: provenance(trace, &sheet.document.source),
        cards: cards(&wording),
    }
}

fn title_block(front: &FrontMatter, surroundings: &Surroundings<'_>) -> TitleBlock {
    let or = |own: &str, other: &str| if own.is_empty() { other.to_owned() } else { own.to_owned() };
    TitleBlock {
        owner: or(&front.owner, surroundings.owner),
        package: surroundings.package.to_owned(),
        title: front.title.clone(),
        number: front.number.clone(),
        revision: front.revision.clone(),
        date: front.date.clone(),
        people: surroundings.sign_off.people.clone(),
        revisions: front.revisions.clone(),
        status: surroundings.status.to_owned(),
    }
}

/// What the sheet does not verify, and what the calculations that it makes again do not.
fn not_verified(front: &FrontMatter, trace: &Trace) -> Vec<String> {
    let made_again = trace.compiled.notes.scopes.iter().filter(|scope| scope.recalculation.is_some());
    let theirs = made_again.flat_map(|scope| {
        let front = &scope.document.front;
        front.not_verified.iter().map(|item| format!("{item} (stated by {})", front.number))
    });
    let mut all: Vec<String> = front.not_verified.iter().cloned().chain(theirs).collect();
    let mut seen = std::collections::BTreeSet::new();
    all.retain(|item| seen.insert(item.clone()));
    all
}

/// What came out of all checks, and what is unanswered, in a sentence or two.
fn tally(trace: &Trace, unanswered: &[String]) -> String {
    let sentence = tally_of_checks(trace);
    if unanswered.is_empty() { sentence } else { format!("{sentence} Unanswered: {}.", unanswered.join(", ")) }
}

fn tally_of_checks(trace: &Trace) -> String {
    let count = |of: Verdict| trace.checks().filter(|(line, check)| trace.verdict(*line, check) == of).count();
    let (satisfied, not_satisfied, not_valid) =
        (count(Verdict::Satisfied), count(Verdict::NotSatisfied), count(Verdict::NotValid));
    let all = satisfied + not_satisfied + not_valid;
    let are = |n: usize| if n == 1 { "is" } else { "are" };
    let sentence = match (all, not_satisfied, not_valid) {
        (0, ..) => "Nothing is checked in this calculation.".to_owned(),
        (1, 0, 0) => "The one check is satisfied.".to_owned(),
        (_, 0, 0) => format!("All {all} checks are satisfied."),
        (_, _, 0) => format!("{not_satisfied} of {all} checks {} not satisfied.", are(not_satisfied)),
        (_, 0, _) => format!(
            "{not_valid} of {all} checks {} not valid: nothing follows from {}.",
            are(not_valid),
            if not_valid == 1 { "it" } else { "them" }
        ),
        _ => format!("{not_satisfied} of {all} checks {} not satisfied, {not_valid} not valid.", are(not_satisfied)),
    };
    if not_valid == 0 && trace.verdict_of_sheet() == Verdict::NotValid {
        return format!("{sentence} But the calculation itself is not valid, so nothing follows from that.");
    }
    sentence
}

/// Notices of the data files in use, each once.
pub fn notices(trace: &Trace) -> Vec<String> {
    let mut notices = Vec::new();
    for line in &trace.compiled.notes.lines {
        if let (Work::Given, Value::Data(data)) = (&line.work, &line.value)
            && !data.file.notice.is_empty()
        {
            let notice = format!("{}: {}", data.file.title, data.file.notice);
            if !notices.contains(&notice) {
                notices.push(notice);
            }
        }
    }
    notices
}

/// Lines with a remark; what a clause says again where it is used again stands once.
fn lines_where(wording: &Wording<'_>, remark: impl Fn(&Line) -> Option<String>) -> Vec<Pointer> {
    let mut seen: Vec<(Option<&str>, &str, String)> = Vec::new();
    let mut pointers = Vec::new();
    for id in &wording.trace.order {
        let line = wording.line(*id);
        let Some(remark) = remark(line) else { continue };
        let key = (line.symbol.as_deref(), line.description.as_str(), remark.clone());
        let is_again = line.scope != ScopeId(0) && seen.contains(&key);
        if !is_again {
            seen.push(key);
            pointers.push(wording.pointer(*id, remark));
        }
    }
    pointers
}

/// Givens copied from another calculation that nobody has confirmed, with where they come from.
fn inherited(wording: &Wording<'_>) -> Vec<Pointer> {
    let from = |id: &LineId| Some(wording.pointer(*id, wording.remarks(*id)?.inherited.clone()?));
    wording.trace.order.iter().filter_map(from).collect()
}

/// What clauses took as their defaults, each once: a clause used twice, or within another, takes the same again.
fn defaults(wording: &Wording<'_>) -> Vec<Pointer> {
    let mut seen: Vec<(Option<&str>, &str)> = Vec::new();
    let mut pointers = Vec::new();
    for id in &wording.trace.order {
        let line = wording.line(*id);
        let key = (line.symbol.as_deref(), line.description.as_str());
        if !line.is_default || seen.contains(&key) {
            continue;
        }
        seen.push(key);
        pointers.push(wording.pointer(*id, math::quantity_text(wording.trace, &line.value)));
    }
    pointers
}

/// The summary: what is not valid first, then the largest ratios.
fn checks(wording: &Wording<'_>) -> Vec<CheckRow> {
    let trace = wording.trace;
    let mut rows: Vec<(Verdict, f64, CheckRow)> = trace
        .checks()
        .map(|(id, check)| (id, check, trace.verdict(id, check)))
        .filter(|(.., verdict)| *verdict != Verdict::NotApplicable)
        .map(|(id, check, verdict)| {
            let ratio = trace.register(check.ratio);
            (verdict, ratio, check_row(wording, id, check, verdict, ratio))
        })
        .collect();
    rows.sort_by(|a, b| a.0.cmp(&b.0).then(b.1.partial_cmp(&a.1).unwrap_or(Ordering::Equal)));
    let mut rows: Vec<CheckRow> = rows.into_iter().map(|(.., row)| row).collect();
    if let Some(first) = rows.first_mut() {
        first.governs = true;
    }
    rows
}

/// Ratios are drawn on a scale that ends here.
const BAR_SCALE: f64 = 1.25;

fn check_row(wording: &Wording<'_>, id: LineId, check: &Check, verdict: Verdict, ratio: f64) -> CheckRow {
    let line = wording.line(id);
    let shown = ratio_text(ratio);
    CheckRow {
        id: wording.addresses.line(id).to_owned(),
        number: wording.trace.number(id),
        description: Wording::described(&wording.check_name(line)),
        demand: math::quantity_html(wording.trace, &check.demand),
        resistance: math::quantity_html(wording.trace, &check.resistance),
        bar: if ratio.is_finite() { figure::bar::draw(ratio, &shown, BAR_SCALE) } else { Markup::new() },
        ratio: shown,
        verdict: verdict_view(verdict),
        reference: line.origin.text.clone(),
        governs: false,
    }
}

fn not_applicable(wording: &Wording<'_>) -> Vec<Pointer> {
    let trace = wording.trace;
    let answers_a_mode = |id: &LineId| {
        let scope = trace.compiled.notes.scope(wording.line(*id).scope);
        !scope.document.front.shows.is_empty()
    };
    let checks = trace.checks().filter(|(id, check)| trace.verdict(*id, check) == Verdict::NotApplicable);
    let checks = checks.filter(|(id, _)| !answers_a_mode(id));
    checks
        .map(|(id, _)| Pointer {
            description: Wording::described(&wording.check_name(wording.line(id))),
            ..wording.pointer(id, wording.reason(id))
        })
        .collect()
}

/// The clauses in use, each once.
fn clauses(wording: &Wording<'_>) -> Vec<ClauseRow> {
    let scopes = &wording.trace.compiled.notes.scopes;
    let mut seen: Vec<&str> = Vec::new();
    let mut rows = Vec::new();
    for (at, scope) in scopes.iter().enumerate() {
        if let Some(clause) = &scope.clause
            && !seen.contains(&clause.path.as_str())
        {
            seen.push(&clause.path);
            rows.push(wording.clause(ScopeId(at as u32)));
        }
    }
    rows
}
