//! Numbers as people and their spreadsheets write them: with a decimal comma or point, with digits in groups or not.

use std::fmt;

/// The mark between whole digits and decimals.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub enum DecimalMark {
    /// `57,6`; a point can only part groups of digits.
    Comma,
    /// `57.6`; a comma can only part groups of digits.
    Point,
}

impl DecimalMark {
    /// The mark that is left for groups of digits.
    pub(super) fn other(self) -> Self {
        match self {
            DecimalMark::Comma => DecimalMark::Point,
            DecimalMark::Point => DecimalMark::Comma,
        }
    }

    pub(super) fn character(self) -> char {
        match self {
            DecimalMark::Comma => ',',
            DecimalMark::Point => '.',
        }
    }
}

impl fmt::Display for DecimalMark {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            DecimalMark::Comma => "a decimal comma",
            DecimalMark::Point => "a decimal point",
        })
    }
}

/// What a number with a comma or point in it shows.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub(super) enum Shape {
    /// Not a number under any reading.
    None,
    /// A number only with this decimal mark.
    Needs(DecimalMark),
    /// Two different numbers: `1,234` is 1.234 or 1234.
    Either,
}

/// Tells what a number with a comma or point in it shows about its decimal mark.
///
/// `scratch` only saves taking up memory for every cell.
pub(super) fn shape(cell: &str, scratch: &mut String) -> Shape {
    let point = read(cell, DecimalMark::Point, true, scratch);
    let comma = read(cell, DecimalMark::Comma, true, scratch);
    match (comma, point) {
        (true, true) => Shape::Either,
        (true, false) => Shape::Needs(DecimalMark::Comma),
        (false, true) => Shape::Needs(DecimalMark::Point),
        (false, false) => Shape::None,
    }
}

/// What else is said of a cell that is no number with this decimal mark: it would be one if the other mark parted groups.
pub(super) fn aside(cell: &str, mark: DecimalMark, scratch: &mut String) -> &'static str {
    match mark {
        _ if !read(cell, mark, true, scratch) => "",
        DecimalMark::Comma => " and no points: the sheet does not say that points part thousands",
        DecimalMark::Point => " and no commas: the sheet does not say that commas part thousands",
    }
}

/// Whether a cell starts like a number and ends in letters: `52 N·m`.
pub(super) fn ends_in_letters(cell: &str) -> bool {
    let is_number = cell.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '-' | '+' | '\u{2212}' | '.' | ','));
    is_number && cell.ends_with(|c: char| c.is_alphabetic())
}

/// Writes a number's digits with a decimal point and without groups; says whether it is one under this reading.
///
/// Groups are of three digits behind one to three, the first of which is not 0, and are parted by a blank (also narrow or
/// no-break) or an apostrophe, and by the other mark only where that is `grouped`: a slip that writes it for the decimal
/// mark would make a number a thousand times as large. A number may have an exponent if it has no groups.
pub(super) fn read(cell: &str, mark: DecimalMark, grouped: bool, digits: &mut String) -> bool {
    digits.clear();
    let unsigned = match cell.strip_prefix(['-', '\u{2212}']) {
        Some(unsigned) => {
            digits.push('-');
            unsigned
        }
        None => cell.strip_prefix('+').unwrap_or(cell),
    };
    let (mantissa, exponent) = match unsigned.split_once(['e', 'E']) {
        Some((mantissa, exponent)) => (mantissa, Some(exponent)),
        None => (unsigned, None),
    };
    let (whole, decimals) = match mantissa.split_once(mark.character()) {
        Some((whole, decimals)) => (whole, Some(decimals)),
        None => (mantissa, None),
    };
    let is_digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    let has_groups = !is_digits(whole);
    if has_groups && (exponent.is_some() || !push_groups(whole, grouped.then(|| mark.other().character()), digits)) {
        return false;
    }
    if !has_groups {
        digits.push_str(if whole.is_empty() { "0" } else { whole });
    }
    if let Some(decimals) = decimals {
        if !is_digits(decimals) || (decimals.is_empty() && whole.is_empty()) {
            return false;
        }
        if !decimals.is_empty() {
            digits.push('.');
            digits.push_str(decimals);
        }
    } else if whole.is_empty() {
        return false;
    }
    exponent.is_none_or(|exponent| {
        let unsigned = exponent.strip_prefix(['-', '+']).unwrap_or(exponent);
        digits.push('e');
        digits.push_str(exponent);
        !unsigned.is_empty() && unsigned.len() <= 3 && is_digits(unsigned)
    })
}

fn push_groups(whole: &str, mark: Option<char>, digits: &mut String) -> bool {
    let Some(parting) = whole.chars().find(|c| !c.is_ascii_digit()) else { return false };
    if Some(parting) != mark && !matches!(parting, ' ' | '\u{a0}' | '\u{202f}' | '\'' | '\u{2019}') {
        return false;
    }
    whole.split(parting).enumerate().all(|(at, group)| {
        digits.push_str(group);
        let is_sound =
            if at == 0 { (1..=3).contains(&group.len()) && !group.starts_with('0') } else { group.len() == 3 };
        is_sound && group.bytes().all(|byte| byte.is_ascii_digit())
    })
}
