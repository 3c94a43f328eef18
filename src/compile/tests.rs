use crate::compile::{ScopeId, Value, Work};
use crate::diagnostic::{Code, Diagnostic};
use crate::package::{Built, Memory, Package};

const HEAD: &str = "+++\ntitle = \"T\"\nnumber = \"1\"\nrevision = \"A\"\npurpose = \"p\"\nscope = \"s\"\n+++\n";
const CLAUSE: &str = "+++\nkind = \"clause\"\ntitle = \"C\"\nstandard = \"S\"\nclause = \"1\"\nversion = \"1\"\nscope = \"s\"\nbasis = \"b\"\n+++\n";

fn build_with(files: Memory, blocks: &str) -> Built {
    let files = files.with("a.md", format!("{HEAD}\n{blocks}"));
    let (package, findings) = Package::open(Box::new(files)).expect("memory can be read");
    assert!(findings.is_empty(), "{findings:?}");
    package.build("a.md")
}

fn build(blocks: &str) -> Built {
    build_with(Memory::default(), blocks)
}

/// Code and the characters that the finding points at, for each finding.
#[track_caller]
fn check(blocks: &str, expected: &[(Code, &str)]) -> Vec<Diagnostic> {
    let built = build(blocks);
    let found: Vec<(Code, &str)> = built
        .findings
        .iter()
        .map(|finding| {
            let place = &finding.labels[0];
            (finding.code, place.source.slice(place.span))
        })
        .collect();
    assert_eq!(found, expected, "{:#?}", built.findings);
    built.findings
}

fn derive(lines: &str) -> String {
    format!(
        "```given\nN = 38 kN @ s\nh = 70 mm @ s\nk = 3 @ s\nyes_ = yes @ s\nl = [1 mm, 2 mm] @ s\n```\n```derive\n{lines}\n```\n"
    )
}

#[test]
fn adding_a_force_to_a_length_is_refused() {
    let findings = check(&derive("x = h + N"), &[(Code::UnitMismatch, "h")]);
    assert_eq!(findings[0].message, "cannot add a force (kN) (`N`) to a length (mm) (`h`)");
}

#[test]
fn a_plain_number_beside_a_quantity_asks_for_a_unit() {
    let findings = check(&derive("x = h + 5"), &[(Code::MissingUnit, "h")]);
    assert_eq!(findings[0].help, ["write `5 mm`"]);
    let findings = check(&derive("x = N <= k"), &[(Code::MissingUnit, "N")]);
    assert!(findings[0].help[0].starts_with("give it a unit"), "{findings:?}");
    check(&derive("x = max(h, 0)"), &[(Code::MissingUnit, "0")]);
}

#[test]
fn names_are_checked_and_near_ones_suggested() {
    let findings = check(
        "```given\nN_Ed = 3 kN @ s\n```\n```derive\nx = N_Rd + N_ed\ny = z2\nz2 = 1\n```\n",
        &[(Code::UnknownSymbol, "N_Rd"), (Code::UnknownSymbol, "N_ed"), (Code::UsedBeforeDefinition, "z2")],
    );
    assert_eq!(findings[1].help, ["did you mean `N_Ed`?"]);
    check(&derive("k = 4"), &[(Code::Redefined, "k")]);
    check(&derive("x = sqr(h)"), &[(Code::UnknownFunction, "sqr")]);
    check(&derive("x = min()"), &[(Code::UnknownFunction, "min()")]);
}

#[test]
fn a_mistake_is_told_once_and_silences_what_follows() {
    check(&derive("a = h + N\nb = a * 2\nc = b + h"), &[(Code::UnitMismatch, "h")]);
}

