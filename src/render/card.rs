//! Cards for the site: a page each, with numbers from the calculation in words from the card's file.

use super::figure::records::{Outcome, Spot};
use super::figure::{self, undrawn};
use super::markup::Markup;
use super::math;
use super::view::{CardItem, CardSectionView, CardView};
use super::wording::Wording;
use crate::compile::{CardUse, Figure, LineId, ScopeId, ScopePart, Value};
use crate::evaluate::{State, Verdict};
use crate::library::{Piece, Place, pieces};
use crate::quantity::print_shortest;

/// Bases that a card draws at most.
const MOST_PLANS: usize = 6;
/// Metres to millimetres.
const MILLI: f64 = 1e3;

/// Every card of a sheet, in order.
pub fn cards(wording: &Wording<'_>) -> Vec<CardView> {
    let notes = &wording.trace.compiled.notes;
    let parts = notes.scope(ScopeId(0)).parts.iter();
    let used = parts.filter_map(|part| match part {
        ScopePart::Card(at) => Some((*at, &notes.cards[*at])),
        _ => None,
    });
    used.map(|(at, card)| view(wording, at, card)).collect()
}

/// The address of a card on its page, without `#`.
pub fn address(at: usize) -> String {
    format!("page:card-{}", at + 1)
}

fn view(wording: &Wording<'_>, at: usize, used: &CardUse) -> CardView {
    let (text, _) = used.card.text();
    let mut open: Vec<String> = Vec::new();
    let mut set = |words: &str| item(wording, used, words, &mut open);
    let bars = text.for_use.iter().filter(|condition| !is_zero(wording, used, &condition.zero));
    let bars = bars.filter_map(|condition| set(&condition.text)).collect();
    let values = text.values.iter().filter_map(|value| Some((value.label.clone(), set(&value.text)?))).collect();
    let sections = text.sections.iter().map(|section| CardSectionView {
        title: section.title.clone(),
        numbered: section.numbered,
        warning: section.warning,
        signed: section.signed,
        fields: match section.fields.is_empty() {
            true => vec!["initials and time".to_owned()],
            false => section.fields.clone(),
        },
        items: section.items.iter().filter_map(|words| set(words)).collect(),
    });
    let sections = sections.collect();
    let drawn = used.values.iter().find(|(name, ..)| name == "anchors" && text.plan).and_then(|(.., line)| *line);
    let verdict = wording.trace.verdict_of_sheet();
    CardView {
        id: address(at),
        title: used.title.clone(),
        kind: text.title.clone(),
        basis: text.basis.clone(),
        withheld: if verdict == Verdict::Satisfied { String::new() } else { verdict.words().to_owned() },
        bars,
        products: used.products.iter().map(|file| (file.title.clone(), file.notice.clone())).collect(),
        drawn: drawn.map_or_else(String::new, |line| wording.line(line).origin.text.clone()),
        values,
        sections,
        plan: if text.plan { plan(wording, used) } else { Markup::new() },
        open,
    }
}

/// Why a card must not be used although its calculation is satisfied, in plain words; nothing where it may be.
pub fn bars(wording: &Wording<'_>) -> Vec<String> {
    let mut told = Vec::new();
    for used in &wording.trace.compiled.notes.cards {
        let (text, _) = used.card.text();
        for condition in text.for_use.iter().filter(|condition| !is_zero(wording, used, &condition.zero)) {
            let words = pieces(&condition.text).into_iter().map(|piece| match piece {
                Piece::Words(words) => words.to_owned(),
                Piece::Symbol(place) => match number(wording, used, place.symbol) {
                    Some(number) => print_shortest(number).text,
                    None => format!("`{}`", place.symbol),
                },
            });
            told.push(format!("{}: not for use: {}", used.title, words.collect::<String>()));
        }
    }
    told
}

/// What is open on each card, in plain words; nothing where all that it needs is there and valid.
pub fn open(wording: &Wording<'_>) -> Vec<String> {
    let mut told = Vec::new();
    for used in &wording.trace.compiled.notes.cards {
        let (text, _) = used.card.text();
        let is_there = |symbol: &str| {
            let found = used.values.iter().find(|(name, ..)| name == symbol);
            found.is_some_and(|(_, _, line)| line.is_none_or(|line| wording.trace.state(line) == State::Sound))
        };
        let open: Vec<&str> = text
            .symbols()
            .into_iter()
            .filter(|symbol| text.needs(symbol) && !is_there(symbol))
            .map(|symbol| text.name_of(symbol).unwrap_or(symbol))
            .collect();
        if !open.is_empty() {
            told.push(format!("{}: open: {}", used.title, open.join(", ")));
        }
    }
    told
}

/// A plain number that stands on a card, where it is known.
fn number(wording: &Wording<'_>, used: &CardUse, symbol: &str) -> Option<f64> {
    let (_, value, line) = used.values.iter().find(|(name, ..)| name == symbol)?;
    let is_sound = line.is_none_or(|line| wording.trace.state(line) == State::Sound);
    match value {
        Value::Number(number) if is_sound => Some(wording.trace.register(number.register)),
        _ => None,
    }
}

/// Whether a count is known to be zero.
fn is_zero(wording: &Wording<'_>, used: &CardUse, symbol: &str) -> bool {
    number(wording, used, symbol) == Some(0.0)
}

