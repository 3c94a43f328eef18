//! Fenced blocks and the way from a block's bytes to the file's.

use crate::text::Span;
use std::ops::Range;

/// What a fenced block holds.
#[derive(Copy, Clone, Debug, Eq, PartialEq, Ord, PartialOrd, Hash)]
pub enum BlockKind {
    /// What the sheet starts from.
    Given,
    /// Formulas.
    Derive,
    /// Checks.
    Verify,
    /// Uses of clauses; in a clause, what it takes and gives.
    Clause,
    /// Drawings from the numbers.
    Figure,
    /// Pages for the site.
    Card,
}

impl BlockKind {
    /// Every kind.
    pub const ALL: [BlockKind; 6] =
        [BlockKind::Given, BlockKind::Derive, BlockKind::Verify, BlockKind::Clause, BlockKind::Figure, BlockKind::Card];

    /// As written behind the fence.
    pub fn name(self) -> &'static str {
        match self {
            BlockKind::Given => "given",
            BlockKind::Derive => "derive",
            BlockKind::Verify => "verify",
            BlockKind::Clause => "clause",
            BlockKind::Figure => "figure",
            BlockKind::Card => "card",
        }
    }

    /// The kind of a name.
    pub fn from_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.name() == name)
    }
}

/// One fenced block.
#[derive(Clone, Debug)]
pub struct Block {
    /// What it holds.
    pub kind: BlockKind,
    /// Its text.
    pub text: BlockText,
    /// The block with its fences.
    pub span: Span,
    /// Whether its closing fence is missing, so that its last lines may be prose.
    pub is_open: bool,
}

/// A block's text with the place in the file of each piece that it was handed out in.
///
/// Markdown gives one piece a line inside lists and at every CRLF, with gaps between: one offset would not do.
#[derive(Clone, Debug, Default)]
pub struct BlockText {
    /// The text.
    pub text: String,
    /// Pairs of (byte in the text, byte in the file), rising.
    pieces: Vec<(usize, usize)>,
}

impl BlockText {
    /// A text that stands in one piece at a byte of its file.
    pub fn at(text: &str, file_offset: usize) -> Self {
        let mut whole = Self::default();
        whole.push(text, file_offset);
        whole
    }

    /// Adds a piece that starts at a byte of the file.
    pub fn push(&mut self, piece: &str, file_offset: usize) {
        self.pieces.push((self.text.len(), file_offset));
        self.text.push_str(piece);
    }

    /// A range of the text as a text of its own.
    pub fn part(&self, range: Range<usize>) -> Self {
        let mut part = Self::default();
        for (at, &(start, file)) in self.pieces.iter().enumerate() {
            let end = self.pieces.get(at + 1).map_or(self.text.len(), |&(next, _)| next);
            let (from, to) = (start.max(range.start), end.min(range.end));
            if from < to {
                part.push(self.text.get(from..to).unwrap_or(""), file + (from - start));
            }
        }
        part
    }

    /// The byte of the file for a byte of the text.
    pub fn file_offset(&self, at: usize) -> usize {
        let piece = self.pieces.partition_point(|&(start, _)| start <= at).saturating_sub(1);
        self.pieces.get(piece).map_or(at, |&(start, file)| file + at.saturating_sub(start))
    }

    /// The place in the file of a range of the text.
    pub fn span(&self, start: usize, end: usize) -> Span {
        let first = self.file_offset(start);
        // The end belongs to the piece of the last byte, not to the one that follows it.
        let last = if end > start { self.file_offset(end - 1) + 1 } else { first };
        Span::new(first, last)
    }
}
