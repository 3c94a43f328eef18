//! The folder that pages are written to, and the lock under which marks and sign-offs are.

use super::exit::Failure;
use super::task::prefix;
use crate::storage::{self, LOCK, Lasts, Lock, Locked, PATIENCE};
use std::io;
use std::path::{Path, PathBuf};

/// A folder of pages.
#[derive(Clone, Debug)]
pub struct Output {
    folder: PathBuf,
}

impl Output {
    /// The folder at a path, which need not exist yet.
    pub fn new(folder: impl Into<PathBuf>) -> Self {
        Self { folder: folder.into() }
    }

    /// Whether a file is there, of an earlier run for instance.
    pub fn holds(&self, path: &str) -> bool {
        self.folder.join(path).is_file()
    }

    /// The folder.
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Makes the folder and gives its path with links followed, as a watcher reports it.
    #[expect(clippy::disallowed_methods, reason = "the system names changed files by their real path")]
    pub fn make(&self) -> io::Result<PathBuf> {
        storage::make_folder(&self.folder)?;
        self.folder.canonicalize()
    }

    /// Puts a page in place as a whole, and says whether it changed.
    pub fn write(&self, path: &str, bytes: &[u8]) -> io::Result<bool> {
        storage::write(&self.folder, path, bytes, Lasts::Process)
    }

    /// The same, and what was written is on the disk when this returns: for what nobody could make again.
    pub fn write_durably(&self, path: &str, bytes: &[u8]) -> io::Result<bool> {
        storage::write(&self.folder, path, bytes, Lasts::PowerCut)
    }
}

/// Puts one file in place as a whole.
pub(super) fn write_file(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let name = path.file_name().ok_or_else(|| io::Error::new(io::ErrorKind::InvalidInput, "it names no file"))?;
    let folder = path.parent().unwrap_or(Path::new(""));
    Output::new(folder).write(&name.to_string_lossy(), bytes).map(|_| ())
}

/// Waits until nobody else writes marks or sign-offs of a package; says what was not done where that takes too long.
///
/// It is held from reading to writing, so that whoever writes at the same moment loses nothing.
pub(super) fn locked(folder: &Path, undone: &str) -> Result<Lock, Failure> {
    let name = prefix(folder);
    let shown = if name.is_empty() { "this folder" } else { &name };
    match storage::lock(folder) {
        Ok(Locked::Yes(lock)) => Ok(lock),
        Ok(Locked::Busy) => {
            let seconds = PATIENCE.as_secs();
            let message = format!("another process has been writing in {shown} for {seconds} s: {undone}");
            Err(Failure::unreadable(message).help("run this again; the lock goes with the process that holds it"))
        }
        Err(error) => {
            let message = format!("{name}{LOCK} cannot be locked: {error}; {undone}");
            Err(Failure::unreadable(message)
                .help("marks and sign-offs are written only where two who write at one moment lose nothing"))
        }
    }
}
