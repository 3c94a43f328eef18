//! Bytes to text: which encoding the file has, and what of it is no text.

use super::mistake::Mistake;
use crate::diagnostic::Code;
use crate::text::Span;
use std::borrow::Cow;

/// How a file writes its characters.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub enum Encoding {
    /// UTF-8, with or without a byte-order mark.
    Utf8,
    /// UTF-16, low byte first, by its byte-order mark.
    Utf16LittleEndian,
    /// UTF-16, high byte first, by its byte-order mark.
    Utf16BigEndian,
    /// Windows-1252: what is not UTF-8 and has no byte-order mark.
    Windows1252,
}

/// A file as text. The places of [`Mistake`]s lie in this text.
#[derive(Clone, Debug)]
pub struct Decoded<'a> {
    /// The text without a byte-order mark.
    pub text: Cow<'a, str>,
    /// What it was written in.
    pub encoding: Encoding,
}

/// Windows-1252 from 0x80 to 0x9f, elsewhere equal to Unicode; five bytes have no character.
const UPPER: [Option<char>; 32] = [
    Some('€'),
    None,
    Some('‚'),
    Some('ƒ'),
    Some('„'),
    Some('…'),
    Some('†'),
    Some('‡'),
    Some('ˆ'),
    Some('‰'),
    Some('Š'),
    Some('‹'),
    Some('Œ'),
    None,
    Some('Ž'),
    None,
    None,
    Some('‘'),
    Some('’'),
    Some('“'),
    Some('”'),
    Some('•'),
    Some('–'),
    Some('—'),
    Some('˜'),
    Some('™'),
    Some('š'),
    Some('›'),
    Some('œ'),
    None,
    Some('ž'),
    Some('Ÿ'),
];

/// Turns the bytes of a file into text.
///
/// # Errors
///
/// Half a character of UTF-16, a byte that Windows-1252 leaves free, a NUL, or more than 4 GiB.
pub fn decode(bytes: &[u8]) -> Result<Decoded<'_>, Mistake> {
    let (text, encoding) = match bytes {
        [0xef, 0xbb, 0xbf, rest @ ..] => (utf8(rest).ok_or_else(|| not_utf8(rest))?, Encoding::Utf8),
        [0xff, 0xfe, rest @ ..] => (utf16(rest, u16::from_le_bytes)?, Encoding::Utf16LittleEndian),
        [0xfe, 0xff, rest @ ..] => (utf16(rest, u16::from_be_bytes)?, Encoding::Utf16BigEndian),
        _ => match utf8(bytes) {
            Some(text) => (text, Encoding::Utf8),
            None => (windows_1252(bytes)?, Encoding::Windows1252),
        },
    };
    if u32::try_from(text.len()).is_err() {
        return Err(Mistake::new(Code::TooLarge, format!("{} bytes of text", text.len()), "less than 4 GiB"));
    }
    if let Some(at) = text.find('\0') {
        let mistake = Mistake::new(Code::NotUtf8, "a NUL character", "text")
            .at(line_of(&text.as_bytes()[..at]), Span::new(at, at + 1))
            .help("export the records as CSV in UTF-8");
        return Err(mistake);
    }
    Ok(Decoded { text, encoding })
}

fn utf8(bytes: &[u8]) -> Option<Cow<'_, str>> {
    std::str::from_utf8(bytes).ok().map(Cow::Borrowed)
}

/// A file that says it is UTF-8 and is not.
fn not_utf8(bytes: &[u8]) -> Mistake {
    let good = std::str::from_utf8(bytes).map_or_else(|error| error.valid_up_to(), str::len);
    Mistake::new(Code::NotUtf8, "bytes that are not UTF-8 behind a byte-order mark of UTF-8", "UTF-8")
        .at(line_of(&bytes[..good]), Span::default())
}

fn utf16<'a>(bytes: &[u8], join: fn([u8; 2]) -> u16) -> Result<Cow<'a, str>, Mistake> {
    let (pairs, rest) = bytes.as_chunks::<2>();
    let mut text = String::with_capacity(bytes.len() / 2);
    for character in char::decode_utf16(pairs.iter().map(|&pair| join(pair))) {
        text.push(character.map_err(|_| half_character(&text))?);
    }
    if rest.is_empty() { Ok(Cow::Owned(text)) } else { Err(half_character(&text)) }
}

fn half_character(before: &str) -> Mistake {
    Mistake::new(Code::NotUtf8, "half a character of UTF-16", "whole ones")
        .at(line_of(before.as_bytes()), Span::default())
        .help("export the records as CSV in UTF-8")
}

fn windows_1252<'a>(bytes: &[u8]) -> Result<Cow<'a, str>, Mistake> {
    let mut text = String::with_capacity(bytes.len() + bytes.len() / 16);
    for (at, &byte) in bytes.iter().enumerate() {
        let character = match byte {
            0x80..=0x9f => UPPER[usize::from(byte - 0x80)],
            _ => Some(char::from(byte)),
        };
        text.push(character.ok_or_else(|| {
            Mistake::new(
                Code::NotUtf8,
                format!("the byte 0x{byte:02x}, which is neither UTF-8 nor Windows-1252"),
                "text in UTF-8, in Windows-1252, or in UTF-16 with a byte-order mark",
            )
            .at(line_of(&bytes[..at]), Span::default())
            .help("export the records as CSV in UTF-8")
        })?);
    }
    Ok(Cow::Owned(text))
}

/// The line, from 1, on which the byte behind these stands.
fn line_of(before: &[u8]) -> usize {
    1 + super::rows::count_line_ends(before)
}
