//! What is kept of a sheet once it is built and its page is written: a row for the terminal and for the index.

use super::drawing::Drawing;
use super::exit::Outcome;
use super::terminal::plain;
use crate::compile::{Check, Line, LineId, Work};
use crate::diagnostic::{Code, Diagnostic};
use crate::evaluate::{Fault, Trace, Verdict};
use crate::package::Built;
use crate::render::present::status;
use crate::render::wording::ratio_text;
use crate::syntax::{StatementKind, print_expression};
use crate::text::Span;

/// One sheet, in short.
#[derive(Clone, Debug)]
pub(super) struct Row {
    /// Its path in the package.
    pub path: String,
    /// Identification number; empty where the sheet could not be read.
    pub number: String,
    /// Title.
    pub title: String,
    /// Revision.
    pub revision: String,
    /// Document status.
    pub status: String,
    /// How it counts for the whole run.
    pub outcome: Outcome,
    /// How it came out; nothing where it has errors.
    pub verdict: Option<Verdict>,
    /// The check that governs.
    pub governing: Option<Governing>,
    /// Lines that are not valid and checks that are not satisfied, each with its place.
    pub remarks: Vec<String>,
    /// What was found.
    pub findings: Vec<Finding>,
    /// Why its pages could not be written.
    pub not_written: Option<String>,
}

/// One finding, drawn.
#[derive(Clone, Debug)]
pub(super) struct Finding {
    /// Whether it is an error.
    pub is_error: bool,
    /// Its place and message, the same for every sheet that it concerns.
    pub key: String,
    /// As shown.
    pub text: String,
}

/// The check that governs a sheet.
#[derive(Clone, Debug)]
pub(super) struct Governing {
    /// What is checked.
    pub description: String,
    /// Demand over resistance.
    pub ratio: f64,
}

/// Findings of one sheet beyond this number are counted and not drawn.
pub(super) const DRAWN_LIMIT: usize = 100;

impl Row {
    /// The row of a sheet.
    pub fn new(built: &Built, drawing: &Drawing<'_>) -> Self {
        let front = built.sheet.as_ref().map(|sheet| &sheet.document.front);
        let text =
            |of: fn(&crate::document::FrontMatter) -> &String| front.map_or(String::new(), |front| plain(of(front)));
        let drawn = |finding: &Diagnostic| Finding {
            is_error: finding.is_error(),
            key: finding.to_string(),
            text: drawing.draw(finding),
        };
        let mut findings: Vec<Finding> = built.findings.iter().take(DRAWN_LIMIT).map(drawn).collect();
        if let Some(sheet) = built.sheet.as_ref().filter(|_| built.is_clause()) {
            let message = "this clause lies outside `clauses/`, where no sheet can use it";
            let warning = Diagnostic::error(Code::UnknownClause, &sheet.document.source, Span::default(), message)
                .as_warning()
                .help("move it into a folder of `clauses/`, named for its standard");
            findings.push(drawn(&warning));
        }
        if built.findings.len() > DRAWN_LIMIT {
            let more = built.findings.len() - DRAWN_LIMIT;
            let text = format!("error: {}{} has {more} more findings", drawing.prefix, built.path);
            findings.push(Finding { is_error: true, key: text.clone(), text });
        }
        Self {
            path: built.path.clone(),
            number: text(|front| &front.number),
            title: text(|front| &front.title),
            revision: text(|front| &front.revision),
            status: status(&text(|front| &front.status)),
            outcome: Outcome::of(built),
            verdict: built.trace.as_ref().map(Trace::verdict_of_sheet),
            governing: built.trace.as_ref().and_then(governing),
            remarks: built.trace.as_ref().map_or_else(Vec::new, |trace| remarks(trace, drawing)),
            findings,
            not_written: None,
        }
    }

