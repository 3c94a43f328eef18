//! A reader of pages for tests: strict about nesting, so that a template's slip cannot hide.

/// The elements of a page in their order.
pub struct Html {
    elements: Vec<Element>,
}

struct Element {
    name: String,
    attributes: Vec<(String, String)>,
    /// The text inside, without that of `style`.
    text: String,
}

const VOID: &[&str] = &["meta", "br", "hr", "img"];

impl Html {
    /// Reads a page; panics where elements do not nest.
    pub fn read(html: &str) -> Self {
        let mut elements: Vec<Element> = Vec::new();
        let mut open: Vec<usize> = Vec::new();
        let mut rest = html.strip_prefix("<!doctype html>").expect("a document type");
        while let Some(at) = rest.find('<') {
            for index in &open {
                elements[*index].text.push_str(&rest[..at]);
            }
            let end = rest[at..].find('>').expect("a tag ends") + at;
            let tag = &rest[at + 1..end];
            rest = &rest[end + 1..];
            if let Some(name) = tag.strip_prefix('/') {
                let last = open.pop().unwrap_or_else(|| panic!("`</{name}>` closes nothing"));
                assert_eq!(elements[last].name, name, "`</{name}>` closes `<{}>`", elements[last].name);
                continue;
            }
            let element = Element::read(tag.trim_end_matches('/'));
            let is_void = tag.ends_with('/') || VOID.contains(&element.name.as_str());
            if element.name == "style" {
                rest = &rest[rest.find("</style").expect("the style ends")..];
            }
            elements.push(element);
            if !is_void {
                open.push(elements.len() - 1);
            }
        }
        assert!(open.is_empty(), "`<{}>` stays open", elements[open[0]].name);
        Self { elements }
    }

    /// Each heading with its level and address.
    pub fn headings(&self) -> Vec<String> {
        let is_heading = |name: &str| matches!(name.as_bytes(), [b'h', b'1'..=b'6']);
        self.elements
            .iter()
            .filter(|element| is_heading(&element.name))
            .map(|element| {
                let id = element.attributes.iter().find(|(name, _)| name == "id");
                let id = id.map_or_else(String::new, |(_, id)| format!(" #{id}"));
                format!("{}{id} {}", element.name, element.text)
            })
            .collect()
    }

    /// Every value of an attribute.
    pub fn attributes(&self, name: &str) -> Vec<String> {
        self.elements
            .iter()
            .flat_map(|element| &element.attributes)
            .filter(|(own, _)| own == name)
            .map(|(_, value)| value.clone())
            .collect()
    }

    /// Each element's name with the names of its attributes.
    pub fn outline(&self) -> Vec<String> {
        self.elements
            .iter()
            .map(|element| {
                let names = element.attributes.iter().map(|(name, _)| format!(" {name}"));
                element.name.clone() + &names.collect::<String>()
            })
            .collect()
    }
}

impl Element {
    fn read(tag: &str) -> Self {
        let (name, mut rest) = tag.split_once(char::is_whitespace).unwrap_or((tag, ""));
        let mut attributes = Vec::new();
        loop {
            rest = rest.trim_start();
            if rest.is_empty() {
                break;
            }
            let end = rest.find(|c: char| c == '=' || c.is_whitespace()).unwrap_or(rest.len());
            let name = rest[..end].to_owned();
            rest = &rest[end..];
            let mut value = String::new();
            if let Some(quoted) = rest.strip_prefix("=\"") {
                let close = quoted.find('"').expect("a value ends");
                value = quoted[..close].to_owned();
                rest = &quoted[close + 1..];
            }
            attributes.push((name, value));
        }
        Self { name: name.to_owned(), attributes, text: String::new() }
    }
}
