//! What a page says about a line in words: its verdict and ratio, why it is not valid, what it is called, who uses it.

use super::address::Addresses;
use super::markup::Markup;
use super::math;
use super::review::{LineRemarks, PageReview};
use super::view::{ClauseRow, Pointer, VerdictView};
use crate::compile::{Line, LineId, ScopeId, ScopePart, Value, Work};
use crate::document::BlockKind;
use crate::evaluate::{Fault, State, Trace, Verdict};
use crate::library::Origin;
use crate::syntax::print_reference;
use std::cmp::Ordering;

/// The words for the lines of one trace.
pub struct Wording<'a> {
    /// The trace.
    pub trace: &'a Trace,
    /// Where its lines stand on the page.
    pub addresses: &'a Addresses,
    /// What was checked and asked; nothing for a sheet without marks.
    review: Option<&'a PageReview>,
    /// For each line those that name it, in the order of the page.
    used_in: Vec<Vec<LineId>>,
    /// For each scope the line that uses it.
    used_by: Vec<Option<LineId>>,
    /// For each line whether it only passes a value on under the same name, from a clause to one within it.
    passes: Vec<bool>,
}

impl<'a> Wording<'a> {
    /// Looks up once what many lines are asked for.
    pub fn new(trace: &'a Trace, addresses: &'a Addresses) -> Self {
        let notes = &trace.compiled.notes;
        let mut used_in: Vec<Vec<LineId>> = vec![Vec::new(); notes.lines.len()];
        let mut used_by = vec![None; notes.scopes.len()];
        let mut passes = vec![false; notes.lines.len()];
        // What passes a value on is not where it is used: those that use it from there count for the value itself.
        let mut stands_for: Vec<LineId> = (0..notes.lines.len() as u32).map(LineId).collect();
        for id in &trace.order {
            let line = notes.line(*id);
            if let Work::Use(scope) = line.work {
                used_by[scope.0 as usize] = Some(*id);
            }
            if matches!(line.work, Work::Figure) {
                continue;
            }
            if trace.state(*id) == State::Sound
                && let Some(from) = passed_from(trace, line)
            {
                passes[id.0 as usize] = true;
                stands_for[id.0 as usize] = stands_for[from.0 as usize];
                continue;
            }
            for on in line.mentions.iter().filter_map(|mention| mention.line) {
                let users = &mut used_in[stands_for[on.0 as usize].0 as usize];
                if users.last() != Some(id) {
                    users.push(*id);
                }
            }
        }
        Self { trace, addresses, review: None, used_in, used_by, passes }
    }

    /// The same words, with those of a review.
    #[must_use]
    pub fn reviewed(self, review: Option<&'a PageReview>) -> Self {
        Self { review, ..self }
    }

