//! Cards through real sheets.

use super::*;
use crate::package::{Memory, Package};
use crate::render::address::Addresses;

const CARD: &str = "title = \"Card\"\nbasis = \"b\"\nvalues = [{ label = \"torque\", text = \"{T_inst}\" }]\n\
    [[sections]]\ntitle = \"Do\"\nitems = [\"Drill {d_0} <deep>.\", \"Wait {t}.\"]\n";

/// The first card of a package with one sheet.
#[track_caller]
fn first_card(files: Memory) -> CardView {
    let (package, _) = Package::open(Box::new(files)).unwrap();
    let built = package.build("a.md");
    let trace = built.trace.unwrap_or_else(|| panic!("{:#?}", built.findings));
    let addresses = Addresses::new(&trace);
    cards(&Wording::new(&trace, &addresses)).remove(0)
}

fn card(blocks: &str) -> CardView {
    let front = "+++\ntitle = \"T\"\nnumber = \"1\"\nrevision = \"A\"\npurpose = \"p\"\nscope = \"s\"\n+++\n";
    let data = "title = \"Bolt\"\n[values]\nT_inst = { value = \"50 N·m\" }\nd_0 = { value = \"10 mm\" }\n";
    let files = Memory::default().with("clauses/own/cards/do.toml", CARD).with("bolt.toml", data).with(
        "a.md",
        format!("{front}```given\nbolt = data \"bolt.toml\" @ s\n{blocks}```card\nuse own/do from bolt\n```\n"),
    );
    first_card(files)
}

#[test]
fn values_come_from_the_sheet_before_the_data_and_what_is_nowhere_is_open() {
    let card = card("d_0 = 12 mm @ s\n```\n");
    assert_eq!(card.open, ["t"]);
    assert!(card.values[0].item.html.as_str().contains("50"), "{:?}", card.values);
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
    first_card(files)
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
    // The other has its name as well, and x and y say how the plan lies.
    let plan = card.plan.as_str();
    let other = if plan.contains("A1 test") { ">A-2</text>" } else { ">A1</text>" };
    for part in [other, "<tspan class=\"sym\">x</tspan>", "<tspan class=\"sym\">y</tspan>"] {
        assert_eq!(plan.matches(part).count(), 1, "{part} in {plan}");
    }
    assert!(card.open.is_empty());
}

const HAND_OVER: &str = include_str!("../../../sheets/bs-8539/cards/hand-over.toml");

