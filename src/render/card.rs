//! Cards for the site: a page each, with numbers from the calculation in words from the card's file.

use super::figure::records::{Outcome, Spot};
use super::figure::{self, undrawn};
use super::markup::Markup;
use super::math;
use super::view::{CardItem, CardSectionView, CardView};
use super::wording::Wording;
use crate::compile::{CardUse, Figure, LineId, ScopeId, ScopePart, Value};
use crate::evaluate::{State, Verdict};
use crate::library::{Piece, pieces};

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
    let values = text.values.iter().map(|value| (value.label.clone(), set(&value.text))).collect();
    let sections = text.sections.iter().map(|section| CardSectionView {
        title: section.title.clone(),
        numbered: section.numbered,
        warning: section.warning,
        signed: section.signed,
        items: section.items.iter().map(|words| set(words)).collect(),
    });
    let sections = sections.collect();
    let verdict = wording.trace.verdict_of_sheet();
    CardView {
        id: address(at),
        title: used.title.clone(),
        kind: text.title.clone(),
        basis: text.basis.clone(),
        withheld: if verdict == Verdict::Satisfied { String::new() } else { verdict.words().to_owned() },
        values,
        sections,
        plan: if text.plan { plan(wording, used) } else { Markup::new() },
        open,
    }
}

/// Words with their values, each a link to the line that it is from; what has no value is named as open.
fn item(wording: &Wording<'_>, used: &CardUse, words: &str, open: &mut Vec<String>) -> CardItem {
    let mut html = Markup::new();
    let mut is_open = false;
    for piece in pieces(words) {
        let symbol = match piece {
            Piece::Words(words) => {
                html.say(words);
                continue;
            }
            Piece::Symbol(symbol) => symbol,
        };
        let found = used.values.iter().find(|(name, ..)| name == symbol);
        match found.filter(|(_, _, line)| line.is_none_or(|line| wording.trace.state(line) == State::Sound)) {
            Some((_, value, line)) => value_on_card(wording, &mut html, value, *line),
            None => {
                html.tags("<span class=\"open\">open: ");
                html.push(math::symbol_html(symbol));
                html.tags("</span>");
                is_open = true;
                if !open.iter().any(|other| other == symbol) {
                    open.push(symbol.to_owned());
                }
            }
        }
    }
    CardItem { html, is_open }
}

fn value_on_card(wording: &Wording<'_>, html: &mut Markup, value: &Value, line: Option<LineId>) {
    html.tags("<b>");
    if let Some(line) = line {
        html.tags("<a href=\"#");
        html.say(wording.addresses.line(line));
        html.tags("\">");
    }
    match value {
        // Whoever stands on site needs every one of them.
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
        assert!(list.contains("B1\u{a0}A1, B1\u{a0}A-2, B2\u{a0}A1, B2\u{a0}A-2"), "{list}");

        let card = marked("tested = random_sample(anchors, 1, 7)");
        assert_eq!(card.plan.as_str().matches("<circle class=\"marked\"").count(), 1);
        assert!(!card.plan.as_str().contains(": test"));
        assert!(card.open.is_empty());
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
