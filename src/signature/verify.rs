//! Verifying one sign-off.

use super::NAMESPACE;
use super::allowed_signers::{AllowedSigner, AllowedSigners, OutsideTime};
use super::public_key::{Fingerprint, KeyType, is_supported, key_type};
use super::revoked::RevokedKeys;
use super::sign_off::SignOff;
use super::verdict::Verdict;
use ssh_key::public::KeyData;
use ssh_key::{LineEnding, PublicKey, SshSig};

/// Verifies the signature of a sign-off, then whether its key may sign for the stated signer on the stated day.
///
/// Whether the statement speaks of the sheet at hand and of its present content, [`Policy::judge`] decides.
///
/// [`Policy::judge`]: super::Policy::judge
pub fn verify(sign_off: &SignOff, allowed: &AllowedSigners, revoked: &RevokedKeys) -> Verdict {
    let key = match signing_key(sign_off) {
        Ok(key) => key,
        Err(verdict) => return verdict,
    };
    let fingerprint = Fingerprint::of(&key);
    if revoked.holds(&key) {
        return Verdict::Revoked { fingerprint };
    }
    let signer = &sign_off.statement.facts().signer;
    let of_key: Vec<&AllowedSigner> = allowed.entries.iter().filter(|entry| entry.has_key(&key)).collect();
    if of_key.is_empty() {
        return Verdict::UnknownKey { fingerprint };
    }
    let of_signer = of_key.iter().filter(|entry| entry.principals.matches(signer.as_str()));
    let mut refusal = None;
    // One line that accepts the key is enough, as with ssh-keygen; if none does, the first line says why.
    for entry in of_signer {
        match judge_entry(entry, sign_off, &fingerprint) {
            Ok(()) => return Verdict::Good { principal: signer.clone(), fingerprint },
            Err(verdict) => refusal = refusal.or(Some(verdict)),
        }
    }
    refusal.unwrap_or_else(|| Verdict::KeyOfAnother {
        signer: signer.clone(),
        fingerprint,
        owners: of_key.iter().map(|entry| entry.principals.to_string()).collect(),
    })
}

/// The public key that made the signature, as a line of a list of allowed signers has it; nothing if there is none.
pub fn public_key(sign_off: &SignOff) -> Option<String> {
    PublicKey::from(signing_key(sign_off).ok()?).to_openssh().ok().map(|line| line.trim().to_owned())
}

/// The key that made the signature over just this statement, or why there is none.
pub(super) fn signing_key(sign_off: &SignOff) -> Result<KeyData, Verdict> {
    let damaged = |why: &str| Verdict::Damaged { why: why.to_owned() };
    // A certificate stands where others have a key, in a structure of its own.
    if let Some(algorithm) = sign_off.key_algorithm()
        && key_type(algorithm) == KeyType::Certificate
    {
        return Err(Verdict::UnsupportedKey { algorithm: algorithm.to_owned() });
    }
    let armour = sign_off.armour();
    let signature =
        SshSig::from_pem(&armour).map_err(|_| damaged("it does not have the structure of an SSH signature"))?;
    // The reader takes lengths within the signature that are not true; writing it again shows them.
    if signature.to_pem(LineEnding::LF).ok().as_ref() != Some(&armour) {
        return Err(damaged("its structure contradicts itself"));
    }
    // Neither is part of what the key signs: whoever changed them would not be found out.
    if signature.version() != SshSig::VERSION || !signature.reserved().is_empty() {
        return Err(damaged("it is of another version of the format"));
    }
    if signature.namespace() != NAMESPACE {
        return Err(Verdict::WrongNamespace { found: signature.namespace().escape_default().to_string() });
    }
    let key = signature.public_key().clone();
    if !is_supported(&key) {
        return Err(Verdict::UnsupportedKey { algorithm: key.algorithm().as_str().to_owned() });
    }
    let text = sign_off.statement.text().as_bytes();
    match PublicKey::from(key.clone()).verify(NAMESPACE, text, &signature) {
        Ok(()) => Ok(key),
        Err(_) => Err(Verdict::OtherText { fingerprint: Fingerprint::of(&key) }),
    }
}

fn judge_entry(entry: &AllowedSigner, sign_off: &SignOff, fingerprint: &Fingerprint) -> Result<(), Verdict> {
    let facts = sign_off.statement.facts();
    let principal = facts.signer.clone();
    if !entry.allows_namespace(NAMESPACE) {
        return Err(Verdict::NamespaceNotAllowed { principal, fingerprint: fingerprint.clone() });
    }
    let stated = facts.date;
    entry.judge_day(stated).map_err(|outside| match outside {
        OutsideTime::Before(from) => Verdict::NotYetValid { principal, stated, from },
        OutsideTime::After(until) => Verdict::Expired { principal, stated, until },
    })
}
