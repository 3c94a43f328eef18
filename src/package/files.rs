//! Files of a package: on disk or in memory; the only place that reads.

use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};

/// Where a package's files come from; paths are relative to its folder, with `/`.
pub trait Files: Send + Sync {
    /// The bytes of a file.
    fn read(&self, path: &str) -> io::Result<Vec<u8>>;
    /// Paths of all files, sorted.
    fn list(&self) -> io::Result<Vec<String>>;
    /// Whether a path, links followed, stays inside the package.
    fn is_inside(&self, path: &str) -> bool;
}

/// A folder on disk.
#[derive(Clone, Debug)]
pub struct Disk {
    root: PathBuf,
}

/// Folders nested deeper than this are not searched.
const DEPTH_LIMIT: usize = 12;

impl Disk {
    /// The folder at a path.
    pub fn new(root: impl Into<PathBuf>) -> Self {
        Self { root: root.into() }
    }

    #[expect(clippy::disallowed_methods, reason = "this is where files are read")]
    fn walk(&self, folder: &Path, depth: usize, found: &mut Vec<String>) -> io::Result<()> {
        for entry in std::fs::read_dir(folder)? {
            let entry = entry?;
            let name = entry.file_name();
            let Some(name) = name.to_str() else { continue };
            if name.starts_with('.') {
                continue;
            }
            let path = entry.path();
            // A linked folder could lead outside or round in a circle.
            let kind = entry.file_type()?;
            if kind.is_dir() {
                let is_package_of_its_own = path.join("soleplate.toml").exists();
                if depth < DEPTH_LIMIT && !is_package_of_its_own {
                    self.walk(&path, depth + 1, found)?;
                }
            } else if let Ok(relative) = path.strip_prefix(&self.root) {
                found.push(relative.to_string_lossy().replace('\\', "/"));
            }
        }
        Ok(())
    }
}

impl Files for Disk {
    #[expect(clippy::disallowed_methods, reason = "this is where files are read")]
    fn read(&self, path: &str) -> io::Result<Vec<u8>> {
        std::fs::read(self.root.join(path))
    }

    fn list(&self) -> io::Result<Vec<String>> {
        let mut found = Vec::new();
        self.walk(&self.root, 0, &mut found)?;
        found.sort();
        Ok(found)
    }

    #[expect(clippy::disallowed_methods, reason = "links can only be followed on disk")]
    fn is_inside(&self, path: &str) -> bool {
        if !crate::document::stays_inside(path) {
            return false;
        }
        match (self.root.canonicalize(), self.root.join(path).canonicalize()) {
            (Ok(root), Ok(path)) => path.starts_with(root),
            // A file that is not there is reported when it is read.
            _ => true,
        }
    }
}

/// Files in memory.
#[derive(Clone, Debug, Default)]
pub struct Memory {
    files: BTreeMap<String, Vec<u8>>,
}

impl Memory {
    /// Adds a file.
    #[must_use]
    pub fn with(mut self, path: &str, text: impl Into<Vec<u8>>) -> Self {
        self.files.insert(path.to_owned(), text.into());
        self
    }
}

impl Files for Memory {
    fn read(&self, path: &str) -> io::Result<Vec<u8>> {
        self.files.get(path).cloned().ok_or_else(|| io::Error::from(io::ErrorKind::NotFound))
    }

    fn list(&self) -> io::Result<Vec<String>> {
        Ok(self.files.keys().cloned().collect())
    }

    fn is_inside(&self, path: &str) -> bool {
        crate::document::stays_inside(path)
    }
}
