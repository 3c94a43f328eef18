//! Having a statement signed by `ssh-keygen`, so that keys in agents and hardware tokens work and no private key ever
//! enters this program.

use super::NAMESPACE;
use super::sign_off::SignOff;
use super::statement::Statement;
use super::verdict::Verdict;
use super::verify::signing_key;
use crate::diagnostic::Diagnostic;
use std::ffi::OsStr;
use std::fmt;
use std::io::{self, Read};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

/// The program that signs, as it is found on the path.
pub const PROGRAM: &str = "ssh-keygen";

/// Whether `ssh-keygen` can speak with somebody.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub enum Conversation {
    /// On a terminal: it asks for passphrases and for a touch of a token, and says there why it does not sign.
    OnTerminal,
    /// With nobody: what it says is caught and becomes part of the error.
    Captured,
}

/// Why nothing was signed.
#[derive(Debug)]
pub enum SigningError {
    /// The program is not there.
    NoProgram(String),
    /// The key file cannot be looked at.
    NoKey {
        /// The file.
        path: PathBuf,
        /// Why not.
        why: io::Error,
    },
    /// Others than its owner can read or change the private key.
    KeyOpenToOthers {
        /// The file.
        path: PathBuf,
        /// Its permissions.
        mode: u32,
    },
    /// The program did not sign; what it said, empty if it said it on the terminal.
    Refused(String),
    /// The program gave something that is no signature.
    Unreadable(Box<Diagnostic>),
    /// It signed, but the signature would be refused.
    Unusable(Verdict),
    /// The statement could not be handed over or the signature not be fetched.
    Io(io::Error),
}

impl fmt::Display for SigningError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoProgram(program) => {
                write!(f, "there is no program `{program}` to sign with: install OpenSSH, version 8.2 or newer")
            }
            Self::NoKey { path, why } => write!(f, "the key {} cannot be opened: {why}", path.display()),
            Self::KeyOpenToOthers { path, mode } => write!(
                f,
                "the private key {path} can be read or changed by others (permissions {mode:04o}), so anybody might have \
                 signed: make a new key if others had access, otherwise `chmod 600 {path}`",
                path = path.display(),
                mode = mode & 0o7777
            ),
            Self::Refused(words) if words.is_empty() => write!(f, "ssh-keygen did not sign, and said why above"),
            Self::Refused(words) => write!(f, "ssh-keygen did not sign: {words}"),
            Self::Unreadable(finding) => {
                write!(f, "ssh-keygen gave no signature that can be read: {}", finding.message)
            }
            Self::Unusable(verdict) => write!(f, "the signature would not be accepted: {verdict}"),
            Self::Io(error) => write!(f, "the statement could not be signed: {error}"),
        }
    }
}

impl std::error::Error for SigningError {}

impl From<io::Error> for SigningError {
    fn from(error: io::Error) -> Self {
        Self::Io(error)
    }
}

/// Has a statement signed with a key: a private key file, or a public key whose private half is in an agent.
///
/// `program` is [`PROGRAM`] or a path to it. The statement passes through a private temporary folder, since
/// `ssh-keygen` asks for no passphrase while a statement comes in on its standard input.
/// The signature is verified before it is given back; whether its key is among the allowed signers is not.
pub fn sign_with_ssh_keygen(
    statement: &Statement,
    key: &Path,
    program: &OsStr,
    conversation: Conversation,
) -> Result<SignOff, SigningError> {
    refuse_open_key(key)?;
    let folder = tempfile::Builder::new().prefix("soleplate-").tempdir()?;
    let message = folder.path().join("statement");
    #[expect(clippy::disallowed_methods, reason = "it stays no longer than it takes to be signed")]
    std::fs::write(&message, statement.text())?;
    let mut command = Command::new(program);
    command.args(["-q", "-Y", "sign", "-n", NAMESPACE, "-f"]).arg(key).arg(&message).stdout(Stdio::null());
    if conversation == Conversation::Captured {
        command.stdin(Stdio::null()).stderr(Stdio::piped());
    }
    let output =
        command.spawn().and_then(std::process::Child::wait_with_output).map_err(|error| match error.kind() {
            io::ErrorKind::NotFound => SigningError::NoProgram(program.to_string_lossy().into_owned()),
            _ => SigningError::Io(error),
        })?;
    if !output.status.success() {
        let words = clean_words(&output.stderr);
        let is_silent = words.is_empty() && conversation == Conversation::Captured;
        return Err(SigningError::Refused(if is_silent { format!("it ended with {}", output.status) } else { words }));
    }
    let mut armour = String::new();
    std::fs::File::open(folder.path().join("statement.sig"))?.read_to_string(&mut armour)?;
    let sign_off =
        SignOff::new(statement.clone(), &armour).map_err(|finding| SigningError::Unreadable(Box::new(finding)))?;
    match signing_key(&sign_off) {
        Ok(_) => Ok(sign_off),
        Err(verdict) => Err(SigningError::Unusable(verdict)),
    }
}

/// Refuses a private key that others than its owner have any access to. Of the file, only its first characters are
/// read: they say whether it holds a private key.
fn refuse_open_key(path: &Path) -> Result<(), SigningError> {
    let no_key = |why| SigningError::NoKey { path: path.to_owned(), why };
    let metadata = std::fs::metadata(path).map_err(no_key)?;
    // A pipe would keep whoever opens it waiting.
    if !metadata.is_file() {
        return Err(no_key(io::Error::new(io::ErrorKind::InvalidInput, "it is no plain file")));
    }
    let mut file = std::fs::File::open(path).map_err(no_key)?;
    let mut start = [0; 11];
    let is_private = file.read_exact(&mut start).is_ok() && start == *b"-----BEGIN ";
    #[cfg(unix)]
    if is_private {
        let mode = std::os::unix::fs::PermissionsExt::mode(&metadata.permissions());
        if mode & 0o077 != 0 {
            return Err(SigningError::KeyOpenToOthers { path: path.to_owned(), mode });
        }
    }
    #[cfg(not(unix))]
    let _ = is_private;
    Ok(())
}

/// What `ssh-keygen` said, in one line, without frames and without characters that would steer a terminal.
fn clean_words(stderr: &[u8]) -> String {
    let text = String::from_utf8_lossy(stderr);
    let lines = text.lines().map(|line| line.trim_matches(|c: char| c == '@' || c.is_whitespace()));
    let said: Vec<&str> = lines.filter(|line| !line.is_empty()).collect();
    said.join("; ").chars().filter(|c| !c.is_control()).collect()
}
