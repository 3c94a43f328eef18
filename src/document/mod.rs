//! A sheet as a Markdown document: front matter, prose and fenced blocks, each with its place in the file.
//!
//! 1. [`read_document`] checks size and opens the front matter ([`front_matter`]);
//! 2. it walks the Markdown events once, cuts out the blocks and refuses raw HTML and unsafe links;
//! 3. [`fence`] tells which blocks are closed and what an open one has swallowed;
//! 4. a [`BlockText`] maps every byte of a block back to the file, since Markdown hands a block's text out in pieces.
//!
//! Nothing here knows what stands inside a block.

mod block;
mod broken_toml;
mod fence;
mod front_matter;
mod revisions;
#[cfg(test)]
mod tests;

pub use block::{Block, BlockKind, BlockText};
pub use broken_toml::{broken_toml, place_of_key};
pub use front_matter::{FrontMatter, SheetKind};
pub use revisions::Revision;

use crate::diagnostic::{Code, Diagnostic, nearest};
use crate::text::{SourceFile, Span};
use fence::{Fence, split, strays};
use pulldown_cmark::{CodeBlockKind, Event, MetadataBlockKind, Options, Parser, Tag, TagEnd};
use std::ops::Range;
use std::sync::Arc;

/// The largest sheet that is read, in bytes: far above any real calculation, far below what could exhaust memory.
pub const SIZE_LIMIT: usize = 4 << 20;
/// Lists and quotations nested deeper than this are refused.
const NESTING_LIMIT: usize = 32;

/// A sheet's text cut into its parts.
#[derive(Clone, Debug)]
pub struct Document {
    /// The file.
    pub source: Arc<SourceFile>,
    /// What stands between the `+++` lines.
    pub front: FrontMatter,
    /// Prose and blocks in order.
    pub parts: Vec<Part>,
}

/// A stretch of prose, or a block.
#[derive(Clone, Debug)]
pub enum Part {
    /// Markdown events.
    Prose(Vec<Event<'static>>),
    /// A fenced block of the language.
    Block(Block),
}

/// Reads a sheet; a document comes out whatever was wrong with it.
pub fn read_document(source: &Arc<SourceFile>) -> (Document, Vec<Diagnostic>) {
    let mut reader = Reader { source, findings: Vec::new(), parts: Vec::new(), prose: Vec::new(), depth: 0 };
    let mut front = None;
    if source.text.len() > SIZE_LIMIT {
        let message = format!("this sheet is {} MB long", source.text.len() / 1_000_000);
        let finding = Diagnostic::error(Code::TooLarge, source, Span::default(), message)
            .help(format!("sheets are at most {} MB: split it, or move data to a data file", SIZE_LIMIT >> 20));
        reader.findings.push(finding);
    } else {
        front = reader.walk();
    }
    reader.close_prose();
    let mut findings = reader.findings;
    let parts = reader.parts;
    let front = FrontMatter::read(source, front, &mut findings);
    let document = Document { source: source.clone(), front, parts };
    (document, findings)
}

/// The front matter alone, many times faster than the document: for what only lists sheets.
///
/// What is wrong in it is told when the document is read.
pub fn read_front_matter(source: &Arc<SourceFile>) -> FrontMatter {
    let range = source.text.find('\n').filter(|_| source.text.starts_with("+++")).and_then(|end| {
        let start = end + 1;
        Some(start..start + source.text[start..].find("\n+++")? + 1)
    });
    range.map_or_else(FrontMatter::default, |range| FrontMatter::read(source, Some(range), &mut Vec::new()))
}

struct Reader<'a> {
    source: &'a Arc<SourceFile>,
    findings: Vec<Diagnostic>,
    parts: Vec<Part>,
    prose: Vec<Event<'static>>,
    depth: usize,
}

