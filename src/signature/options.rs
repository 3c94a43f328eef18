//! The options of an allowed signer: for what, from when and until when a key is accepted.

use super::day::Instant;
use super::pattern::PatternList;

/// What a line of allowed signers says about its key.
#[derive(Clone, Debug, Default, Eq, PartialEq)]
pub(super) struct Options {
    /// Namespaces that the key may sign for; all where absent.
    pub namespaces: Option<PatternList>,
    /// Accepted from then on.
    pub valid_after: Option<Instant>,
    /// Accepted until then.
    pub valid_before: Option<Instant>,
}

/// What is wrong with options: where, in bytes from their start, what, and what to do.
#[derive(Clone, Debug, Eq, PartialEq)]
pub(super) struct Mistake {
    pub from: usize,
    pub to: usize,
    pub message: String,
    pub help: Option<&'static str>,
}

/// The length of the options at the start of a text: up to the first blank outside quotes.
pub(super) fn length(text: &str) -> usize {
    let bytes = text.as_bytes();
    let (mut at, mut is_quoted) = (0, false);
    while let Some(&byte) = bytes.get(at) {
        match byte {
            b'\\' if bytes.get(at + 1) == Some(&b'"') => at += 1,
            b'"' => is_quoted = !is_quoted,
            b' ' | b'\t' if !is_quoted => break,
            _ => {}
        }
        at += 1;
    }
    at.min(bytes.len())
}

/// Reads options with commas between them.
pub(super) fn parse(text: &str) -> Result<Options, Mistake> {
    let mut options = Options::default();
    let mut at = 0;
    loop {
        let rest = &text[at..];
        let name_length = rest.find(['=', ',']).unwrap_or(rest.len());
        let name = rest[..name_length].to_ascii_lowercase();
        let mistake = |to: usize, message: String, help| Mistake { from: at, to, message, help };
        let end_of_name = at + name_length;
        match name.as_str() {
            "cert-authority" => {
                let help = "list the key of every signer in a line of its own";
                let message = "signatures by certificates are not supported, so no authority for them can be allowed";
                return Err(mistake(end_of_name, message.to_owned(), Some(help)));
            }
            "namespaces" | "valid-after" | "valid-before" => {}
            _ => {
                let help = "known are namespaces=\"…\", valid-after=\"…\" and valid-before=\"…\"";
                let message = format!("`{}` is no option of an allowed signer", &rest[..name_length]);
                return Err(mistake(end_of_name, message, Some(help)));
            }
        }
        let quoted = rest[name_length..].strip_prefix("=\"").and_then(dequote);
        let Some((value, length)) = quoted else {
            let help = Some("write it as namespaces=\"soleplate-sign-off\" or valid-after=\"20261120\"");
            return Err(mistake(text.len(), format!("the value of `{name}` does not stand in quotes"), help));
        };
        let end = end_of_name + 2 + length;
        let twice = || mistake(end, format!("`{name}` stands twice"), None);
        let wrong = |why: String| mistake(end, why, None);
        match name.as_str() {
            "namespaces" => set(&mut options.namespaces, value.parse().map_err(wrong)?).ok_or_else(twice)?,
            "valid-after" => set(&mut options.valid_after, value.parse().map_err(wrong)?).ok_or_else(twice)?,
            _ => set(&mut options.valid_before, value.parse().map_err(wrong)?).ok_or_else(twice)?,
        }
        match text[end..].chars().next() {
            None => break,
            Some(',') if end + 1 < text.len() => at = end + 1,
            Some(_) => {
                let message = "options are separated by commas, and none stands behind the last".to_owned();
                return Err(Mistake { from: end, to: text.len(), message, help: None });
            }
        }
    }
    if let (Some(after), Some(before)) = (options.valid_after, options.valid_before)
        && before <= after
    {
        let message = "`valid-before` is not later than `valid-after`, so that nothing is ever signed with it";
        return Err(Mistake { from: 0, to: text.len(), message: message.to_owned(), help: None });
    }
    Ok(options)
}

/// Fills a place that is empty, or gives nothing.
fn set<T>(place: &mut Option<T>, value: T) -> Option<()> {
    place.replace(value).is_none().then_some(())
}

/// The text up to the closing quote, and how many bytes it takes with that quote; `\"` stands for a quote in it.
fn dequote(text: &str) -> Option<(String, usize)> {
    let mut value = String::new();
    let mut characters = text.char_indices();
    while let Some((at, character)) = characters.next() {
        match character {
            '"' => return Some((value, at + 1)),
            '\\' if text[at + 1..].starts_with('"') => {
                value.push('"');
                characters.next();
            }
            _ => value.push(character),
        }
    }
    None
}
