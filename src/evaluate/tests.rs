use super::*;
use crate::package::{Memory, Package};

const HEAD: &str = "+++\ntitle = \"T\"\nnumber = \"1\"\nrevision = \"A\"\npurpose = \"p\"\nscope = \"s\"\n+++\n";

fn trace(blocks: &str) -> Trace {
    let files = Memory::default().with("a.md", format!("{HEAD}\n{blocks}"));
    let (package, _) = Package::open(Box::new(files)).expect("memory can be read");
    let built = package.build("a.md");
    built.trace.unwrap_or_else(|| panic!("{:#?}", built.findings))
}

fn verdicts(blocks: &str) -> (Verdict, Vec<Verdict>) {
    let trace = trace(blocks);
    let checks = trace.checks().map(|(line, check)| trace.verdict(line, check)).collect();
    (trace.verdict_of_sheet(), checks)
}

#[test]
fn the_four_verdicts_are_told_apart() {
    let (sheet, checks) = verdicts("```verify\n1 <= 2\n2 <= 1\n1 <= 2 when no otherwise \"never\"\n```\n");
    assert_eq!(checks, [Verdict::Satisfied, Verdict::NotSatisfied, Verdict::NotApplicable]);
    assert_eq!(sheet, Verdict::NotSatisfied);
    let (sheet, checks) = verdicts("```verify\nrequire 1 > 2\n1 <= 2\n```\n");
    assert_eq!((sheet, checks), (Verdict::NotValid, vec![Verdict::NotValid]));
}

#[test]
fn a_division_by_zero_names_its_line_and_no_check_passes_on_it() {
    for formula in ["1 / a", "sqrt(a - 1)", "ln(a)", "min(1 / a, 3)", "max(sqrt(a - 1), 0)", "exp(1e9)"] {
        let trace = trace(&format!(
            "```given\na = 0 @ s\n```\n```derive\nx = {formula}\ny = x + 1\n```\n```verify\ny <= 5\n1 <= 2\n```\n"
        ));
        let faults: Vec<_> = trace.faults().map(|(line, fault)| (trace.number(line), fault)).collect();
        assert_eq!(faults, [(2, Fault::NoNumber)], "{formula}");
        let checks: Vec<Verdict> = trace.checks().map(|(line, check)| trace.verdict(line, check)).collect();
        assert_eq!(checks, [Verdict::NotValid, Verdict::Satisfied], "{formula}");
        assert_eq!(trace.verdict_of_sheet(), Verdict::NotValid);
    }
}

#[test]
fn a_requirement_that_is_no_number_makes_the_sheet_not_valid_though_nothing_is_checked() {
    for check in ["", "```verify\n1 <= 2\n```\n"] {
        let trace = trace(&format!(
            "```given\na = 0 @ s\n```\n```derive\nx = 1 / a\ny = x + 1\nrequire y <= 5\nz = a + 1\n```\n{check}"
        ));
        let faults: Vec<_> = trace.faults().map(|(line, fault)| (trace.number(line), fault)).collect();
        assert_eq!(faults, [(2, Fault::NoNumber)]);
        assert_eq!(trace.verdict_of_sheet(), Verdict::NotValid);
    }
}

#[test]
fn every_line_that_is_not_valid_leads_to_one_at_fault_by_itself() {
    let blocks = "```given\na = 0 @ s\nh = 30 mm within 40 mm to 200 mm @ s\n```\n```derive\nx = 1 / a\nrequire x <= 5\n\
                  y = sqrt(a - h / mm)\nrequire y + x > 2 and a > 1\nz = x + a\nrequire a > 3\n```\n```verify\nz <= 3\na <= 2\n```\n";
    let trace = trace(&blocks.replace("h / mm", "h / 1 mm"));
    for (at, state) in trace.states.iter().enumerate() {
        let (mut state, mut steps) = (*state, 0);
        while let State::NotValid(Fault::RestsOn(on) | Fault::ScopeFails(on)) = state {
            (state, steps) = (trace.state(on), steps + 1);
            assert!(steps < 20, "line {at} blames in a circle");
        }
    }
    assert_eq!(trace.verdict_of_sheet(), Verdict::NotValid);
}

#[test]
fn a_branch_not_taken_may_divide_by_zero() {
    let trace = trace("```given\na = 0 @ s\n```\n```derive\nx = cases\n    1 / a when a > 0\n    2 otherwise\n```\n");
    assert_eq!(trace.faults().count(), 0);
    let line = &trace.compiled.notes.lines[1];
    assert_eq!(trace.numbers_of(&line.value), [2.0]);
}

#[test]
fn a_given_outside_its_limits_makes_what_rests_on_it_not_valid() {
    let (sheet, checks) =
        verdicts("```given\nh = 30 mm within 40 mm to 200 mm @ s\n```\n```verify\nh <= 50 mm\n1 <= 2\n```\n");
    assert_eq!(checks, [Verdict::NotValid, Verdict::Satisfied]);
    assert_eq!(sheet, Verdict::NotValid);
}

#[test]
fn a_tie_counts_as_satisfied() {
    let (sheet, _) = verdicts("```verify\n38 kN / (400 mm²) <= 95 N/mm²\n640 / 800 >= 0.8\n```\n");
    assert_eq!(sheet, Verdict::Satisfied);
    let (sheet, _) = verdicts("```verify\n1.0001 <= 1\n```\n");
    assert_eq!(sheet, Verdict::NotSatisfied);
}

#[test]
fn a_resistance_of_zero_is_never_satisfied_by_a_demand() {
    let (_, checks) = verdicts("```verify\n3 kN <= 0 kN\n```\n");
    assert_eq!(checks, [Verdict::NotSatisfied]);
}
