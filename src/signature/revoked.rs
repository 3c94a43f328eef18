//! Keys that nobody may sign with any more: the file `revoked_keys`, one OpenSSH public key a line.

use super::allowed_signers::{content, expect_key};
use super::reading::{Layout, lines, read_text};
use crate::diagnostic::{Code, Diagnostic};
use crate::text::{SourceFile, Span};
use ssh_key::public::KeyData;

/// First bytes of a binary key revocation list (PROTOCOL.krl of OpenSSH).
const KRL_MAGIC: &[u8] = b"SSHKRL\n\0";

/// A list of revoked keys. A key is revoked for good, whatever day a signer states.
#[derive(Clone, Debug, Default, Eq, PartialEq)]
pub struct RevokedKeys {
    keys: Vec<KeyData>,
}

impl RevokedKeys {
    /// Reads the file of some name, or gives all mistakes in it.
    ///
    /// The same file serves `ssh-keygen -Y verify -r`. Lines that begin with `#` are comments.
    pub fn read(name: &str, bytes: &[u8]) -> Result<Self, Vec<Diagnostic>> {
        if bytes.starts_with(KRL_MAGIC) {
            let message = "this is a binary key revocation list (KRL), which is not supported";
            let source = SourceFile::new(name, "");
            return Err(vec![
                Diagnostic::error(Code::BadSigners, &source, Span::new(0, 0), message)
                    .help("list the revoked public keys as text, one a line"),
            ]);
        }
        let source = read_text(name, bytes, Layout::Free, Code::BadSigners).map_err(|error| vec![error])?;
        let (mut keys, mut mistakes) = (Vec::new(), Vec::new());
        for line in lines(&source.text).filter_map(content) {
            match expect_key(&source, line) {
                Ok(key) => keys.push(key),
                Err(mistake) => mistakes.push(mistake),
            }
        }
        if mistakes.is_empty() { Ok(Self { keys }) } else { Err(mistakes) }
    }

    pub(super) fn holds(&self, key: &KeyData) -> bool {
        self.keys.contains(key)
    }
}
