//! Text files taken strictly, before anything in them is believed.

use super::field::in_words;
use crate::diagnostic::{Code, Diagnostic};
use crate::text::{SourceFile, Span};
use std::sync::Arc;

/// Files of sign-offs, signers and revoked keys hold at most this many bytes.
pub(super) const FILE_LIMIT: usize = 1 << 20;

/// How free the writing of a file is.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub(super) enum Layout {
    /// Written by this program and signed: every line ends in a line feed alone.
    Exact,
    /// Written by people: tabs, and lines that end in CR LF.
    Free,
}

/// One line without its end, and where it starts in its file.
#[derive(Copy, Clone, Debug)]
pub(super) struct Line<'a> {
    pub text: &'a str,
    pub start: usize,
}

impl Line<'_> {
    /// The whole line.
    pub fn span(self) -> Span {
        Span::new(self.start, self.start + self.text.len())
    }
}

/// The lines of a text, which ends with its last line feed or its last character.
pub(super) fn lines(text: &str) -> impl Iterator<Item = Line<'_>> {
    let mut start = 0;
    text.split_inclusive('\n').map(move |whole| {
        let line = Line { text: whole.strip_suffix('\n').unwrap_or(whole), start };
        start += whole.len();
        line
    })
}

/// Takes the bytes of a file as text, or says where and why they are none.
pub(super) fn read_text(name: &str, bytes: &[u8], layout: Layout, code: Code) -> Result<Arc<SourceFile>, Diagnostic> {
    let start = Span::new(0, 0);
    if bytes.len() > FILE_LIMIT {
        let source = SourceFile::new(name, "");
        let message = format!("this file holds {} bytes; it may hold {FILE_LIMIT}", bytes.len());
        return Err(Diagnostic::error(Code::TooLarge, &source, start, message));
    }
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let at = error.valid_up_to();
        let source = SourceFile::new(name, String::from_utf8_lossy(&bytes[..at]));
        let message = "this file is not text in UTF-8 from here on";
        Diagnostic::error(Code::NotUtf8, &source, Span::new(at, at), message)
    })?;
    let source = SourceFile::new(name, text);
    if let Some(line) = lines(text).find(|line| is_conflict_marker(line.text)) {
        let message = "a merge left its conflict markers in this file";
        return Err(Diagnostic::error(Code::MergeConflict, &source, line.span(), message)
            .help("take one side or the other as a whole, and commit the file again"));
    }
    for (at, character) in text.char_indices() {
        let is_line_end = match layout {
            Layout::Exact => character == '\n',
            Layout::Free => matches!(character, '\n' | '\t') || text[at..].starts_with("\r\n"),
        };
        if is_line_end {
            continue;
        }
        let Some(what) = unfit_character(character) else { continue };
        let span = Span::new(at, at + character.len_utf8());
        let found = Diagnostic::error(code, &source, span, format!("{what} cannot stand in this file"));
        return Err(match character {
            '\r' => found.help(
                "lines end in LF alone; `-text` beside the name of these files in `.gitattributes` keeps git from \
                 changing that",
            ),
            _ => found,
        });
    }
    Ok(source)
}

/// A line that git leaves where it cannot merge.
fn is_conflict_marker(line: &str) -> bool {
    let line = line.strip_suffix('\r').unwrap_or(line);
    line == "======="
        || ["<<<<<<<", "|||||||", ">>>>>>>"]
            .iter()
            .any(|marker| line.strip_prefix(marker).is_some_and(|behind| behind.is_empty() || behind.starts_with(' ')))
}

/// Words for a character that nobody sees or that changes how others are read; `None` for all others.
///
/// Who signs a text must see what it says: so nothing that turns the direction of writing, nothing without width that
/// no language needs, and no other way to end a line.
pub(super) fn unfit_character(character: char) -> Option<String> {
    let what = match character {
        '\r' => "a carriage return".to_owned(),
        '\t' => "a tab".to_owned(),
        c if c.is_control() => format!("the control character U+{:04X}", u32::from(c)),
        '\u{2028}' | '\u{2029}' => format!("another kind of line end, {}", in_words(character)),
        '\u{061c}' | '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' => {
            format!("a character that turns the direction of writing, {}", in_words(character))
        }
        '\u{00ad}' | '\u{200b}' | '\u{2060}'..='\u{2064}' | '\u{feff}' | '\u{e0000}'..='\u{e007f}' => {
            format!("a character that cannot be seen, {}", in_words(character))
        }
        _ => return None,
    };
    Some(what)
}
