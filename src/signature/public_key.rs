//! Public keys as one line of OpenSSH text has them, and what signatures by them can be verified.

use ssh_key::public::KeyData;
use ssh_key::{Algorithm, EcdsaCurve, HashAlg, PublicKey};
use std::fmt;

/// The short name of a public key, as `ssh-keygen -l` shows it: `SHA256:` and 43 characters of Base64.
#[derive(Clone, Debug, Eq, PartialEq, Ord, PartialOrd, Hash)]
pub struct Fingerprint(String);

impl Fingerprint {
    pub(super) fn of(key: &KeyData) -> Self {
        Self(key.fingerprint(HashAlg::Sha256).to_string())
    }

    /// The fingerprint as text.
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl fmt::Display for Fingerprint {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.0)
    }
}

/// What kind of key a word names.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub(super) enum KeyType {
    /// A key.
    Plain,
    /// A certificate: a key with the word of an authority.
    Certificate,
    /// No kind of key that is known.
    Unknown,
}

/// Looks at the word before the Base64 of a key.
pub(super) fn key_type(word: &str) -> KeyType {
    if word.ends_with("-cert-v01@openssh.com") {
        return KeyType::Certificate;
    }
    match Algorithm::new(word) {
        Ok(Algorithm::Other(_)) | Err(_) => KeyType::Unknown,
        Ok(_) => KeyType::Plain,
    }
}

/// Reads a key from its type and its Base64.
pub(super) fn read_key(kind: &str, base64: &str) -> Option<KeyData> {
    PublicKey::from_openssh(&format!("{kind} {base64}")).ok().map(KeyData::from)
}

/// Whether signatures by this key can be verified here: Ed25519 and ECDSA on NIST P-256, in software or hardware.
pub(super) fn is_supported(key: &KeyData) -> bool {
    matches!(
        key.algorithm(),
        Algorithm::Ed25519
            | Algorithm::SkEd25519
            | Algorithm::SkEcdsaSha2NistP256
            | Algorithm::Ecdsa { curve: EcdsaCurve::NistP256 }
    )
}
