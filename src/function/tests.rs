use super::*;
use crate::compile::Value;
use crate::package::{Memory, Package};

const HEAD: &str = "+++\ntitle = \"T\"\nnumber = \"1\"\nrevision = \"A\"\npurpose = \"p\"\nscope = \"s\"\n+++\n";

/// The registers of `x` and its kind in words.
fn evaluate(formula: &str) -> (Vec<f64>, String) {
    let sheet = format!("{HEAD}\n```derive\nx = {formula}\n```\n");
    let (package, _) = Package::open(Box::new(Memory::default().with("a.md", sheet))).expect("memory can be read");
    let built = package.build("a.md");
    let trace = built.trace.unwrap_or_else(|| panic!("{formula}: {:?}", built.findings));
    let line = &trace.compiled.notes.lines[0];
    let kind = match &line.value {
        Value::List(list) => format!("list of {}", list.element.describe()),
        other => other.kind().describe(),
    };
    (trace.numbers_of(&line.value), kind)
}

#[test]
fn every_example_gives_its_result() {
    for function in all() {
        // A formula of one line holds no table.
        let takes_tables =
            matches!(function.signature, Signature::Routine(_) | Signature::Pairs | Signature::RandomSample);
        assert!(takes_tables || function.examples.len() >= 2, "{} has no two examples", function.name);
        for (formula, result) in function.examples {
            let (found, found_kind) = evaluate(formula);
            let (wanted, wanted_kind) = evaluate(result);
            assert_eq!(found_kind, wanted_kind, "{formula}");
            assert_eq!(found.len(), wanted.len(), "{formula}");
            for (found, wanted) in found.iter().zip(&wanted) {
                // Results are written to three figures.
                assert!((found - wanted).abs() <= 5e-3 * wanted.abs(), "{formula}: {found}, not {wanted}");
            }
        }
    }
}

#[test]
fn names_are_distinct_and_no_words_of_the_language() {
    let mut names: Vec<&str> = all().map(|function| function.name).collect();
    assert!(names.iter().all(|name| !crate::syntax::KEYWORDS.contains(name)));
    let count = names.len();
    names.sort_unstable();
    names.dedup();
    assert_eq!(names.len(), count);
    assert!(all().all(|function| function.usage.starts_with(function.name)));
}
