//! What changed of one line, or what a line says that is gone or new.

use crate::compile::{Line, LineId, Value, Work};
use crate::evaluate::{Fault, State, Trace, Verdict};
use crate::render::difference::{numbers, percent, texts};
use crate::render::json::formula_text;
use crate::render::wording::{Wording, ratio_text, reference_text};
use crate::review::{Part, digest, line_text};
use serde::Serialize;

/// A line that says something else than before.
#[derive(Clone, Debug, Serialize)]
pub struct LineChange {
    /// What kind of change it is; of several the first counts.
    pub kind: Kind,
    /// Its symbol; empty for a line without one.
    pub symbol: String,
    /// What it is.
    pub description: String,
    /// Which parts of it changed, in the words of [`Part::words`].
    pub parts: Vec<&'static str>,
    /// By how many per cent its number changed, of a check its ratio; nothing where that cannot be said.
    pub percent: Option<f64>,
    /// As it was.
    pub old: Side,
    /// As it is.
    pub new: Side,
    /// Whether it is a value that the calculation starts from.
    pub is_input: bool,
    /// Whether it stands in the working of a clause.
    pub is_in_clause: bool,
    /// Whether it only takes over what was said elsewhere.
    pub is_passed_on: bool,
    /// The two lines.
    #[serde(skip)]
    pub lines: (LineId, LineId),
}

/// What kind of change a line has seen, the weightiest first.
#[derive(Copy, Clone, Debug, Eq, PartialEq, Ord, PartialOrd, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Kind {
    /// A check came out in another way, or a line became valid or not valid by itself.
    Flipped,
    /// A value that the calculation starts from, out of the sheet or out of a data file.
    Input,
    /// What is computed.
    Formula,
    /// A check that came out as before, with other values.
    Check,
    /// A value that follows.
    Result,
    /// Words or references alone.
    Words,
}

/// One side of a change.
#[derive(Clone, Debug, Default, Eq, PartialEq, Serialize)]
pub struct Side {
    /// The line's number on its page.
    pub line: u32,
    /// Its address there.
    pub id: String,
    /// The formula in the language.
    pub formula: String,
    /// The value with its unit; of a check demand and resistance.
    pub value: String,
    /// The ratio of a check.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub ratio: String,
    /// How it came out: the verdict of a check, otherwise *valid* or *not valid*.
    pub outcome: &'static str,
    /// Where it comes from, with its mark.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub reference: String,
    /// What it is.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub description: String,
}

impl LineChange {
    /// Whether the same became of the same words and formula, as in another use of one clause.
    pub(super) fn says_the_same(&self, other: &Self) -> bool {
        let said = |side: &Side| [&side.formula, &side.reference, &side.description].map(String::clone);
        self.symbol == other.symbol && said(&self.old) == said(&other.old) && said(&self.new) == said(&other.new)
    }
}

/// A line that is gone, is new, or stands elsewhere.
#[derive(Clone, Debug, Eq, PartialEq, Serialize)]
pub struct LineSaid {
    /// Its number on its page.
    pub line: u32,
    /// Its address there.
    pub id: String,
    /// What it is.
    pub description: String,
    /// Formula and result.
    pub text: String,
}

/// A line that is gone, is new, or stands elsewhere.
pub(super) fn said(wording: &Wording<'_>, id: LineId) -> LineSaid {
    let trace = wording.trace;
    let line = wording.line(id);
    let text = match (&line.symbol, line_text(trace, id)) {
        (Some(symbol), text) if !matches!(line.work, Work::Use(_)) => format!("{symbol} = {text}"),
        (_, text) => text,
    };
    LineSaid { line: trace.number(id), id: wording.addresses.line(id).to_owned(), description: name(wording, id), text }
}

