//! A digest changes if and only if what the line says does.

use super::*;
use crate::render::address::Addresses;
use proptest::prelude::*;
use std::sync::LazyLock;

/// A sheet with one of everything.
const SHEET: &str = "```given\n\
N_Ed = 38 kN \"uplift\" @ load schedule LS-03, case 7\n\
h_ef = 85 mm \"embedment\" within 40 mm to 200 mm\n\
f_ck = 25 N/mm² \"C25/30\" @ EN 1992-1-1, Table 3.1 [from memory]\n\
cracked = yes \"no proof\" @ s\n\
face = east among north, east \"edge\" @ d\n\
shares = [0.4, 0.6] \"of two rows\" @ assumed\n\
anchors = table x in mm, y in mm \"positions\" @ drawing\n  A1: -75, 10\n  A2: 75, 20\n\
bolt = data \"data/bolt.toml\" \"the bolt\" @ schedule\n\
```\n\nProse about `h_ef`.\n\n```derive\n\
k_1 = cases \"cone factor\" @ EN 1992-4, 7.2.1.4(2)\n  7.7 when cracked\n  11.0 otherwise\n\
N0 = k_1 * sqrt(f_ck) * h_ef^1.5 giving N with f_ck in N/mm², h_ef in mm \"one\" @ EN 1992-4, (7.2)\n\
W = (N0 + 2 * N0) * h_ef in kN·m \"moment\"\n\
q = max(shares)^2 * min(N0, bolt.N_Rk) in kN \"row\"\n\
x_1 = sum(anchors.x) + 10 mm \"sum\"\n\
require N0 > 1 kN \"sense\"\n\
```\n\n```clause\nuse share with N = q, k = 0.8 gives R \"a share\"\n```\n\n```verify\n\
N_Ed <= 4 * N0 \"cone\" @ EN 1992-4, Table 7.1\n\
q <= 100 kN \"uncracked\" when h_ef > 100 mm otherwise \"the member is thin\"\n```\n";

/// Each line's address and digest.
fn digests(trace: &Trace) -> Vec<(String, LineDigest)> {
    let addresses = Addresses::new(trace);
    trace.order.iter().map(|id| (addresses.line(*id).to_owned(), digest(trace, *id))).collect()
}

/// The lines whose digests differ, with the parts that do.
#[track_caller]
fn changed(sheet: &str) -> String {
    static BEFORE: LazyLock<Vec<(String, LineDigest)>> = LazyLock::new(|| digests(&trace(SHEET)));
    let after = digests(&trace(sheet));
    let mut told = Vec::new();
    for ((address, before), (other, after)) in BEFORE.iter().zip(&after) {
        assert_eq!(address, other);
        if before != after {
            let parts: Vec<&str> = before.differing(after).iter().map(|part| part.words()).collect();
            told.push(format!("{address} {}", parts.join("+")));
        }
    }
    told.join(", ")
}

/// The sheet with one text in the place of another that stands in it once.
#[track_caller]
fn with(old: &str, new: &str) -> String {
    assert_eq!(SHEET.matches(old).count(), 1, "{old}");
    SHEET.replace(old, new)
}

#[test]
fn every_way_of_writing_a_line_has_one_digest() {
    for (old, new) in [
        ("h_ef^1.5 giving", "h_ef ^ 1.5   giving"),
        ("max(shares)^2", "max( shares )²"),
        ("k_1 * sqrt(f_ck) * h_ef", "k_1 · sqrt(f_ck) × h_ef"),
        ("2 * N0", "2·N0"),
        ("(N0 + 2 * N0)", "((N0) + (2 * N0))"),
        ("N_Ed <= 4", "N_Ed ≤ 4"),
        ("-75, 10", "−75,   10"),
        ("in kN·m", "in kN*m"),
        ("f_ck = 25 N/mm²", "f_ck =\t25 N/mm^2"),
        ("giving N with f_ck in N/mm²", "giving N with f_ck in N/mm^2"),
        ("\"uplift\" @ load", "\"uplift\"\n     @ load"),
        ("within 40 mm to 200 mm", "within 4 cm to 0.2 m"),
        ("\"sum\"", "to 5 figures \"sum\""),
        ("38 kN", "38000 N"),
        ("38 kN", "38.000 kN"),
        ("85 mm", "0.085 m"),
        ("25 N/mm²", "25 MPa"),
        ("sum(anchors.x) + 10 mm", "sum(anchors.x) + 0.01 m"),
        ("N0 > 1 kN", "N0 > 1000 N"),
        ("h_ef > 100 mm", "h_ef > 0.1 m"),
        ("[0.4, 0.6]", "[0.40, 0.6]"),
        ("case 7\n", "case  7  \n\n\n"),
        ("Prose about `h_ef`.", "Other prose.\n\nAnd a second paragraph."),
        ("```\n\nProse about `h_ef`.\n\n```derive\n", "```\n\n```derive\n"),
        ("with N = q, k = 0.8 gives R", "with   N = q,\n    k = 0.8\n    gives R"),
    ] {
        assert_eq!(changed(&with(old, new)), "", "{old} → {new}");
    }
    assert_eq!(changed(&SHEET.replace('\n', "\r\n")), "");
}