    /// What a review says of a line; nothing where there is nothing to show.
    pub fn remarks(&self, id: LineId) -> Option<&'a LineRemarks> {
        self.review?.lines.get(id.0 as usize).filter(|remarks| remarks.has_words())
    }

    /// Whether a line only passes a value on under the same name, from a clause to one within it.
    pub fn passes(&self, id: LineId) -> bool {
        self.passes[id.0 as usize]
    }

    /// A line.
    pub fn line(&self, id: LineId) -> &'a Line {
        self.trace.compiled.notes.line(id)
    }

    /// The lines that name a line.
    pub fn used_in(&self, id: LineId) -> &[LineId] {
        &self.used_in[id.0 as usize]
    }

    /// The line that uses a clause.
    pub fn used_by(&self, scope: ScopeId) -> Option<LineId> {
        self.used_by[scope.0 as usize]
    }

    /// The line that governs, with its ratio: what is not valid first, then what is not satisfied, then the largest
    /// ratio; nothing where nothing is checked.
    ///
    /// Nothing follows from the ratios of a sheet that is not valid: what makes it so is named, with no number.
    pub fn governing(&self) -> Option<(LineId, f64)> {
        let trace = self.trace;
        let checks = trace.checks().map(|(id, check)| (trace.verdict(id, check), trace.register(check.ratio), id));
        let applying = checks.filter(|(verdict, ..)| *verdict != Verdict::NotApplicable);
        let first = applying.min_by(|a, b| a.0.cmp(&b.0).then(b.1.partial_cmp(&a.1).unwrap_or(Ordering::Equal)));
        let (_, ratio, id) = first?;
        match trace.faults().next() {
            Some((fault, _)) => Some((fault, f64::NAN)),
            None => Some((id, ratio)),
        }
    }

    /// A check's words, with what sets the uses of its clause and of those around it apart: the edge, the load case.
    pub fn check_name(&self, line: &Line) -> String {
        self.check_name_within(line, ScopeId(0))
    }

    /// The same for a place where one of these uses is known: without its words and those around it.
    pub fn check_name_within(&self, line: &Line, outer: ScopeId) -> String {
        let mut words = vec![if line.description.is_empty() { "check" } else { line.description.as_str() }];
        let mut scope = line.scope;
        while scope != outer {
            let described = self.used_by[scope.0 as usize].map(|user| self.line(user).description.as_str());
            // A clause hands its row on to those within it: what is said once is not said again.
            if let Some(used_as) = described.filter(|words| !words.is_empty()).or_else(|| self.row_taken(scope))
                && !words.contains(&used_as)
            {
                words.push(used_as);
            }
            match self.trace.compiled.notes.scope(scope).parent {
                Some(parent) => scope = parent,
                None => break,
            }
        }
        words.join(", ")
    }

    /// The label of a row that the use of a clause takes, such as the edge that is looked at.
    fn row_taken(&self, scope: ScopeId) -> Option<&'a str> {
        let notes = &self.trace.compiled.notes;
        let taken = notes.scope(scope).parts.iter().find_map(|part| match part {
            ScopePart::Lines(BlockKind::Clause, lines) => Some(lines),
            _ => None,
        })?;
        taken.iter().find_map(|id| match &notes.line(*id).value {
            Value::Row(row) => Some(row.label.as_str()).filter(|label| !label.is_empty()),
            _ => None,
        })
    }

    /// Words with their symbols set as such.
    pub fn described(words: &str) -> Markup {
        let mut out = Markup::new();
        math::described(&mut out, words);
        out
    }

    /// A line pointed at from elsewhere on the page.
    pub fn pointer(&self, id: LineId, remark: String) -> Pointer {
        let line = self.line(id);
        let description = match (&line.work, line.description.is_empty()) {
            (Work::Require { .. }, true) => "condition of validity",
            (Work::Use(scope), true) => &self.trace.compiled.notes.scope(*scope).document.front.title,
            _ => &line.description,
        };
        Pointer {
            id: self.addresses.line(id).to_owned(),
            number: self.trace.number(id),
            symbol: line.symbol.as_deref().map(math::symbol_html).unwrap_or_default(),
            description: Self::described(description),
            remark,
        }
    }

    /// Why a line is not valid, or why a check does not apply; empty for all others.
    pub fn reason(&self, id: LineId) -> String {
        let line = self.line(id);
        if let State::NotValid(fault) = self.trace.state(id) {
            return self.fault(id, fault);
        }
        let Work::Check(check) = &line.work else { return String::new() };
        match self.trace.unmet(check).and_then(|at| line.statement.suffix.applies.get(at)) {
            Some(applies) => {
                let reason = &applies.reason.node;
                // A condition with numbers says by how much; yes or no says nothing that the reason does not.
                match math::compared_text(self.trace, id, self.addresses, &applies.condition) {
                    Some(values) => format!("{reason} ({values} does not hold)"),
                    None => reason.clone(),
                }
            }
            None => String::new(),
        }
    }

    fn fault(&self, id: LineId, fault: Fault) -> String {
        let line = self.line(id);
        let number = |id: LineId| self.trace.number(id);
        match fault {
            Fault::NoNumber if matches!(line.work, Work::Solved(_)) => {
                "between these limits there is no value for which the result comes out".to_owned()
            }
            Fault::NoNumber if self.trace.routine_reason(&line.value).is_some() => {
                self.trace.routine_reason(&line.value).unwrap_or_default().to_owned()
            }
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
            Fault::RequirementFails => {
                // The condition as written stands before the colon, with its values behind it.
                let text = math::equation_text(self.trace, id, self.addresses);
                match text.rsplit_once(": ") {
                    Some((condition, values)) => format!("{condition} does not hold: {values}"),
                    None => format!("{text} does not hold"),
                }
            }
            Fault::RestsOn(on) => format!("it rests on line {}, which is not valid", number(on)),
            Fault::ScopeFails(on) => format!("the condition of validity in line {} does not hold", number(on)),
        }
    }

    /// A clause in use.
    pub fn clause(&self, id: ScopeId) -> ClauseRow {
        let scope = self.trace.compiled.notes.scope(id);
        let front = &scope.document.front;
        let clause = scope.clause.as_ref();
        ClauseRow {
            id: self.addresses.scope(id).to_owned(),
            number: self.used_by[id.0 as usize].map_or(0, |line| self.trace.number(line)),
            path: clause.map_or_else(String::new, |clause| clause.path.clone()),
            title: front.title.clone(),
            reference: self.clause_reference(id),
            version: front.version.clone(),
            scope: Self::described(&front.scope),
            basis: Self::described(&front.basis),
            origin: self.clause_origin(id).to_owned(),
        }
    }

    /// Standard and number of a clause, number and revision of a calculation that is made again.
    pub fn clause_reference(&self, id: ScopeId) -> String {
        let scope = self.trace.compiled.notes.scope(id);
        let front = &scope.document.front;
        if scope.recalculation.is_some() {
            return format!("{}, revision {}, made again", front.number, front.revision);
        }
        match (front.standard.as_str(), front.clause.as_str()) {
            (standard, "") => standard.to_owned(),
            ("", clause) => clause.to_owned(),
            (standard, clause) => format!("{standard}, {clause}"),
        }
    }

    /// That a package adds or overrides a clause; empty for one that is shipped.
    pub fn clause_origin(&self, id: ScopeId) -> &'static str {
        match self.trace.compiled.notes.scope(id).clause.as_ref().map(|clause| clause.origin) {
            Some(Origin::Override) => "overridden by this package",
            Some(Origin::Package) => "of this package",
            _ => "",
        }
    }
}

