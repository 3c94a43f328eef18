//! Comparisons of real sheets: what is told of a change, and what is none.

use super::*;
use crate::package::{Built, Memory, Package};
use crate::render::difference::percent_text;
use proptest::prelude::*;

const FRONT: &str = "title = \"T\"\nnumber = \"FTD-1\"\nrevision = \"P01\"\npurpose = \"P.\"\nscope = \"S.\"\n";

/// A clause, to be used twice.
const CLAUSE: &str = "+++\nkind = \"clause\"\ntitle = \"Share of a force\"\nstandard = \"Invented standard\"\n\
    clause = \"7.2\"\nversion = \"1\"\nscope = \"Any.\"\nbasis = \"Written for the test.\"\nshows = [\"part\"]\n+++\n\n\
    ```clause\ntakes N : force \"the force\"\ntakes k : number \"the share\"\ngives R \"its part\"\n```\n\n\
    ```derive\nR = k * N in kN \"its part\" @ Invented standard, (7.1)\n```\n\n\
    ```verify\nR <= 90 kN \"part\" @ Invented standard, (7.2)\n```\n";

const DATA: &str = "title = \"Bolt (invented)\"\nnotice = \"Illustrative values.\"\n\n[values]\n\
    N_Rk = { value = \"20 kN\", source = \"schedule\", description = \"resistance\" }\n";

const SHEET: &str = "Words about `N_Ed`, *in short*.\n\n```given\n\
N_Ed = 8 kN \"tension\" within 0 kN to 50 kN @ load schedule LS-03\n\
gamma = 1.5 \"factor\" @ s\n\
bolt = data \"data/bolt.toml\" \"the bolt\" @ schedule\n\
edges = table distance in mm \"edges\" @ drawing\n  east: 100\n  west: 200\n\
```\n\n```derive\n\
N_Rd = bolt.N_Rk / gamma in kN \"design resistance\" @ s\n\
half = N_Ed / 2 \"half\" @ s\n\
```\n\n```verify\n\
N_Ed <= N_Rd \"pull-out\" @ s\n\
N_Ed <= 2 * N_Rd \"twice\" @ s\n\
```\n\n```clause\n\
use share with N = N_Ed, k = 0.25 gives R as Q \"a quarter\"\n\
use share with N = N_Ed, k = 0.75 gives R as Z \"the rest\"\n\
```\n";

#[track_caller]
fn build(front: &str, sheet: &str, clause: &str, data: &str) -> Built {
    let files = Memory::default()
        .with("a.md", format!("+++\n{front}+++\n\n{sheet}"))
        .with("clauses/share.md", clause)
        .with("data/bolt.toml", data);
    let (package, findings) = Package::open(Box::new(files)).unwrap();
    assert!(findings.is_empty(), "{findings:#?}");
    let built = package.build("a.md");
    let findings: Vec<String> = built.findings.iter().map(ToString::to_string).collect();
    assert!(built.trace.is_some(), "{findings:#?}");
    built
}

#[track_caller]
fn sheet(text: &str) -> Built {
    build(FRONT, text, CLAUSE, DATA)
}

fn calculation(built: &Built) -> Calculation<'_> {
    Calculation { document: &built.sheet.as_ref().unwrap().document, trace: built.trace.as_ref().unwrap() }
}

fn compared(old: &Built, new: &Built) -> Comparison {
    compare(calculation(old), calculation(new))
}

/// The sheet with one text in the place of another that stands in it once.
#[track_caller]
fn with(old: &str, new: &str) -> String {
    assert_eq!(SHEET.matches(old).count(), 1, "{old}");
    SHEET.replace(old, new)
}

/// Every difference in a line: kind, address, old and new, change in per cent.
fn told(comparison: &Comparison) -> Vec<String> {
    let mut told = Vec::new();
    for change in comparison.changes.iter().filter(|change| !change.is_passed_on) {
        let percent = change.percent.map_or_else(String::new, |percent| format!(" {}", percent_text(percent)));
        let outcome = match change.kind {
            Kind::Flipped => format!(" {} → {}", change.old.outcome, change.new.outcome),
            _ => String::new(),
        };
        let (kind, id) = (change.kind, &change.new.id);
        told.push(format!("{kind:?} {id}: {} → {}{percent}{outcome}", change.old.value, change.new.value));
    }
    for (word, lines) in [("gone", &comparison.removed), ("new", &comparison.added), ("moved", &comparison.moved)] {
        told.extend(lines.iter().map(|line| format!("{word} {}: {}", line.id, line.text)));
    }
    for field in &comparison.front {
        told.push(format!("front {}: {} → {}", field.key, field.old, field.new));
    }
    for mode in &comparison.modes {
        told.push(format!("mode {}: {} → {}", mode.mode, mode.old, mode.new));
    }
    for clause in &comparison.clauses {
        told.extend(clause_rows(clause).map(|(what, old, new)| format!("{what}: {old} → {new}")));
    }
    told.extend(comparison.prose.removed.iter().map(|text| format!("prose was {text}")));
    told.extend(comparison.prose.added.iter().map(|text| format!("prose is {text}")));
    told.iter().map(|told| told.replace('\u{202f}', " ")).collect()
}

