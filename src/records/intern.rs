//! Words that come again and again, kept once: a million rows name a handful of tools and operatives.

use std::hash::{BuildHasher, RandomState};

/// The number of a word that is not there.
pub(super) const NONE: u32 = u32::MAX;

/// Words by numbers, numbers by words.
///
/// All words stand in one string, and the table holds numbers only: a million distinct words take some 30 bytes each
/// beside their letters. The seed of the hash is random, so that no file can be made to collide; numbers go by first
/// appearance, so that it changes no result.
#[derive(Debug, Default)]
pub(super) struct Words {
    letters: String,
    ends: Vec<u32>,
    slots: Vec<u32>,
    state: RandomState,
}

impl Words {
    /// The number of a word, which is new or was there; [`NONE`] for an empty one.
    pub(super) fn number(&mut self, word: &str) -> u32 {
        if word.is_empty() {
            return NONE;
        }
        if self.slots.len() <= self.ends.len() * 2 {
            self.grow();
        }
        let slot = self.slot(word);
        if self.slots[slot] != NONE {
            return self.slots[slot];
        }
        let number = narrow(self.ends.len());
        self.letters.push_str(word);
        self.ends.push(narrow(self.letters.len()));
        self.slots[slot] = number;
        number
    }

    /// How many words there are.
    pub(super) fn len(&self) -> usize {
        self.ends.len()
    }

    /// The number of a word that is there.
    pub(super) fn find(&self, word: &str) -> Option<u32> {
        if word.is_empty() || self.slots.is_empty() {
            return None;
        }
        Some(self.slots[self.slot(word)]).filter(|&number| number != NONE)
    }

    /// The word of a number; empty for [`NONE`].
    pub(super) fn word(&self, number: u32) -> &str {
        let at = number as usize;
        let Some(&end) = self.ends.get(at) else { return "" };
        let start = if at == 0 { 0 } else { self.ends[at - 1] };
        &self.letters[start as usize..end as usize]
    }

    /// The slot that holds a word, or the free one where it belongs; there always is a free one.
    fn slot(&self, word: &str) -> usize {
        let mask = self.slots.len() - 1;
        let mut slot = self.state.hash_one(word) as usize & mask;
        while self.slots[slot] != NONE && self.word(self.slots[slot]) != word {
            slot = (slot + 1) & mask;
        }
        slot
    }

    fn grow(&mut self) {
        self.slots = vec![NONE; (self.slots.len() * 2).max(16)];
        for number in 0..self.ends.len() {
            let number = narrow(number);
            let slot = self.slot(self.word(number));
            self.slots[slot] = number;
        }
    }
}

/// Texts are limited to 4 GiB, and so are the words in them.
fn narrow(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(NONE)
}