/// The line whose value a clause within a clause takes under the same name.
fn passed_from(trace: &Trace, line: &Line) -> Option<LineId> {
    let Work::Takes(binding) = &line.work else { return None };
    let parent = trace.compiled.notes.scope(line.scope).parent?;
    let is_same = binding.as_name().is_some() && binding.as_name() == line.symbol.as_deref();
    if parent == ScopeId(0) || !is_same || line.is_default {
        return None;
    }
    line.mentions.first()?.line
}

/// A verdict for the templates.
pub fn verdict_view(verdict: Verdict) -> VerdictView {
    VerdictView { words: verdict.words().to_owned(), slug: slug(verdict).to_owned() }
}

/// A verdict as a class of the style sheets.
pub fn slug(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::NotValid => "not-valid",
        Verdict::NotSatisfied => "not-satisfied",
        Verdict::Satisfied => "satisfied",
        Verdict::NotApplicable => "not-applicable",
    }
}

/// Whether a line's source calls it an assumption.
pub fn is_assumption(line: &Line) -> bool {
    line.origin.text.starts_with("assumed")
}

/// Whether a value that comes from outside says nothing of its source.
pub fn is_unsourced(line: &Line) -> bool {
    let comes_from_outside = match &line.work {
        Work::Given => !matches!(line.value, Value::Data(_)),
        Work::FromData(_) => true,
        Work::Takes(_) => line.is_stated,
        _ => false,
    };
    comes_from_outside && line.origin.text.is_empty()
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

/// Where a line comes from, with its mark.
pub fn reference_text(line: &Line) -> String {
    print_reference(&line.origin.text, line.origin.mark.as_ref())
}