#[track_caller]
fn changes_of(text: &str) -> Vec<String> {
    told(&compared(&sheet(SHEET), &sheet(text)))
}

#[test]
fn a_load_that_grows_flips_its_check_first_and_leaves_what_it_does_not_reach() {
    assert_eq!(
        changes_of(&with("N_Ed = 8 kN", "N_Ed = 16 kN")),
        [
            "Flipped check: 8 kN of 13.3 kN → 16 kN of 13.3 kN +100 % satisfied → not satisfied",
            "Input N_Ed: 8 kN → 16 kN +100 %",
            "Check check-2: 8 kN of 26.7 kN → 16 kN of 26.7 kN +100 %",
            "Check share.check: 2.00 kN of 90 kN → 4.00 kN of 90 kN +100 %",
            "Check share-2.check: 6.00 kN of 90 kN → 12.0 kN of 90 kN +100 %",
            "Result half: 4.00 kN → 8.00 kN +100 %",
            "Result share.R: 2.00 kN → 4.00 kN +100 %",
            "Result share-2.R: 6.00 kN → 12.0 kN +100 %",
        ]
    );
}

#[test]
fn a_value_that_is_no_longer_valid_flips_itself_and_what_rests_on_it() {
    let told = changes_of(&with("N_Ed = 8 kN", "N_Ed = 80 kN"));
    let flipped: Vec<&String> = told.iter().filter(|told| told.starts_with("Flipped")).collect();
    assert_eq!(flipped.len(), 5, "{told:#?}");
    assert!(flipped[0].starts_with("Flipped N_Ed: 8 kN → 80 kN") && flipped[0].ends_with("valid → not valid"));
    assert!(flipped[1].ends_with("satisfied → not valid"));
}

#[test]
fn what_is_too_small_a_change_to_be_shown_is_shown_with_more_figures() {
    let told = changes_of(&with("gamma = 1.5 ", "gamma = 1.500003 "));
    assert_eq!(told[0], "Input gamma: 1.5 → 1.500003 +2.0×10^-4 %");
    let result = told.iter().find(|told| told.starts_with("Result N_Rd")).unwrap();
    assert_eq!(result, "Result N_Rd: 13.33333 kN → 13.33331 kN \u{2212}2.0×10^-4 %");
}

#[test]
fn formulas_units_and_words_are_told_apart() {
    assert_eq!(changes_of(&with("N_Ed / 2 ", "N_Ed / 4 ")), ["Formula half: 4.00 kN → 2.00 kN \u{2212}50.0 %"]);
    assert_eq!(changes_of(&with("half = N_Ed / 2 ", "half = N_Ed / 2 in N ")), ["Formula half: 4.00 kN → 4000 N"]);
    assert_eq!(changes_of(&with("\"half\" @ s", "\"half\" @ t")), ["Words half: 4.00 kN → 4.00 kN"]);
    let comparison = compared(&sheet(SHEET), &sheet(&with("\"half\" @ s", "\"half\" @ t")));
    assert_eq!(comparison.changes[0].words(), ("@ s".to_owned(), "@ t".to_owned()));
}

#[test]
fn of_a_table_the_cells_that_differ_are_told() {
    assert_eq!(
        changes_of(&with("  west: 200\n", "  west: 250\n  north: 90\n")),
        ["Input edges: west distance 200 mm → west distance 250 mm, north distance 90 mm"]
    );
    let swapped = with("  east: 100\n  west: 200\n", "  west: 200\n  east: 100\n");
    assert_eq!(changes_of(&swapped), ["Input edges: east, west → west, east"]);
}

