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
    fn other(self) -> Self {
        match self {
            DecimalMark::Comma => DecimalMark::Point,
            DecimalMark::Point => DecimalMark::Comma,
        }
    }

    fn character(self) -> char {
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
    let point = read(cell, DecimalMark::Point, scratch);
    let comma = read(cell, DecimalMark::Comma, scratch);
    match (comma, point) {
        (true, true) => Shape::Either,
        (true, false) => Shape::Needs(DecimalMark::Comma),
        (false, true) => Shape::Needs(DecimalMark::Point),
        (false, false) => Shape::None,
    }
}

/// Writes a number's digits with a decimal point and without groups; says whether it is one under this reading.
///
/// Groups are of three digits behind one to three, the first of which is not 0, and are parted by the other mark, a blank
/// (also narrow or no-break) or an apostrophe. A number may have an exponent if it has no groups.
pub(super) fn read(cell: &str, mark: DecimalMark, digits: &mut String) -> bool {
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
    if has_groups && (exponent.is_some() || !push_groups(whole, mark.other().character(), digits)) {
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

fn push_groups(whole: &str, mark: char, digits: &mut String) -> bool {
    let Some(parting) = whole.chars().find(|c| !c.is_ascii_digit()) else { return false };
    if parting != mark && !matches!(parting, ' ' | '\u{a0}' | '\u{202f}' | '\'' | '\u{2019}') {
        return false;
    }
    whole.split(parting).enumerate().all(|(at, group)| {
        digits.push_str(group);
        let is_sound =
            if at == 0 { (1..=3).contains(&group.len()) && !group.starts_with('0') } else { group.len() == 3 };
        is_sound && group.bytes().all(|byte| byte.is_ascii_digit())
    })
}