#[test]
fn one_fault_gives_one_error_wherever_its_value_goes() {
    for (lines, place) in [
        ("a = [1 mm, zz]\nb = max(a) + h\nc = sum(a) / N\nd = a[1] + N\ne = a + [1 kN]", "zz"),
        ("a = [1 mm, 2 mmm]\nb = max(a) + h\nc = count_where(a)\nverify_ = not a", "mmm"),
        ("a = max(zz, h, N)\nb = a + h", "zz"),
        ("a = sum([zz, h]) + N", "zz"),
        ("a = either(yes_, [zz, h], l) + N", "zz"),
        ("a = cases\n    [zz] when yes_\n    l otherwise\nb = a + N", "zz"),
        ("a = zz\nb = zz + h\nc = N / zz", "zz"),
        ("a = zz is east\nb = not a and yes_", "zz"),
        ("a = sqrt(k) * h giving N with h in mmm", "mmm"),
        ("a = sqrt(k) * zz giving N with zz in mm", "zz"),
        ("a = [l, zz]\nb = a[2] + N", "zz"),
        ("a = l + N\nb = max(a) + N\nc = a[1] + a[2]", "l"),
    ] {
        let findings = build(&derive(lines)).findings;
        assert_eq!(findings.len(), 1, "{lines}: {findings:#?}");
        let label = &findings[0].labels[0];
        assert_eq!(label.source.slice(label.span), place, "{lines}");
    }
    let table = "```given\nt = table x in mm, y in mm @ s\n    A: 1, 2\n    B: 3, 4 kN\n```\n\
                 ```derive\nb = max(t.x) + t.B.y\nc = t.y + 1 kN\nd = largest_spacing(t, t.x > 0 mm)\n```\n";
    check(table, &[(Code::UnitMismatch, "4 kN")]);
}

#[test]
fn units_are_looked_up_and_near_ones_suggested() {
    let findings = check(&derive("x = 3 Kn"), &[(Code::UnknownUnit, "Kn")]);
    assert_eq!(findings[0].help, ["did you mean `kN`?"]);
    let findings = check(&derive("x = 2 h"), &[]);
    assert!(findings.is_empty(), "h is the hour: {findings:?}");
    let findings = check(&derive("x = 2 k"), &[(Code::UnknownUnit, "k")]);
    assert!(findings[0].help.iter().any(|help| help.contains("is a symbol")), "{findings:?}");
    check(&derive("x = h in kN"), &[(Code::ShownUnit, "kN")]);
}

#[test]
fn powers_need_constant_exponents_where_the_base_has_a_unit() {
    check(&derive("x = h^k"), &[(Code::BadExponent, "h")]);
    check(&derive("x = h^N"), &[(Code::BadExponent, "N")]);
    check(&derive("x = h^0.123456"), &[(Code::BadExponent, "0.123456")]);
    check(&derive("x = (h^1.5)^(2/3) + h\ny = k^k + h/h"), &[]);
}

#[test]
fn an_empirical_formula_names_what_has_a_unit() {
    check(&derive("x = 7.7 * sqrt(N) * h^1.5 giving N with N in N, h in mm"), &[]);
    check(&derive("x = 7.7 * sqrt(N) * h^1.5 giving N with h in mm"), &[(Code::UnitMismatch, "7.7 * sqrt(N) * h^1.5")]);
    check(&derive("x = h giving N with h in kN"), &[(Code::UnitMismatch, "h")]);
}

#[test]
fn kinds_are_told_apart() {
    check(&derive("x = yes_ + 1"), &[(Code::KindMismatch, "yes_")]);
    check(&derive("x = not h"), &[(Code::KindMismatch, "h")]);
    check(&derive("x = l + [1 mm]"), &[(Code::KindMismatch, "l")]);
    check(&derive("x = sum(h)"), &[(Code::KindMismatch, "h")]);
    check(&derive("x = l[3]"), &[(Code::UnknownField, "3")]);
    check(&derive("x = h.y"), &[(Code::UnknownField, "y")]);
    check(&derive("x = cases\n    1 when h\n    2 otherwise"), &[(Code::KindMismatch, "h")]);
    check(&derive("x = cases\n    1 mm when yes_\n    2 otherwise"), &[(Code::UnitMismatch, "2")]);
    check(&derive("require h"), &[(Code::KindMismatch, "h")]);
}

