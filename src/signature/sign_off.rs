//! A sign-off as a file: a statement, and right behind it the armoured signature.

use super::field::{Digest, Earlier};
use super::reading::{Layout, lines, read_text};
use super::statement::{Statement, is_of_earlier_form};
use crate::diagnostic::{Code, Diagnostic};
use crate::text::Span;
use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest as _, Sha256};

const BEGIN: &str = "-----BEGIN SSH SIGNATURE-----";
const END: &str = "-----END SSH SIGNATURE-----";

/// Characters of Base64 in a line, as ssh-keygen writes them.
const WIDTH: usize = 70;

/// A statement and a signature. Whether the one belongs to the other, [`verify`](super::verify()) says.
#[derive(Clone, Debug, Eq, PartialEq)]
pub struct SignOff {
    /// What was signed.
    pub statement: Statement,
    /// The bytes of the signature, without armour; not looked into yet.
    blob: Vec<u8>,
}

impl SignOff {
    /// Puts a statement together with a signature in armour, as `ssh-keygen -Y sign` writes it.
    pub fn new(statement: Statement, armour: &str) -> Result<Self, Diagnostic> {
        Self::read("signature", format!("{}{armour}", statement.text()).as_bytes())
    }

    /// Reads the file of some name.
    ///
    /// There is one way to write a sign-off, byte for byte: anything else is an error, with its place.
    pub fn read(name: &str, bytes: &[u8]) -> Result<Self, Diagnostic> {
        let source = read_text(name, bytes, Layout::Exact, Code::BadSignOff)?;
        let error = |span, message: &str| Diagnostic::error(Code::BadSignOff, &source, span, message);
        let all = source.text.len();
        let Some(begin) = lines(&source.text).find(|line| line.text == BEGIN) else {
            return Err(error(Span::new(all, all), "there is no signature in this file")
                .help(format!("a line `{BEGIN}` is expected behind the statement")));
        };
        let statement = Statement::parse(&source, begin.start)?;
        let mut base64 = String::new();
        let mut behind = lines(&source.text).skip_while(|line| line.start <= begin.start);
        let end = loop {
            match behind.next() {
                Some(line) if line.text == END => break line,
                Some(line) => base64.push_str(line.text),
                None => return Err(error(Span::new(all, all), "the signature is cut off: its last line is missing")),
            }
        };
        if let Some(line) = behind.next() {
            let message = if line.text == BEGIN { "a second signature" } else { "something" };
            return Err(error(line.span(), &format!("{message} stands behind the signature"))
                .help("a sign-off holds one statement and one signature"));
        }
        let armour = Span::new(begin.start, end.start + END.len());
        let blob = STANDARD
            .decode(&base64)
            .map_err(|_| error(armour, "the signature is damaged: it is not Base64 between its first and last line"))?;
        let read = Self { statement, blob };
        // Base64 has spare bits and lines can be cut anywhere; a file that says the same in other bytes is refused,
        // so that two sign-offs are equal exactly if their files are.
        if read.to_text() != source.text {
            return Err(error(armour, "the signature is damaged: its lines are not as ssh-keygen writes them"));
        }
        Ok(read)
    }

    /// Whether the bytes of a file begin as sign-offs did that do not cover the rules of sign-off; none of them is read.
    pub fn is_of_earlier_form(bytes: &[u8]) -> bool {
        std::str::from_utf8(bytes).is_ok_and(is_of_earlier_form)
    }

    /// As a sign-off that is made behind it names it.
    pub fn as_earlier(&self) -> Earlier {
        let facts = self.statement.facts();
        let digest = Digest(Sha256::digest(self.to_text()).into());
        Earlier { role: facts.role, signer: facts.signer.clone(), digest }
    }

    /// The text of the file.
    pub fn to_text(&self) -> String {
        format!("{}{}", self.statement.text(), self.armour())
    }

    /// The signature in armour, as `ssh-keygen -Y verify` takes it.
    pub fn armour(&self) -> String {
        let base64 = STANDARD.encode(&self.blob);
        let mut text = format!("{BEGIN}\n");
        for line in base64.as_bytes().chunks(WIDTH) {
            text.extend(line.iter().copied().map(char::from));
            text.push('\n');
        }
        text.push_str(END);
        text.push('\n');
        text
    }

    /// The kind of key that the signature names (PROTOCOL.sshsig: preamble, version, length of the key, and in the key
    /// the length of the name, then the name); nothing if it names none.
    pub(super) fn key_algorithm(&self) -> Option<&str> {
        let key = self.blob.strip_prefix(b"SSHSIG")?.get(8..)?;
        let (length, name) = key.split_first_chunk::<4>()?;
        let length = usize::try_from(u32::from_be_bytes(*length)).ok()?;
        std::str::from_utf8(name.get(..length)?).ok()
    }
}