#[test]
fn lines_are_found_again_where_others_come_and_go_and_all_values_change() {
    // The new check takes the first number; each old one is known by what it says.
    let text = with("```verify\n", "```verify\nhalf <= N_Rd \"half\" @ s\n").replace("N_Ed = 8 kN", "N_Ed = 9 kN");
    let told = changes_of(&text);
    assert!(
        told.contains(&"new check: half <= N_Rd: 4.50 kN, 13.3 kN, satisfied, ratio 0.34 @ s".to_owned()),
        "{told:#?}"
    );
    assert!(told.contains(&"Check check-2: 8 kN of 13.3 kN → 9 kN of 13.3 kN +12.5 %".to_owned()), "{told:#?}");
    // One of two uses is gone; the other keeps its working.
    let first = "use share with N = N_Ed, k = 0.25 gives R as Q \"a quarter\"\n";
    assert_eq!(
        changes_of(&with(first, "")),
        ["gone use-share: use share with N = N_Ed, k = 0.25 gives R as Q \"a quarter\""]
    );
    let second = "use share with N = N_Ed, k = 0.75 gives R as Z \"the rest\"\n";
    let swapped = SHEET.replace(&format!("{first}{second}"), &format!("{second}{first}"));
    assert_eq!(changes_of(&swapped).len(), 1, "only the use that moved is told of, not what stands in it");
    assert!(changes_of(&swapped)[0].starts_with("moved use-share"));
}

#[test]
fn a_symbol_that_gets_another_name_stays_the_line_that_it_was() {
    let told = changes_of(&with("half = N_Ed / 2 ", "middle = N_Ed / 2 "));
    assert_eq!(told, ["Formula middle: 4.00 kN → 4.00 kN"]);
}

#[test]
fn a_clause_is_told_of_once_with_its_version_and_its_words() {
    let clause = CLAUSE
        .replace("version = \"1\"", "version = \"2\"")
        .replace("R = k * N", "R = 1.1 * k * N")
        .replace("scope = \"Any.\"", "scope = \"Any force.\"");
    let comparison = compared(&sheet(SHEET), &build(FRONT, SHEET, &clause, DATA));
    let told = told(&comparison);
    assert!(told.contains(&"clause share: version 1 → version 2".to_owned()), "{told:#?}");
    assert!(told.contains(&"clause share, scope: Any. → Any force.".to_owned()), "{told:#?}");
    let formulas = comparison.of_kind(Kind::Formula);
    assert_eq!(formulas.len(), 1, "one formula in two uses is one change");
    assert_eq!((formulas[0].0.new.formula.as_str(), formulas[0].1), ("1.1 * k * N", 2));
}

#[test]
fn data_front_matter_prose_and_modes_are_compared() {
    let data = DATA.replace("20 kN", "18 kN");
    let told_of = |built: &Built| told(&compared(&sheet(SHEET), built));
    assert_eq!(told_of(&build(FRONT, SHEET, CLAUSE, &data))[0], "Input bolt.N_Rk: 20 kN → 18 kN \u{2212}10.0 %");
    let front = FRONT.replace("P01", "P02") + "date = \"2026-11-20\"\n";
    assert_eq!(
        told_of(&build(&front, SHEET, CLAUSE, DATA)),
        ["front revision: P01 → P02", "front date:  → 2026-11-20"]
    );
    assert_eq!(
        told_of(&sheet(&with("in short", "at length"))),
        ["prose was Words about N_Ed, in short.", "prose is Words about N_Ed, at length."]
    );
    let idle = SHEET.split("```clause").next().unwrap();
    assert!(told_of(&sheet(idle)).contains(&"mode part: verified → no answer".to_owned()));
}

#[test]
fn what_only_looks_different_is_no_change() {
    for (old, new) in [
        ("N_Ed = 8 kN \"tension\" within", "N_Ed  =  8   kN  \"tension\"\n   within"),
        ("bolt.N_Rk / gamma in kN", "bolt.N_Rk/gamma   in kN"),
        ("N_Ed <= 2 * N_Rd", "N_Ed ≤ 2·N_Rd"),
        ("N_Ed = 8 kN", "N_Ed = 8000 N"),
        ("N_Ed = 8 kN", "N_Ed = 8.00 kN"),
        ("Words about `N_Ed`, *in short*.", "Words about\n`N_Ed`, _in   short_."),
        ("  east: 100\n", "    east:   100\n"),
    ] {
        let text = with(old, new);
        let comparison = compared(&sheet(SHEET), &sheet(&text));
        assert!(comparison.is_equal(), "{old} → {new}: {:#?}", told(&comparison));
    }
    let data = DATA.replace("20 kN", "0.02 MN");
    assert!(compared(&sheet(SHEET), &build(FRONT, SHEET, CLAUSE, &data)).is_equal());
    let clause = CLAUSE.replace("R = k * N", "R  =  k*N").replace("Any.", "  Any. ");
    assert!(compared(&sheet(SHEET), &build(FRONT, SHEET, &clause, DATA)).is_equal());
}

