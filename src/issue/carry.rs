//! Putting sources into a page and taking them out.
//!
//! They stand in a `template` element, which browsers neither show, read out, print nor run, as Base64: none of its
//! characters means anything to HTML, so that no text of a sheet can end the element.

use super::sources::Sources;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;

const OPEN: &str = "<template id=\"page:sources\">\n";
const CLOSE: &str = "</template>\n";
const END: &str = "</body>";
/// Characters of a line.
const WIDTH: usize = 120;

/// A page with its sources.
pub fn carry(page: &str, sources: &Sources) -> String {
    let base64 = STANDARD.encode(sources.write());
    let (before, after) = page.rsplit_once(END).unwrap_or((page, ""));
    let mut out = String::with_capacity(page.len() + base64.len() + base64.len() / WIDTH + OPEN.len() + CLOSE.len());
    out.push_str(before);
    out.push_str(OPEN);
    for line in base64.as_bytes().chunks(WIDTH) {
        out.extend(line.iter().copied().map(char::from));
        out.push('\n');
    }
    out.push_str(CLOSE);
    out.push_str(END);
    out.push_str(after);
    out
}

/// The sources that a page carries, or why they cannot be read.
pub fn carried(page: &[u8]) -> Result<Sources, String> {
    let page = std::str::from_utf8(page).map_err(|_| "it is not text in UTF-8".to_owned())?;
    // Nothing that a sheet says reaches the page with a `<` of its own.
    let block = page.rsplit_once(OPEN).and_then(|(_, behind)| behind.split_once(CLOSE)).map(|(block, _)| block);
    let block = block.ok_or_else(|| "it does not carry what it was made of".to_owned())?;
    let base64: String = block.split('\n').collect();
    let bytes = STANDARD.decode(base64).map_err(|_| "what it carries is damaged: it is not Base64".to_owned())?;
    Sources::read(&bytes)
}
