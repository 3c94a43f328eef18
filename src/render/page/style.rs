//! The style sheet with its fonts, and the margins of the printed page.

use crate::render::view::PageView;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use std::fmt::Write;

/// The style sheets in the order of their names, which is the order in which they apply.
pub const SHEETS: &[(&str, &str)] = &[
    ("base.css", include_str!("../../../templates/style/base.css")),
    ("card.css", include_str!("../../../templates/style/card.css")),
    ("figure.css", include_str!("../../../templates/style/figure.css")),
    ("math.css", include_str!("../../../templates/style/math.css")),
    ("page.css", include_str!("../../../templates/style/page.css")),
    ("print.css", include_str!("../../../templates/style/print.css")),
    ("records.css", include_str!("../../../templates/style/records.css")),
    ("review.css", include_str!("../../../templates/style/review.css")),
];

/// What only the page of a comparison needs.
pub const COMPARISON: &str = include_str!("../../../templates/comparison.css");

/// A font face in the page.
struct Face {
    family: &'static str,
    weight: &'static str,
    style: &'static str,
    bytes: &'static [u8],
}

const FACES: &[Face] = &[
    Face {
        family: "Soleplate Math",
        weight: "400",
        style: "normal",
        bytes: include_bytes!("../../../templates/font/soleplate-math.woff2"),
    },
    Face {
        family: "Soleplate Text",
        weight: "400",
        style: "normal",
        bytes: include_bytes!("../../../templates/font/soleplate-text-regular.woff2"),
    },
    Face {
        family: "Soleplate Text",
        weight: "400",
        style: "italic",
        bytes: include_bytes!("../../../templates/font/soleplate-text-italic.woff2"),
    },
    Face {
        family: "Soleplate Text",
        weight: "700",
        style: "normal",
        bytes: include_bytes!("../../../templates/font/soleplate-text-bold.woff2"),
    },
];

/// Fonts and style sheets, the same for every page.
pub fn sheet() -> String {
    let mut css = String::new();
    for face in FACES {
        let _ = writeln!(
            css,
            "@font-face{{font-family:\"{}\";font-weight:{};font-style:{};src:url(data:font/woff2;base64,{})}}",
            face.family,
            face.weight,
            face.style,
            STANDARD.encode(face.bytes)
        );
    }
    for (_, text) in SHEETS {
        css.push_str(text);
    }
    css
}

/// Margins of a calculation's sheets: what it is, and that it is unchecked, on every sheet after the first; on the leaves of
/// a card what it is for, its product, and whether it may be used, so that a second leaf is not taken for another card's.
///
/// Margin boxes cannot read the page's text in every browser, so the words are set as strings.
pub fn margins(view: &PageView) -> String {
    let head = &view.head;
    let mut css = running(&joined(&[&head.number, &head.revision, &head.title]), &head.status);
    for (at, card) in view.cards.iter().enumerate() {
        let product = card.products.first().map_or("", |(title, _)| title.as_str());
        let use_of_it = match (card.withheld.is_empty() && card.bars.is_empty(), card.open.is_empty()) {
            (false, _) => "NOT FOR USE".to_owned(),
            (true, false) => format!("open, to be settled {}", card.settled),
            (true, true) => String::new(),
        };
        let _ = writeln!(
            css,
            "[id=\"{}\"]{{page:card-{at}}}@page card-{at}{{margin:14mm 14mm 13mm 16mm;@top-left{{content:{}}}@top-right{{content:{}}}}}",
            card.id,
            css_string(&joined(&[&head.number, &head.revision, &card.title, product])),
            css_string(&joined(&[&use_of_it, &head.status])),
        );
    }
    css
}

/// Margins of the index.
pub fn index_margins(title: &str) -> String {
    running(title, "")
}

fn running(name: &str, status: &str) -> String {
    format!(
        "@page{{@top-left{{content:{}}}@top-right{{content:{}}}}}\n\
         @page:first{{@top-left{{content:none}}@top-right{{content:none}}}}\n",
        css_string(name),
        css_string(status)
    )
}

/// The parts that are not empty, with points between them.
pub fn joined(parts: &[&str]) -> String {
    let parts: Vec<&str> = parts.iter().copied().filter(|part| !part.is_empty()).collect();
    parts.join(" · ")
}

/// A text as a string of CSS that can neither leave its quotes nor end the `style` element.
pub fn css_string(text: &str) -> String {
    let mut out = String::with_capacity(text.len() + 2);
    out.push('"');
    for c in text.chars() {
        if c.is_control() || matches!(c, '"' | '\\' | '<' | '>' | '&' | '\u{2028}' | '\u{2029}') {
            let _ = write!(out, "\\{:x} ", u32::from(c));
        } else {
            out.push(c);
        }
    }
    out.push('"');
    out
}
