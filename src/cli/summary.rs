//! A trace in a few lines for the terminal: what governs, what is not valid, what is not satisfied.

use super::drawing::Drawing;
use super::terminal::plain;
use crate::compile::{Line, LineId, ScopeId, Work};
use crate::evaluate::{Trace, Verdict};
use crate::render::address::Addresses;
use crate::render::card::{bars, open};
use crate::render::completeness::{completeness, unanswered};
use crate::render::math::quantity_text;
use crate::render::recalculation::unchanged;
use crate::render::records::not_accepted;
use crate::render::review::PageReview;
use crate::render::wording::{Wording, ratio_text};
use crate::syntax::{StatementKind, print_expression};

/// Anchors that are not accepted and told one by one; the page tells more of them, the JSON all.
const MOST_ANCHORS: usize = 20;

/// The check that governs a sheet.
#[derive(Clone, Debug)]
pub(super) struct Governing {
    /// What is checked.
    pub description: String,
    /// Demand over resistance.
    pub ratio: f64,
}

/// What is said of one trace.
pub(super) struct Summary<'a> {
    wording: Wording<'a>,
}

impl<'a> Summary<'a> {
    /// The summary of a trace.
    pub fn new(trace: &'a Trace, addresses: &'a Addresses) -> Self {
        Self { wording: Wording::new(trace, addresses) }
    }

    /// What governs, with its name for the terminal.
    pub fn governing(&self) -> Option<Governing> {
        let (id, ratio) = self.wording.governing()?;
        Some(Governing { description: plain(&self.name(self.wording.line(id))), ratio })
    }

    /// Lines that are not valid and checks that are not satisfied, each with the line of the sheet that leads to it.
    pub fn remarks(&self, drawing: &Drawing<'_>) -> Vec<String> {
        let trace = self.wording.trace;
        let mut told: Vec<(String, String)> = Vec::new();
        let faults = trace.faults().filter_map(|(id, _)| {
            let line = self.wording.line(id);
            let fault = (self.name(line), self.wording.reason(id));
            // The same condition on the same values, in a further clause, is the same fault.
            if told.contains(&fault) {
                return None;
            }
            let text = format!("{}{}: {}{}", self.place(line, drawing), fault.0, fault.1, self.given(line, drawing));
            told.push(fault);
            Some(text)
        });
        let failing = trace.checks().filter(|(id, check)| trace.verdict(*id, check) == Verdict::NotSatisfied);
        let checks = failing.map(|(id, check)| {
            let line = self.wording.line(id);
            let ratio = trace.register(check.ratio);
            // Where nothing at all is allowed, such as anchors that are open, there is no ratio.
            let how_far = if ratio.is_finite() {
                format!(", ratio {}", ratio_text(ratio))
            } else {
                let [demand, resistance] = [&check.demand, &check.resistance].map(|side| quantity_text(trace, side));
                format!(": {demand} against {resistance}")
            };
            format!("{}{} is not satisfied{how_far}", self.place(line, drawing), self.name(line))
        });
        // A narrow no-break space is only in the way of those who search.
        faults
            .chain(checks)
            .chain(self.not_accepted(drawing))
            .map(|remark| plain(&remark.replace('\u{202f}', " ")))
            .collect()
    }

    /// The anchors of as-installed records that are not accepted, each with its reasons and the lines of the file.
    fn not_accepted(&self, drawing: &Drawing<'_>) -> Vec<String> {
        let mut told = Vec::new();
        for records in &self.wording.trace.compiled.notes.records {
            let place = self.place(self.wording.line(records.line), drawing);
            let file = &records.source.name;
            told.extend(not_accepted(records).take(MOST_ANCHORS).map(|open| {
                let lines = open.lines.iter().map(u32::to_string).collect::<Vec<_>>().join(", ");
                let source = match open.lines.len() {
                    0 => String::new(),
                    1 => format!(" ({file}, line {lines})"),
                    _ => format!(" ({file}, lines {lines})"),
                };
                format!("{place}{} {}{source}", open.name(), open.outcome())
            }));
            let all = records.report.totals.specified - records.report.totals.accepted;
            if all > MOST_ANCHORS {
                told.push(format!("{place}and {} more anchors that are not accepted", all - MOST_ANCHORS));
            }
            told.extend(
                records.report.unlisted.iter().take(MOST_ANCHORS).map(|row| {
                    format!("{place}`{}` is no anchor of the sheet ({file}, line {})", row.marks(), row.line)
                }),
            );
        }
        told
    }