#[test]
fn words_come_from_their_set() {
    let sheet = "```given\nface = east among east, west @ s\n```\n```derive\nx = face is eats\n```\n";
    let findings = check(sheet, &[(Code::UnknownWord, "eats")]);
    assert_eq!(findings[0].help, ["did you mean `east`?"]);
    check("```given\nface = east @ s\n```\n", &[(Code::UnknownWord, "east")]);
}

#[test]
fn numbers_beyond_reach_are_refused() {
    check(&derive("x = 1e999"), &[(Code::BadNumber, "1e999")]);
    check("```given\nx = 1e308 km @ s\n```\n", &[(Code::BadNumber, "1e308 km")]);
}

#[test]
fn a_given_is_a_value() {
    check("```given\na = 1 mm @ s\nb = 2 * a @ s\n```\n", &[(Code::MisplacedStatement, "2 * a")]);
}

#[test]
fn a_clause_cycle_is_found() {
    let clause = |other: &str| format!("{CLAUSE}\n```clause\ntakes h : length\ngives h\nuse {other}\n```\n");
    let files = Memory::default().with("clauses/x/a.md", clause("x/b")).with("clauses/x/b.md", clause("x/a"));
    let built = build_with(files, "```given\nh = 1 mm @ s\n```\n```clause\nuse x/a\n```\n");
    assert_eq!(built.findings.len(), 1, "{:?}", built.findings);
    assert_eq!(built.findings[0].code, Code::ClauseCycle);
    assert_eq!(built.findings[0].notes, ["the way round is x/a → x/b → x/a"]);
}

const TWICE: &str = "\n```clause\ntakes edge : row of distance length\ntakes f : number\ngives q\n```\n```derive\nq = f * edge.distance\n```\n";

const EDGES: &str = "```given\nf = 2 @ s\nedges = table distance in mm @ s\n  east: 3\n  west: 5\n```\n";

#[test]
fn a_clause_is_used_for_each_row_and_its_results_become_lists() {
    let files = || Memory::default().with("clauses/x/a.md", format!("{CLAUSE}{TWICE}"));
    let used =
        "```clause\nuse x/a for each edge of edges gives q as q_all\n```\n```derive\nsum_q = sum(q_all) in mm\n```\n";
    let built = build_with(files(), &format!("{EDGES}{used}"));
    assert!(built.findings.is_empty(), "{:?}", built.findings);
    let trace = built.trace.unwrap();
    let line =
        |name: &str| trace.compiled.notes.lines.iter().find(|line| line.symbol.as_deref() == Some(name)).unwrap();
    let Value::Number(sum) = &line("sum_q").value else { panic!() };
    assert!((trace.register(sum.register) - 0.016).abs() < 1e-12);
    let scopes: Vec<&str> = trace.compiled.notes.scopes.iter().map(|scope| scope.path.as_str()).collect();
    assert_eq!(scopes, ["", "a", "a-2"]);
    let uses = trace.compiled.notes.lines.iter().filter(|line| matches!(line.work, Work::Use(_)));
    assert_eq!(uses.map(|line| line.description.as_str()).collect::<Vec<_>>(), ["east", "west"]);
    // The name of a row is no symbol of the sheet.
    let built = build_with(files(), &format!("{EDGES}{used}```derive\nz = edge.distance\n```\n"));
    assert_eq!(built.findings.iter().map(|finding| finding.code).collect::<Vec<_>>(), [Code::UnknownSymbol]);
    for (of, code) in [("each f of edges", Code::Redefined), ("each edge of f", Code::KindMismatch)] {
        let built = build_with(files(), &format!("{EDGES}```clause\nuse x/a for {of} gives q\n```\n"));
        assert_eq!(built.findings.iter().map(|finding| finding.code).collect::<Vec<_>>(), [code]);
    }
}

