//! Reading a unit from text, with errors that point at the very characters.
//!
//! ```text
//! unit    = product { "/" factor }
//! product = factor { ("·" | "*") factor }
//! factor  = "1" | "(" unit ")" | symbol [ power ]
//! power   = "^" decimal | "^(" whole "/" whole ")" | superscript digits, with "⁻" before them or not
//! ```
//! A `·` behind a `/` is refused, since ISO 80000-1 forbids it without parentheses and readers disagree on it.

use super::exponent::Exponent;
use super::table::{TABLE, find};
use super::unit::Unit;
use std::cmp::Reverse;
use std::fmt;
use std::ops::Range;

/// Longer texts are refused, which also bounds the number of factors.
const LONGEST_TEXT: usize = 200;
/// Deeper parentheses are refused.
const DEEPEST_NESTING: usize = 4;
/// Larger powers are refused.
const LARGEST_POWER: i32 = 100;
/// The number of names that an error offers at most.
const MOST_SUGGESTIONS: usize = 3;

/// Habits of writing that edit distance would not lead to the right unit.
const HABITS: &[(&str, &str)] = &[
    ("'", "ft"),
    ("′", "ft"),
    ("\"", "in"),
    ("″", "in"),
    ("°F", "K"),
    ("Nm", "N·m"),
    ("Nmm", "N·mm"),
    ("kNm", "kN·m"),
    ("kNmm", "kN·mm"),
    ("MNm", "MN·m"),
    ("mm2", "mm²"),
    ("mm3", "mm³"),
    ("mm4", "mm⁴"),
    ("cm2", "cm²"),
    ("cm3", "cm³"),
    ("cm4", "cm⁴"),
    ("m2", "m²"),
    ("m3", "m³"),
    ("in2", "in²"),
    ("in3", "in³"),
    ("in4", "in⁴"),
    ("ft2", "ft²"),
    ("ft3", "ft³"),
    ("sqin", "in²"),
    ("sqft", "ft²"),
    ("lbs", "lb"),
    ("k", "kip"),
];

/// A text that is not a unit, with the bytes that are at fault.
#[derive(Clone, Debug, Eq, PartialEq)]
pub struct UnitError {
    /// Bytes within the text that was read.
    pub range: Range<usize>,
    /// What is wrong there.
    pub kind: UnitErrorKind,
}

/// What can be wrong with a unit.
#[derive(Clone, Debug, Eq, PartialEq)]
pub enum UnitErrorKind {
    /// A name that is not in the table.
    Unknown {
        /// The name as written.
        name: String,
        /// Units that may have been meant, the likeliest first.
        suggestions: Vec<&'static str>,
    },
    /// A text that breaks the grammar.
    Syntax {
        /// What could stand there.
        expected: &'static str,
    },
}

impl UnitError {
    /// The mistake in a phrase: "there is no unit `KN`; did you mean `kN`?".
    pub fn message(&self) -> String {
        match &self.kind {
            UnitErrorKind::Unknown { name, suggestions } if suggestions.is_empty() => {
                format!("there is no unit `{name}`")
            }
            UnitErrorKind::Unknown { name, suggestions } => {
                let quoted: Vec<_> = suggestions.iter().map(|s| format!("`{s}`")).collect();
                let choice = quoted.join(" or ");
                format!("there is no unit `{name}`; did you mean {choice}?")
            }
            UnitErrorKind::Syntax { expected } => format!("expected {expected}"),
        }
    }

    /// What is wrong with the text that was read, without advice.
    pub fn problem(&self, text: &str) -> String {
        match &self.kind {
            UnitErrorKind::Unknown { name, .. } => format!("there is no unit `{name}`"),
            UnitErrorKind::Syntax { .. } => format!("`{text}` cannot be read as a unit"),
        }
    }

    /// What may have been meant or was expected.
    pub fn advice(&self) -> Option<String> {
        match &self.kind {
            // Resolution 2 of the third CGPM of 1901 and the definition of the newton.
            UnitErrorKind::Unknown { name, .. } if is_kilogram_force(name) => {
                Some("a kilogram-force is 9.80665 N exactly: convert the value, and write newtons".to_owned())
            }
            UnitErrorKind::Unknown { suggestions, .. } if suggestions.is_empty() => None,
            UnitErrorKind::Unknown { suggestions, .. } => {
                let quoted: Vec<_> = suggestions.iter().map(|s| format!("`{s}`")).collect();
                Some(format!("did you mean {}?", quoted.join(" or ")))
            }
            UnitErrorKind::Syntax { expected } => Some(format!("expected here: {expected}")),
        }
    }
}

