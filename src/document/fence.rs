//! Fences: whether a block is closed, and what a block that is not has swallowed.
//!
//! Markdown closes a fence only by one of the same marker and at least the same length with nothing behind it; failing
//! that the block runs on over prose and further blocks, and a sheet cut short would pass for a whole one.

use super::{BlockKind, BlockText};
use crate::text::Span;
use std::ops::Range;

/// The fence that opens a block.
pub(super) struct Fence {
    /// A backtick or a tilde, as often as it is written.
    pub marker: String,
    /// Its line, from the marker on.
    pub span: Span,
}

impl Fence {
    /// The fence at the start of a block.
    pub fn at(text: &str, block: &Range<usize>) -> Self {
        let inside = text.get(block.clone()).unwrap_or("");
        let start = block.start + (inside.len() - inside.trim_start().len());
        let line = text.get(start..block.end).unwrap_or("").lines().next().unwrap_or("");
        let first = line.chars().next().unwrap_or('`');
        let marker: String = line.chars().take_while(|&c| c == first).collect();
        Self { marker, span: Span::new(start, start + line.trim_end().len()) }
    }

    /// Whether what stands between a block's last statement and its end closes it.
    pub fn is_closed_by(&self, rest: &str) -> bool {
        rest.trim_end().ends_with(&self.marker)
    }
}

/// A line inside a block that looks like a fence, which no statement does.
pub(super) struct Stray {
    /// The line without its indentation.
    pub span: Span,
    /// The block that it would open.
    pub kind: Option<BlockKind>,
    /// Its bytes in the block's text, with the end of the line.
    line: Range<usize>,
}

/// All lines of a block that look like fences.
pub(super) fn strays(block: &BlockText) -> Vec<Stray> {
    let mut found = Vec::new();
    let mut start = 0;
    for line in block.text.split_inclusive('\n') {
        let range = start..start + line.len();
        start = range.end;
        let words = line.trim();
        let Some(first) = words.chars().next().filter(|c| matches!(c, '`' | '~')) else { continue };
        let behind = words.trim_start_matches(first);
        let is_long = words.len() - behind.len() >= 3;
        if !behind.is_empty() && !is_long {
            continue;
        }
        let kind = behind.split_whitespace().next().and_then(BlockKind::from_name);
        let indent = line.len() - line.trim_start().len();
        let span = block.span(range.start + indent, range.start + indent + words.len());
        found.push(Stray { span, kind, line: range });
    }
    found
}

/// The blocks that a block holds if lines that look like fences are taken for them.
pub(super) fn split(kind: Option<BlockKind>, block: &BlockText, strays: &[Stray]) -> Vec<(BlockKind, BlockText)> {
    let mut found = Vec::new();
    let (mut kind, mut start) = (kind, 0);
    for stray in strays {
        found.extend(kind.map(|kind| (kind, block.part(start..stray.line.start))));
        (kind, start) = (stray.kind, stray.line.end);
    }
    found.extend(kind.map(|kind| (kind, block.part(start..block.text.len()))));
    found
}