#[test]
fn a_default_stands_where_nothing_else_is_said() {
    let clause = format!(
        "{CLAUSE}\n```clause\ntakes a : length\ntakes b : length otherwise 2 * a\ntakes w : word among x, y \"w\" otherwise y\ngives q\n```\n\
         ```derive\nq = cases\n  a when w is x\n  b otherwise\n```\n"
    );
    let run = |blocks: &str| {
        let files = Memory::default().with("clauses/x/a.md", clause.clone());
        let built = build_with(files, &format!("```given\na = 3 mm @ s\n{blocks} gives q\n```\n"));
        assert!(built.findings.is_empty(), "{:?}", built.findings);
        let trace = built.trace.unwrap();
        let lines = &trace.compiled.notes.lines;
        let Some(Value::Number(q)) =
            lines.iter().rev().find(|line| line.symbol.as_deref() == Some("q")).map(|l| &l.value)
        else {
            panic!()
        };
        (trace.register(q.register), lines.iter().filter(|line| line.is_default).count())
    };
    let clause_block = "```\n```clause\nuse x/a";
    assert_eq!(run(clause_block), (0.006, 2));
    assert_eq!(run(&format!("{clause_block} with b = 7 mm")), (0.007, 1));
    assert_eq!(run(&format!("b = 9 mm @ s\n{clause_block} with w = x")), (0.003, 0));
}

#[test]
fn what_with_states_itself_has_the_reference_of_the_use() {
    let inner =
        format!("{CLAUSE}\n```clause\ntakes a : number @ annex B [from memory]\ngives q\n```\n```derive\nq = a\n```\n");
    let outer = format!(
        "{CLAUSE}\n```clause\ntakes a : number @ annex A\ngives q\n```\n```clause\nuse x/b with a = 2 gives q\n```\n"
    );
    let run = |with: &str| {
        let files = Memory::default().with("clauses/x/a.md", outer.clone()).with("clauses/x/b.md", inner.clone());
        let built = build_with(files, &format!("```given\nb = 3 @ s\n```\n```clause\nuse x/{with}\n```\n"));
        assert!(built.findings.is_empty(), "{:?}", built.findings);
        let lines = built.trace.unwrap().compiled.notes.lines;
        let taken = lines.iter().filter(|line| matches!(line.work, Work::Takes(_)));
        taken.map(|line| (line.origin.text.clone(), line.origin.mark.is_some(), line.is_stated)).collect::<Vec<_>>()
    };
    let own = |text: &str| (text.to_owned(), false, true);
    let memory = ("annex B".to_owned(), true, false);
    assert_eq!(run("b with a = 0.001"), [own("")]);
    assert_eq!(run("b with a = 2 * 0.001 @ plan 1"), [own("plan 1")]);
    assert_eq!(run("b for each a of [1, 2]"), [own(""), own("")]);
    assert_eq!(run("b with a = 2 * b"), [memory]);
    // A clause answers for what it states itself.
    assert_eq!(run("a with a = b"), [("annex A".to_owned(), false, false), (String::new(), false, false)]);
}

#[test]
fn a_clause_takes_from_a_data_file_what_nothing_else_binds() {
    let clause = format!(
        "{CLAUSE}\n```clause\ntakes h : length\ntakes N : force\ntakes k : number\ngives q\n```\n```derive\nq = k * N / h\n```\n"
    );
    let data = "title = \"T\"\n[values]\nh = { value = \"2 mm\" }\nN = { value = \"9 kN\" }\n";
    let files = || Memory::default().with("clauses/x/a.md", clause.clone()).with("d.toml", data);
    let given = "```given\nd = data \"d.toml\"\nk = 3 @ s\nN = 1 kN @ s\nh = 7 mm @ s\n```\n";
    let built = build_with(files(), &format!("{given}```clause\nuse x/a from d with N = N gives q\n```\n"));
    assert!(built.findings.is_empty(), "{:?}", built.findings);
    let trace = built.trace.unwrap();
    let shown = |name: &str| {
        let mut lines = trace.compiled.notes.lines.iter().filter(|line| line.scope != ScopeId(0));
        let Value::Number(number) = &lines.find(|line| line.symbol.as_deref() == Some(name)).unwrap().value else {
            panic!()
        };
        trace.register(number.register)
    };
    // `with` goes first, then the file, then the symbol of the same name.
    assert_eq!((shown("N"), shown("h"), shown("k")), (1000.0, 0.002, 3.0));
    let built = build_with(files(), &format!("{given}```clause\nuse x/a from k, dd with N = N gives q\n```\n"));
    let codes: Vec<Code> = built.findings.iter().map(|finding| finding.code).collect();
    assert_eq!(codes, [Code::KindMismatch, Code::UnknownSymbol]);
    let given = "```given\nd = data \"d.toml\"\n```\n";
    let built = build_with(files(), &format!("{given}```clause\nuse x/a from d gives q\n```\n"));
    let finding = &built.findings[0];
    assert_eq!((built.findings.len(), finding.code), (1, Code::UnboundTake));
    assert!(finding.help[0].contains("define `k`, or write `with k = …`"), "{finding:?}");
}