/// Whether a name stands for the kilogram-force, or begins with it as in `kgfm`.
fn is_kilogram_force(name: &str) -> bool {
    name.starts_with("kgf") || ["kp", "kpm"].contains(&name)
}

impl fmt::Display for UnitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message())
    }
}

impl std::error::Error for UnitError {}

/// Reads a whole text as a unit.
pub(super) fn parse_unit(text: &str) -> Result<Unit, UnitError> {
    let mut reader = Reader { text, position: 0 };
    if text.len() > LONGEST_TEXT {
        return Err(syntax(0..text.len(), "a shorter unit"));
    }
    let unit = reader.expect_unit(0)?;
    if !reader.rest().is_empty() {
        return Err(reader.expected("`·`, `/`, a power or the end of the unit"));
    }
    if !unit.has_finite_scale() {
        return Err(syntax(0..text.len(), "smaller powers"));
    }
    Ok(unit)
}

struct Reader<'a> {
    text: &'a str,
    position: usize,
}

impl<'a> Reader<'a> {
    fn expect_unit(&mut self, depth: usize) -> Result<Unit, UnitError> {
        let mut unit = self.expect_factor(depth)?;
        while self.eat_dot() {
            unit = unit.multiply(&self.expect_factor(depth)?);
        }
        while self.eat('/') {
            unit = unit.over(&self.expect_factor(depth)?);
            if self.rest().starts_with(is_dot) {
                return Err(self.expected("parentheses around the units below the line, as in `kN/(m·s)`"));
            }
        }
        Ok(unit)
    }

    fn expect_factor(&mut self, depth: usize) -> Result<Unit, UnitError> {
        if self.rest().starts_with('(') {
            return self.expect_parenthesis(depth);
        }
        let start = self.position;
        let name = self.take_name();
        if name == "1" {
            return Ok(Unit::one());
        }
        if name.is_empty() {
            return Err(self.expected("a unit"));
        }
        match find(name) {
            Some(row) => Ok(Unit::of_row(row).power(self.parse_power()?)),
            None => Err(UnitError {
                range: start..self.position,
                kind: UnitErrorKind::Unknown { name: name.to_owned(), suggestions: near_symbols(name) },
            }),
        }
    }

    fn expect_parenthesis(&mut self, depth: usize) -> Result<Unit, UnitError> {
        if depth == DEEPEST_NESTING {
            return Err(self.expected("fewer parentheses"));
        }
        self.eat('(');
        let unit = self.expect_unit(depth + 1)?;
        if !self.eat(')') {
            return Err(self.expected("`)`"));
        }
        Ok(unit)
    }

    /// A name, or `1` where it stands for no unit at all.
    fn take_name(&mut self) -> &'a str {
        let rest = self.rest();
        match rest.chars().next() {
            Some('1') => self.take_while(|c| c.is_ascii_digit()),
            Some('%' | '‰' | '\'' | '"' | '′' | '″') => {
                let mut taken = false;
                self.take_while(|_| !std::mem::replace(&mut taken, true))
            }
            Some(first) if is_name_start(first) => self.take_while(|c| is_name_start(c) || c.is_ascii_digit()),
            _ => "",
        }
    }

    fn parse_power(&mut self) -> Result<Exponent, UnitError> {
        let start = self.position;
        let power = if self.eat('^') { self.expect_caret_power() } else { self.parse_superscript() };
        let limit = Exponent::from_integer(LARGEST_POWER);
        match power {
            None if start == self.position => Ok(Exponent::ONE),
            Some(power) if power.is_zero() => Err(self.wrong_power(start, "a power other than 0")),
            Some(power) if -limit <= power && power <= limit => Ok(power),
            Some(_) => Err(self.wrong_power(start, "a power between -100 and 100")),
            None => Err(self.wrong_power(
                start,
                "a whole number or a simple fraction as power, as in `²`, `^-1`, `^0.5`, `^(2/3)`",
            )),
        }
    }

    fn wrong_power(&self, start: usize, expected: &'static str) -> UnitError {
        syntax(start..self.position, expected)
    }

    /// The power behind a `^`, or nothing if what stands there is none.
    fn expect_caret_power(&mut self) -> Option<Exponent> {
        let in_parentheses = self.eat('(');
        let above = self.take_while(|c| c.is_ascii_digit() || matches!(c, '-' | '−' | '.'));
        let above = above.replace('−', "-");
        if !in_parentheses {
            return Exponent::from_f64(above.parse().ok()?);
        }
        let power = if self.eat('/') {
            let below = self.take_while(|c| c.is_ascii_digit());
            Exponent::new(above.parse().ok()?, below.parse().ok().filter(|n| *n != 0)?)
        } else {
            Exponent::from_f64(above.parse().ok()?)?
        };
        self.eat(')').then_some(power)
    }

    fn parse_superscript(&mut self) -> Option<Exponent> {
        let digits = self.take_while(|c| superscript_to_plain(c).is_some());
        let plain: String = digits.chars().filter_map(superscript_to_plain).collect();
        plain.parse().ok().map(Exponent::from_integer)
    }

    fn rest(&self) -> &'a str {
        &self.text[self.position..]
    }

    fn eat(&mut self, wanted: char) -> bool {
        let found = self.rest().starts_with(wanted);
        if found {
            self.position += wanted.len_utf8();
        }
        found
    }

    fn eat_dot(&mut self) -> bool {
        DOTS.iter().any(|dot| self.eat(*dot))
    }

    fn take_while(&mut self, mut belongs: impl FnMut(char) -> bool) -> &'a str {
        let rest = self.rest();
        let length = rest.find(|c| !belongs(c)).unwrap_or(rest.len());
        self.position += length;
        &rest[..length]
    }

    /// An error at the next character, or at the end.
    fn expected(&self, expected: &'static str) -> UnitError {
        let width = self.rest().chars().next().map_or(0, char::len_utf8);
        syntax(self.position..self.position + width, expected)
    }
}

