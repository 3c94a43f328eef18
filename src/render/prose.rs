//! Prose between the blocks: Markdown events to HTML.
//!
//! Inline code that is a symbol becomes that symbol, linked to its line; images are embedded, so that a page is whole
//! by itself; footnotes are gathered at the end of the sheet.

use super::markup::{Markup, element};
use super::math;
use crate::document::{Document, Part};
use base64::Engine;
use pulldown_cmark::{CowStr, Event, HeadingLevel, Tag, TagEnd, html};

/// Where the prose of a document stands, and what it may lead to.
#[derive(Copy, Clone)]
pub struct Setting<'a> {
    /// The address of a symbol's line.
    pub address: &'a dyn Fn(&str) -> Option<String>,
    /// The bytes of an image.
    pub image: &'a dyn Fn(&str) -> Option<Vec<u8>>,
    /// Stands before the names of the document's footnotes, so that those of clauses do not clash.
    pub prefix: &'a str,
    /// Level of its highest headings, 2 to 6; the page's own title has level 1.
    pub level: u8,
}

/// Writes the prose of one document.
pub struct Prose<'a> {
    document: &'a Document,
    setting: Setting<'a>,
    footnotes: Vec<String>,
    notes: Markup,
}

impl<'a> Prose<'a> {
    /// A writer for a document.
    pub fn new(document: &'a Document, setting: Setting<'a>) -> Self {
        Self { document, setting, footnotes: Vec::new(), notes: Markup::new() }
    }

    /// The HTML of one part, without the footnotes that are defined in it.
    pub fn part(&mut self, index: usize) -> Markup {
        let Some(Part::Prose(events)) = self.document.parts.get(index) else {
            return Markup::new();
        };
        let (mut text, mut note) = (Vec::new(), Vec::new());
        let mut in_note = None;
        for event in events {
            match event {
                Event::Start(Tag::FootnoteDefinition(name)) => in_note = Some(self.footnote_number(name)),
                Event::End(TagEnd::FootnoteDefinition) => {
                    let number = in_note.take().unwrap_or(0);
                    let body = write(std::mem::take(&mut note));
                    let id = format!("{}note-{number}", self.setting.prefix);
                    self.notes.push(element("div").with("class", "footnote").with("id", id).holding(
                        Markup::from_iter([
                            element("span").with("class", "no").saying(&number.to_string()).into(),
                            body,
                        ]),
                    ));
                }
                event => {
                    let event = self.event(event.clone());
                    if in_note.is_some() { &mut note } else { &mut text }.push(event);
                }
            }
        }
        write(text)
    }

    /// The footnotes met so far.
    pub fn take_footnotes(&mut self) -> Markup {
        std::mem::take(&mut self.notes)
    }

    /// A heading's level on the page; a document begins with level 2, or 1, which means the same.
    fn heading(&self, level: HeadingLevel) -> HeadingLevel {
        let down = (level as usize).saturating_sub(2) + usize::from(self.setting.level);
        HeadingLevel::try_from(down).unwrap_or(HeadingLevel::H6)
    }

    fn footnote_number(&mut self, name: &str) -> usize {
        if let Some(at) = self.footnotes.iter().position(|known| known == name) {
            return at + 1;
        }
        self.footnotes.push(name.to_owned());
        self.footnotes.len()
    }

    fn event(&mut self, event: Event<'static>) -> Event<'static> {
        match event {
            Event::Code(name) => match (self.setting.address)(&name) {
                Some(address) => {
                    let link = element("a")
                        .with("href", format!("#{address}"))
                        .with("class", "symbol")
                        .holding(math::symbol_html(&name));
                    raw(link.into())
                }
                None => Event::Code(name),
            },
            Event::FootnoteReference(name) => {
                let number = self.footnote_number(&name);
                let link = element("a")
                    .with("href", format!("#{}note-{number}", self.setting.prefix))
                    .saying(&number.to_string());
                raw(element("sup").with("class", "note").holding(link).into())
            }
            Event::Start(Tag::Heading { level, .. }) => Event::Start(Tag::Heading {
                level: self.heading(level),
                id: None,
                classes: Vec::new(),
                attrs: Vec::new(),
            }),
            Event::End(TagEnd::Heading(level)) => Event::End(TagEnd::Heading(self.heading(level))),
            Event::Start(Tag::Image { link_type, dest_url, title, id }) => {
                let dest_url = match (self.setting.image)(&dest_url) {
                    Some(bytes) => data_address(&dest_url, &bytes).map_or(dest_url, CowStr::from),
                    None => dest_url,
                };
                Event::Start(Tag::Image { link_type, dest_url, title, id })
            }
            other => other,
        }
    }
}

fn raw(markup: Markup) -> Event<'static> {
    Event::InlineHtml(CowStr::from(markup.into_string()))
}

fn write(events: Vec<Event<'static>>) -> Markup {
    let mut out = String::new();
    html::push_html(&mut out, events.into_iter());
    Markup::trusted(out)
}

/// The address of an embedded image; what is no image by its name stays a link.
fn data_address(path: &str, bytes: &[u8]) -> Option<String> {
    let kind = match path.rsplit('.').next()?.to_ascii_lowercase().as_str() {
        "png" => "image/png",
        "jpg" | "jpeg" => "image/jpeg",
        "webp" => "image/webp",
        "gif" => "image/gif",
        "svg" => "image/svg+xml",
        _ => return None,
    };
    let data = base64::engine::general_purpose::STANDARD.encode(bytes);
    Some(format!("data:{kind};base64,{data}"))
}
