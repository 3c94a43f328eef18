//! Cards through real sheets.

use super::*;
use crate::package::{Memory, Package};
use crate::render::address::Addresses;

const CARD: &str = "title = \"Card\"\nbasis = \"b\"\nvalues = [{ label = \"torque\", text = \"{T_inst}\" }]\n\
    [[sections]]\ntitle = \"Do\"\nitems = [\"Drill {d_0} <deep>.\", \"Wait {t}.\"]\n";

fn card(blocks: &str) -> CardView {
    let front = "+++\ntitle = \"T\"\nnumber = \"1\"\nrevision = \"A\"\npurpose = \"p\"\nscope = \"s\"\n+++\n";
    let data = "title = \"Bolt\"\n[values]\nT_inst = { value = \"50 N·m\" }\nd_0 = { value = \"10 mm\" }\n";
    let files = Memory::default().with("clauses/own/cards/do.toml", CARD).with("bolt.toml", data).with(
        "a.md",
        format!("{front}```given\nbolt = data \"bolt.toml\" @ s\n{blocks}```card\nuse own/do from bolt\n```\n"),
    );
    let (package, _) = Package::open(Box::new(files)).unwrap();
    let built = package.build("a.md");
    let trace = built.trace.unwrap_or_else(|| panic!("{:#?}", built.findings));
    let addresses = Addresses::new(&trace);
    cards(&Wording::new(&trace, &addresses)).remove(0)
}

#[test]
fn values_come_from_the_sheet_before_the_data_and_what_is_nowhere_is_open() {
    let card = card("d_0 = 12 mm @ s\n```\n");
    assert_eq!(card.open, ["t"]);
    assert!(card.values[0].1.html.as_str().contains("50"), "{:?}", card.values);
    let drill = card.sections[0].items[0].html.as_str();
    assert!(drill.contains("12") && !drill.contains("10") && drill.contains("&lt;deep&gt;"), "{drill}");
    assert!(card.sections[0].items[1].is_open && !card.sections[0].items[0].is_open);
    assert!(card.withheld.is_empty());
}

#[test]
fn a_card_of_what_does_not_hold_is_withheld_and_shows_no_value_that_is_not_valid() {
    let failing = card("d_0 = 12 mm @ s\n```\n```verify\nd_0 <= 10 mm \"room\"\n```\n");
    assert_eq!(failing.withheld, "not satisfied");
    let outside = card("d_0 = 12 mm within 1 mm to 10 mm @ s\n```\n");
    assert_eq!((outside.withheld.as_str(), outside.open.join(" ")), ("not valid", "d_0 t".to_owned()));
}

/// A card whose plan marks some of four anchors on two bases.
fn marked(derive: &str) -> CardView {
    let front = "+++\ntitle = \"T\"\nnumber = \"1\"\nrevision = \"A\"\npurpose = \"p\"\nscope = \"s\"\n+++\n";
    let card = "title = \"C\"\nbasis = \"b\"\nplan = true\nmarked = \"tested\"\nmark = \"test\"\n\
        [[sections]]\ntitle = \"Do\"\nitems = [\"{tested}\"]\n";
    let tables = "```given\nanchors = table x in mm, y in mm @ s\n    A1: -75, 0\n    A-2: 75, 0\n\
        bases = table x in m @ s\n    B1: 0\n    B2: 6\nn = 4 @ s\n```\n";
    let files = Memory::default()
        .with("clauses/own/cards/do.toml", card)
        .with("a.md", format!("{front}{tables}```derive\n{derive}\n```\n```card\nuse own/do\n```\n"));
    let (package, _) = Package::open(Box::new(files)).unwrap();
    let built = package.build("a.md");
    let trace = built.trace.unwrap_or_else(|| panic!("{:#?}", built.findings));
    let addresses = Addresses::new(&trace);
    cards(&Wording::new(&trace, &addresses)).remove(0)
}

