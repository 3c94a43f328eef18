//! HTML, MathML and SVG as text that is escaped already: one tree, one writer, one place that escapes.

use std::fmt::{self, Write};

/// Markup, escaped. Joined with [`Markup::push`]; text enters only through [`Markup::text`] and [`Markup::say`].
#[derive(Clone, Debug, Default, Eq, PartialEq)]
pub struct Markup(String);

/// One element while it is written.
#[derive(Clone, Debug)]
pub struct Element {
    name: &'static str,
    attributes: String,
    content: Markup,
}

impl Markup {
    /// Nothing.
    pub fn new() -> Self {
        Self::default()
    }

    /// Nothing yet, with room for so many bytes.
    pub fn with_capacity(bytes: usize) -> Self {
        Self(String::with_capacity(bytes))
    }

    /// Text, escaped.
    pub fn text(text: &str) -> Self {
        let mut markup = Self::default();
        escape(&mut markup.0, text);
        markup
    }

    /// Text that is known to be markup, such as that of the Markdown writer.
    pub fn trusted(markup: String) -> Self {
        Self(markup)
    }

    /// Puts markup behind.
    pub fn push(&mut self, other: impl Into<Markup>) {
        self.0.push_str(&other.into().0);
    }

    /// Puts tags behind that the program itself is written with.
    pub fn tags(&mut self, tags: &'static str) {
        self.0.push_str(tags);
    }

    /// Puts text behind, escaped.
    pub fn say(&mut self, text: &str) {
        escape(&mut self.0, text);
    }

    /// Puts a whole number behind.
    pub fn count(&mut self, number: u32) {
        let _ = write!(self.0, "{number}");
    }

    /// What is written to, for writers that escape by themselves.
    pub(super) fn raw(&mut self) -> &mut String {
        &mut self.0
    }

    /// Whether there is nothing.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// As a string.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// As a string.
    pub fn into_string(self) -> String {
        self.0
    }
}

impl fmt::Display for Markup {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl From<Element> for Markup {
    fn from(element: Element) -> Self {
        let Element { name, attributes, content } = element;
        let mut out = String::with_capacity(name.len() * 2 + attributes.len() + content.0.len() + 5);
        let _ = write!(out, "<{name}{attributes}>{}", content.0);
        if !VOID.contains(&name) {
            let _ = write!(out, "</{name}>");
        }
        Self(out)
    }
}

/// HTML elements that have no end tag.
const VOID: &[&str] = &["br", "hr", "img", "meta", "link", "input", "wbr"];

impl FromIterator<Markup> for Markup {
    fn from_iter<T: IntoIterator<Item = Markup>>(parts: T) -> Self {
        let mut all = Self::default();
        for part in parts {
            all.push(part);
        }
        all
    }
}

/// An element without attributes or content.
pub fn element(name: &'static str) -> Element {
    Element { name, attributes: String::new(), content: Markup::default() }
}

impl Element {
    /// An attribute; its value is escaped.
    #[must_use]
    pub fn with(mut self, name: &str, value: impl fmt::Display) -> Self {
        let _ = write!(self.attributes, " {name}=\"");
        escape(&mut self.attributes, &value.to_string());
        self.attributes.push('"');
        self
    }

    /// Markup inside.
    #[must_use]
    pub fn holding(mut self, content: impl Into<Markup>) -> Self {
        self.content.push(content);
        self
    }

    /// Text inside.
    #[must_use]
    pub fn saying(self, text: &str) -> Self {
        self.holding(Markup::text(text))
    }
}

/// Writes text escaped.
pub(super) fn escape(out: &mut String, text: &str) {
    // Most text has nothing to escape. Control characters beyond ASCII begin with the byte C2, as do `·` and `²`.
    let is_special = |byte: u8| byte < b' ' || matches!(byte, b'&' | b'<' | b'>' | b'"' | b'\'' | 0x7F | 0xC2);
    if !text.bytes().any(is_special) {
        out.push_str(text);
        return;
    }
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            // Control characters have no place in HTML or XML.
            c if c.is_control() && c != '\n' && c != '\t' => out.push('\u{fffd}'),
            c => out.push(c),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_and_attributes_are_escaped_once() {
        let markup: Markup = element("p").with("title", "a \"b\" <c>").saying("x < y & z").into();
        assert_eq!(markup.as_str(), "<p title=\"a &quot;b&quot; &lt;c&gt;\">x &lt; y &amp; z</p>");
    }
}
