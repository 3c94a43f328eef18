//! The body of a page laid out flat: what opens, what stands between and what closes, one after another.

use crate::render::markup::Markup;
use crate::render::view::{ClauseRow, LineView, PartView, VerdictView};
use serde::Serialize;

/// One step of the body, in the order of the page.
#[derive(Debug, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Piece<'a> {
    /// Prose.
    Prose {
        /// HTML of the Markdown.
        html: &'a Markup,
    },
    /// A block of lines begins.
    BlockStart {
        /// Its kind.
        block: &'a str,
    },
    /// A line of a block.
    Line {
        /// The line.
        line: &'a LineView,
    },
    /// A block of lines ends.
    BlockEnd,
    /// The working of a clause begins.
    UseStart {
        /// Its line.
        line: &'a LineView,
        /// The clause.
        clause: &'a ClauseRow,
        /// Each verdict of its checks, once.
        verdicts: Vec<&'a VerdictView>,
        /// Level of its heading.
        level: u8,
    },
    /// The working of a clause ends.
    UseEnd,
    /// One figure, or two that stand side by side.
    Figures {
        /// The figures.
        figures: Vec<Figure<'a>>,
    },
}

/// One figure.
#[derive(Debug, Serialize)]
pub struct Figure<'a> {
    number: usize,
    svg: &'a Markup,
    caption: &'a str,
}

/// Lays the parts of a page out flat.
pub fn flat(parts: &[PartView]) -> Vec<Piece<'_>> {
    let mut pieces = Vec::new();
    lay_out(parts, FIRST_LEVEL, &mut pieces);
    pieces
}

/// Level of the heading of a clause that the sheet itself uses; its sections have level 2.
const FIRST_LEVEL: u8 = 3;
/// The lowest level of HTML.
const LAST_LEVEL: u8 = 6;

fn lay_out<'a>(parts: &'a [PartView], level: u8, pieces: &mut Vec<Piece<'a>>) {
    for part in parts {
        match part {
            PartView::Prose { html } if html.is_empty() => {}
            PartView::Prose { html } => pieces.push(Piece::Prose { html }),
            PartView::Lines { block, lines } => {
                pieces.push(Piece::BlockStart { block });
                pieces.extend(lines.iter().map(|line| Piece::Line { line }));
                pieces.push(Piece::BlockEnd);
            }
            PartView::Use { line, clause, verdicts, parts } => {
                pieces.push(Piece::UseStart { line, clause, verdicts: distinct(verdicts), level });
                lay_out(parts, (level + 1).min(LAST_LEVEL), pieces);
                pieces.push(Piece::UseEnd);
            }
            PartView::Figure { number, svg, caption } => {
                let figure = Figure { number: *number, svg, caption };
                match pieces.last_mut() {
                    Some(Piece::Figures { figures }) if figures.len() == 1 => figures.push(figure),
                    _ => pieces.push(Piece::Figures { figures: vec![figure] }),
                }
            }
        }
    }
}

fn distinct(verdicts: &[VerdictView]) -> Vec<&VerdictView> {
    let mut each: Vec<&VerdictView> = Vec::new();
    for verdict in verdicts {
        if !each.iter().any(|known| known.words == verdict.words) {
            each.push(verdict);
        }
    }
    each
}