#[test]
fn a_plan_of_each_base_marks_what_the_card_is_about_by_shape_and_word() {
    let card = marked("tested = random_sample(pairs(bases, anchors), n, 7)");
    let plan = card.plan.as_str();
    for (part, times) in [
        ("aria-label=\"B1: test A1, A-2\"", 1),
        ("<figcaption>B2: test A1, A-2</figcaption>", 1),
        ("A-2 test", 2),
        ("<circle class=\"marked\"", 4),
    ] {
        assert_eq!(plan.matches(part).count(), times, "{part} in {plan}");
    }
    let list = card.sections[0].items[0].html.as_str();
    let labels = ["B1 A1", "B1 A-2", "B2 A1", "B2 A-2"].map(|label| format!("<span class=\"no\">{label}</span>"));
    assert!(list.contains(&labels.join(", ")), "{list}");

    let card = marked("tested = random_sample(anchors, 1, 7)");
    assert_eq!(card.plan.as_str().matches("<circle class=\"marked\"").count(), 1);
    assert!(!card.plan.as_str().contains(": test"));
    assert!(card.open.is_empty());
}

const HAND_OVER: &str = include_str!("../../../sheets/bs-8539/cards/hand-over.toml");

/// The certificate of a sheet of two anchors, with a log and more words behind the records.
fn certificate(rows: &str, with: &str, more: &str) -> (Vec<String>, Option<CardView>, Vec<String>) {
    let front = "+++\ntitle = \"T\"\nnumber = \"1\"\nrevision = \"A\"\npurpose = \"p\"\nscope = \"s\"\n+++\n";
    let given = format!(
        "```given\nanchors = table x in mm, y in mm @ s\n    A1: -75, 0\n    A2: 75, 0\nlog = records \"log.csv\"\n    \
         columns anchor = \"Anchor\", time = \"Time\", calibrated = \"Until\", torque = \"Torque\", done = \"What\", \
         batch = \"Lot\"\n    throughout tool = \"TW07\"\n    words moved = \"shifted\", substituted = \"other type\"\n    \
         works first = \"2026-11-01\", last = \"2026-11-05\"\n    with anchors = anchors, T_inst = 50 N·m, T_tol = 10 %{with} @ s\n```\n```card\n{more}\n```\n"
    );
    let header = "Anchor;Time;Until;Torque (N·m);What;Lot\n";
    let files = Memory::default()
        .with("clauses/own/cards/do.toml", HAND_OVER)
        .with("log.csv", format!("{header}{rows}"))
        .with("a.md", format!("{front}{given}"));
    let (package, _) = Package::open(Box::new(files)).unwrap();
    let built = package.build("a.md");
    let findings = built.findings.iter().map(ToString::to_string).collect();
    let Some(trace) = built.trace else { return (findings, None, Vec::new()) };
    let addresses = Addresses::new(&trace);
    let wording = Wording::new(&trace, &addresses);
    (findings, Some(cards(&wording).remove(0)), super::bars(&wording))
}

const SOUND: &str = "A1;2026-11-02 07:38;2027-04-30;51.2;;L-1\nA2;2026-11-02 07:38;2027-04-30;51.2;;L-1\n";

#[test]
fn a_certificate_is_for_use_only_where_every_anchor_is_accepted_and_every_row_read() {
    let use_log = "use own/do from log \"Hand-over\"";
    let (findings, card, bars) = certificate(SOUND, "", use_log);
    assert_eq!((findings, bars), (Vec::<String>::new(), Vec::<String>::new()));
    let card = card.unwrap();
    assert!(card.bars.is_empty() && card.open.is_empty(), "{:?}", card.bars);
    assert_eq!(card.sections[3].fields, ["name", "company", "date", "signature"]);

    let moved = SOUND.replacen(";;L-1", ";shifted;L-1", 1);
    let (_, card, bars) = certificate(&moved, "", use_log);
    assert_eq!(bars, ["Hand-over: not for use: fasteners that are not accepted: 1 of 2"]);
    let card = card.unwrap();
    assert_eq!(card.withheld, "");
    assert_eq!(card.sections[1].items[0].html.as_str().matches("A1").count(), 1, "{:?}", card.sections[1]);
    let (_, _, bars) = certificate(&moved, ", as_built = anchors", use_log);
    assert!(bars.is_empty(), "{bars:?}");

    let unread = format!("{SOUND};2026-11-02 07:38;2027-04-30;51.2;other type;L-1\n");
    let (_, card, bars) = certificate(&unread, "", use_log);
    assert_eq!(bars, ["Hand-over: not for use: rows of the record that cannot be read: 1"]);
    let substituted = card.unwrap().sections[2].items[2].html.as_str().to_owned();
    assert!(substituted.contains("(no anchor specified)"), "{substituted}");
    assert!(substituted.contains("1 row cannot be read"), "{substituted}");
    let unlisted = format!("{SOUND}A9;2026-11-02 07:38;2027-04-30;51.2;;L-1\n");
    let (_, _, bars) = certificate(&unlisted, "", use_log);
    assert_eq!(bars, ["Hand-over: not for use: rows of fasteners that nobody specified: 1"]);
}

