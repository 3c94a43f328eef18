//! A trace as the view that the templates show.

use super::address::Addresses;
use super::figure;
use super::markup::{Markup, element};
use super::math;
use super::prose::Prose;
use super::provenance::provenance;
use super::view::*;
use crate::compile::{Check, Line, LineId, ScopeId, ScopePart, Value, Work};
use crate::document::FrontMatter;
use crate::evaluate::{Fault, State, Trace, Verdict};
use crate::library::Origin;
use crate::syntax::{Sheet, StatementKind, print_reference};
use std::collections::BTreeMap;

/// What a page needs beside the trace.
pub struct Surroundings<'a> {
    /// Title of the package.
    pub package: &'a str,
    /// Owner of the package, where the sheet names none.
    pub owner: &'a str,
    /// The bytes of an image of the package.
    pub image: &'a dyn Fn(&str) -> Option<Vec<u8>>,
}

/// The view of one calculation.
pub fn present(sheet: &Sheet, trace: &Trace, surroundings: &Surroundings<'_>) -> PageView {
    let addresses = Addresses::new(trace);
    let mut presenter =
        Presenter { trace, uses: uses(trace), addresses, surroundings, figures: 0, footnotes: Markup::new() };
    let front = &sheet.document.front;
    let checks = presenter.checks();
    let body = presenter.parts(ScopeId(0));
    PageView {
        head: title_block(front, surroundings),
        purpose: front.purpose.clone(),
        scope: front.scope.clone(),
        not_verified: front.not_verified.clone(),
        verdict: verdict_view(trace.verdict_of_sheet()),
        tally: tally(trace),
        checks,
        not_applicable: presenter.not_applicable(),
        faults: presenter.faults(),
        assumptions: presenter.lines_where(|line| is_assumption(line).then(|| line.origin.text.clone())),
        unsourced: presenter.lines_where(|line| is_unsourced(line).then(String::new)),
        marked: presenter.lines_where(|line| {
            let mark = line.origin.mark.as_ref()?;
            let reason = if mark.reason.is_empty() { String::new() } else { format!(": {}", mark.reason) };
            Some(format!("{}{reason} ({})", mark.kind.words(), line.origin.text))
        }),
        notices: notices(trace),
        clauses: presenter.clauses(),
        body,
        footnotes: presenter.footnotes,
        provenance: provenance(trace, &sheet.document.source),
    }
}

struct Presenter<'a> {
    trace: &'a Trace,
    addresses: Addresses,
    /// For each line those that name it.
    uses: BTreeMap<LineId, Vec<LineId>>,
    surroundings: &'a Surroundings<'a>,
    figures: usize,
    footnotes: Markup,
}

/// Status shown until somebody signs.
const UNCHECKED: &str = "unchecked";

fn title_block(front: &FrontMatter, surroundings: &Surroundings<'_>) -> TitleBlock {
    let or = |own: &str, other: &str| if own.is_empty() { other.to_owned() } else { own.to_owned() };
    TitleBlock {
        owner: or(&front.owner, surroundings.owner),
        package: surroundings.package.to_owned(),
        title: front.title.clone(),
        number: front.number.clone(),
        revision: front.revision.clone(),
        date: front.date.clone(),
        creator: front.creator.clone(),
        approver: front.approver.clone(),
        status: if front.status.is_empty() { UNCHECKED.to_owned() } else { format!("{}, {UNCHECKED}", front.status) },
    }
}

/// A verdict for the templates.
pub fn verdict_view(verdict: Verdict) -> VerdictView {
    VerdictView { words: verdict.words().to_owned(), slug: verdict.words().replace(' ', "-") }
}

/// For each line those lines that name it, in the order of the page.
fn uses(trace: &Trace) -> BTreeMap<LineId, Vec<LineId>> {
    let mut uses: BTreeMap<LineId, Vec<LineId>> = BTreeMap::new();
    for id in &trace.order {
        let line = trace.compiled.notes.line(*id);
        if matches!(line.work, Work::Figure) {
            continue;
        }
        for on in line.mentions.iter().filter_map(|mention| mention.line) {
            let users = uses.entry(on).or_default();
            if users.last() != Some(id) {
                users.push(*id);
            }
        }
    }
    uses
}

fn is_assumption(line: &Line) -> bool {
    line.origin.text.starts_with("assumed")
}

fn is_unsourced(line: &Line) -> bool {
    let comes_from_outside = match &line.work {
        Work::Given => !matches!(line.value, Value::Data(_)),
        Work::FromData(_) => true,
        _ => false,
    };
    comes_from_outside && line.origin.text.is_empty()
}

