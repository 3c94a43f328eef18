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
        let takes_tables = matches!(
            function.signature,
            Signature::Routine(_) | Signature::Pairs | Signature::Labels(_) | Signature::RandomSample
        );
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
fn columns_are_tables_of_lines_and_corners() {
    /// Columns of a table, mm where they are lengths.
    fn columns<const COUNT: usize>(formula: &str) -> [Vec<f64>; COUNT] {
        let (numbers, _) = evaluate(formula);
        let rows = numbers.len() / COUNT;
        std::array::from_fn(|column| numbers[column * rows..(column + 1) * rows].to_vec())
    }
    let are_near = |found: &[f64], wanted: &[f64]| {
        assert_eq!(found.len(), wanted.len());
        found
            .iter()
            .zip(wanted)
            .for_each(|(found, wanted)| assert!((found - wanted).abs() < 1e-12, "{found}, not {wanted}"));
    };
    let [ring, x, y] = columns("solid_rectangle(40 mm, 20 mm, 5 mm, 1 mm)");
    are_near(&ring, &[1.0; 4]);
    are_near(&x, &[-0.015, 0.025, 0.025, -0.015]);
    are_near(&y, &[-0.009, -0.009, 0.011, 0.011]);

    // Corners lie on the circle, one after the other a sixteenth of a turn on; walls on the middle of the tube's.
    let [ring, x, y] = columns("solid_circle(100 mm, 10 mm, 0 mm)");
    are_near(&ring, &[1.0; 16]);
    let [x_1, y_1, x_2, y_2] = columns("walls_of_circle(108 mm, 8 mm, 10 mm, 0 mm)");
    are_near(&x_1, &x);
    are_near(&y_1, &y);
    for at in 0..16 {
        assert!((libm::hypot(x[at] - 0.01, y[at]) - 0.05).abs() < 1e-12);
        let next = (at + 1) % 16;
        are_near(&[x_2[at], y_2[at]], &[x[next], y[next]]);
        let cross = (x[at] - 0.01) * y[next] - (x[next] - 0.01) * y[at];
        assert!((cross - 0.0025 * libm::sin(std::f64::consts::TAU / 16.0)).abs() < 1e-12);
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
