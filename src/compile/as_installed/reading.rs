//! Columns by their headers, how to read what can be read in two ways, and where the sheet can say so.

use super::super::{Compiler, Frame};
use crate::diagnostic::{Code, Diagnostic};
use crate::records::{Day, DayOrder, DecimalMark, Deviation, Field, Limit, Mapping, Mistake, Works, names_nothing};
use crate::syntax::{Name, Records};
use crate::text::Spanned;

/// The column of that name behind `columns`.
fn column(name: &str) -> Option<Field> {
    Field::ALL.into_iter().find(|field| field.name() == name)
}

/// What a word behind `words` may stand for.
const MEANINGS: [(&str, Option<Deviation>); 4] = [
    ("repaired", Some(Deviation::Repaired)),
    ("moved", Some(Deviation::Moved)),
    ("substituted", Some(Deviation::Substituted)),
    ("as_specified", None),
];

/// Ways of reading behind `reading`.
const READINGS: [&str; 6] = ["decimal_mark", "groups", "dates", "utc_offset", "torque", "embedment"];

impl Compiler<'_> {
    /// Columns by their headers, and how to read them.
    pub(super) fn mapping(&mut self, frame: &Frame, records: &Records) -> Mapping {
        let mut mapping = Mapping::default();
        for (name, header) in &records.columns {
            match column(&name.node) {
                Some(field) => mapping = mapping.column(field, header.node.trim()),
                None => self.unknown_part(frame, name, "column", &Field::ALL.map(Field::name)),
            }
        }
        for (name, text) in &records.throughout {
            let Some(field) = self.throughout(frame, name, text) else { continue };
            mapping.throughout.push((field, text.node.trim().to_owned()));
        }
        for (name, word) in &records.words {
            match MEANINGS.iter().find(|(meaning, _)| *meaning == name.node) {
                Some((_, meaning)) => mapping.words.push((*meaning, word.node.trim().to_owned())),
                None => self.unknown_part(frame, name, "meaning", &MEANINGS.map(|(meaning, _)| meaning)),
            }
        }
        for (name, text) in &records.reading {
            let way = text.node.trim();
            let is_read = match name.node.as_str() {
                "decimal_mark" => {
                    mapping.decimal_mark = decimal_mark(way);
                    mapping.decimal_mark.is_some()
                }
                "groups" => {
                    mapping.groups = decimal_mark(way);
                    mapping.groups.is_some()
                }
                "dates" => {
                    let orders = [("day first", DayOrder::DayFirst), ("month first", DayOrder::MonthFirst)];
                    mapping.day_order = one_of(way, orders);
                    mapping.day_order.is_some()
                }
                "utc_offset" => {
                    mapping.utc_offset = minutes(way);
                    mapping.utc_offset.is_some()
                }
                "torque" => {
                    mapping.torque_unit = self.unit(frame, text);
                    true
                }
                "embedment" => {
                    mapping.embedment_unit = self.unit(frame, text);
                    true
                }
                _ => {
                    self.unknown_part(frame, name, "way of reading", &READINGS);
                    true
                }
            };
            if !is_read {
                let message = format!("`{way}` does not say how to read `{}`", name.node);
                let finding = frame.error(Code::UnknownWord, text.span, message);
                self.report(finding.help(match name.node.as_str() {
                    "decimal_mark" | "groups" => "write \"comma\" or \"point\"",
                    "dates" => "write \"day first\" or \"month first\"",
                    _ => "write the time east of UTC, such as \"+01:00\"",
                }));
            }
        }
        mapping
    }
}

impl Compiler<'_> {
    /// The column that is the same for every record.
    fn throughout(&mut self, frame: &Frame, name: &Name, text: &Spanned<String>) -> Option<Field> {
        let Some(field) = column(&name.node).filter(|field| field.can_be_throughout()) else {
            let known: Vec<&str> =
                Field::ALL.into_iter().filter(|field| field.can_be_throughout()).map(Field::name).collect();
            let message = format!("`{}` is not the same for every record", name.node);
            let finding = frame.error(Code::UnboundTake, name.span, message);
            self.report(finding.note(format!("what can be said throughout is {}", known.join(", "))));
            return None;
        };
        let (message, help) = match (text.node.trim(), field) {
            (word, _) if word.is_empty() || names_nothing(field, word) => {
                (format!("nothing is said of {field}"), "write what every record has there")
            }
            (day, Field::CalibratedUntil) if Day::parse(day).is_none() => {
                (format!("`{day}` is no day"), "write it as ISO 8601 does, such as \"2026-11-02\"")
            }
            _ => return Some(field),
        };
        self.report(frame.error(Code::UnknownWord, text.span, message).help(help));
        None
    }

    /// The fields that every record must fill.
    pub(super) fn required(&mut self, frame: &Frame, records: &Records) -> Vec<Field> {
        let mut required = Vec::with_capacity(records.required.len());
        for name in &records.required {
            match column(&name.node) {
                Some(field) => required.push(field),
                None => self.unknown_part(frame, name, "column", &Field::ALL.map(Field::name)),
            }
        }
        required
    }
}

