use super::symbol::symbol;
use super::*;
use crate::compile::{LineId, Work};
use crate::evaluate::Trace;
use crate::package::{Memory, Package};
use crate::render::address::Addresses;
use crate::render::markup::Markup;

const HEAD: &str =
    "+++\ntitle = \"T\"\nnumber = \"FTD-1\"\nrevision = \"P01\"\npurpose = \"P.\"\nscope = \"S.\"\n+++\n\n";

const GIVEN: &str = "```given
N_Ed     = 18 kN
N        = [4.5 kN, 4.5 kN, -0.3 kN]
f_ck     = 25 N/mm²
h_ef     = 85 mm
c_1_prime = 120 mm
gamma_Mc = 1.5
cracked  = yes
face     = east among north, east
small    = 1.5e-5
anchors  = table x in mm, y in mm
           A1: -75, 0
           A2: 75, 1e-5
edges    = table normal in °, distance in mm
           east: 0, 120
           top_one: 90, 240
anchor   = data \"fx.toml\"
```
";

const DATA: &str = "title = \"Through bolt FX-12 (invented)\"\nnotice = \"N.\"\nsource = \"S\"\n\n[values]\n\
    k_cr_N = { value = \"7.7\", source = \"invented\" }\n";

#[track_caller]
fn trace(blocks: &str) -> Trace {
    let files = Memory::default().with("a.md", format!("{HEAD}{GIVEN}{blocks}")).with("fx.toml", DATA);
    let (package, _) = Package::open(Box::new(files)).unwrap();
    let built = package.build("a.md");
    let findings: Vec<String> = built.findings.iter().map(ToString::to_string).collect();
    built.trace.unwrap_or_else(|| panic!("{findings:#?}"))
}

/// The equation of the last line.
#[track_caller]
fn last(blocks: &str) -> String {
    let trace = trace(blocks);
    set(&trace, *trace.order.last().unwrap())
}

fn set(trace: &Trace, line: LineId) -> String {
    let mut out = Markup::new();
    equation(&mut out, trace, line, &Addresses::new(trace));
    out.into_string()
}

/// The equation of the last line in words; spaces within a quantity are written as plain ones.
#[track_caller]
fn last_text(blocks: &str) -> String {
    let trace = trace(blocks);
    let text = equation_text(&trace, *trace.order.last().unwrap(), &Addresses::new(&trace));
    text.replace('\u{202f}', " ")
}

#[track_caller]
fn derived(formula: &str) -> String {
    last(&format!("```derive\nq = {formula}\n```\n"))
}

/// The equation of a formula in words.
#[track_caller]
fn says(formula: &str, expected: &str) {
    assert_eq!(last_text(&format!("```derive\nq = {formula}\n```\n")), expected);
}

/// The first part behind the sign, its links left out.
#[track_caller]
fn content(formula: &str) -> String {
    let markup = derived(formula);
    let right = &markup[markup.find("class=\"part\"").unwrap()..];
    let start = right.find("=</mo>").unwrap() + 6;
    let end = right.find("</math></span>").unwrap();
    without_links(&right[start..end])
}

/// Leaves only what a link holds.
fn without_links(markup: &str) -> String {
    let mut out = String::new();
    let mut rest = markup;
    while let Some(start) = rest.find("<mtext><a ") {
        let (before, link) = rest.split_at(start);
        let inner = &link[link.find("<math>").unwrap()..];
        let inner = &inner[inner.find('>').unwrap() + 1..];
        let end = inner.find("</math></a></mtext>").unwrap();
        out.push_str(before);
        out.push_str(&inner[..end]);
        rest = &inner[end + "</math></a></mtext>".len()..];
    }
    out.push_str(rest);
    out
}

/// The pieces of the first part.
fn first_part(markup: &str) -> &str {
    let part = markup.split("class=\"part\">").nth(1).unwrap();
    part.split("</span>").next().unwrap()
}

#[test]
fn a_name_becomes_a_letter_with_scripts() {
    let cases = [
        ("h", "<mi>h</mi>"),
        ("N_Rd_c", "<msub><mi>N</mi><mtext>Rd,c</mtext></msub>"),
        ("k_1", "<msub><mi>k</mi><mtext>1</mtext></msub>"),
        ("gamma_Mc", "<msub><mi>γ</mi><mtext>Mc</mtext></msub>"),
        ("γ_Mc", "<msub><mi>γ</mi><mtext>Mc</mtext></msub>"),
        ("psi_alpha_V", "<msub><mi>ψ</mi><mtext>α,V</mtext></msub>"),
        ("Delta", "<mi>Δ</mi>"),
        ("N0_Rk_c", "<msubsup><mi>N</mi><mtext>Rk,c</mtext><mn>0</mn></msubsup>"),
        ("psi0", "<msup><mi>ψ</mi><mn>0</mn></msup>"),
        ("c_1_prime", "<msubsup><mi>c</mi><mtext>1</mtext><mo>′</mo></msubsup>"),
        ("h_prime", "<msup><mi>h</mi><mo>′</mo></msup>"),
        ("A0_c_prime", "<msubsup><mi>A</mi><mtext>c</mtext><mrow><mn>0</mn><mo>′</mo></mrow></msubsup>"),
        ("cracked", "<mi>cracked</mi>"),
        ("dense_reinforcement", "<mi>dense\u{a0}reinforcement</mi>"),
        ("embedment_in_psi_re", "<mi>embedment\u{a0}in\u{a0}ψ\u{a0}re</mi>"),
        ("dx_V", "<msub><mi>dx</mi><mtext>V</mtext></msub>"),
        ("share_x", "<msub><mi>share</mi><mtext>x</mtext></msub>"),
        ("e__N", "<msub><mi>e</mi><mtext>N</mtext></msub>"),
        ("c10", "<mi>c10</mi>"),
        ("_x", "<mi>_x</mi>"),
        ("", "<mi></mi>"),
    ];
    for (name, expected) in cases {
        assert_eq!(symbol(name).as_str(), expected, "{name}");
    }
}

#[test]
fn symbols_within_words_are_set_as_symbols() {
    let set = |words: &str| {
        let mut out = Markup::new();
        described(&mut out, words);
        out.into_string()
    };
    let symbol = |name: &str| symbol_html(name).into_string();
    assert_eq!(set("no symbol, no change"), "no symbol, no change");
    assert_eq!(set("at most c_cr,N."), format!("at most {}.", symbol("c_cr_N")));
    assert_eq!(set("3 h_ef, or c_1_prime"), format!("3 {}, or {}", symbol("h_ef"), symbol("c_1_prime")));
    assert_eq!(set("of N0_Rk,c and gamma_Mc"), format!("of {} and {}", symbol("N0_Rk_c"), symbol("gamma_Mc")));
    assert_eq!(set("file_name, N_ and <b>_x"), "file_name, N_ and &lt;b&gt;_x");
}

#[test]
fn a_symbol_stands_outside_equations_too() {
    assert_eq!(
        symbol_html("N0_Rk_c").as_str(),
        "<math><msubsup><mi>N</mi><mtext>Rk,c</mtext><mn>0</mn></msubsup></math>"
    );
    assert_eq!(symbol_text("N_Rd_c"), "N_Rd,c");
    assert_eq!(symbol_text("c_1_prime"), "c_1′");
}

#[test]
fn a_hostile_name_is_escaped() {
    assert_eq!(symbol("<b>_\"&").as_str(), "<msub><mi>&lt;b&gt;</mi><mtext>&quot;&amp;</mtext></msub>");
    assert!(!symbol_html("a_\"><script>").as_str().contains("<script>"));
    assert_eq!(symbol("a_\u{85}·").as_str(), "<msub><mi>a</mi><mtext>\u{fffd}·</mtext></msub>");
}

#[test]
fn values_print_as_typed_or_to_figures() {
    let trace = trace("```derive\nA = h_ef^2 in mm²\nB = N_Ed / 7\nC = small / 3\nT = N_Ed^0.5 in N^0.5\n```\n");
    let value = |name: &str| {
        let mut lines = trace.compiled.notes.lines.iter();
        let line = lines.find(|line| line.symbol.as_deref() == Some(name)).unwrap();
        line.value.clone()
    };
    let text = |name: &str| quantity_text(&trace, &value(name));
    let html = |name: &str| quantity_html(&trace, &value(name)).into_string();
    assert_eq!(text("N_Ed"), "18\u{202f}kN");
    assert_eq!(text("N"), "(4.5, 4.5, −0.3)\u{202f}kN");
    assert_eq!(html("A"), "7230\u{202f}mm²");
    assert_eq!(html("B"), "2.57\u{202f}kN");
    assert_eq!(text("C"), "5.00×10⁻⁶");
    assert_eq!(html("C"), "5.00\u{202f}×\u{202f}10<sup>−6</sup>");
    assert_eq!(html("T"), "134\u{202f}N<sup>0.5</sup>");
    assert_eq!(text("cracked"), "yes");
    assert_eq!(text("face"), "east");
    assert_eq!(text("anchors"), "table of 2 rows");
    assert_eq!(text("anchor"), "Through bolt FX-12 (invented)");
}

#[test]
fn a_formula_is_followed_by_its_values_and_its_result() {
    says("N_Ed / gamma_Mc", "q = N_Ed / γ_Mc = 18 kN / 1.5 = 12.0 kN");
    says("max(N) - 2 * N_Ed", "q = max(N) − 2 · N_Ed = max(4.5, 4.5, −0.3) kN − 2 · 18 kN = −31.5 kN");
    says("max(anchors.x)", "q = max(x_(anchors)) = max(−75, 75) mm = 75.0 mm");
    says("any(N > 20 kN)", "q = any(N > 20 kN) = any((4.5, 4.5, −0.3) kN > 20 kN) = no");
    says("cracked and not (face is north)", "q = cracked and not face is north = yes and not east is north = yes");
}

#[test]
fn what_would_only_repeat_is_left_out() {
    says("h_ef", "q = h_ef = 85.0 mm");
    says("3 mm", "q = 3.00 mm");
    says("2 * 3 mm", "q = 2 · 3 mm = 6.00 mm");
    says("1 m", "q = 1 m = 1000 mm");
}

#[test]
fn a_bare_number_is_put_in_without_its_unit() {
    says(
        "7.7 * sqrt(f_ck) * h_ef^1.5 giving N with f_ck in N/mm², h_ef in m in N",
        "q = 7.7 · √f_ck · h_ef^1.5 = 7.7 · √25 · 0.0850^1.5 = 0.954 N",
    );
}

#[test]
fn parentheses_stand_where_the_tree_needs_them() {
    says("(h_ef + h_ef) * 2", "q = (h_ef + h_ef) · 2 = (85 mm + 85 mm) · 2 = 340 mm");
    says("h_ef - (h_ef - h_ef)", "q = h_ef − (h_ef − h_ef) = 85 mm − (85 mm − 85 mm) = 85.0 mm");
    says("-h_ef^2", "q = −h_ef^2 = −(85 mm)^2 = −7230 mm²");
    says("(-h_ef)^2", "q = (−h_ef)^2 = (−85 mm)^2 = 7230 mm²");
    says("2 * -gamma_Mc", "q = 2 · (−γ_Mc) = 2 · (−1.5) = −3");
    says("gamma_Mc * N[3]", "q = γ_Mc · N_3 = 1.5 · (−0.3 kN) = −0.450 kN");
    says("gamma_Mc / (2 / gamma_Mc)", "q = γ_Mc / (2 / γ_Mc) = 1.5 / (2 / 1.5) = 1.13");
    says("2^gamma_Mc^2", "q = 2^(γ_Mc^2) = 2^(1.5^2) = 4.76");
}

#[test]
fn mathml_follows_the_tree() {
    const N: &str = "<msub><mi>N</mi><mtext>Ed</mtext></msub>";
    const H: &str = "<msub><mi>h</mi><mtext>ef</mtext></msub>";
    const OPEN: &str = "<mrow><mo form=\"prefix\" stretchy=\"false\">";
    const CLOSE: &str = "<mo form=\"postfix\" stretchy=\"false\">";
    const SPACE: &str = "<mspace width=\"0.1667em\"/>";
    let cases = [
        ("N_Ed * h_ef", format!("{N}<mo rspace=\"0.08em\">\u{2062}</mo>{H}")),
        ("3 * h_ef", format!("<mn>3</mn><mo rspace=\"0.1667em\">\u{2062}</mo>{H}")),
        ("h_ef * 3", format!("{H}<mo>⋅</mo><mn>3</mn>")),
        ("h_ef^2", "<msubsup><mi>h</mi><mtext>ef</mtext><mn>2</mn></msubsup>".into()),
        (
            "c_1_prime^2",
            format!(
                "<msup>{OPEN}(</mo><msubsup><mi>c</mi><mtext>1</mtext><mo>′</mo></msubsup>{CLOSE})</mo></mrow>\
                 <mn>2</mn></msup>"
            ),
        ),
        ("h_ef / 2", format!("<mfrac>{H}<mn>2</mn></mfrac>")),
        (
            "(h_ef + 1 mm) / 2",
            format!("<mfrac><mrow>{H}<mo>+</mo><mn>1</mn>{SPACE}<mtext>mm</mtext></mrow><mn>2</mn></mfrac>"),
        ),
        ("sqrt(h_ef)", format!("<msqrt>{H}</msqrt>")),
        ("abs(h_ef)", format!("{OPEN}|</mo>{H}{CLOSE}|</mo></mrow>")),
        ("sum(N)", "<mo>∑</mo><mi>N</mi>".into()),
        ("exp(small)", "<msup><mtext>e</mtext><mi>small</mi></msup>".into()),
        ("pi * small", "<mtext>π</mtext><mo>⋅</mo><mi>small</mi>".into()),
        (
            "any(N > 0 kN)",
            format!(
                "<mi>any</mi><mo>\u{2061}</mo>{OPEN}(</mo><mi>N</mi><mo>&gt;</mo><mn>0</mn>{SPACE}<mtext>kN</mtext>\
                 {CLOSE})</mo></mrow>"
            ),
        ),
        ("anchors.x", "<msub><mi>x</mi><mtext>(anchors)</mtext></msub>".into()),
        ("anchors.x[2]", "<msub><mi>x</mi><mtext>(anchors),2</mtext></msub>".into()),
        ("without(anchors, anchors).x", "<msub><mi>x</mi><mtext>(without(anchors, anchors))</mtext></msub>".into()),
        ("edges.top_one.distance", "<msub><mi>distance</mi><mtext>(top\u{a0}one)</mtext></msub>".into()),
        ("anchor.k_cr_N", "<msub><mi>k</mi><mtext>cr,N</mtext></msub>".into()),
        (
            "cos(30 °)",
            format!("<mi>cos</mi><mo>\u{2061}</mo>{OPEN}(</mo><mn>30</mn><mtext>°</mtext>{CLOSE})</mo></mrow>"),
        ),
    ];
    for (formula, expected) in cases {
        assert_eq!(content(formula), expected, "{formula}");
    }
    assert!(derived("count_where([cracked])").contains("<mi>count\u{a0}where</mi>"));
}

#[test]
fn every_symbol_of_a_formula_leads_to_its_line() {
    let trace = trace(
        "```derive\nq = max(N) + N_Ed * h_ef / (anchor.k_cr_N * 1 mm) + N[1] + edges.east.distance * 1 kN/mm\n\
         k = cases\n  anchor.k_cr_N when cracked and h_ef > 1 mm\n  11 otherwise\nrequire h_ef > k * 1 mm\n\
         side = edges.east\n```\n```verify\nN_Ed <= 2 * q\n```\n",
    );
    let addresses = Addresses::new(&trace);
    let mut seen = 0;
    for id in &trace.order {
        let markup = set(&trace, *id);
        for mention in &trace.compiled.notes.line(*id).mentions {
            let Some(line) = mention.line else { continue };
            // The file stands behind the link of its value.
            let defined = trace.compiled.notes.line(line);
            if matches!(defined.work, Work::Given) && defined.symbol.as_deref() == Some("anchor") {
                continue;
            }
            let link = format!("href=\"#{}\"", addresses.line(line));
            assert!(markup.contains(&link), "{link} in {markup}");
            seen += 1;
        }
    }
    assert!(seen >= 12, "{seen}");
}

#[test]
fn text_is_escaped_everywhere() {
    let blocks = "```verify\nN_Ed < 20 kN\n```\n";
    assert_eq!(last_text(blocks), "N_Ed = 18 kN < 20 kN");
    let markup = last(blocks);
    assert!(!markup.contains("< "), "{markup}");
    assert!(!markup.contains("<<"), "{markup}");
}

#[test]
fn a_check_shows_both_sides_with_their_values() {
    #[track_caller]
    fn check(text: &str, expected: &str) {
        let blocks = format!("```derive\nN_Rd = 2 * N_Ed\n```\n```verify\n{text}\n```\n");
        assert_eq!(last_text(&blocks), expected);
    }
    check("N_Ed <= N_Rd", "N_Ed = 18 kN ≤ N_Rd = 36.0 kN");
    check("N_Rd >= N_Ed", "N_Rd = 36.0 kN ≥ N_Ed = 18 kN");
    check("N_Ed <= 12 kN", "N_Ed = 18 kN ≤ 12 kN");
    check("N_Ed / N_Rd <= 1", "N_Ed / N_Rd = 18 kN / 36.0 kN = 0.500 ≤ 1");
}

#[test]
fn a_requirement_shows_its_condition_with_values() {
    assert_eq!(last_text("```derive\nrequire h_ef >= 40 mm\n```\n"), "h_ef ≥ 40 mm: 85 mm ≥ 40 mm");
}

#[test]
fn cases_mark_the_branch_taken() {
    let branches = "h_ef / 2 when cracked\n  3 mm when face is north\n  4 mm otherwise";
    let blocks = format!("```derive\nk = cases\n  {branches}\n```\n");
    let markup = last(&blocks);
    assert_eq!(
        last_text(&blocks),
        "k = h_ef / 2 when cracked (taken); 3 mm when face is north; 4 mm otherwise = 85 mm / 2 = 42.5 mm"
    );
    assert_eq!(markup.matches("class=\"branch taken\"").count(), 1);
    assert_eq!(markup.matches("class=\"branch left\"").count(), 2);
}

#[test]
fn a_table_is_shown_in_full_where_it_is_given() {
    let trace = trace("");
    let addresses = Addresses::new(&trace);
    let mut lines = trace.order.iter();
    let id = *lines.find(|id| addresses.line(**id) == "anchors").unwrap();
    let markup = set(&trace, id);
    let expected = [
        "<th scope=\"col\"><math><mi>x</mi></math> in\u{a0}mm</th>",
        "<th scope=\"row\">A1</th><td>−75</td><td>0</td>",
        "<td>1\u{202f}×\u{202f}10<sup>−5</sup></td>",
    ];
    for expected in expected {
        assert!(markup.contains(expected), "{expected} in {markup}");
    }
}

#[test]
fn a_computed_table_whose_rows_are_only_counted_shows_its_numbers() {
    let text = last_text("```derive\ncorners = rectangle(500 mm, 360 mm)\n```\n");
    assert!(
        text.ends_with("(x,\u{a0}y) = (−250,\u{a0}−180), (250,\u{a0}−180), (250,\u{a0}180), (−250,\u{a0}180) mm"),
        "{text:?}"
    );
    // Sixteen pieces of a ring are too many to read.
    let text = last_text("```derive\nring = walls_of_circle(100 mm, 5 mm, 0 mm, 0 mm)\n```\n");
    assert!(text.ends_with("1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16"), "{text:?}");
}

#[test]
fn a_value_that_is_no_number_has_no_unit() {
    says("N_Ed / (gamma_Mc - 1.5)", "q = N_Ed / (γ_Mc − 1.5) = 18 kN / (1.5 − 1.5) = not a number");
}

#[test]
fn a_wide_formula_breaks_before_its_signs() {
    let markup = derived("h_ef + h_ef + h_ef + h_ef + h_ef - h_ef");
    let pieces = first_part(&markup);
    assert_eq!(pieces.matches("<math displaystyle").count(), 6);
    assert_eq!(pieces.matches("<mo form=\"infix\" lspace=\"0\">+</mo>").count(), 4);
    assert_eq!(pieces.matches("<mo form=\"infix\" lspace=\"0\">−</mo>").count(), 1);
}

#[test]
fn a_narrow_formula_stays_in_one_piece() {
    let markup = derived("h_ef + h_ef");
    assert_eq!(first_part(&markup).matches("<math displaystyle").count(), 1);
}

#[test]
fn a_wide_numerator_gets_rows() {
    let sum = ["h_ef"; 14].join(" + ");
    assert!(content(&format!("({sum}) / h_ef")).starts_with("<mfrac><mtable><mtr><mtd>"));
    assert!(content(&format!("sqrt({sum})")).starts_with("<msqrt><mtable>"));
}

#[test]
fn what_is_broken_loses_nothing() {
    let formula = "min(max(h_ef + c_1_prime, abs(h_ef - c_1_prime) * (h_ef + c_1_prime + h_ef + c_1_prime) / h_ef), \
                   (h_ef + c_1_prime + h_ef + c_1_prime + h_ef + c_1_prime)^2 / c_1_prime)";
    let markup = derived(formula);
    let part = first_part(&markup);
    assert_eq!(part.matches("href=\"#").count(), 16);
    let count = |text: &str| part.matches(text).count();
    assert_eq!(count(">(</mo>"), count(">)</mo>"));
    for tag in ["math", "mrow", "mfrac", "msup", "mtable", "mtd"] {
        let opened = count(&format!("<{tag}>")) + count(&format!("<{tag} "));
        assert_eq!(opened, count(&format!("</{tag}>")), "{tag}");
    }
}
