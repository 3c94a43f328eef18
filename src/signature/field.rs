//! What the lines of a statement hold: digests, roles, principals and parts.

use super::reading::unfit_character;
use serde::{Deserialize, Serialize};
use std::fmt;
use std::fmt::Write;
use std::str::FromStr;

/// A SHA-256 digest, written as 64 hexadecimal digits in lower case.
#[derive(Copy, Clone, Debug, Eq, PartialEq, Ord, PartialOrd, Hash)]
pub struct Digest(pub [u8; 32]);

impl fmt::Display for Digest {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(f, "{byte:02x}"))
    }
}

impl FromStr for Digest {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let wrong = || "a SHA-256 digest is 64 hexadecimal digits in lower case".to_owned();
        let digit = |byte: u8| match byte {
            b'0'..=b'9' => Some(byte - b'0'),
            b'a'..=b'f' => Some(byte - b'a' + 10),
            _ => None,
        };
        let digits: Option<Vec<u8>> = text.bytes().map(digit).collect();
        let bytes: Vec<u8> =
            digits.ok_or_else(wrong)?.chunks(2).map(|pair| pair.iter().fold(0, |n, d| n << 4 | d)).collect();
        if text.len() != 64 {
            return Err(wrong());
        }
        bytes.try_into().map(Self).map_err(|_| wrong())
    }
}

/// In which role somebody signs; in the order in which a calculation passes through them.
#[derive(Copy, Clone, Debug, Eq, PartialEq, Ord, PartialOrd, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Role {
    /// Made the calculation.
    Creator,
    /// Followed it line by line.
    Checker,
    /// Releases it for use.
    Approver,
}

impl Role {
    /// All roles, in order.
    pub const ALL: [Self; 3] = [Self::Creator, Self::Checker, Self::Approver];

    /// Its name, as it is signed.
    pub fn name(self) -> &'static str {
        match self {
            Self::Creator => "creator",
            Self::Checker => "checker",
            Self::Approver => "approver",
        }
    }
}

impl fmt::Display for Role {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl FromStr for Role {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let found = Self::ALL.into_iter().find(|role| role.name() == text);
        found.ok_or_else(|| format!("`{text}` is no role: creator, checker or approver"))
    }
}

/// Who signs: the name that a list of allowed signers knows a person by, such as `rt@fellmere.example`.
///
/// Visible ASCII without what has a meaning in such a list or on a command line, at most 255 characters.
#[derive(Clone, Debug, Eq, PartialEq, Ord, PartialOrd, Hash)]
pub struct Principal(String);

impl Principal {
    /// The name.
    pub fn as_str(&self) -> &str {
        &self.0
    }

    /// Whether two names are one person's: a name that differs in upper and lower case alone is not another person.
    pub fn is_same_person(&self, other: &Self) -> bool {
        self.0.eq_ignore_ascii_case(&other.0)
    }
}

impl fmt::Display for Principal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

impl FromStr for Principal {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        if text.is_empty() || text.len() > 255 || text.starts_with('-') {
            return Err("a signer is a name of 1 to 255 characters that starts with no hyphen".to_owned());
        }
        match text.chars().find(|c| !c.is_ascii_graphic() || "*?,!\"#\\".contains(*c)) {
            Some(wrong) => Err(format!("{} cannot stand in the name of a signer", in_words(wrong))),
            None => Ok(Self(text.to_owned())),
        }
    }
}

/// A sign-off that was there before another one: in which role, by whom, and the SHA-256 digest of its file.
///
/// Nobody can name the digest of a signature that was not made yet, so that the order is proved without any clock.
#[derive(Clone, Debug, Eq, PartialEq, Ord, PartialOrd)]
pub struct Earlier {
    /// In which role.
    pub role: Role,
    /// Who signed.
    pub signer: Principal,
    /// Of the whole file, as `sha256sum` gives it.
    pub digest: Digest,
}

impl fmt::Display for Earlier {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} {} {}", self.role, self.signer, self.digest)
    }
}

impl FromStr for Earlier {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let words: Vec<&str> = text.split(' ').collect();
        let [role, signer, digest] = words.as_slice() else {
            return Err("an earlier sign-off is told by role, signer and digest".to_owned());
        };
        Ok(Self { role: role.parse()?, signer: signer.parse()?, digest: digest.parse()? })
    }
}

/// One component of the digest: a name such as `sheet B4.md` and the digest of its content.
#[derive(Clone, Debug, Eq, PartialEq)]
pub struct Part {
    /// What it is; any text of one line.
    pub name: String,
    /// Of its content.
    pub digest: Digest,
}

/// Why a text cannot stand in one line of a statement; `None` if it can.
pub(super) fn unfit_text(text: &str) -> Option<String> {
    if text.is_empty() {
        return Some("it is empty".to_owned());
    }
    if text.trim() != text {
        return Some("it begins or ends with a space".to_owned());
    }
    text.chars().find_map(unfit_character).map(|what| format!("it holds {what}"))
}

/// Why a text is no path inside a package; `None` if it is one.
pub(super) fn unfit_path(text: &str) -> Option<String> {
    let has_odd_step = text.split('/').any(|step| step.is_empty() || step == "." || step == "..");
    if has_odd_step || text.contains('\\') {
        return Some("it is no path inside a package, with / between folders and names".to_owned());
    }
    unfit_text(text)
}

/// A character as a message can show it.
pub(super) fn in_words(character: char) -> String {
    let mut out = String::new();
    let _ = match character {
        ' ' => write!(out, "a space"),
        c if c.is_ascii_graphic() => write!(out, "`{c}`"),
        c => write!(out, "the character U+{:04X}", u32::from(c)),
    };
    out
}
