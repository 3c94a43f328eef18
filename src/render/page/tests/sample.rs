//! A view made by hand that fills every field, each text through a function, so that a test can mark or spoil them all.

use crate::document::Revision;
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
        cards: vec![CardView {
            id: "page:card-1".into(),
            title: w("Installation card"),
            kind: w("Installation card, invented"),
            basis: w("invented"),
            replaces: w("own/card"),
            withheld: w("not satisfied"),
            bars: vec![CardItem { html: Markup::text("3 of 96 are open"), is_open: false }],
            products: vec![(w("Through bolt FX-12"), w("All values are invented."))],
            drawn: w("drawing FTD-ST-101"),
            values: vec![CardValueView {
                label: w("drill diameter"),
                item: CardItem { html: Markup::text("12 mm"), is_open: false },
                note: Some(CardItem { html: Markup::text("product: 12 mm"), is_open: false }),
            }],
            sections: vec![CardSectionView {
                title: w("Setting"),
                numbered: true,
                warning: false,
                signed: true,
                by_row: false,
                fields: vec![w("initials and time")],
                items: vec![CardItem { html: Markup::text("Drill."), is_open: false }],
            }],
            plan: Markup::new(),
            open: vec![w("T_inst")],
            settled: w("before work begins"),
            is_long: false,
        }],
        head: TitleBlock {
            owner: w("invented office"),
            package: w("Fellmere Tram Depot"),
            title: w("Gantry column base, grid B4"),
            number: w("FTD-ST-CALC-014"),
            revision: w("P02"),
            date: w("2026-11-20"),
            people: vec![Person {
                role: w("Creator"),
                name: w("rt@fellmere.example"),
                remark: w("signed, date stated 2026-11-21"),
                contradiction: w("the sheet names K.L."),
            }],
            revisions: vec![
                Revision { revision: w("P01"), date: w("2026-11-18"), text: w("First issue.") },
                Revision { revision: w("P02"), date: String::new(), text: w("Load raised.") },
            ],
            status: w("for review, unchecked"),
        },
        sign_off: SignOffView {
            people: Vec::new(),
            absent: w("no roles"),
            rows: vec![SignOffRow {
                role: w("creator"),
                who: w("rt@fellmere.example"),
                key: w("SHA256:0"),
                date: w("2026-11-21"),
                state: w("signed"),
                slug: "signature-good".to_owned(),
                reason: String::new(),
            }],
            void: vec![SignOffRow {
                role: w("checker"),
                who: w("kl@fellmere.example"),
                key: String::new(),
                date: w("2026-11-22"),
                state: w("signature void"),
                slug: "signature-void".to_owned(),
                reason: w("the sheet is another"),
            }],
            note: w("This page carries what it was made of."),
        },
        purpose: Markup::text(&w("To show that the base resists uplift.")),
        scope: Markup::text(&w("Four through bolts in cracked concrete.")),
        scale: Markup::trusted("<svg class=\"bar scale\" viewBox=\"0 0 2 1\" aria-hidden=\"true\"></svg>".into()),
        not_verified: vec![w("fire"), w("seismic action")],
        verdict: verdict(w, "not satisfied"),
        by_row: vec![RowTable {
            each: w("case"),
            rows: vec![RowResult {
                label: w("wind"),
                id: "cone.check".into(),
                description: Markup::text(&w("concrete cone")),
                ratio: w("1.10"),
                verdict: verdict(w, "not satisfied"),
            }],
        }],
        recalculations: vec![RecalculationView {
            is_unchanged: false,
            id: "cone.check".into(),
            line: 4,
            description: Markup::text(&w("as surveyed")),
            number: w("C-014"),
            title: w("Base"),
            revision: w("P02"),
            path: w("base.md"),
            was: verdict(w, "satisfied"),
            is: verdict(w, "not satisfied"),
            replaced: vec![ReplacedRow {
                id: "check".into(),
                number: 5,
                symbol: Markup::text("anchors"),
                description: Markup::text(&w("positions")),
                was: w("A4 x 75 mm"),
                is: w("A4 x 81 mm"),
                change: w("+8.0 %"),
            }],
            products: vec![ProductView {
                was: w("FX-12"),
                is: w("FX-10"),
                other_family: w("other"),
                different: 1,
                rows: vec![ProductRow {
                    symbol: Markup::text("d"),
                    description: Markup::text(&w("diameter")),
                    was: w("12 mm"),
                    is: w("10 mm"),
                    change: w("-16.7 %"),
                    differs: true,
                }],
            }],
            ratios: vec![RatioRow {
                id: "cone.check".into(),
                number: 6,
                description: Markup::text(&w("concrete cone")),
                was: w("0.91"),
                is: w("1.04"),
                change: w("+14.3 %"),
                verdict_was: Some(verdict(w, "satisfied")),
                verdict: Some(verdict(w, "not satisfied")),
                is_flipped: true,
            }],
        }],
        tally: w("1 of 2 checks is not satisfied."),
        checks: vec![
            check(w, "cone.check", 9, "concrete cone", "1.10", "not satisfied", true),
            check(w, "check", 12, "pull-out", "0.56", "satisfied", false),
        ],
        modes: vec![ModeTable {
            standard: w("invented standard"),
            rows: vec![
                ModeRow {
                    is_unanswered: false,
                    stated: String::new(),
                    id: "cone.check".into(),
                    number: 9,
                    answer: w("verified"),
                    verdict: Some(verdict(w, "not satisfied")),
                    ratio: w("1.10"),
                    ..mode(w, "concrete cone failure")
                },
                ModeRow { reason: w("no clause for it is used"), ..mode(w, "blow-out") },
            ],
        }],
        not_applicable: vec![pointer(w, "check-2", 13, "splitting", "the edges are far")],
        faults: vec![pointer(w, "h", 3, "member thickness", "the value lies outside its limits")],
        assumptions: vec![pointer(w, "N_Ed", 1, "uplift", "assumed: to be confirmed")],
        defaults: vec![pointer(w, "cone.h_ef", 5, "embedment", "70 mm, default of the cone")],
        unsourced: vec![pointer(w, "h_ef", 2, "embedment", "no source")],
        marked: vec![pointer(w, "cone.k_1", 6, "cone factor", "from memory (invented source)")],
        inherited: vec![pointer(w, "N_Ed", 1, "uplift of another base", "from another calculation")],
        review: Some(ReviewView {
            tally: w("3 of the 9 lines that need a tick are ticked."),
            changed: vec![pointer(w, "h", 3, "thickness that changed", "value changed: was 180 mm, is 200 mm")],
            queries: vec![pointer(w, "check", 12, "pull-out in question", "queried (K.L.): which load case?")],
            orphans: vec![OrphanRow { address: w("h_min"), was: w("160 mm"), remark: w("ticked (K.L.)") }],
        }),
        notices: vec![w("illustrative values: replace with those of the assessment")],
        overrides: vec![clause(w, "area", 7)],
        clauses: vec![clause(w, "cone", 4), clause(w, "area", 7)],
        working: Markup::trusted(WORKING.to_owned()),
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
        remarks: vec![w("3 lines to check"), w("unanswered: fire")],
    };
    IndexView {
        title: w("Fellmere Tram Depot"),
        owner: w("invented office"),
        sheets: vec![row("b4.html", "Gantry column base", "satisfied"), row("", "Handrail post", "has errors")],
        program: w("soleplate 0.0.0"),
    }
}

