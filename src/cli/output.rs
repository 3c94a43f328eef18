//! The folder that pages are written to.

use crate::storage::{self, Lasts};
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
