//! A view made by hand that fills every field, each text through a function, so that a test can mark or spoil them all.

use crate::render::markup::Markup;
use crate::render::view::*;

/// Makes a text out of a plain one.
pub type Write<'a> = &'a dyn Fn(&str) -> String;

/// Leaves a text as it is.
pub fn plain(text: &str) -> String {
    text.to_owned()
}

/// A calculation with one of everything.
pub fn page(w: Write<'_>) -> PageView {
    PageView {
        head: TitleBlock {
            owner: w("invented office"),
            package: w("Fellmere Tram Depot"),
            title: w("Gantry column base, grid B4"),
            number: w("FTD-ST-CALC-014"),
            revision: w("P02"),
            date: w("2026-11-20"),
            creator: w("R.T."),
            approver: w("K.L."),
            status: w("for review, unchecked"),
        },
        purpose: w("To show that the base resists uplift."),
        scope: w("Four through bolts in cracked concrete."),
        not_verified: vec![w("fire"), w("seismic action")],
        verdict: verdict(w, "not satisfied"),
        tally: w("1 of 2 checks is not satisfied."),
        checks: vec![
            check(w, "cone.check", 9, "concrete cone", "1.10", "not satisfied", true),
            check(w, "check", 12, "pull-out", "0.56", "satisfied", false),
        ],
        not_applicable: vec![pointer(w, "check-2", 13, "splitting", "the edges are far")],
        faults: vec![pointer(w, "h", 3, "member thickness", "the value lies outside its limits")],
        assumptions: vec![pointer(w, "N_Ed", 1, "uplift", "assumed: to be confirmed")],
        unsourced: vec![pointer(w, "h_ef", 2, "embedment", "no source")],
        marked: vec![pointer(w, "cone.k_1", 6, "cone factor", "from memory (invented source)")],
        notices: vec![w("illustrative values: replace with those of the assessment")],
        clauses: vec![clause(w, "cone"), clause(w, "area")],
        body: body(w),
        footnotes: Markup::trusted(
            "<div class=\"footnote\" id=\"note-1\"><span class=\"no\">1</span><p>A note.</p></div>".to_owned(),
        ),
        provenance: Provenance {
            digest: w("5f3c 91ab 07de 44c2"),
            program: w("soleplate 0.0.0"),
            files: vec![ProvenanceRow { what: w("sheet"), path: w("base-b4.md"), digest: w("0d1e 2f3a") }],
        },
    }
}

/// An index with one calculation that was built and one that was not.
pub fn index(w: Write<'_>) -> IndexView {
    let row = |href: &str, title: &str, words: &str| IndexRow {
        href: href.to_owned(),
        path: w("bases/b4.md"),
        number: w("FTD-ST-CALC-014"),
        title: w(title),
        revision: w("P02"),
        status: w("unchecked"),
        verdict: verdict(w, words),
        governs: w("concrete cone"),
        ratio: w("0.94"),
    };
    IndexView {
        title: w("Fellmere Tram Depot"),
        owner: w("invented office"),
        sheets: vec![row("b4.html", "Gantry column base", "satisfied"), row("", "Handrail post", "has errors")],
        program: w("soleplate 0.0.0"),
    }
}

fn body(w: Write<'_>) -> Vec<PartView> {
    let figure = |number: usize| PartView::Figure {
        number,
        svg: Markup::trusted(
            "<svg viewBox=\"0 0 2 1\" role=\"img\" aria-label=\"plan\"><path d=\"M0 0H2\"/></svg>".into(),
        ),
        caption: w("Plan of the base."),
    };
    vec![
        PartView::Prose { html: Markup::trusted("<h2>What the base carries</h2><p>Wind.</p>".into()) },
        PartView::Lines {
            block: "given".into(),
            lines: vec![line(w, "N_Ed", 1, "given"), line(w, "h_ef", 2, "given"), faulty(w, "h", 3)],
        },
        figure(1),
        figure(2),
        figure(3),
        PartView::Use {
            line: Box::new(line(w, "use-cone", 4, "use")),
            clause: Box::new(clause(w, "cone")),
            verdicts: vec![verdict(w, "not satisfied"), verdict(w, "not satisfied")],
            parts: vec![
                PartView::Lines { block: "clause".into(), lines: vec![line(w, "cone.h_ef", 5, "takes")] },
                PartView::Prose { html: Markup::trusted("<p>The cone.</p>".into()) },
                PartView::Lines { block: "derive".into(), lines: vec![line(w, "cone.k_1", 6, "cases")] },
                PartView::Use {
                    line: Box::new(line(w, "use-area", 7, "use")),
                    clause: Box::new(clause(w, "area")),
                    verdicts: vec![],
                    parts: vec![PartView::Lines {
                        block: "derive".into(),
                        lines: vec![line(w, "cone.area.A", 8, "derive")],
                    }],
                },
                PartView::Lines {
                    block: "verify".into(),
                    lines: vec![checking(w, "cone.check", 9, "concrete cone", "not satisfied", "1.10")],
                },
            ],
        },
        PartView::Lines {
            block: "verify".into(),
            lines: vec![
                checking(w, "check", 12, "pull-out", "satisfied", "0.56"),
                LineView {
                    reason: w("the edges are far"),
                    ..checking(w, "check-2", 13, "splitting", "not applicable", "")
                },
            ],
        },
    ]
}