#[test]
fn nobody_gives_the_counts_of_a_certificate_by_hand() {
    let moved = SOUND.replacen(";;L-1", ";shifted;L-1", 1);
    let (findings, ..) = certificate(&moved, "", "use own/do from log with n_accepted = log.n_pass, n_open = 0");
    let by_hand = "of the card `own/do` is what records say, and nobody gives it by hand";
    assert_eq!(findings.iter().filter(|finding| finding.contains(by_hand)).count(), 2, "{findings:?}");
    let (findings, ..) = certificate(&moved, "", "use own/do");
    assert!(findings[0].contains("is filled from records, and none stand behind `from`"), "{findings:?}");
    // Nor does a symbol of the sheet stand in for one of the records.
    let symbols = "use own/do from log\n```\n```derive\nn_open = 0\nn_accepted = 2";
    let (_, card, bars) = certificate(&moved, "", symbols);
    assert_eq!((bars.len(), card.unwrap().bars.len()), (1, 1));
}

#[test]
fn a_card_names_its_product_with_its_notice_and_what_is_open_in_words() {
    let text = "title = \"C\"\nbasis = \"b\"\nvalues = [{ label = \"waiting time\", text = \"{t}\" }]\n\
        [names]\nn_blow = \"how often the hole is blown\"\n[[sections]]\ntitle = \"Do\"\n\
        items = [\"Blow {n_blow} times.\", \"At most {h?} a day.\", \"As specified: {d_0:words?}.\", \"{T:words?}.\"]\n";
    let front = "+++\ntitle = \"T\"\nnumber = \"1\"\nrevision = \"A\"\npurpose = \"p\"\nscope = \"s\"\n+++\n";
    let data = "title = \"Bolt B\"\nnotice = \"invented\"\n[values]\nx = { value = \"1\" }\n";
    let blocks = "```given\nbolt = data \"bolt.toml\" @ s\nd_0 = 12 mm \"by the table\" @ s\nT = 1 N·m @ s\n```\n";
    let files = Memory::default()
        .with("clauses/own/cards/do.toml", text)
        .with("bolt.toml", data)
        .with("a.md", format!("{front}{blocks}```card\nuse own/do from bolt\n```\n"));
    let (package, _) = Package::open(Box::new(files)).unwrap();
    let built = package.build("a.md");
    let warning = built.findings.iter().map(ToString::to_string).find(|text| text.contains("the card leaves open"));
    let warning = warning.unwrap_or_else(|| panic!("{:?}", built.findings));
    assert!(warning.contains("waiting time (`t`), how often the hole is blown (`n_blow`)"), "{warning}");
    let trace = built.trace.unwrap();
    let addresses = Addresses::new(&trace);
    let card = cards(&Wording::new(&trace, &addresses)).remove(0);
    assert_eq!(card.products, [("Bolt B".to_owned(), "invented".to_owned())]);
    assert_eq!(card.open, ["waiting time", "how often the hole is blown"]);
    let items: Vec<&str> = card.sections[0].items.iter().map(|item| item.html.as_str()).collect();
    assert_eq!(items.len(), 2, "{items:?}");
    assert!(items[0].contains("open: how often the hole is blown") && items[1].contains("As specified: by the table."));
}

#[test]
fn a_plan_without_what_it_marks_says_so() {
    for derive in ["other = n", "tested = random_sample(anchors, sqrt(-n), 7)"] {
        let card = marked(derive);
        assert!(card.plan.as_str().contains("cannot be drawn"), "{}", card.plan.as_str());
        assert_eq!(card.open, ["tested"], "{derive}");
    }
}
