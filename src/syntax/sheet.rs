//! A whole sheet: its document with the statements of every block.

use super::{Statement, parse_block};
use crate::diagnostic::Diagnostic;
use crate::document::{BlockKind, Document, Part, read_document};
use crate::text::SourceFile;
use std::sync::Arc;

/// A sheet, read.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// Front matter and prose.
    pub document: Arc<Document>,
    /// Prose and blocks in order.
    pub parts: Vec<SheetPart>,
}

/// A part of a sheet.
#[derive(Clone, Debug)]
pub enum SheetPart {
    /// The prose at this index of the document's parts.
    Prose(usize),
    /// A block's statements.
    Block(BlockKind, Vec<Arc<Statement>>),
}

impl Sheet {
    /// The statements of all blocks in order.
    pub fn statements(&self) -> impl Iterator<Item = &Arc<Statement>> {
        self.parts.iter().flat_map(|part| match part {
            SheetPart::Block(_, statements) => statements.as_slice(),
            SheetPart::Prose(_) => &[],
        })
    }
}

/// Reads a sheet's text; a sheet comes out whatever was wrong with it.
pub fn read_sheet(source: &Arc<SourceFile>) -> (Sheet, Vec<Diagnostic>) {
    let (document, mut findings) = read_document(source);
    let mut parts = Vec::with_capacity(document.parts.len());
    for (index, part) in document.parts.iter().enumerate() {
        parts.push(match part {
            Part::Prose(_) => SheetPart::Prose(index),
            Part::Block(block) => {
                let (mut statements, mut more) = parse_block(block.kind, &block.text, source);
                if block.is_open {
                    // What cannot be read in an open block is prose that belongs behind its end.
                    let first = more.iter().filter_map(|finding| finding.labels.first()).map(|label| label.span.start);
                    if let Some(first) = first.min() {
                        statements.retain(|statement| statement.span.end < first);
                    }
                    more.clear();
                }
                findings.append(&mut more);
                SheetPart::Block(block.kind, statements.into_iter().map(Arc::new).collect())
            }
        });
    }
    let sheet = Sheet { document: Arc::new(document), parts };
    (sheet, findings)
}