/// A verdict by its words.
pub fn verdict(w: Write<'_>, words: &str) -> VerdictView {
    VerdictView { words: w(words), slug: words.replace(' ', "-") }
}

fn check(w: Write<'_>, id: &str, number: u32, what: &str, ratio: &str, words: &str, governs: bool) -> CheckRow {
    CheckRow {
        id: id.into(),
        number,
        description: Markup::text(&w(what)),
        demand: Markup::text("18.0 kN"),
        resistance: Markup::text("44.2 kN"),
        ratio: w(ratio),
        bar: Markup::trusted("<svg class=\"bar\" viewBox=\"0 0 2 1\" role=\"img\" aria-label=\"ratio\"></svg>".into()),
        verdict: verdict(w, words),
        reference: w("invented clause 4.2"),
        governs,
    }
}

fn mode(w: Write<'_>, mode: &str) -> ModeRow {
    ModeRow {
        mode: w(mode),
        clause: w("7.2.1"),
        answer: w("not verified"),
        is_open: true,
        is_unanswered: false,
        stated: w("stated by this sheet"),
        verdict: None,
        id: String::new(),
        number: 0,
        ratio: String::new(),
        reason: String::new(),
    }
}

fn pointer(w: Write<'_>, id: &str, number: u32, description: &str, remark: &str) -> Pointer {
    Pointer {
        id: id.into(),
        number,
        symbol: Markup::text("s"),
        description: Markup::text(&w(description)),
        remark: w(remark),
    }
}

fn clause(w: Write<'_>, path: &str, number: u32) -> ClauseRow {
    ClauseRow {
        id: format!("clause-{path}"),
        number,
        path: w(path),
        title: w(&format!("Clause of the {path}")),
        reference: w("invented standard, 7.2"),
        version: w("3"),
        scope: Markup::text(&w("Single fasteners only.")),
        basis: Markup::text(&w("Written for the test.")),
        origin: w("of this package"),
    }
}

/// A working as it is written for the page, with an address for everything that the first page points at.
const WORKING: &str = "<div class=\"prose\"><h2>What the base carries</h2><p>Wind.</p></div>\
<details class=\"use\" id=\"clause-cone\" open><summary class=\"line\" id=\"use-cone\"><h3>Clause of the cone</h3></summary>\
<details class=\"use\" id=\"clause-area\" open><summary class=\"line\" id=\"use-area\"><h4>Clause of the area</h4></summary>\
</details></details><div class=\"line\" id=\"N_Ed\"></div><div class=\"line\" id=\"h_ef\"></div><div class=\"line\" id=\"h\"></div>\
<div class=\"line\" id=\"cone.h_ef\"></div><div class=\"line\" id=\"cone.k_1\"></div><div class=\"line\" id=\"cone.check\"></div><div class=\"line\" id=\"check\"></div>\
<div class=\"line\" id=\"check-2\"></div>";