/// The middle dot, the dot operator of mathematics that looks like it, and the key that every keyboard has.
const DOTS: [char; 3] = ['·', '⋅', '*'];

fn is_dot(c: char) -> bool {
    DOTS.contains(&c)
}

fn is_name_start(c: char) -> bool {
    c.is_alphabetic() || matches!(c, '°' | '℃' | '_')
}

fn superscript_to_plain(c: char) -> Option<char> {
    Some(match c {
        '⁻' => '-',
        '⁰' => '0',
        '¹' => '1',
        '²' => '2',
        '³' => '3',
        '⁴' => '4',
        '⁵' => '5',
        '⁶' => '6',
        '⁷' => '7',
        '⁸' => '8',
        '⁹' => '9',
        _ => return None,
    })
}

fn syntax(range: Range<usize>, expected: &'static str) -> UnitError {
    UnitError { range, kind: UnitErrorKind::Syntax { expected } }
}

/// Units whose name is nearly the one written, the nearest first; a name that differs only in case is nearest.
fn near_symbols(name: &str) -> Vec<&'static str> {
    if let Some((_, meant)) = HABITS.iter().find(|(habit, _)| *habit == name) {
        return vec![meant];
    }
    let lower = name.to_lowercase();
    let allowed = name.chars().count() / 3;
    let mut near: Vec<(Reverse<bool>, usize, &'static str)> = TABLE
        .iter()
        .flat_map(|row| {
            let spellings = row.spellings.iter().copied();
            std::iter::once(row.symbol).chain(spellings).map(|spelling| (spelling, row.symbol))
        })
        .filter_map(|(spelling, symbol)| {
            let same_but_case = spelling.to_lowercase() == lower;
            let distance = edit_distance(spelling, name);
            (same_but_case || distance <= allowed).then_some((Reverse(same_but_case), distance, symbol))
        })
        .collect();
    near.sort_by_key(|(case, distance, _)| (*case, *distance));
    let mut symbols: Vec<_> = near.into_iter().map(|(_, _, symbol)| symbol).collect();
    symbols.dedup();
    symbols.truncate(MOST_SUGGESTIONS);
    symbols
}

/// The number of characters to insert, delete or replace to turn one text into the other.
fn edit_distance(from: &str, to: &str) -> usize {
    let to: Vec<char> = to.chars().collect();
    let mut row: Vec<usize> = (0..=to.len()).collect();
    for (i, a) in from.chars().enumerate() {
        let mut diagonal = row[0];
        row[0] = i + 1;
        for (j, b) in to.iter().enumerate() {
            let replaced = diagonal + usize::from(a != *b);
            diagonal = row[j + 1];
            row[j + 1] = replaced.min(diagonal + 1).min(row[j] + 1);
        }
    }
    row[to.len()]
}
