//! Estimated widths: advances of the maths font, in thousandths of an em.
//!
//! Estimates only decide where lines may break, so a reader's other font does no harm.

use std::sync::LazyLock;

/// Characters and their advances, sorted by character; a generated list beside the font.
static TABLE: LazyLock<Table> = LazyLock::new(|| Table::read(include_str!("../../../templates/font/advances.txt")));

/// Advance of a character that is not in the list.
const UNKNOWN: u32 = 700;

struct Table {
    ascii: [u32; 128],
    others: Vec<(u32, u32)>,
}

impl Table {
    fn read(text: &str) -> Self {
        let mut table = Self { ascii: [UNKNOWN; 128], others: Vec::new() };
        for line in text.lines() {
            let mut parts = line.split_whitespace();
            let (Some(code), Some(advance)) = (parts.next(), parts.next()) else {
                continue;
            };
            let (Ok(code), Ok(advance)) = (u32::from_str_radix(code, 16), advance.parse()) else {
                continue;
            };
            match table.ascii.get_mut(code as usize) {
                Some(place) => *place = advance,
                None => table.others.push((code, advance)),
            }
        }
        table.others.sort_unstable();
        table
    }

    fn advance(&self, code: u32) -> u32 {
        if let Some(advance) = self.ascii.get(code as usize) {
            return *advance;
        }
        match self.others.binary_search_by_key(&code, |(code, _)| *code) {
            Ok(at) => self.others[at].1,
            Err(_) => UNKNOWN,
        }
    }
}

/// Width of upright text.
pub(super) fn upright(text: &str) -> u32 {
    let table = &*TABLE;
    text.chars().map(|c| table.advance(u32::from(c))).sum()
}

/// Width of a single letter in italics, which is another character of the font.
pub(super) fn italic(text: &str) -> u32 {
    let table = &*TABLE;
    text.chars().map(|c| table.advance(italic_code(c))).sum()
}

fn italic_code(c: char) -> u32 {
    match c {
        // Unicode had given this one a place before the others.
        'h' => 0x210E,
        'A'..='Z' => 0x1D434 + (u32::from(c) - 0x41),
        'a'..='z' => 0x1D44E + (u32::from(c) - 0x61),
        'Α'..='Ω' => 0x1D6E2 + (u32::from(c) - 0x391),
        'α'..='ω' => 0x1D6FC + (u32::from(c) - 0x3B1),
        _ => u32::from(c),
    }
}
