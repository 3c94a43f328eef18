//! The folder that pages are written to; the only place that writes what was built.

use std::io::{self, Write};
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
        std::fs::create_dir_all(&self.folder)?;
        self.folder.canonicalize()
    }

    /// Puts a file in place as a whole, and says whether it changed.
    ///
    /// The bytes go to another file of the same folder, which then takes the name, so that nobody reads half a page.
    /// A file that holds these bytes already is left alone, and with it its date.
    pub fn write_atomically(&self, path: &str, bytes: &[u8]) -> io::Result<bool> {
        self.replace(path, bytes, false)
    }

    /// The same, and what was written is on the disk when this returns: for what nobody could make again.
    pub fn write_durably(&self, path: &str, bytes: &[u8]) -> io::Result<bool> {
        self.replace(path, bytes, true)
    }

    fn replace(&self, path: &str, bytes: &[u8], is_durable: bool) -> io::Result<bool> {
        let target = self.folder.join(path);
        if holds(&target, bytes) {
            return Ok(false);
        }
        let parent = target.parent().unwrap_or(&self.folder);
        std::fs::create_dir_all(parent)?;
        let mut builder = tempfile::Builder::new();
        builder.prefix(".soleplate-");
        // Temporary files are private by default; pages are as readable as any file that the user makes.
        #[cfg(unix)]
        builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
        let mut file = builder.tempfile_in(parent)?;
        file.write_all(bytes)?;
        if is_durable {
            file.as_file().sync_all()?;
        }
        file.persist(&target).map_err(|error| error.error)?;
        // The new name is an entry of its folder, and a new folder one of the folder above; each is written by itself.
        // Other systems have no such files.
        #[cfg(unix)]
        if is_durable {
            for folder in parent.ancestors().take_while(|folder| folder.starts_with(&self.folder)) {
                std::fs::File::open(folder)?.sync_all()?;
            }
        }
        Ok(true)
    }
}

/// Puts one file in place as a whole.
pub(super) fn write_file(path: &Path, bytes: &[u8]) -> io::Result<()> {
    let name = path.file_name().ok_or_else(|| io::Error::new(io::ErrorKind::InvalidInput, "it names no file"))?;
    let folder = path.parent().unwrap_or(Path::new(""));
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    Output::new(folder).write_atomically(&name.to_string_lossy(), bytes).map(|_| ())
}

/// Whether a file holds just these bytes.
#[expect(clippy::disallowed_methods, reason = "a page is compared with the one that it would replace")]
fn holds(path: &Path, bytes: &[u8]) -> bool {
    let is_as_long = std::fs::metadata(path).is_ok_and(|metadata| metadata.len() == bytes.len() as u64);
    is_as_long && std::fs::read(path).is_ok_and(|found| found == bytes)
}

#[cfg(test)]
mod tests {
    use super::Output;

    #[test]
    #[expect(clippy::disallowed_methods, reason = "the test looks at what was written")]
    fn a_file_is_replaced_as_a_whole_and_only_if_it_differs() {
        let folder = tempfile::tempdir().unwrap();
        let output = Output::new(folder.path().join("out"));
        assert!(output.write_atomically("a/b.html", b"one").unwrap());
        assert!(!output.write_atomically("a/b.html", b"one").unwrap());
        assert!(output.write_atomically("a/b.html", b"two").unwrap());
        let inside = folder.path().join("out/a");
        assert_eq!(std::fs::read(inside.join("b.html")).unwrap(), b"two");
        assert_eq!(std::fs::read_dir(&inside).unwrap().count(), 1, "no temporary file is left");
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            let mode = |name: &str| std::fs::metadata(inside.join(name)).unwrap().permissions().mode();
            std::fs::write(inside.join("plain"), "").unwrap();
            assert_eq!(mode("b.html"), mode("plain"));
        }
    }
}