fn tally(trace: &Trace) -> String {
    let mut counts: BTreeMap<Verdict, usize> = BTreeMap::new();
    for (line, check) in trace.checks() {
        *counts.entry(trace.verdict(line, check)).or_default() += 1;
    }
    let count = |verdict| counts.get(&verdict).copied().unwrap_or(0);
    let (satisfied, not_satisfied, not_valid) =
        (count(Verdict::Satisfied), count(Verdict::NotSatisfied), count(Verdict::NotValid));
    let all = satisfied + not_satisfied + not_valid;
    let are = |n: usize| if n == 1 { "is" } else { "are" };
    match (all, not_satisfied, not_valid) {
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
    }
}

/// Notices of the data files in use, each once.
fn notices(trace: &Trace) -> Vec<String> {
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

/// A ratio as shown; a dash where it is no number.
pub fn ratio_text(ratio: f64) -> String {
    if !ratio.is_finite() {
        return "–".to_owned();
    }
    // A ratio just above the limit must not read as the limit.
    let text = format!("{ratio:.2}");
    if ratio > 1.0 + crate::program::EQUAL_WITHIN && text == "1.00" {
        return "> 1.00".to_owned();
    }
    text.replace('-', "\u{2212}")
}

impl Presenter<'_> {
    fn line(&self, id: LineId) -> &Line {
        self.trace.compiled.notes.line(id)
    }

    fn pointer(&self, id: LineId, remark: String) -> Pointer {
        let line = self.line(id);
        let description = match (&line.work, line.description.is_empty()) {
            (Work::Require { .. }, true) => "condition of validity".to_owned(),
            _ => line.description.clone(),
        };
        Pointer {
            id: self.addresses.line(id).to_owned(),
            number: self.trace.number(id),
            symbol: line.symbol.as_deref().map_or_else(Markup::new, math::symbol_html),
            description,
            remark,
        }
    }

    fn lines_where(&self, remark: impl Fn(&Line) -> Option<String>) -> Vec<Pointer> {
        self.trace.order.iter().filter_map(|id| Some(self.pointer(*id, remark(self.line(*id))?))).collect()
    }

    /// The summary: what is not valid first, then the largest ratios.
    fn checks(&self) -> Vec<CheckRow> {
        let mut rows: Vec<(Verdict, f64, CheckRow)> = Vec::new();
        for (id, check) in self.trace.checks() {
            let verdict = self.trace.verdict(id, check);
            if verdict == Verdict::NotApplicable {
                continue;
            }
            let ratio = self.trace.register(check.ratio);
            rows.push((verdict, ratio, self.check_row(id, check, verdict, ratio)));
        }
        rows.sort_by(|a, b| {
            let by_ratio = b.1.partial_cmp(&a.1).unwrap_or(std::cmp::Ordering::Equal);
            a.0.cmp(&b.0).then(by_ratio)
        });
        let mut rows: Vec<CheckRow> = rows.into_iter().map(|(_, _, row)| row).collect();
        if let Some(first) = rows.first_mut() {
            first.governs = true;
        }
        rows
    }

    fn check_row(&self, id: LineId, check: &Check, verdict: Verdict, ratio: f64) -> CheckRow {
        let line = self.line(id);
        CheckRow {
            id: self.addresses.line(id).to_owned(),
            number: self.trace.number(id),
            description: self.check_name(line),
            demand: math::quantity_html(self.trace, &check.demand),
            resistance: math::quantity_html(self.trace, &check.resistance),
            ratio: ratio_text(ratio),
            bar: if ratio.is_finite() { figure::bar::draw(ratio, BAR_SCALE) } else { Markup::new() },
            verdict: verdict_view(verdict),
            reference: line.origin.text.clone(),
            governs: false,
        }
    }

    /// A check's words; where a clause is used more than once, with what sets this use apart.
    fn check_name(&self, line: &Line) -> String {
        let words = if line.description.is_empty() { "check" } else { line.description.as_str() };
        let notes = &self.trace.compiled.notes;
        let used_as = notes.lines.iter().find_map(|user| match user.work {
            Work::Use(scope) if scope == line.scope && !user.description.is_empty() => Some(user.description.clone()),
            _ => None,
        });
        match used_as {
            Some(used_as) => format!("{words}, {used_as}"),
            None => words.to_owned(),
        }
    }

    fn not_applicable(&self) -> Vec<Pointer> {
        self.trace
            .checks()
            .filter(|(id, check)| self.trace.verdict(*id, check) == Verdict::NotApplicable)
            .map(|(id, _)| {
                let mut pointer = self.pointer(id, self.reason(id));
                pointer.description = self.check_name(self.line(id));
                pointer
            })
            .collect()
    }

    fn faults(&self) -> Vec<Pointer> {
        self.trace.faults().map(|(id, _)| self.pointer(id, self.reason(id))).collect()
    }

    /// Why a line is not valid, or why a check does not apply.
    fn reason(&self, id: LineId) -> String {
        let line = self.line(id);
        if let State::NotValid(fault) = self.trace.state(id) {
            return self.fault_words(line, fault);
        }
        match (&line.work, &line.statement.suffix.applies) {
            (Work::Check(check), Some(applies)) if self.trace.verdict(id, check) == Verdict::NotApplicable => {
                applies.reason.node.clone()
            }
            _ => String::new(),
        }
    }

    fn fault_words(&self, line: &Line, fault: Fault) -> String {
        let number = |id: LineId| self.trace.number(id);
        match fault {
            Fault::NoNumber => {
                "the value is no number: a division by zero, a root or logarithm of a negative, or an overflow"
                    .to_owned()
            }
            Fault::OutsideLimits => match &line.limits {
                Some(limits) => format!(
                    "{} lies outside {} to {}",
                    math::quantity_text(self.trace, &line.value),
                    math::quantity_text(self.trace, &limits.low),
                    math::quantity_text(self.trace, &limits.high)
                ),
                None => "the value lies outside its limits".to_owned(),
            },
            Fault::RequirementFails => "the condition does not hold".to_owned(),
            Fault::RestsOn(on) => format!("it rests on line {}, which is not valid", number(on)),
            Fault::ScopeFails(on) => format!("the condition of validity in line {} does not hold", number(on)),
        }
    }

    fn clauses(&self) -> Vec<ClauseRow> {
        let notes = &self.trace.compiled.notes;
        let mut rows: Vec<ClauseRow> = Vec::new();
        for at in 1..notes.scopes.len() {
            let row = self.clause_row(ScopeId(at as u32));
            if !rows.iter().any(|known| known.path == row.path) {
                rows.push(row);
            }
        }
        rows
    }

    fn clause_row(&self, id: ScopeId) -> ClauseRow {
        let scope = self.trace.compiled.notes.scope(id);
        let front = &scope.document.front;
        let clause = scope.clause.as_ref();
        ClauseRow {
            id: self.addresses.scope(id).to_owned(),
            path: clause.map_or_else(String::new, |clause| clause.path.clone()),
            title: front.title.clone(),
            reference: [front.standard.as_str(), front.clause.as_str()]
                .into_iter()
                .filter(|part| !part.is_empty())
                .collect::<Vec<_>>()
                .join(", "),
            version: front.version.clone(),
            scope: front.scope.clone(),
            basis: front.basis.clone(),
            origin: match clause.map(|clause| clause.origin) {
                Some(Origin::Override) => "overridden by this package".to_owned(),
                Some(Origin::Package) => "of this package".to_owned(),
                _ => String::new(),
            },
        }
    }

    fn parts(&mut self, id: ScopeId) -> Vec<PartView> {
        let trace = self.trace;
        let notes = &trace.compiled.notes;
        let scope = notes.scope(id);
        let symbols: BTreeMap<&str, String> = notes
            .lines
            .iter()
            .enumerate()
            .filter(|(_, line)| line.scope == id)
            .filter_map(|(at, line)| {
                let address = self.addresses.line(LineId(at as u32)).to_owned();
                Some((line.symbol.as_deref()?, address))
            })
            .collect();
        let address = |name: &str| symbols.get(name).cloned();
        // A clause's images lie in the library, which has none.
        let image = |path: &str| if id == ScopeId(0) { (self.surroundings.image)(path) } else { None };
        let prefix = if scope.path.is_empty() { String::new() } else { format!("{}.", scope.path) };
        let mut prose = Prose::new(&scope.document, &prefix, &address, &image);
        let mut views = Vec::with_capacity(scope.parts.len());
        let mut footnotes = Markup::new();
        let mut figures = self.figures;
        let mut uses = Vec::new();
        for part in &scope.parts {
            views.push(match part {
                ScopePart::Prose(index) => {
                    let html = prose.part(*index);
                    footnotes.push(prose.take_footnotes());
                    PartView::Prose { html }
                }
                ScopePart::Lines(kind, lines) => PartView::Lines {
                    block: kind.name().to_owned(),
                    lines: lines.iter().map(|line| self.line_view(*line)).collect(),
                },
                ScopePart::Figure(index) => {
                    figures += 1;
                    let figure = &notes.figures[*index];
                    PartView::Figure {
                        number: figures,
                        svg: figure::draw(trace, figure),
                        caption: figure.caption.clone(),
                    }
                }
                ScopePart::Use(line, inner) => {
                    uses.push((views.len(), *line, *inner));
                    // Filled below, when the prose no longer borrows.
                    PartView::Prose { html: Markup::new() }
                }
            });
        }
        drop(prose);
        self.figures = figures;
        self.footnotes.push(footnotes);
        for (at, line, inner) in uses {
            views[at] = PartView::Use {
                line: Box::new(self.line_view(line)),
                clause: Box::new(self.clause_row(inner)),
                verdicts: self.verdicts_below(inner),
                parts: self.parts(inner),
            };
        }
        views
    }

    /// Verdicts of the checks of a clause and of those that it uses.
    fn verdicts_below(&self, scope: ScopeId) -> Vec<VerdictView> {
        let notes = &self.trace.compiled.notes;
        let is_below = |mut at: ScopeId| loop {
            if at == scope {
                return true;
            }
            match notes.scope(at).parent {
                Some(parent) => at = parent,
                None => return false,
            }
        };
        self.trace
            .checks()
            .filter(|(id, _)| is_below(self.line(*id).scope))
            .map(|(id, check)| verdict_view(self.trace.verdict(id, check)))
            .collect()
    }

    fn line_view(&self, id: LineId) -> LineView {
        let line = self.line(id);
        let check = match &line.work {
            Work::Check(check) => Some(check),
            _ => None,
        };
        let verdict = check.map(|check| self.trace.verdict(id, check));
        let ratio = match (check, verdict) {
            (Some(check), Some(Verdict::Satisfied | Verdict::NotSatisfied)) => {
                ratio_text(self.trace.register(check.ratio))
            }
            _ => String::new(),
        };
        LineView {
            id: self.addresses.line(id).to_owned(),
            number: self.trace.number(id),
            work: work_name(&line.work).to_owned(),
            description: line.description.clone(),
            equation: math::equation(self.trace, id, &self.addresses),
            remarks: self.remarks(id),
            reference: line.origin.text.clone(),
            mark: line.origin.mark.as_ref().map_or_else(String::new, |mark| mark.kind.words().to_owned()),
            mark_reason: line.origin.mark.as_ref().map_or_else(String::new, |mark| mark.reason.clone()),
            source_not_stated: is_unsourced(line),
            used_in: self
                .uses
                .get(&id)
                .into_iter()
                .flatten()
                .map(|user| (self.addresses.line(*user).to_owned(), self.trace.number(*user)))
                .collect(),
            verdict: match verdict {
                Some(verdict) => Some(verdict_view(verdict)),
                None if matches!(line.work, Work::Require { .. }) => Some(self.requirement_view(id)),
                None => None,
            },
            ratio,
            reason: self.reason(id),
            is_faulty: self.trace.state(id) != State::Sound,
        }
    }

    /// A requirement holds or makes the sheet not valid.
    fn requirement_view(&self, id: LineId) -> VerdictView {
        match self.trace.state(id) {
            State::Sound => VerdictView { words: "holds".to_owned(), slug: "satisfied".to_owned() },
            State::NotValid(_) => verdict_view(Verdict::NotValid),
        }
    }

    /// Units of an empirical formula, limits of validity.
    fn remarks(&self, id: LineId) -> Vec<Markup> {
        let line = self.line(id);
        let mut remarks = Vec::new();
        let defines = matches!(line.statement.kind, StatementKind::Define { .. });
        if let (true, Some(giving)) = (defines, &line.statement.suffix.giving) {
            let mut remark = Markup::text("empirical: ");
            for (name, unit) in &giving.with {
                remark.push(math::symbol_html(&name.node));
                remark.push(Markup::text(&format!(" in {}, ", unit.node)));
            }
            remark.push(Markup::text(&format!("result in {}", giving.unit.node)));
            remarks.push(remark);
        }
        if let Some(limits) = &line.limits {
            remarks.push(Markup::text(&format!(
                "valid from {} to {}",
                math::quantity_text(self.trace, &limits.low),
                math::quantity_text(self.trace, &limits.high)
            )));
        }
        if let (Work::Given, Value::Data(data)) = (&line.work, &line.value) {
            remarks.push(element("span").with("class", "notice").saying(&data.file.notice).into());
        }
        remarks
    }
}

/// Ratios are drawn on a scale that ends here.
pub const BAR_SCALE: f64 = 1.25;

fn work_name(work: &Work) -> &'static str {
    match work {
        Work::Given => "given",
        Work::FromData(_) => "data",
        Work::Takes(_) => "takes",
        Work::Derive => "derive",
        Work::Cases(_) => "cases",
        Work::Require { .. } => "require",
        Work::Check(_) => "check",
        Work::Use(_) => "use",
        Work::Figure => "figure",
    }
}

/// A reference with its mark, for data files.
pub fn reference_text(line: &Line) -> String {
    match &line.work {
        // The statement is that of the data file, not of the value.
        Work::FromData(_) => line.origin.text.clone(),
        _ => line.statement.suffix.reference.as_ref().map_or_else(String::new, print_reference),
    }
}