#[test]
fn a_change_in_per_cent_has_its_sign_and_few_figures() {
    for (percent, shown) in
        [(100.0, "+100"), (-5.88, "\u{2212}5.9"), (12.5, "+12.5"), (0.0123, "+1.2×10^-2"), (250.4, "+250")]
    {
        assert_eq!(percent_text(percent), format!("{shown}\u{202f}%"));
    }
}

/// A sheet with its lines in some order, with some of them, and with some values.
fn some_sheet() -> impl Strategy<Value = String> {
    let givens = vec!["a = 1", "b = 2", "c = 3", "d = 4"];
    let order = Just(givens).prop_shuffle().prop_flat_map(|lines| {
        let length = lines.len();
        (Just(lines), 1..=length, proptest::collection::vec(0..3_u8, length))
    });
    (order, 1..5_u8, 0..4_u8).prop_map(|((lines, count, units), divisor, check)| {
        let mut text = String::from("```given\nn = 8 kN \"n\" @ s\n");
        for (line, unit) in lines.iter().zip(&units).take(count) {
            let unit = [" kN", "0 kN", " kN"][usize::from(*unit)];
            text.push_str(&format!("{line}{unit} \"{line}\" @ s\n"));
        }
        text.push_str(&format!("```\n\n```derive\nr = n / {divisor} \"r\" @ s\n```\n\n```verify\n"));
        let checks = ["n <= 2 * r \"one\"", "r <= n \"two\"", "r <= 5 kN \"three\""];
        for at in 0..=usize::from(check) {
            text.push_str(&format!("{} @ s\n", checks[(at + usize::from(divisor)) % checks.len()]));
        }
        text + "```\n"
    })
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, ..ProptestConfig::default() })]

    #[test]
    fn comparisons_keep_their_laws(a in some_sheet(), b in some_sheet()) {
        let spaced = a.replace(" = ", "  =\t").replace("```\n\n", "```\n\n\n").replace(" @ s", "\n    @   s");
        let all = build_all(&[&a, &b, &spaced]);
        let (a, b, spaced) = (&all[0], &all[1], &all[2]);
        prop_assert!(compared(a, a).is_equal());
        prop_assert!(compared(a, spaced).is_equal(), "{:#?}", told(&compared(a, spaced)));

        let (there, back) = (compared(a, b), compared(b, a));
        prop_assert_eq!(sides(&there, false), sides(&back, true));
        prop_assert_eq!((&there.removed, &there.added), (&back.added, &back.removed));
        prop_assert_eq!(there.moved.len(), back.moved.len());
        prop_assert_eq!((&there.old, &there.new), (&back.new, &back.old));

        let whole = |built: &Built| built.trace.as_ref().map(crate::review::digest_of_whole);
        prop_assert_eq!(there.is_equal(), whole(a) == whole(b));
    }
}

/// Every change with its sides, sorted.
fn sides(comparison: &Comparison, is_swapped: bool) -> Vec<(Kind, String, String, String, String)> {
    let side = |change: &LineChange| {
        let (old, new) = if is_swapped { (&change.new, &change.old) } else { (&change.old, &change.new) };
        (change.kind, old.id.clone(), old.value.clone(), new.id.clone(), new.value.clone())
    };
    let mut sides: Vec<_> = comparison.changes.iter().map(side).collect();
    sides.sort();
    sides
}

/// Sheets of one package, which reads its library once.
fn build_all(sheets: &[&str]) -> Vec<Built> {
    let name = |at: usize| format!("{at}.md");
    let files = sheets
        .iter()
        .enumerate()
        .fold(Memory::default(), |files, (at, sheet)| files.with(&name(at), format!("+++\n{FRONT}+++\n\n{sheet}")));
    let (package, _) = Package::open(Box::new(files)).unwrap();
    (0..sheets.len()).map(|at| package.build(&name(at))).collect()
}