#[test]
fn a_change_is_seen_in_its_line_and_where_its_value_enters() {
    let check = |old: &str, new: &str, expected: &str| assert_eq!(changed(&with(old, new)), expected, "{old} → {new}");
    check("\"uplift\"", "\"uplift on the base\"", "N_Ed description");
    check("LS-03, case 7", "LS-03, case 8", "N_Ed reference");
    check("[from memory]", "[in doubt: which table]", "f_ck reference");
    check(" [from memory]", "", "f_ck reference");
    check("38 kN", "39 kN", "N_Ed formula+value, check value");
    check("200 mm", "210 mm", "h_ef formula");
    check("among north, east", "among north, east, west", "face value");
    check("A2: 75, 20", "A2: 75, 21", "anchors formula+value");
    check("A2: 75, 20", "A2: 76, 20", "anchors formula+value, x_1 value");
    check("in kN·m", "in N·mm", "W formula");
    check("x_1 = sum", "x_1 = 0 mm + sum", "x_1 formula");
    check("7.7 when", "7.8 when", "k_1 formula+value, N0 value, W value, q value, require value, check value");
    check("11.0 otherwise", "11.1 otherwise", "k_1 formula");
    check("N0 > 1 kN", "N0 > 2 kN", "require formula");
    check("N0 > 1 kN", "N0 >= 1 kN", "require formula");
    check("k = 0.8", "k = 0.9", "use-share formula, share.k formula+value, share.R value, share.check value");
    check("\"a share\"", "\"a part\"", "use-share description");
    check("h_ef > 100 mm", "h_ef > 101 mm", "check-2 formula");
    check("the member is thin", "the member is very thin", "check-2 formula");
    check("h_ef > 100 mm", "h_ef > 10 mm", "check-2 formula+value");
    check("\"the bolt\"", "\"a bolt\"", "bolt description");
}

#[test]
fn a_value_of_a_data_file_is_seen_in_its_own_line() {
    let files = |data: &str| Memory::default().with("a.md", format!("{HEAD}{SHEET}")).with("data/other.toml", data);
    let sheet = SHEET.replace("data/bolt.toml", "data/other.toml");
    let build = |data: &str| trace_of(files(data).with("a.md", format!("{HEAD}{sheet}")));
    let before = digests(&build(DATA));
    for (old, new, expected) in [
        ("20 kN", "21 kN", "bolt.N_Rk q share.N share.R share.check check-2"),
        ("\"schedule\"", "\"other schedule\"", "bolt.N_Rk"),
        ("\"resistance\"", "\"pull-out\"", "bolt.N_Rk"),
        ("Illustrative", "Invented", "bolt"),
    ] {
        let after = digests(&build(&DATA.replace(old, new)));
        let differing: Vec<&str> =
            before.iter().zip(&after).filter(|(a, b)| a != b).map(|((address, _), _)| address.as_str()).collect();
        assert_eq!(differing.join(" "), expected, "{old} → {new}");
    }
}

#[test]
fn a_clause_of_another_reference_or_scope_is_another_use() {
    let build = |clause: String| {
        let blocks = "```given\nN = 2 kN @ s\n```\n\n```clause\nuse twin with N = N, k = 0.5\n```\n";
        trace_of(Memory::default().with("a.md", format!("{HEAD}{blocks}")).with("clauses/twin.md", clause))
    };
    let before = digests(&build(CLAUSE.to_owned()));
    for (old, new, expected) in [
        ("clause = \"7.2\"", "clause = \"7.3\"", "use-twin"),
        ("scope = \"Any.\"", "scope = \"Steel.\"", "use-twin"),
        ("(7.1)", "(7.1a)", "twin.R"),
        ("\"its part\" @", "\"a part\" @", "twin.R"),
    ] {
        let after = digests(&build(CLAUSE.replace(old, new)));
        let differing: Vec<&str> =
            before.iter().zip(&after).filter(|(a, b)| a != b).map(|((address, _), _)| address.as_str()).collect();
        assert_eq!(differing, [expected], "{old} → {new}");
    }
    assert_eq!(digests(&build(CLAUSE.replace("version = \"1\"", "version = \"2\""))), before);
}