    /// The failure modes of the standards in use of which nothing is said.
    pub fn unanswered_modes(&self) -> Vec<String> {
        unanswered(&completeness(&self.wording)).iter().map(|mode| plain(mode)).collect()
    }

    /// The failure modes of the standards in use of which nothing is said, as one remark.
    pub fn unanswered(&self, path: &str) -> Option<String> {
        let modes = self.unanswered_modes();
        if modes.is_empty() {
            return None;
        }
        let advice = "use a clause for each, or say in `not_applicable` or `not_verified` why not";
        Some(plain(&format!("{path}: unanswered: {}; {advice}", modes.join(", "))))
    }

    /// The cards that must not be used although the calculation may be satisfied, each as a remark.
    pub fn cards(&self, path: &str) -> Vec<String> {
        bars(&self.wording).iter().map(|bar| plain(&format!("{path}: {bar}"))).collect()
    }

    /// What stands against using the cards, each in a few words.
    pub fn card_faults(&self) -> Vec<String> {
        open(&self.wording).iter().chain(&bars(&self.wording)).map(|fault| plain(fault)).collect()
    }

    /// The calculations that are made again with their own values, each as a remark.
    pub fn unchanged(&self, drawing: &Drawing<'_>) -> Vec<String> {
        let remark = |(id, path): (LineId, String)| {
            let place = self.place(self.wording.line(id), drawing);
            let advice = "name what differs behind `with`";
            plain(&format!("{place}`{path}` is made again and every value is the same as before; {advice}"))
        };
        unchanged(&self.wording).into_iter().map(remark).collect()
    }

    /// The inherited values that nobody has confirmed, as one remark.
    pub fn inherited(&self, path: &str, review: &PageReview) -> Option<String> {
        let is_inherited = |id: &&LineId| review.lines.get(id.0 as usize).is_some_and(|line| line.inherited.is_some());
        let ids = self.wording.trace.order.iter().filter(is_inherited);
        let names: Vec<&str> = ids.map(|id| self.wording.addresses.line(*id)).collect();
        if names.is_empty() {
            return None;
        }
        let advice = format!("change them, or confirm them with `soleplate review {path} --accept LINE --by NAME`");
        Some(plain(&format!("{path}: inherited, not confirmed: {}; {advice}", names.join(", "))))
    }

    /// File and line in the sheet, and the clause where the line stands in one.
    fn place(&self, line: &Line, drawing: &Drawing<'_>) -> String {
        let notes = &self.wording.trace.compiled.notes;
        let (mut at, mut scope) = (line, line.scope);
        while let (Some(parent), Some(user)) = (notes.scope(scope).parent, self.wording.used_by(scope)) {
            (at, scope) = (self.wording.line(user), parent);
        }
        let number = at.source.position(at.statement.span.start).line;
        let place = format!("{}:{number}: ", drawing.name(&at.source));
        match line.scope {
            ScopeId(0) => place,
            inner => format!("{place}{}: ", notes.scope(inner).document.front.title),
        }
    }

    /// Where the values were given that a line in a clause names, as far as they were only passed on.
    fn given(&self, line: &Line, drawing: &Drawing<'_>) -> String {
        let trace = self.wording.trace;
        let mut places: Vec<String> = Vec::new();
        for from in line.mentions.iter().filter_map(|mention| mention.line) {
            let given = trace.compiled.notes.line(trace.origin_of(from));
            if line.scope == ScopeId(0) || !matches!(given.work, Work::Given | Work::FromData(_)) {
                continue;
            }
            let number = given.source.position(given.statement.span.start).line;
            let symbol = given.symbol.as_deref().unwrap_or_default();
            let place = format!("`{symbol}` in {}:{number}", drawing.name(&given.source));
            if !places.contains(&place) {
                places.push(place);
            }
        }
        if places.is_empty() { String::new() } else { format!("; given is {}", places.join(", ")) }
    }

    /// What a line is of: its words, its symbol, or its formula where it has neither.
    fn name(&self, line: &Line) -> String {
        match (&line.work, &line.statement.kind, &line.symbol) {
            (Work::Check(_), StatementKind::Verify(condition), _) if line.description.is_empty() => {
                print_expression(condition)
            }
            (Work::Check(_), ..) => self.wording.check_name(line),
            (_, _, Some(symbol)) => format!("`{symbol}`"),
            (_, StatementKind::Require { condition, .. }, _) if line.description.is_empty() => {
                format!("`{}`", print_expression(condition))
            }
            _ if line.description.is_empty() => "this line".to_owned(),
            _ => line.description.clone(),
        }
    }
}