impl Compiler<'_> {
    /// The days within which the records lie: those of the works as stated, and at most the year before the date of the
    /// sheet, which cannot tell of what was not done yet.
    pub(super) fn works(&mut self, frame: &Frame, records: &Records) -> Option<Works> {
        let date = Day::parse(self.notes.scope(frame.scope).document.front.date.trim());
        let mut first = date.map(|day| Limit { day: day.a_year_before(), what: "a year before the date of the sheet" });
        let mut last = date.map(|day| Limit { day, what: "the date of the sheet" });
        let before = self.findings.len();
        for (name, text) in &records.works {
            match (name.node.as_str(), Day::parse(text.node.trim())) {
                ("first", Some(day)) => first = Some(Limit { day, what: "the first day of the works" }),
                ("last", Some(day)) if last.is_none_or(|last| day < last.day) => {
                    last = Some(Limit { day, what: "the last day of the works" });
                }
                ("last", Some(_)) => {}
                ("first" | "last", None) => {
                    let message = format!("`{}` is no day", text.node);
                    let finding = frame.error(Code::UnknownWord, text.span, message);
                    self.report(finding.help("write it as ISO 8601 does, such as \"2026-11-02\""));
                }
                _ => self.unknown_part(frame, name, "day", &["first", "last"]),
            }
        }
        let works = first.zip(last).map(|(first, last)| Works { first, last });
        if works.is_none() && self.findings.len() == before {
            let message = "nothing says within which days the records lie";
            let finding = frame.error(Code::UnboundTake, records.path.span, message);
            self.report(finding.help(
                "give the sheet a `date`, or write `works first = \"2026-11-02\", last = \"2026-11-05\"` before `with`",
            ));
        }
        works
    }
}

/// Where the sheet can say how something is read, that is how.
pub(super) fn said(finding: Diagnostic, mistake: &Mistake) -> Diagnostic {
    let is_open = |word: &str| mistake.help.iter().any(|help| help.contains("say ") && help.contains(word));
    let ways = [
        ("decimal mark", "reading decimal_mark = \"comma\""),
        ("commas part thousands", "reading groups = \"comma\""),
        ("points part thousands", "reading groups = \"point\""),
        ("day or month", "reading dates = \"day first\""),
        ("UTC", "reading utc_offset = \"+01:00\""),
        ("unit", "reading torque = \"N·m\""),
        ("of every record", "throughout tool = \"TW07\""),
    ];
    match ways.into_iter().find(|(word, _)| is_open(word)) {
        Some((_, way)) => finding.help(format!("write it between the columns and `with`, such as `{way}`")),
        None => finding,
    }
}

/// `comma` or `point`.
pub(in crate::compile) fn decimal_mark(text: &str) -> Option<DecimalMark> {
    one_of(text, [("comma", DecimalMark::Comma), ("point", DecimalMark::Point)])
}

fn one_of<T: Copy, const N: usize>(text: &str, known: [(&str, T); N]) -> Option<T> {
    known.iter().find(|(word, _)| *word == text).map(|(_, meaning)| *meaning)
}

/// `+01:00` as minutes east of UTC.
fn minutes(text: &str) -> Option<i16> {
    let (sign, clock) = match text.strip_prefix('+') {
        Some(clock) => (1, clock),
        None => (-1, text.strip_prefix(['-', '−'])?),
    };
    let (hours, minutes) = clock.split_once(':')?;
    let (hours, minutes): (i16, i16) = (hours.parse().ok()?, minutes.parse().ok()?);
    ((0..24).contains(&hours) && (0..60).contains(&minutes)).then_some(sign * (60 * hours + minutes))
}
