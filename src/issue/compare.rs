//! Where two texts differ.

/// The first place where a page differs from what its sources give.
#[derive(Clone, Debug, Eq, PartialEq)]
pub struct Difference {
    /// The line, from 1.
    pub line: usize,
    /// What stands there.
    pub found: String,
    /// What the sources give.
    pub expected: String,
}

/// Characters shown before the first one that differs, and from it on.
const BEFORE: usize = 48;
const AFTER: usize = 72;

/// The first line in which a page is another; long lines are cut around the first character that differs.
pub fn first_difference(found: &[u8], expected: &[u8]) -> Option<Difference> {
    let at = found.iter().zip(expected).position(|(a, b)| a != b);
    let at = match at {
        Some(at) => at,
        None if found.len() == expected.len() => return None,
        None => found.len().min(expected.len()),
    };
    let line = 1 + found[..at].iter().filter(|byte| **byte == b'\n').count();
    Some(Difference { line, found: around(found, at), expected: around(expected, at) })
}

/// The text of a line around a place.
fn around(text: &[u8], at: usize) -> String {
    let start = text[..at].iter().rposition(|byte| *byte == b'\n').map_or(0, |end| end + 1);
    let end = text[at..].iter().position(|byte| *byte == b'\n').map_or(text.len(), |length| at + length);
    let before = String::from_utf8_lossy(&text[start..at]).into_owned();
    let after = String::from_utf8_lossy(&text[at..end]).into_owned();
    let cut = before.char_indices().rev().nth(BEFORE - 1).map_or(0, |(at, _)| at);
    let kept: String = after.chars().take(AFTER).collect();
    let dots = |is_cut: bool| if is_cut { "…" } else { "" };
    format!("{}{}{kept}{}", dots(cut > 0), &before[cut..], dots(kept.len() < after.len()))
}

/// The lines of two results that differ, as they were and as they are; what is missing is empty.
pub fn differing_results(issued: &str, now: &str) -> Vec<(String, String)> {
    let lines = |text: &str| -> Vec<(String, String)> {
        text.lines().filter_map(|line| line.split_once(' ')).map(|(a, b)| (a.to_owned(), b.to_owned())).collect()
    };
    let (issued, now) = (lines(issued), lines(now));
    let of = |lines: &[(String, String)], address: &str| {
        lines.iter().find(|(known, _)| known == address).map(|(_, said)| said.clone()).unwrap_or_default()
    };
    let mut addresses: Vec<&str> = issued.iter().chain(&now).map(|(address, _)| address.as_str()).collect();
    let mut seen = std::collections::BTreeSet::new();
    addresses.retain(|address| seen.insert(*address));
    // The digest is for comparing; people read the rest.
    let words = |address: &str, said: &str| match said.split_once(' ') {
        Some((_, text)) => format!("{address}: {text}"),
        None => String::new(),
    };
    let differing = addresses.into_iter().filter_map(|address| {
        let (before, after) = (of(&issued, address), of(&now, address));
        (before != after).then(|| (words(address, &before), words(address, &after)))
    });
    differing.collect()
}