/// A verdict by its words.
pub fn verdict(w: Write<'_>, words: &str) -> VerdictView {
    VerdictView { words: w(words), slug: words.replace(' ', "-") }
}

fn check(w: Write<'_>, id: &str, number: u32, what: &str, ratio: &str, words: &str, governs: bool) -> CheckRow {
    CheckRow {
        id: id.into(),
        number,
        description: w(what),
        demand: Markup::text("18.0 kN"),
        resistance: Markup::text("44.2 kN"),
        ratio: w(ratio),
        bar: Markup::trusted("<svg class=\"bar\" viewBox=\"0 0 2 1\" role=\"img\" aria-label=\"ratio\"></svg>".into()),
        verdict: verdict(w, words),
        reference: w("invented clause 4.2"),
        governs,
    }
}

fn pointer(w: Write<'_>, id: &str, number: u32, description: &str, remark: &str) -> Pointer {
    Pointer { id: id.into(), number, symbol: Markup::text("s"), description: w(description), remark: w(remark) }
}

fn clause(w: Write<'_>, path: &str) -> ClauseRow {
    ClauseRow {
        id: format!("clause-{path}"),
        path: w(path),
        title: w(&format!("Clause of the {path}")),
        reference: w("invented standard, 7.2"),
        version: w("3"),
        scope: w("Single fasteners only."),
        basis: w("Written for the test."),
        origin: w("of this package"),
    }
}

/// A line of a kind of work.
pub fn line(w: Write<'_>, id: &str, number: u32, work: &str) -> LineView {
    described(w, id, number, work, &format!("description of line {number}"))
}

fn described(w: Write<'_>, id: &str, number: u32, work: &str, description: &str) -> LineView {
    LineView {
        id: id.into(),
        number,
        work: work.into(),
        description: w(description),
        equation: Markup::trusted(EQUATION.replace("44.2", &format!("{number}"))),
        remarks: vec![Markup::text("valid from 1 to 2")],
        reference: w("invented standard, (7.2)"),
        mark: w("in doubt"),
        mark_reason: w("the number of the formula"),
        source_not_stated: number == 2,
        used_in: vec![("cone.check".into(), 9), ("check".into(), 12)],
        verdict: None,
        ratio: String::new(),
        reason: String::new(),
        is_faulty: false,
    }
}

fn checking(w: Write<'_>, id: &str, number: u32, what: &str, words: &str, ratio: &str) -> LineView {
    LineView { verdict: Some(verdict(w, words)), ratio: w(ratio), ..described(w, id, number, "check", what) }
}

fn faulty(w: Write<'_>, id: &str, number: u32) -> LineView {
    LineView { reason: w("the value lies outside its limits"), is_faulty: true, ..line(w, id, number, "given") }
}

/// An equation as the writer of formulas gives it.
const EQUATION: &str = "<div class=\"eq\"><math><mrow><msub><mi>N</mi><mi mathvariant=\"normal\">Rd</mi></msub></mrow></math>\
<div class=\"rhs\"><span class=\"part\"><math><mo>=</mo><mfrac><mrow><msub><mi>N</mi><mi mathvariant=\"normal\">Rk</mi></msub></mrow>\
<mrow><msub><mi>γ</mi><mi mathvariant=\"normal\">Mc</mi></msub></mrow></mfrac></math></span> <span class=\"part r\"><math><mo>=</mo>\
<mn>44.2</mn><mspace width=\"0.1667em\"/><mi mathvariant=\"normal\">kN</mi></math></span></div></div>";