    /// How it came out, in words.
    pub fn words(&self) -> &'static str {
        match (self.verdict, self.outcome) {
            (Some(verdict), _) => verdict.words(),
            (None, Outcome::Unreadable) => "not readable",
            (None, Outcome::Satisfied) => "a clause",
            (None, _) => "has errors",
        }
    }

    /// One line: verdict, ratio and name of the governing check, sheet.
    pub fn line(&self, prefix: &str) -> String {
        let (ratio, governing) = match &self.governing {
            Some(governing) => (ratio_text(governing.ratio), format!(": {}", governing.description)),
            None if self.verdict.is_some() => (String::new(), ": nothing is checked".to_owned()),
            None => (String::new(), String::new()),
        };
        format!("{:<13}  {ratio:>6}  {prefix}{}{governing}", self.words(), plain(&self.path))
    }
}

/// What is not valid first, then what is not satisfied, then the largest ratio.
fn governing(trace: &Trace) -> Option<Governing> {
    let mut checks: Vec<(Verdict, f64, LineId)> = trace
        .checks()
        .map(|(id, check)| (trace.verdict(id, check), trace.register(check.ratio), id))
        .filter(|(verdict, ..)| *verdict != Verdict::NotApplicable)
        .collect();
    checks.sort_by(|a, b| {
        let by_ratio = b.1.partial_cmp(&a.1).unwrap_or(std::cmp::Ordering::Equal);
        a.0.cmp(&b.0).then(by_ratio)
    });
    let (_, ratio, id) = checks.first().copied()?;
    Some(Governing { description: describe_check(trace.compiled.notes.line(id)), ratio })
}

fn remarks(trace: &Trace, drawing: &Drawing<'_>) -> Vec<String> {
    let notes = &trace.compiled.notes;
    let place = |line: &Line| {
        let at = line.source.position(line.statement.span.start).line;
        let scope = &notes.scope(line.scope).path;
        let inside = if scope.is_empty() { String::new() } else { format!("in {scope}, ") };
        format!("{}:{at}: {inside}", drawing.name(&line.source))
    };
    let faults = trace.faults().map(|(id, fault)| {
        let line = notes.line(id);
        format!("{}{}", place(line), describe_fault(line, fault))
    });
    let is_failing = |(id, check): &(LineId, &Check)| trace.verdict(*id, check) == Verdict::NotSatisfied;
    let checks = trace.checks().filter(is_failing).map(|(id, check)| {
        let line = notes.line(id);
        let ratio = ratio_text(trace.register(check.ratio));
        format!("{}{} is not satisfied, ratio {ratio}", place(line), describe_check(line))
    });
    faults.chain(checks).map(|remark| plain(&remark)).collect()
}

fn describe_fault(line: &Line, fault: Fault) -> String {
    let name = match (&line.symbol, &line.statement.kind) {
        (Some(symbol), _) => format!("`{symbol}`"),
        (None, StatementKind::Verify(condition) | StatementKind::Require(condition)) => {
            format!("`{}`", print_expression(condition))
        }
        (None, _) => "this line".to_owned(),
    };
    match fault {
        Fault::NoNumber => format!("{name} is no number: a division by zero, a root of a negative or an overflow"),
        Fault::OutsideLimits => match &line.statement.suffix.within {
            Some((low, high)) => {
                let (low, high) = (print_expression(low), print_expression(high));
                format!("{name} lies outside its limits of validity, {low} to {high}")
            }
            None => format!("{name} lies outside its limits of validity"),
        },
        Fault::RequirementFails if line.description.is_empty() => format!("{name} does not hold"),
        Fault::RequirementFails => format!("{name} does not hold: {}", line.description),
        // Lines that merely rest on others are not told of.
        Fault::RestsOn(_) | Fault::ScopeFails(_) => name,
    }
}

/// What a check is of: its words, or its formula where it has none.
fn describe_check(line: &Line) -> String {
    match (&line.work, &line.statement.kind) {
        (Work::Check(_), StatementKind::Verify(condition)) if line.description.is_empty() => {
            print_expression(condition)
        }
        _ => plain(&line.description),
    }
}
