//! What governs each row of a clause that is used for each, such as each load case, for the first page.
//!
//! Only uses by the sheet itself are looked at, and only those with more than one check in a row: where each row has
//! the same one check, the list of all checks says as much.

use super::view::{RowResult, RowTable};
use super::wording::{Wording, ratio_text, verdict_view};
use crate::compile::{LineId, ScopeId, ScopePart};
use crate::evaluate::Verdict;
use crate::syntax::{Statement, StatementKind};
use std::sync::Arc;

/// The use of a clause for one row: its line and its scope.
type RowUse = (LineId, ScopeId);
/// A check with how it came out and its ratio.
type RowCheck = (LineId, Verdict, f64);

/// A table for each such use, in the order of the sheet.
pub fn by_row(wording: &Wording<'_>) -> Vec<RowTable> {
    let notes = &wording.trace.compiled.notes;
    let mut uses: Vec<(&Arc<Statement>, Vec<RowUse>)> = Vec::new();
    for part in &notes.scope(ScopeId(0)).parts {
        let ScopePart::Use(line, scope) = part else { continue };
        let statement = &wording.line(*line).statement;
        match uses.last_mut() {
            Some((last, rows)) if Arc::ptr_eq(last, statement) => rows.push((*line, *scope)),
            _ => uses.push((statement, vec![(*line, *scope)])),
        }
    }
    uses.iter().filter_map(|(statement, rows)| table(wording, statement, rows)).collect()
}

fn table(wording: &Wording<'_>, statement: &Statement, rows: &[RowUse]) -> Option<RowTable> {
    let StatementKind::Use(used) = &statement.kind else { return None };
    let (each, _) = used.each.as_ref()?;
    let checks: Vec<Vec<RowCheck>> = rows.iter().map(|(_, scope)| checks_in(wording, *scope)).collect();
    if rows.len() < 2 || checks.iter().all(|checks| checks.len() < 2) {
        return None;
    }
    let governing = |(&(line, scope), checks): (&RowUse, &Vec<RowCheck>)| {
        let worst = checks.iter().min_by(|a, b| a.1.cmp(&b.1).then(b.2.total_cmp(&a.2)))?;
        Some(RowResult {
            label: wording.line(line).description.clone(),
            id: wording.addresses.line(worst.0).to_owned(),
            description: Wording::described(&wording.check_name_within(wording.line(worst.0), scope)),
            ratio: ratio_text(worst.2),
            verdict: verdict_view(worst.1),
        })
    };
    Some(RowTable { each: each.node.replace('_', " "), rows: rows.iter().zip(&checks).filter_map(governing).collect() })
}

/// The checks of a use that apply, those of the clauses that it uses included.
fn checks_in(wording: &Wording<'_>, scope: ScopeId) -> Vec<RowCheck> {
    let trace = wording.trace;
    let notes = &trace.compiled.notes;
    trace
        .checks()
        .filter(|(id, _)| notes.is_within(wording.line(*id).scope, scope))
        .map(|(id, check)| (id, trace.verdict(id, check), trace.register(check.ratio)))
        .filter(|(_, verdict, _)| *verdict != Verdict::NotApplicable)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::package::{Memory, Package};
    use crate::render::address::Addresses;

    /// A clause of the standard S.
    fn clause(blocks: &str) -> String {
        let front = "title = \"t\"\nstandard = \"S\"\nclause = \"1\"\nversion = \"1\"\nscope = \"s\"\nbasis = \"b\"";
        format!("+++\nkind = \"clause\"\n{front}\n+++\n{blocks}")
    }

    /// Each table, and of its rows label, check, ratio and verdict; then the names of all checks.
    fn told(blocks: &str) -> (Vec<(String, Vec<String>)>, Vec<String>) {
        let one = "```clause\ntakes q : number\n```\n```verify\nq <= 4 \"crushing\"\n```\n";
        let both = "```clause\ntakes case : row of p number, q number\n```\n```verify\ncase.p <= 10 \"tearing\" when case.p > 0 \
            otherwise \"nothing pulls\"\n```\n```clause\nuse s/one for each q of [case.q, 2 * case.q]\n```\n";
        let front = "title = \"T\"\nnumber = \"1\"\nrevision = \"A\"\npurpose = \"p\"\nscope = \"s\"\n";
        let files = Memory::default()
            .with("clauses/s/one.md", clause(one))
            .with("clauses/s/both.md", clause(both))
            .with("a.md", format!("+++\n{front}+++\n{blocks}"));
        let (package, _) = Package::open(Box::new(files)).unwrap();
        let built = package.build("a.md");
        let trace = built.trace.unwrap_or_else(|| panic!("{:#?}", built.findings));
        let addresses = Addresses::new(&trace);
        let wording = Wording::new(&trace, &addresses);
        let line = |row: &RowResult| {
            format!("{}: {} {} {}", row.label, row.description.as_str(), row.ratio, row.verdict.words)
        };
        let rows = |table: &RowTable| (table.each.clone(), table.rows.iter().map(line).collect());
        let tables = by_row(&wording).iter().map(rows).collect();
        let names = trace.checks().map(|(id, _)| wording.check_name(wording.line(id))).collect();
        (tables, names)
    }

    #[test]
    fn each_row_says_what_governs_it_and_every_check_says_its_row() {
        let loads = "```given\nloads = table p, q @ s\n        wind: 9, 0.5\n        snow: 0, 3\n```\n";
        let (tables, names) =
            told(&format!("{loads}```clause\nuse s/both for each load_case of loads with case = load_case\n```\n"));
        let rows = vec!["wind: tearing 0.90 satisfied".to_owned(), "snow: crushing, 2 1.50 not satisfied".to_owned()];
        assert_eq!(tables, [("load case".to_owned(), rows)]);
        let of = |row: &str| [format!("tearing, {row}"), format!("crushing, 1, {row}"), format!("crushing, 2, {row}")];
        assert_eq!(names, [of("wind"), of("snow")].concat());
    }

    #[test]
    fn one_check_for_each_row_needs_no_table() {
        let (tables, names) = told("```clause\nuse s/one for each q of [1, 2]\n```\n");
        assert!(tables.is_empty());
        assert_eq!(names, ["crushing, 1", "crushing, 2"]);
    }
}