/// The certificate of a sheet of two anchors, with a log and more words behind the records.
fn certificate(rows: &str, with: &str, more: &str) -> (Vec<String>, Option<CardView>, Vec<String>) {
    let front = "+++\ntitle = \"T\"\nnumber = \"1\"\nrevision = \"A\"\npurpose = \"p\"\nscope = \"s\"\n+++\n";
    let given = format!(
        "```given\nanchors = table x in mm, y in mm @ s\n    A1: -75, 0\n    A2: 75, 0\nlog = records \"log.csv\"\n    \
         columns anchor = \"Anchor\", time = \"Time\", calibrated = \"Until\", torque = \"Torque\", done = \"What\", \
         batch = \"Lot\"\n    throughout tool = \"TW07\"\n    words repaired = \"made good\", moved = \"shifted\", substituted = \"other type\"\n    \
         works first = \"2026-11-01\", last = \"2026-11-05\"\n    with anchors = anchors, T_inst = 50 N·m, T_tol = 10 %{with} @ s\n```\n```verify\n\
         log.n_specified <= 2 \"as many as drawn\"\n```\n```card\n{more}\n```\n"
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
    assert!(
        items[0].contains("open<span class=\"of\">: how often the hole is blown")
            && items[1].contains("As specified: by the table.")
    );
}

#[test]
fn a_plan_without_what_it_marks_says_so() {
    for derive in ["other = n", "tested = random_sample(anchors, sqrt(-n), 7)"] {
        let card = marked(derive);
        assert!(card.plan.as_str().contains("cannot be drawn"), "{}", card.plan.as_str());
        assert_eq!(card.open, ["tested"], "{derive}");
    }
}

const FRONT: &str = "+++\ntitle = \"T\"\nnumber = \"1\"\nrevision = \"A\"\npurpose = \"p\"\nscope = \"s\"\n+++\n";
const HELD: &str = "+++\nkind = \"clause\"\ntitle = \"Held\"\nstandard = \"S\"\nclause = \"1\"\nversion = \"1\"\nscope = \"s\"\n\
    basis = \"b\"\nshows = [\"holding\"]\n+++\n```clause\ntakes h_ef : length\ntakes anchors : table of x length\n```\n\
    ```verify\nh_ef >= 40 mm \"holding\"\n```\n";
const OTHER: &str = "+++\nkind = \"clause\"\ntitle = \"Other\"\nstandard = \"S\"\nclause = \"2\"\nversion = \"1\"\nscope = \"s\"\n\
    basis = \"b\"\nshows = [\"tearing\"]\n+++\n```clause\ntakes q : number\n```\n```verify\nq <= 2 \"tearing\"\n```\n";
const SHOWN: &str = "title = \"C\"\nbasis = \"b\"\nplan = true\n[names]\nT_inst = \"torque\"\nh_ef = \"embedment\"\n\
    [[sections]]\ntitle = \"Do\"\nitems = [\"{h_ef} {T_inst}\"]\n";
const ANSWERED: &str = "use own/held from bolt\nuse own/other with q = 1";

/// The bars of a card of embedment, torque and plan; `given` stands before the clauses, `clauses` before the card.
fn barred(given: &str, clauses: &str, used: &str) -> Vec<String> {
    let data = "title = \"Bolt B\"\n[values]\nh_ef = { value = \"110 mm\" }\nT_inst = { value = \"40 N·m\" }\n";
    let blocks = format!(
        "```given\nanchors = table x in mm, y in mm @ s\n    A1: -75, 0\n    A2: 75, 0\nbolt = data \"bolt.toml\" @ s\n\
         spare = data \"spare.toml\" @ s\n{given}\n```\n```clause\n{clauses}\n```\n```card\nuse own/do {used}\n```\n"
    );
    let files = Memory::default()
        .with("clauses/own/cards/do.toml", SHOWN)
        .with("clauses/own/held.md", HELD)
        .with("clauses/own/other.md", OTHER)
        .with("bolt.toml", data)
        .with("spare.toml", data.replace("Bolt B", "Bolt S"))
        .with("a.md", format!("{FRONT}{blocks}"));
    let (package, _) = Package::open(Box::new(files)).unwrap();
    let built = package.build("a.md");
    let trace = built.trace.unwrap_or_else(|| panic!("{:#?}", built.findings));
    let addresses = Addresses::new(&trace);
    let wording = Wording::new(&trace, &addresses);
    // The terminal and the page say the same.
    let told = bars(&wording);
    assert_eq!(told.len(), cards(&wording)[0].bars.len());
    told.iter().map(|bar| bar.strip_prefix("C: not for use: ").unwrap().to_owned()).collect()
}

#[test]
fn a_card_that_shows_what_was_verified_has_no_bar() {
    assert_eq!(barred("M = 1 N·m @ s", ANSWERED, "from bolt"), Vec::<String>::new());
    // The torque is nowhere but in the data, and a sheet may say the same again, in another unit.
    assert_eq!(barred("T_inst = 0.04 kN·m @ s\nh_ef = 11 cm @ s", ANSWERED, "from bolt"), Vec::<String>::new());
    // A use that does not rest on the product may be of other fasteners.
    let twice = format!("{ANSWERED}\nuse own/held with h_ef = h_low");
    assert_eq!(barred("h_low = 60 mm @ s", &twice, "from bolt"), Vec::<String>::new());
    assert_eq!(barred("h_low = 60 mm @ s", &twice, "from bolt with h_ef = h_low").len(), 1);
}

#[test]
fn a_value_on_a_card_is_the_one_that_clauses_took_or_else_that_of_the_product() {
    let advice = "show the value that was verified, or verify the one that is shown";
    let bar = format!("embedment (h_ef) is 60 mm on the card, and the clauses have 110 mm: {advice}");
    assert_eq!(barred("h_ef = 60 mm @ s", ANSWERED, "from bolt"), std::slice::from_ref(&bar));
    assert_eq!(barred("h_low = 60 mm @ s", ANSWERED, "from bolt with h_ef = h_low"), [bar]);
    let torque = format!("torque (T_inst) is 90 N·m on the card, and the data of the product have 40 N·m: {advice}");
    assert_eq!(barred("T_inst = 90 N·m @ s", ANSWERED, "from bolt"), std::slice::from_ref(&torque));
    assert_eq!(barred("T_other = 90 N·m @ s", ANSWERED, "from bolt with T_inst = T_other"), [torque]);
    // A field of the product under another name is not its value.
    let told = barred("f = 2 @ s", ANSWERED, "from bolt with T_inst = f * bolt.T_inst");
    assert_eq!(told.len(), 1, "{told:?}");
    // A difference that rounding hides is told in all figures.
    let told = barred("h_ef = 110.0001 mm @ s", ANSWERED, "from bolt");
    assert!(told[0].contains("110.0001 mm") && told[0].contains("110 mm"), "{told:?}");
    let places = "places = table x in mm, y in mm @ s\n    A1: -70, 0\n    A2: 70, 0";
    let told = barred(places, ANSWERED, "from bolt with anchors = places");
    assert!(told.len() == 1 && told[0].starts_with("anchors is the table of A1, A2 on the card"), "{told:?}");
}

#[test]
fn a_card_of_a_product_that_nothing_rests_on_is_not_for_use() {
    let told = barred("M = 1 N·m @ s", ANSWERED, "from spare");
    assert_eq!(told, ["nothing in this calculation rests on Bolt S: name the product that was verified behind `from`"]);
    assert!(barred("M = 1 N·m @ s", &format!("{ANSWERED}\nuse own/held from spare"), "from spare").is_empty());
    // Nor does a check rest on what is only computed beside it.
    let beside = "M = 1 N·m @ s\n```\n```derive\nhint = 2 * spare.h_ef\n```\n```given\nO = 1 N·m @ s";
    assert_eq!(barred(beside, ANSWERED, "from spare"), told);
}

#[test]
fn a_card_of_a_calculation_that_checks_too_little_is_not_for_use() {
    let told = barred("M = 1 N·m @ s", "use own/held from bolt", "from bolt");
    assert_eq!(told, ["failure modes without an answer: tearing"]);
    let unchecked = card("d_0 = 12 mm @ s\n```\n");
    let told: Vec<&str> = unchecked.bars.iter().map(|bar| bar.html.as_str()).collect();
    assert!(told.contains(&"nothing is checked"), "{told:?}");
    // A check that does not apply checks nothing either.
    let idle = "```verify\nd_0 <= 20 mm \"room\" when d_0 > 1 m otherwise \"it is small\"\n```\n";
    let unchecked = card(&format!("d_0 = 12 mm @ s\n```\n{idle}"));
    assert!(unchecked.bars.iter().any(|bar| bar.html.as_str() == "nothing is checked"), "{:?}", unchecked.bars);
    let (_, card, bars) = certificate(SOUND, "", "use own/do from log");
    assert!(card.unwrap().bars.is_empty() && bars.is_empty(), "{bars:?}");
}

/// A card of any text, with what is said about it.
fn worded(text: &str, blocks: &str, used: &str) -> (Vec<String>, Option<CardView>) {
    let files = Memory::default()
        .with("clauses/own/cards/do.toml", text)
        .with("a.md", format!("{FRONT}{blocks}```card\nuse own/do {used}\n```\n"));
    let (package, _) = Package::open(Box::new(files)).unwrap();
    let built = package.build("a.md");
    let findings = built.findings.iter().map(|finding| format!("{finding}; {}", finding.help.join(", "))).collect();
    let Some(trace) = built.trace else { return (findings, None) };
    let addresses = Addresses::new(&trace);
    (findings, Some(cards(&Wording::new(&trace, &addresses)).remove(0)))
}

/// The text of one item as it is read.
fn read(item: &CardItem) -> String {
    let parts = item.html.as_str().split('<').map(|part| part.split_once('>').map_or(part, |(_, text)| text));
    parts.collect::<String>().replace(['\u{a0}', '\u{202f}'], " ")
}

fn items_text(items: &str) -> String {
    format!("title = \"C\"\nbasis = \"b\"\n[[sections]]\ntitle = \"Do\"\nsigned = true\nitems = {items}\n")
}

#[test]
fn a_number_behind_with_is_refused_since_nobody_says_where_it_is_from() {
    let (findings, card) = worded(CARD, "", "with T_inst = 90 N·m, d_0 = 2 * 6 mm");
    assert!(card.is_none());
    for name in ["T_inst", "d_0"] {
        let told = format!("`{name}` on the card is given where it is shown, and a card shows what the sheet says");
        let finding = findings.iter().find(|finding| finding.contains(&told));
        let finding = finding.unwrap_or_else(|| panic!("{findings:?}"));
        assert!(finding.contains("write it as a given with its source, and name it"), "{finding}");
    }
}

#[test]
fn a_value_that_is_no_number_is_open() {
    let given = "```given\nedges = table distance in mm @ s\nn = 0 @ s\n```\n";
    for used in ["with T_inst = min(edges.distance)", "with T_inst = 1 / n"] {
        let (_, card) = worded(CARD, given, used);
        let card = card.unwrap();
        assert_eq!(card.open, ["torque", "d_0", "t"], "{used}");
        assert!(card.values[0].item.is_open && !card.values[0].item.html.as_str().contains("not a number"), "{used}");
    }
}

#[test]
fn a_tolerance_is_shown_as_the_band_that_it_leaves() {
    let text = items_text("[\"{T±t}\", \"beyond {T+t}\", \"{T±u?}\"]");
    let shown = |given: &str| {
        let (_, card) = worded(&text, &format!("```given\n{given}\n```\n"), "");
        let card = card.unwrap();
        (card.sections[0].items.iter().map(read).collect::<Vec<_>>(), card.open)
    };
    let none = Vec::<String>::new();
    for tolerance in ["10 %", "0.1", "5 N·m", "0.005 kN·m"] {
        let (items, open) = shown(&format!("T = 50 N·m @ s\nt = {tolerance} @ s"));
        assert_eq!((items, open), (vec!["45 N·m to 55 N·m".to_owned(), "beyond 55 N·m".to_owned()], none.clone()));
    }
    assert_eq!(shown("T = 0.047 kN·m @ s\nt = 5 % @ s").0[0], "0.04465 kN·m to 0.04935 kN·m");
    // Bounds are rounded into what is allowed: 30.9969 and 35.6631.
    assert_eq!(shown("T = 33.33 N·m @ s\nt = 7 % @ s").0, ["31 N·m to 35.66 N·m", "beyond 35.66 N·m"]);
    // Ten in the place of ten in a hundred leaves no band.
    assert_eq!(shown("T = 50 N·m @ s\nt = 10 @ s").1, ["t"]);
    assert_eq!(shown("T = 50 N·m @ s").1, ["t"]);
    let (findings, card) = worded(&text, "```given\nT = 50 N·m @ s\nt = 5 mm @ s\n```\n", "");
    assert!(
        card.is_none() && findings[0].contains("`t` is a length (mm), which is no tolerance of `T`"),
        "{findings:?}"
    );
}

#[test]
fn rows_of_a_table_are_counted_and_named_one_by_one() {
    let text = items_text("[\"{tested:count} of them\", \"{tested:each}: load\", \"{wider:each?}\"]");
    let table = "```given\ntested = table x in mm @ s\n    B1 A-1: 0\n    B1 A2: 1\n```\n".replace("B1 ", "");
    let (_, card) = worded(&text, &table, "");
    let card = card.unwrap();
    let items: Vec<String> = card.sections[0].items.iter().map(read).collect();
    assert_eq!(items, ["2 of them", "A-1: load", "A2: load"]);
    assert!(card.sections[0].by_row && card.open.is_empty());
    let (_, card) = worded(&text, "", "");
    assert_eq!(card.unwrap().open, ["tested"]);
    let (findings, _) = worded(&text, "```given\ntested = 3 @ s\n```\n", "");
    assert!(findings[0].contains("names the rows of `tested`, which is a plain number"), "{findings:?}");
}

#[test]
fn what_is_zero_is_left_away_where_zero_is_as_good_as_none() {
    let text = items_text("[\"grout {t_grout:some?}\", \"at most {h_ELV?} holes\"]");
    let items = |given: &str| {
        let (_, card) = worded(&text, &format!("```given\n{given}\n```\n"), "");
        card.unwrap().sections[0].items.iter().map(read).collect::<Vec<_>>()
    };
    assert_eq!(items("t_grout = 0 mm @ s\nh_ELV = 0 @ s"), ["at most 0 holes"]);
    assert_eq!(items("t_grout = 30 mm @ s\nh_ELV = 2 @ s"), ["grout 30 mm", "at most 2 holes"]);
}

#[test]
fn a_note_stands_beside_a_value_and_a_certificate_is_settled_before_it_is_signed() {
    let text = "title = \"C\"\nbasis = \"b\"\nvalues = [{ label = \"edge\", text = \"{c}, as drawn\", note = \"never below {c_min}\" }]\n\
        [[sections]]\ntitle = \"Do\"\nitems = [\"it\"]\n";
    let (_, card) = worded(text, "```given\nc = 120 mm @ s\nc_min = 75 mm @ s\n```\n", "");
    let card = card.unwrap();
    let value = &card.values[0];
    assert_eq!(
        (read(&value.item), value.note.as_ref().map(read)),
        ("120 mm, as drawn".into(), Some("never below 75 mm".into()))
    );
    assert_eq!(card.settled, "before work begins");
    let (_, card) = worded(text, "```given\nc = 120 mm @ s\n```\n", "");
    assert_eq!(card.unwrap().open, ["c_min"]);
    let (_, card, _) = certificate(SOUND, "", "use own/do from log");
    assert_eq!(card.unwrap().settled, "before it is signed");
}

#[test]
fn a_card_in_the_place_of_a_shipped_one_says_so() {
    let files = Memory::default()
        .with("clauses/bs-8539/cards/test-brief.toml", CARD)
        .with("a.md", format!("{FRONT}```card\nuse bs-8539/test-brief\n```\n"));
    let (package, findings) = Package::open(Box::new(files)).unwrap();
    let told: Vec<String> = findings.iter().map(ToString::to_string).collect();
    let said = "`clauses/bs-8539/cards/test-brief.toml` stands in the place of the shipped card `bs-8539/test-brief`";
    assert!(told.len() == 1 && told[0].contains(said), "{told:?}");
    let trace = package.build("a.md").trace.unwrap();
    let addresses = Addresses::new(&trace);
    assert_eq!(cards(&Wording::new(&trace, &addresses))[0].replaces, "bs-8539/test-brief");
}
