//! Sign-offs: small texts that say who answers for which result in which role, signed with an SSH key.
//!
//! 1. A [`Statement`] names a sheet, the digest of all that decides its result, the rules of sign-off, a role, a signer, a
//!    day, and the sign-offs that were there before it.
//! 2. [`sign_with_ssh_keygen`] has it signed, with any key that `ssh-keygen` can use: in a file, an agent or a token.
//! 3. A [`SignOff`] is the statement followed by that signature, in one text file.
//! 4. [`verify`] compares it with the [`AllowedSigners`] and [`RevokedKeys`] of a package and gives a [`Verdict`].
//! 5. [`Policy::judge`] says which roles the sign-offs of one sheet fill, and which are void and why.
//!
//! The signature is in the SSHSIG format (PROTOCOL.sshsig of OpenSSH), the lists are those of ssh-keygen(1).
//! Without this program a sign-off is verified by cutting it before `-----BEGIN SSH SIGNATURE-----`, the first part on
//! standard input and the second in the file `SIGNATURE`:
//! `ssh-keygen -Y verify -f allowed_signers -n soleplate-sign-off -I SIGNER -s SIGNATURE`.
//!
//! **A signature holds no time.** The day is the one that the signer states, and the validity of a key can only be
//! judged against that; whoever shows a date shows it as stated.
//! Nothing here knows sheets, and only [`sign_with_ssh_keygen`] leaves memory.

mod allowed_signers;
mod day;
mod field;
mod judgement;
mod options;
mod pattern;
mod policy;
mod public_key;
mod reading;
mod revoked;
mod sign_off;
mod ssh_keygen;
mod statement;
mod verdict;
mod verify;

#[cfg(test)]
mod tests;

pub use allowed_signers::{AllowedSigner, AllowedSigners};
pub use day::{Day, Instant};
pub use field::{Digest, Earlier, Part, Principal, Role};
pub use judgement::{Judgement, PartChange, RoleState, Subject, Verified, VoidReason, VoidSignOff};
pub use pattern::{Pattern, PatternList};
pub use policy::Policy;
pub use public_key::Fingerprint;
pub use revoked::RevokedKeys;
pub use sign_off::SignOff;
pub use ssh_keygen::{Conversation, PROGRAM, SigningError, sign_with_ssh_keygen};
pub use statement::{Facts, Fault, Statement};
pub use verdict::Verdict;
pub use verify::{public_key, verify};

/// What a signature is for, as SSHSIG has it: one made for anything else, such as a git commit, is no sign-off.
pub const NAMESPACE: &str = "soleplate-sign-off";