/// What changed between a line and what it has become; nothing where both say the same.
pub(super) fn change(old: &Wording<'_>, new: &Wording<'_>, lines: (LineId, LineId)) -> Option<LineChange> {
    let (before, after) = (digest(old.trace, lines.0), digest(new.trace, lines.1));
    if before == after {
        return None;
    }
    let parts = before.differing(&after);
    let (was, is) = (old.line(lines.0), new.line(lines.1));
    let (mut a, mut b) = (side(old, lines.0), side(new, lines.1));
    let mut percent_of = None;
    match (&was.work, &is.work) {
        (Work::Check(first), Work::Check(second)) => {
            let demand = texts((old.trace, &first.demand), (new.trace, &second.demand));
            let resistance = texts((old.trace, &first.resistance), (new.trace, &second.resistance));
            a.value = format!("{} of {}", demand.0, resistance.0);
            b.value = format!("{} of {}", demand.1, resistance.1);
            let apply = !a.ratio.is_empty() && !b.ratio.is_empty();
            percent_of = apply.then(|| (old.trace.register(first.ratio), new.trace.register(second.ratio)));
        }
        _ => {
            let values: [&Value; 2] = [&was.value, &is.value];
            (a.value, b.value) = texts((old.trace, values[0]), (new.trace, values[1]));
            percent_of = percent_of.or_else(|| numbers((old.trace, values[0]), (new.trace, values[1])));
        }
    }
    // Other values may enter and the same come out: that is told where they come from.
    let is_as_before = a.outcome == b.outcome && !is_given(&is.work);
    if parts == [Part::Value] && is_as_before && comes_out_the_same((old.trace, was), (new.trace, is)) {
        return None;
    }
    // What the clause itself says else is told of the clause.
    let is_use = matches!((&was.work, &is.work), (Work::Use(_), Work::Use(_)));
    if is_use && a.formula == b.formula {
        return None;
    }
    let takes = |work: &Work| matches!(work, Work::Takes(_));
    let kind = if a.outcome != b.outcome {
        Kind::Flipped
    } else if is_given(&is.work) && (parts.contains(&Part::Value) || parts.contains(&Part::Formula)) {
        Kind::Input
    } else if parts.contains(&Part::Formula) {
        Kind::Formula
    } else if !parts.is_empty() && !parts.contains(&Part::Value) {
        Kind::Words
    } else if matches!(is.work, Work::Check(_)) {
        Kind::Check
    } else {
        Kind::Result
    };
    Some(LineChange {
        kind,
        symbol: is.symbol.clone().unwrap_or_default(),
        description: name(new, lines.1),
        parts: parts.iter().map(|part| part.words()).collect(),
        percent: percent_of.filter(|(a, b)| a != b).and_then(|(a, b)| percent(a, b)),
        old: a,
        new: b,
        is_input: is_given(&is.work),
        is_in_clause: is.scope.0 != 0,
        is_passed_on: takes(&was.work) && takes(&is.work) && !parts.contains(&Part::Formula),
        lines,
    })
}

fn is_given(work: &Work) -> bool {
    matches!(work, Work::Given | Work::FromData(_))
}

/// Whether all that a line decides is the same to the figures of a digest: its values, which cases apply, what holds.
fn comes_out_the_same((old, was): (&Trace, &Line), (new, is): (&Trace, &Line)) -> bool {
    let decided = |trace: &Trace, line: &Line| -> Vec<Option<String>> {
        let mut registers = line.value.registers();
        match &line.work {
            Work::Cases(taken) => registers.extend(taken),
            Work::Require { holds, .. } => registers.push(*holds),
            Work::Check(check) => {
                registers.extend([check.demand.registers(), check.resistance.registers()].concat());
                registers.extend(&check.applies);
                registers.extend([check.holds, check.ratio]);
            }
            Work::Given | Work::FromData(_) | Work::Takes(_) | Work::Solved(_) | Work::Derive | Work::Use(_) => {}
            Work::Figure => {}
        }
        registers.extend(line.limits.iter().map(|limits| limits.holds));
        let numbers = registers.into_iter().map(|register| trace.register(register));
        numbers.map(|number| number.is_finite().then(|| format!("{number:.11e}"))).collect()
    };
    decided(old, was) == decided(new, is)
}

fn side(wording: &Wording<'_>, id: LineId) -> Side {
    let trace = wording.trace;
    let line = wording.line(id);
    let (outcome, ratio) = match &line.work {
        Work::Check(check) => {
            let verdict = trace.verdict(id, check);
            let ratio = match verdict {
                Verdict::NotApplicable => String::new(),
                _ => ratio_text(trace.register(check.ratio)),
            };
            (verdict.words(), ratio)
        }
        _ => match trace.state(id) {
            State::NotValid(Fault::NoNumber | Fault::OutsideLimits | Fault::RequirementFails) => {
                ("not valid", String::new())
            }
            // What merely rests on a line that is not valid is told of with that line.
            State::Sound | State::NotValid(Fault::RestsOn(_) | Fault::ScopeFails(_)) => ("valid", String::new()),
        },
    };
    Side {
        line: trace.number(id),
        id: wording.addresses.line(id).to_owned(),
        formula: formula_text(line),
        value: String::new(),
        ratio,
        outcome,
        reference: reference_text(line),
        description: line.description.clone(),
    }
}

/// A line's words, of a check with what sets its use apart.
pub(super) fn name(wording: &Wording<'_>, id: LineId) -> String {
    let line = wording.line(id);
    match &line.work {
        Work::Check(_) => wording.check_name(line),
        Work::Use(scope) if line.description.is_empty() => {
            wording.trace.compiled.notes.scope(*scope).document.front.title.clone()
        }
        Work::Require { .. } if line.description.is_empty() => "condition of validity".to_owned(),
        _ => line.description.clone(),
    }
}