/// Words with their values, each a link to the line that it is from; what has no value is named as open, or leaves the
/// item away where it need not be there.
fn item(wording: &Wording<'_>, used: &CardUse, words: &str, open: &mut Vec<String>) -> Option<CardItem> {
    let mut html = Markup::new();
    let mut is_open = false;
    for piece in pieces(words) {
        let place = match piece {
            Piece::Words(words) => {
                html.say(words);
                continue;
            }
            Piece::Symbol(place) => place,
        };
        let found = used.values.iter().find(|(name, ..)| name == place.symbol);
        let found = found.filter(|(_, _, line)| line.is_none_or(|line| wording.trace.state(line) == State::Sound));
        match (found, place) {
            (Some((.., Some(line))), Place { is_words: true, .. }) if !wording.line(*line).description.is_empty() => {
                html.say(&wording.line(*line).description);
            }
            (Some((_, value, line)), Place { is_words: false, .. }) => {
                value_on_card(wording, &mut html, value, *line);
            }
            (_, Place { is_optional: true, .. }) => return None,
            (_, Place { symbol, .. }) => {
                let (text, _) = used.card.text();
                let name = text.name_of(symbol).unwrap_or(symbol);
                html.tags("<span class=\"open\">open: ");
                html.say(name);
                html.tags("</span>");
                is_open = true;
                if !open.iter().any(|other| other == name) {
                    open.push(name.to_owned());
                }
            }
        }
    }
    Some(CardItem { html, is_open })
}

fn value_on_card(wording: &Wording<'_>, html: &mut Markup, value: &Value, line: Option<LineId>) {
    html.tags("<b>");
    if let Some(line) = line {
        html.tags("<a href=\"#");
        html.say(wording.addresses.line(line));
        html.tags("\">");
    }
    match value {
        // Whoever stands on site needs every one of them, and none of them parted at its hyphen.
        Value::Table(table) if !table.labels.is_empty() => {
            for (at, label) in table.labels.iter().enumerate() {
                html.tags(if at == 0 { "<span class=\"no\">" } else { ", <span class=\"no\">" });
                html.say(label);
                html.tags("</span>");
            }
        }
        Value::Table(table) => html.say(&math::rows_text(table)),
        value => html.push(math::quantity_html(wording.trace, value)),
    }
    if line.is_some() {
        html.tags("</a>");
    }
    html.tags("</b>");
}

/// The plan of the fasteners, from the values of that name, with those marked that the card is about.
fn plan(wording: &Wording<'_>, used: &CardUse) -> Markup {
    let (text, _) = used.card.text();
    if let Some(marked) = &text.marked {
        return marked_plans(wording, used, marked, text.mark.as_deref().unwrap_or_default());
    }
    let takes = ["anchors", "plate_x", "plate_y", "edges", "d"];
    let values = used.values.iter().filter(|(name, ..)| takes.contains(&name.as_str()));
    let arguments: Vec<_> = values.map(|(name, value, _)| (name.clone(), value.clone())).collect();
    let drawing = Figure { name: "plan".to_owned(), line: LineId(0), caption: String::new(), arguments };
    figure::draw(wording.trace, &drawing)
}

/// Every base in plan on which a row of a table stands; the first part of a label such as `B3 A7` is the base.
fn marked_plans(wording: &Wording<'_>, used: &CardUse, marked: &str, mark: &str) -> Markup {
    let table = |name: &str| {
        let (_, value, line) = used.values.iter().find(|(other, ..)| other == name)?;
        let is_sound = line.is_none_or(|line| wording.trace.state(line) == State::Sound);
        match value {
            Value::Table(table) if is_sound => Some(table.clone()),
            _ => None,
        }
    };
    let (Some(marked), Some(anchors)) = (table(marked), table("anchors")) else {
        return undrawn("plan", "it is not known which fasteners it marks, or where they stand");
    };
    let mut bases: Vec<(&str, Vec<&str>)> = Vec::new();
    for label in &marked.labels {
        let (base, anchor) = label.rsplit_once(' ').unwrap_or(("", label));
        match bases.iter_mut().find(|(known, _)| *known == base) {
            Some((_, marks)) => marks.push(anchor),
            None => bases.push((base, vec![anchor])),
        }
    }
    let column = |name: &str| {
        let list = anchors.columns.iter().find(|(column, _)| column == name).map(|(_, list)| &list.items);
        let values = list.into_iter().flatten().flat_map(|value| wording.trace.numbers_of(value));
        values.map(|metres| metres * MILLI).collect::<Vec<f64>>()
    };
    let places: Vec<(f64, f64)> = column("x").into_iter().zip(column("y")).collect();
    let mut html = Markup::new();
    html.tags("<div class=\"marked\">");
    for (base, marks) in bases.iter().take(MOST_PLANS) {
        let spot = |(label, place): (&String, &(f64, f64))| match marks.contains(&label.as_str()) {
            true => Spot { label: format!("{label} {mark}"), place: *place, outcome: Outcome::Marked },
            false => Spot { label: label.clone(), place: *place, outcome: Outcome::Other },
        };
        let spots: Vec<Spot> = anchors.labels.iter().zip(&places).map(spot).collect();
        let words = format!("{mark} {}", marks.join(", "));
        let words = if base.is_empty() { words } else { format!("{base}: {words}") };
        html.tags("<figure>");
        html.push(figure::records::base(&spots, &words));
        html.tags("<figcaption>");
        html.say(&words);
        html.tags("</figcaption></figure>");
    }
    html.tags("</div>");
    if bases.len() > MOST_PLANS {
        html.tags("<p class=\"aside\">");
        html.say(&format!("{} of {} bases are drawn; the list names all.", MOST_PLANS, bases.len()));
        html.tags("</p>");
    }
    html
}

#[cfg(test)]
mod tests {
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

    const HAND_OVER: &str = include_str!("../../sheets/bs-8539/cards/hand-over.toml");

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
        assert!(
            items[0].contains("open: how often the hole is blown") && items[1].contains("As specified: by the table.")
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
}
