//! How sheets came out as JUnit XML, which pipelines read: a suite a sheet, a case a check.
//!
//! The form is the one that is commonly accepted: `testsuites` over `testsuite` with `properties`, over `testcase`
//! with `failure`, `error` or `skipped`. There is no official schema. Nothing in it is a time.

use super::row::Row;
use crate::compile::LineId;
use crate::evaluate::{Trace, Verdict};
use crate::package::Built;
use crate::render::address::Addresses;
use crate::render::provenance::provenance;
use crate::render::wording::{Wording, ratio_text};
use std::fmt::Write;

/// One sheet.
#[derive(Clone, Debug)]
pub(super) struct Suite {
    name: String,
    properties: Vec<(&'static str, String)>,
    cases: Vec<Case>,
}

/// One check, or what keeps a sheet from having any.
#[derive(Clone, Debug)]
struct Case {
    name: String,
    result: Result,
}

#[derive(Clone, Debug)]
enum Result {
    Passed,
    /// Not satisfied.
    Failure(String),
    /// Not valid, or an error.
    Error(String),
    /// Not applicable.
    Skipped(String),
}

impl Suite {
    /// The suite of a sheet that was built; the prefix leads to its package.
    pub fn new(built: &Built, row: &Row, prefix: &str) -> Self {
        let mut properties = vec![
            ("number", row.number.clone()),
            ("title", row.title.clone()),
            ("revision", row.revision.clone()),
            ("status", row.status.clone()),
        ];
        let cases = match (&built.trace, &built.sheet) {
            (Some(trace), Some(sheet)) => {
                let provenance = provenance(trace, &sheet.document.source);
                properties.extend([("digest", provenance.digest), ("program", provenance.program)]);
                cases(trace)
            }
            _ => {
                let findings: Vec<String> = built.findings.iter().map(ToString::to_string).collect();
                let message = if findings.is_empty() { row.words().to_owned() } else { findings.join("\n") };
                vec![Case { name: "the sheet can be built".to_owned(), result: Result::Error(message) }]
            }
        };
        Self { name: format!("{prefix}{}", built.path), properties, cases }
    }

    /// Adds a case for something that was demanded of the sheet; the text says what it lacks.
    pub fn demand(&mut self, name: &str, lacks: Option<&str>) {
        let result = lacks.map_or(Result::Passed, |lacks| Result::Failure(lacks.to_owned()));
        self.cases.push(Case { name: name.to_owned(), result });
    }

    fn count(&self, is_counted: fn(&Result) -> bool) -> usize {
        self.cases.iter().filter(|case| is_counted(&case.result)).count()
    }
}

/// Lines that are not valid by themselves, then every check.
fn cases(trace: &Trace) -> Vec<Case> {
    let addresses = Addresses::new(trace);
    let wording = Wording::new(trace, &addresses);
    let named = |words: &str, id: LineId| format!("{words} (#{})", addresses.line(id)).trim_start().to_owned();
    let faults = trace.faults().filter(|(id, _)| !trace.checks().any(|(check, _)| check == *id));
    let faults = faults.map(|(id, _)| Case {
        name: named(&wording.line(id).description, id),
        result: Result::Error(wording.reason(id)),
    });
    let checks = trace.checks().map(|(id, check)| {
        let ratio = ratio_text(trace.register(check.ratio));
        let result = match trace.verdict(id, check) {
            Verdict::Satisfied => Result::Passed,
            Verdict::NotSatisfied => Result::Failure(format!("not satisfied, ratio {ratio}")),
            Verdict::NotValid => Result::Error(format!("not valid: {}", wording.reason(id))),
            Verdict::NotApplicable => Result::Skipped(format!("not applicable: {}", wording.reason(id))),
        };
        Case { name: named(&wording.check_name(wording.line(id)), id), result }
    });
    faults.chain(checks).collect()
}

/// The document.
pub(super) fn document(suites: &[Suite]) -> String {
    let mut out = String::from("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    let total = |is_counted: fn(&Result) -> bool| suites.iter().map(|suite| suite.count(is_counted)).sum::<usize>();
    let _ = write!(out, "<testsuites name=\"soleplate\"{}>", counts(total));
    for suite in suites {
        out.push_str("\n  <testsuite");
        attribute(&mut out, "name", &suite.name);
        let _ = write!(out, "{}>\n    <properties>", counts(|is_counted| suite.count(is_counted)));
        for (name, value) in &suite.properties {
            out.push_str("\n      <property");
            attribute(&mut out, "name", name);
            attribute(&mut out, "value", value);
            out.push_str("/>");
        }
        out.push_str("\n    </properties>");
        for case in &suite.cases {
            out.push_str("\n    <testcase");
            attribute(&mut out, "classname", &class(&suite.name));
            attribute(&mut out, "name", &case.name);
            let (element, message) = match &case.result {
                Result::Passed => {
                    out.push_str("/>");
                    continue;
                }
                Result::Failure(message) => ("failure", message),
                Result::Error(message) => ("error", message),
                Result::Skipped(message) => ("skipped", message),
            };
            let _ = write!(out, ">\n      <{element}");
            attribute(&mut out, "message", message);
            out.push_str("/>\n    </testcase>");
        }
        out.push_str("\n  </testsuite>");
    }
    out.push_str("\n</testsuites>\n");
    out
}

fn counts(count: impl Fn(fn(&Result) -> bool) -> usize) -> String {
    format!(
        " tests=\"{}\" failures=\"{}\" errors=\"{}\" skipped=\"{}\"",
        count(|_| true),
        count(|result| matches!(result, Result::Failure(_))),
        count(|result| matches!(result, Result::Error(_))),
        count(|result| matches!(result, Result::Skipped(_)))
    )
}

/// `depot/frame/b4.md` as `depot.frame.b4`: a case's class, whose steps readers take for folders.
fn class(name: &str) -> String {
    name.strip_suffix(".md").unwrap_or(name).trim_start_matches("../").replace('/', ".")
}

/// Writes an attribute, escaped; what XML cannot hold becomes the character that stands for it.
fn attribute(out: &mut String, name: &str, value: &str) {
    let _ = write!(out, " {name}=\"");
    for c in value.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\n' => out.push_str("&#10;"),
            '\r' => out.push_str("&#13;"),
            '\t' => out.push_str("&#9;"),
            '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            c if c < ' ' => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
    out.push('"');
}

#[cfg(test)]
mod tests {
    use super::attribute;

    #[test]
    fn text_of_others_cannot_leave_its_attribute() {
        let mut out = String::new();
        attribute(&mut out, "name", "a\"b<c>&d'\n\u{1b}[31m\u{0}γ");
        assert_eq!(out, " name=\"a&quot;b&lt;c&gt;&amp;d'&#10;\u{fffd}[31m\u{fffd}γ\"");
    }
}