#[test]
fn a_clause_binds_by_name_and_says_what_is_missing() {
    let clause = format!(
        "{CLAUSE}\n```clause\ntakes h : length within 1 mm to 9 mm\ntakes N : force\ngives q\n```\n```derive\nq = N / h\n```\n"
    );
    let files = || Memory::default().with("clauses/x/a.md", clause.clone());
    let built = build_with(files(), "```given\nh = 1 kN @ s\n```\n```clause\nuse x/a with other = 3 gives q, r\n```\n");
    let codes: Vec<Code> = built.findings.iter().map(|finding| finding.code).collect();
    assert_eq!(
        codes,
        [Code::UnitMismatch, Code::UnboundTake, Code::UnboundTake, Code::UnknownSymbol],
        "{:#?}",
        built.findings
    );
    let good = "```given\nh = 2 mm @ s\n```\n```clause\nuse x/a with N = 3 kN gives q as q_1\n```\n```derive\nx = q_1 * h\n```\n";
    let built = build_with(files(), good);
    assert!(built.findings.is_empty(), "{:?}", built.findings);
}

#[test]
fn a_missing_value_of_a_data_file_names_the_file() {
    let data = "title = \"D\"\n[values]\nh_ef = { value = \"70 mm\", source = \"s\" }\n";
    let sheet = "```given\nanchor = data \"d.toml\" @ s\n```\n```derive\nx = anchor.h_ef + anchor.h_eff\n```\n";
    let built = build_with(Memory::default().with("d.toml", data), sheet);
    assert_eq!(built.findings.len(), 1);
    let finding = &built.findings[0];
    assert_eq!(finding.code, Code::MissingValue);
    assert_eq!(finding.message, "the data file `d.toml` gives no `h_eff`");
    assert_eq!(finding.help[0], "did you mean `h_ef`?");
    let built = build_with(Memory::default(), "```given\na = data \"../d.toml\" @ s\nb = data \"no.toml\" @ s\n```\n");
    let codes: Vec<Code> = built.findings.iter().map(|finding| finding.code).collect();
    assert_eq!(codes, [Code::OutsidePackage, Code::Unreadable]);
}

#[test]
fn limits_given_in_another_unit_compare_exactly() {
    for text in ["70 mm", "7 cm", "0.07 m"] {
        let built = build(&format!("```given\nh = {text} within 70 mm to 0.07 m @ s\n```\n"));
        let trace = built.trace.expect("it builds");
        assert_eq!(trace.faults().count(), 0, "{text}");
    }
}

mod properties {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

        #[test]
        fn building_never_panics(text in "\\PC{0,200}|(a|b|c| = |1|2 mm|3 kN|\\+|\\*|\\^|\\(|\\)|\\[|\\]|, |\\.x|\n|cases|when|otherwise|min|sqrt|table|use x/a|for each c of a|from b|with|solving a within 1 to 2 for b = c|gives|require|in mm|giving N with a in mm|yes|is|not |and )*") {
            for kind in ["given", "derive", "verify", "clause", "figure"] {
                let _ = build(&format!("```{kind}\n{text}\n```\n"));
            }
            let _ = build(&text);
        }
    }
}
