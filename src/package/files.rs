//! Files of a package: on disk or in memory; the only place that reads.

use std::collections::BTreeMap;
use std::io;
use std::path::{Path, PathBuf};

/// Where a package's files come from; paths are relative to its folder, with `/`.
pub trait Files: Send + Sync {
    /// The bytes of a file.
    fn read(&self, path: &str) -> io::Result<Vec<u8>>;
    /// How many bytes a file holds, known before they are read.
    fn size(&self, path: &str) -> io::Result<u64>;
    /// Paths of all files, sorted.
    fn list(&self) -> io::Result<Vec<String>>;
    /// Whether a path, links followed, stays inside the package.
    fn is_inside(&self, path: &str) -> bool;
}

/// A folder on disk.
#[derive(Clone, Debug)]
pub struct Disk {
    root: PathBuf,
    /// The one sheet to list, in a folder that is no package.
    lone_sheet: Option<String>,
}

/// Folders nested deeper than this are not searched.
const DEPTH_LIMIT: usize = 12;

impl Disk {
    /// The folder at a path.
    pub fn new(root: impl Into<PathBuf>) -> Self {
        Self { root: root.into(), lone_sheet: None }
    }

    /// A folder that is no package, for one sheet in it: nothing else is listed but clauses beside it.
    pub fn of_sheet(root: impl Into<PathBuf>, sheet: &str) -> Self {
        Self { root: root.into(), lone_sheet: Some(sheet.to_owned()) }
    }

    #[expect(clippy::disallowed_methods, reason = "this is where files are read")]
    fn walk(&self, folder: &Path, depth: usize, found: &mut Vec<String>) -> io::Result<()> {
        let entries = std::fs::read_dir(folder)
            .map_err(|error| io::Error::new(error.kind(), format!("the folder {}: {error}", folder.display())))?;
        for entry in entries {
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
            } else if !kind.is_file() && !kind.is_symlink() {
                // A pipe or a device has no end to read to.
                continue;
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

    fn size(&self, path: &str) -> io::Result<u64> {
        let metadata = std::fs::metadata(self.root.join(path))?;
        // A pipe or a device would be read without end.
        if !metadata.is_file() {
            return Err(io::Error::new(io::ErrorKind::InvalidInput, "it is not a plain file"));
        }
        Ok(metadata.len())
    }

    fn list(&self) -> io::Result<Vec<String>> {
        let mut found = Vec::new();
        if let Some(sheet) = &self.lone_sheet {
            found.push(sheet.clone());
            let clauses = self.root.join("clauses");
            if clauses.is_dir() {
                self.walk(&clauses, 1, &mut found)?;
            }
        } else {
            self.walk(&self.root, 0, &mut found)?;
        }
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

    fn size(&self, path: &str) -> io::Result<u64> {
        self.read(path).map(|bytes| bytes.len() as u64)
    }

    fn list(&self) -> io::Result<Vec<String>> {
        Ok(self.files.keys().cloned().collect())
    }

    fn is_inside(&self, path: &str) -> bool {
        crate::document::stays_inside(path)
    }
}