impl Reader<'_> {
    /// Goes through all events; returns the range of the front matter's text.
    fn walk(&mut self) -> Option<Range<usize>> {
        let options = Options::ENABLE_TABLES
            | Options::ENABLE_FOOTNOTES
            | Options::ENABLE_STRIKETHROUGH
            | Options::ENABLE_PLUSES_DELIMITED_METADATA_BLOCKS;
        let source = self.source;
        let mut front = None;
        let mut events = Parser::new_ext(&source.text, options).into_offset_iter();
        while let Some((event, range)) = events.next() {
            match event {
                Event::Start(Tag::MetadataBlock(MetadataBlockKind::PlusesStyle)) => {
                    for (event, range) in events.by_ref() {
                        match event {
                            Event::Text(_) => front = Some(join(front, range)),
                            Event::End(TagEnd::MetadataBlock(_)) => break,
                            _ => {}
                        }
                    }
                }
                Event::Start(Tag::CodeBlock(CodeBlockKind::Fenced(info))) => {
                    let fence = Fence::at(&source.text, &range);
                    let mut text = BlockText::default();
                    let mut end = fence.span.end as usize;
                    for (event, range) in events.by_ref() {
                        match event {
                            Event::Text(piece) => {
                                text.push(&piece, range.start);
                                end = range.end;
                            }
                            Event::End(TagEnd::CodeBlock) => break,
                            _ => {}
                        }
                    }
                    let is_closed = fence.is_closed_by(source.text.get(end..range.end).unwrap_or(""));
                    self.block(&info, &fence, text, is_closed, range);
                }
                Event::Start(Tag::HtmlBlock) => {
                    self.refuse_html(range);
                    events.by_ref().find(|(event, _)| matches!(event, Event::End(TagEnd::HtmlBlock)));
                }
                Event::InlineHtml(tag) if tag.starts_with("</") && self.has_refused_html() => {}
                Event::Html(_) | Event::InlineHtml(_) => self.refuse_html(range),
                event => {
                    self.check(&event, range);
                    self.prose.push(event.into_static());
                }
            }
            if self.depth > NESTING_LIMIT {
                return front;
            }
        }
        front
    }

    fn block(&mut self, info: &str, fence: &Fence, text: BlockText, is_closed: bool, range: Range<usize>) {
        let word = info.split_whitespace().next().unwrap_or("");
        let strays = strays(&text);
        let known = BlockKind::from_name(word);
        // Under a kind that was meant the lines are read all the same, so that what they define is known below.
        let kind = match known {
            Some(kind) => Some(kind),
            None => self.refuse_kind(word, fence, strays.first().map(|stray| stray.span)),
        };
        // A stray fence is told of as a block without a kind; that it is open or holds others follows from it.
        if !word.is_empty() && (!is_closed || !strays.is_empty()) {
            self.refuse_open(fence, strays.first().map(|stray| stray.span));
        }
        let parts = split(kind, &text, &strays);
        let last = parts.len().saturating_sub(1);
        for (at, (kind, text)) in parts.into_iter().enumerate() {
            self.close_prose();
            let is_open = !is_closed && at == last;
            let span = Span::new(range.start, range.end);
            self.parts.push(Part::Block(Block { kind, text, span, is_open }));
        }
    }

    /// Says that a block's kind is unknown; the kind that was meant, if one comes near.
    fn refuse_kind(&mut self, word: &str, fence: &Fence, stray: Option<Span>) -> Option<BlockKind> {
        let names = BlockKind::ALL.map(BlockKind::name);
        if word.is_empty() {
            let mut finding = Diagnostic::error(
                Code::UnknownBlock,
                self.source,
                fence.span,
                "this fence opens a block without a kind",
            )
            .here("a kind stands behind the opening fence");
            if let Some(stray) = stray {
                finding = finding.also(self.source, stray, "up to here all belongs to that block");
            }
            finding = finding
                .help("remove this line if the block above is closed already")
                .help(format!("kinds are `{}`; text that is only shown goes in indented code", names.join("`, `")));
            self.findings.push(finding);
            return None;
        }
        let message = format!("`{word}` is not a kind of block");
        let finding = Diagnostic::error(Code::UnknownBlock, self.source, fence.span, message);
        let near = nearest(word, names);
        self.findings.push(match near {
            Some(near) => finding.help(format!("did you mean `{near}`?")),
            None => finding
                .help(format!("kinds are `{}`; text that is only shown goes in indented code", names.join("`, `"))),
        });
        near.and_then(BlockKind::from_name)
    }

    /// Says that a block has no closing fence of its own.
    fn refuse_open(&mut self, fence: &Fence, stray: Option<Span>) {
        let marker = &fence.marker;
        let finding = Diagnostic::error(Code::UnclosedBlock, self.source, fence.span, "this block is not closed");
        self.findings.push(match stray {
            Some(stray) => finding
                .here(format!("opened by {marker}"))
                .also(self.source, stray, "this line does not close it")
                .help(format!("close the block by a line that holds {marker} and nothing else")),
            None => finding
                .here(format!("expected a line {marker} below the block's last statement"))
                .help(format!("write {marker} on a line of its own where the block ends")),
        });
    }

    /// Whether a tag was refused, so that the one that closes it need not be.
    fn has_refused_html(&self) -> bool {
        self.findings.iter().any(|finding| finding.code == Code::RawHtml)
    }

    fn refuse_html(&mut self, range: Range<usize>) {
        let span = self.first_line(range);
        let finding = Diagnostic::error(Code::RawHtml, self.source, span, "a sheet holds no HTML")
            .help("write Markdown; for a literal `<` write `\\<`");
        self.findings.push(finding);
    }

    fn check(&mut self, event: &Event<'_>, range: Range<usize>) {
        match event {
            Event::Start(tag) => {
                self.depth += 1;
                if self.depth == NESTING_LIMIT + 1 {
                    let message = format!("lists or quotations are nested deeper than {NESTING_LIMIT} levels");
                    let span = Span::new(range.start, range.start + 1);
                    let finding = Diagnostic::error(Code::TooLarge, self.source, span, message);
                    self.findings.push(finding.help("use fewer levels"));
                }
                match tag {
                    Tag::Link { dest_url, .. } => self.check_address(dest_url, range, false),
                    Tag::Image { dest_url, .. } => self.check_address(dest_url, range, true),
                    _ => {}
                }
            }
            Event::End(_) => self.depth = self.depth.saturating_sub(1),
            _ => {}
        }
    }

    /// Links may leave the package by a safe scheme only; images not at all.
    fn check_address(&mut self, address: &str, range: Range<usize>, is_image: bool) {
        let scheme = address.split(['/', '?', '#']).next().and_then(|head| head.split_once(':'));
        let safe = match scheme {
            Some((scheme, _)) => {
                !is_image && ["http", "https", "mailto"].contains(&scheme.to_ascii_lowercase().as_str())
            }
            None => stays_inside(address),
        };
        if safe {
            return;
        }
        let what = if is_image { "image" } else { "link" };
        let span = Span::new(range.start, range.end);
        let (code, message) = if scheme.is_none() {
            (Code::OutsidePackage, format!("this {what} leads outside the package: `{address}`"))
        } else {
            (Code::UnsafeLink, format!("this {what} has an address that is not allowed: `{address}`"))
        };
        let help = if is_image {
            "put the image inside the package and name it by a relative path"
        } else {
            "links may be http, https, mailto or a relative path inside the package"
        };
        self.findings.push(Diagnostic::error(code, self.source, span, message).help(help));
    }

    /// A range as far as its first line goes.
    fn first_line(&self, range: Range<usize>) -> Span {
        let length = self.source.text.get(range.clone()).and_then(|text| text.lines().next()).map_or(0, str::len);
        Span::new(range.start, range.start + length)
    }

    fn close_prose(&mut self) {
        if !self.prose.is_empty() {
            self.parts.push(Part::Prose(std::mem::take(&mut self.prose)));
        }
    }
}

fn join(first: Option<Range<usize>>, second: Range<usize>) -> Range<usize> {
    match first {
        Some(first) => first.start..second.end,
        None => second,
    }
}

/// Whether a relative address stays within the folder that it starts from, seen as text.
///
/// A sheet may lie deeper in its package than this can see, so that `../` is refused even where it would be harmless.
pub fn stays_inside(address: &str) -> bool {
    let decoded = address.to_ascii_lowercase().replace("%2e", ".").replace("%2f", "/").replace('\\', "/");
    !decoded.starts_with('/') && !decoded.split('/').any(|part| part == "..")
}
