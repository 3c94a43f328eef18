//! What a sign-off is worth, and how that is told.

use super::NAMESPACE;
use super::day::{Day, Instant};
use super::field::Principal;
use super::public_key::Fingerprint;
use std::fmt;

/// What came out when a sign-off was verified. Its display is a sentence without a full stop.
#[derive(Clone, Debug, Eq, PartialEq)]
pub enum Verdict {
    /// The text is as it was signed, by a key that its signer may use on the stated day.
    Good {
        /// Who.
        principal: Principal,
        /// With which key.
        fingerprint: Fingerprint,
    },
    /// The key is in no line of the allowed signers.
    UnknownKey {
        /// Which.
        fingerprint: Fingerprint,
    },
    /// The key belongs to somebody else than the signer that the statement names.
    KeyOfAnother {
        /// Who is named.
        signer: Principal,
        /// Which key signed.
        fingerprint: Fingerprint,
        /// Whose key it is, as the list has it.
        owners: Vec<String>,
    },
    /// The signature was made for something else.
    WrongNamespace {
        /// For what.
        found: String,
    },
    /// The key is listed for other purposes only.
    NamespaceNotAllowed {
        /// Who.
        principal: Principal,
        /// Which key.
        fingerprint: Fingerprint,
    },
    /// On the stated day the key was not accepted yet.
    NotYetValid {
        /// Who.
        principal: Principal,
        /// The stated day.
        stated: Day,
        /// From when on it is accepted.
        from: Instant,
    },
    /// On the stated day the key was not accepted any more.
    Expired {
        /// Who.
        principal: Principal,
        /// The stated day.
        stated: Day,
        /// Until when it was accepted.
        until: Instant,
    },
    /// The key is revoked.
    Revoked {
        /// Which.
        fingerprint: Fingerprint,
    },
    /// The signature does not belong to this text.
    OtherText {
        /// Which key it claims to be by; nothing shows that it is.
        fingerprint: Fingerprint,
    },
    /// The signature cannot be read.
    Damaged {
        /// What is wrong with it.
        why: String,
    },
    /// Signatures by this kind of key cannot be verified here.
    UnsupportedKey {
        /// Which kind, as OpenSSH names it.
        algorithm: String,
    },
}

impl Verdict {
    /// Whether the sign-off holds.
    pub fn is_good(&self) -> bool {
        matches!(self, Self::Good { .. })
    }
}

impl fmt::Display for Verdict {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Good { principal, fingerprint } => write!(f, "signed by {principal} with the key {fingerprint}"),
            Self::UnknownKey { fingerprint } => {
                write!(f, "the key {fingerprint} is not among the allowed signers")
            }
            Self::KeyOfAnother { signer, fingerprint, owners } => write!(
                f,
                "the statement names {signer} as the signer, but the key {fingerprint} is listed for {}",
                owners.join(" and for ")
            ),
            Self::WrongNamespace { found } => {
                write!(f, "the signature was made for `{found}`, not for `{NAMESPACE}`: it is no sign-off")
            }
            Self::NamespaceNotAllowed { principal, fingerprint } => {
                write!(
                    f,
                    "the key {fingerprint} of {principal} is allowed for other purposes only, not for `{NAMESPACE}`"
                )
            }
            Self::NotYetValid { principal, stated, from } => write!(
                f,
                "{principal} states that it was signed on {stated}, but the key is accepted from {from} on, for whole days"
            ),
            Self::Expired { principal, stated, until } => write!(
                f,
                "{principal} states that it was signed on {stated}, but the key is accepted until {until}, for whole days"
            ),
            Self::Revoked { fingerprint } => {
                write!(f, "the key {fingerprint} is revoked: whatever it signed counts no more")
            }
            Self::OtherText { fingerprint } => write!(
                f,
                "the signature, said to be by the key {fingerprint}, does not belong to this text: one of them was changed \
                 after signing"
            ),
            Self::Damaged { why } => write!(f, "the signature is damaged: {why}"),
            Self::UnsupportedKey { algorithm } => write!(
                f,
                "signatures by keys of the kind {algorithm} cannot be verified here: sign with a key of the kind ssh-ed25519 \
                 or ecdsa-sha2-nistp256, in a file, an agent or a hardware token"
            ),
        }
    }
}
