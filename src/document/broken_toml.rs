//! What is wrong with TOML, in the words of somebody who writes sheets.

use crate::diagnostic::{Code, Diagnostic};
use crate::text::{SourceFile, Span};
use std::sync::Arc;

/// The finding for TOML that could not be read; `what` names it, `offset` is its first byte in the file.
pub fn broken_toml(
    code: Code,
    source: &Arc<SourceFile>,
    offset: usize,
    what: &str,
    error: &toml::de::Error,
) -> Diagnostic {
    let at = error.span().unwrap_or(0..0);
    let found = source.text.get(offset + at.start..offset + at.end).unwrap_or("");
    let length = found.lines().next().unwrap_or("").len();
    let span = Span::new(offset + at.start, offset + at.start + length);
    let message = error.message();
    let say = |message: String| Diagnostic::error(code, source, span, message);
    let quoted: Vec<&str> = message.split('`').skip(1).step_by(2).collect();
    match quoted.split_first() {
        Some((name, keys)) if message.starts_with("unknown field") => say(format!("`{name}` is not a key of {what}"))
            .note(format!("its keys are {}", keys.join(", ")))
            .suggest(name, keys.iter().copied()),
        Some((name, words)) if message.starts_with("unknown variant") => say(format!("`{name}` is not known here"))
            .help(format!(
                "write {}",
                words.iter().map(|word| format!("`\"{word}\"`")).collect::<Vec<_>>().join(" or ")
            )),
        Some((name, _)) if message.starts_with("missing field") => {
            say(format!("{what} lacks `{name}`")).help(match *name {
                "values" => "add a line `[values]` and the values below it".to_owned(),
                name => format!("add `{name} = \"…\"`"),
            })
        }
        _ if message.starts_with("invalid type") => {
            let finding = say(format!("{what} holds a value of another kind: {}", after(message, "invalid type: ")));
            match message.ends_with("a string") {
                true => finding.help("write the value in quotes"),
                false => finding,
            }
        }
        _ if message.starts_with("invalid basic string") => {
            say(format!("{what} cannot be read: a text is not closed")).help("close it with `\"` on the same line")
        }
        _ => say(format!("{what} cannot be read: {}", message.replace('\n', "; "))),
    }
}

fn after<'a>(text: &'a str, start: &str) -> &'a str {
    text.strip_prefix(start).unwrap_or(text)
}

/// The place of a key's line in TOML, or its start where there is none.
pub fn place_of_key(source: &SourceFile, offset: usize, end: usize, key: &str) -> Span {
    let text = source.text.get(offset..end).unwrap_or("");
    let mut at = offset;
    for line in text.split_inclusive('\n') {
        if line.trim_start().strip_prefix(key).is_some_and(|rest| rest.trim_start().starts_with('=')) {
            return Span::new(at, at + line.trim_end().len());
        }
        at += line.len();
    }
    Span::new(offset, offset)
}