#[test]
fn the_order_of_lines_and_the_name_of_the_file_leave_no_trace() {
    let blocks = ["a = 2 kN \"one\" @ s", "b = 3 kN \"two\" @ s", "c = 4 kN \"three\" @ s"];
    let sheet = |order: [usize; 3]| {
        let lines: Vec<&str> = order.iter().map(|at| blocks[*at]).collect();
        format!("```given\n{}\n```\n", lines.join("\n"))
    };
    let sorted = |order| {
        let mut all = digests(&trace(&sheet(order)));
        all.sort();
        all
    };
    assert_eq!(sorted([2, 0, 1]), sorted([0, 1, 2]));
    let whole = |order| digest_of_whole(&trace(&sheet(order)));
    assert_ne!(whole([2, 0, 1]), whole([0, 1, 2]), "the digest of the whole tells their order");
    let elsewhere = format!("{HEAD}{}", sheet([0, 1, 2]));
    let (package, _) = Package::open(Box::new(Memory::default().with("frame/b.md", elsewhere))).unwrap();
    let moved = package.build("frame/b.md").trace.unwrap();
    assert_eq!(digests(&moved), digests(&trace(&sheet([0, 1, 2]))));
    assert_eq!(digest_of_whole(&moved), whole([0, 1, 2]));
}

/// Marks outlive versions of the program, so that these must never change without a new version of the file's form.
#[test]
fn digests_are_the_same_in_every_version() {
    let trace = trace("```given\nN_Ed = 38 kN \"uplift\" @ load schedule LS-03\n```\n");
    insta::assert_snapshot!(digest(&trace, line(&trace, "N_Ed")), @"3ffed59c7e844a7b3e92ef64f9e25cef14ff3ae2f54672a1db3dab4c999c15a3:b1bc84-b8ff93-ea6142-049e64");
    insta::assert_snapshot!(digest_of_whole(&trace), @"883b39b1cf6f423d2ae8ae5390c1ef4950f9e2085c011a91d4f76607580636da");
}

#[test]
fn a_digest_reads_back_and_nothing_else_does() {
    let trace = trace(SHEET);
    for (_, digest) in digests(&trace) {
        let text = digest.to_string();
        assert_eq!(LineDigest::parse(&text), Some(digest));
        for broken in [&text[1..], &text[..text.len() - 1], &text.to_uppercase(), &format!("{text}-00"), ""] {
            assert_eq!(LineDigest::parse(broken), None, "{broken}");
        }
    }
}

/// The places of numbers in a sheet, those in names, references and descriptions left out.
fn numbers(sheet: &str) -> Vec<(usize, usize)> {
    let bytes = sheet.as_bytes();
    let mut places = Vec::new();
    let (mut at, mut is_quoted, mut is_reference) = (0, false, false);
    while at < bytes.len() {
        match bytes[at] {
            b'"' => is_quoted = !is_quoted,
            b'@' => is_reference = true,
            b'\n' => is_reference = false,
            b'0'..=b'9' if !is_quoted && !is_reference => {
                let before = sheet[..at].chars().next_back();
                let end = at + sheet[at..].bytes().take_while(|byte| byte.is_ascii_digit() || *byte == b'.').count();
                if before.is_some_and(|c| matches!(c, ' ' | '[' | '(' | '-' | '^')) {
                    places.push((at, end));
                }
                at = end;
                continue;
            }
            _ => {}
        }
        at += 1;
    }
    places
}

#[test]
fn every_number_counts() {
    let places = numbers(SHEET);
    assert!(places.len() > 20, "{places:?}");
    for (start, end) in places {
        let number: f64 = SHEET[start..end].parse().unwrap();
        let other = format!("{}{}{}", &SHEET[..start], number + 0.25, &SHEET[end..]);
        assert_ne!(changed(&other), "", "{} at {start}", &SHEET[start..end]);
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 32, ..ProptestConfig::default() })]

    /// Spaces between tokens, empty lines between blocks and the spelling of operators are free.
    #[test]
    fn spaces_and_spellings_are_free(
        gaps in prop::collection::vec(0usize..4, 64),
        spellings in prop::collection::vec(any::<bool>(), 16),
    ) {
        let mut out = String::new();
        let mut gaps = gaps.into_iter().cycle();
        let mut spellings = spellings.into_iter().cycle();
        let mut is_free = true;
        for c in SHEET.chars() {
            match c {
                '"' => { is_free = !is_free; out.push(c); }
                '@' => { is_free = false; out.push(c); }
                '\n' => { is_free = true; out.push(c); }
                // A space that is there may be longer, but not at the start of a line, where it would mean something.
                ' ' if is_free && !out.ends_with('\n') => {
                    out.push(' ');
                    out.extend(std::iter::repeat_n(' ', gaps.next().unwrap_or(0)));
                }
                '*' if spellings.next().unwrap_or(false) => out.push('·'),
                c => out.push(c),
            }
        }
        let blank = "\n".repeat(1 + gaps.next().unwrap_or(0));
        let out = out.replace("```\n\n", &format!("```\n{blank}"));
        prop_assert_eq!(changed(&out), "");
    }
}
