//! A package as it was at a revision, read by the program `git`.
//!
//! Nothing is checked out and nothing is written: `rev-parse` finds the commit, `ls-tree` lists its files and
//! `cat-file` hands out their bytes.

use crate::cli::exit::Failure;
use crate::document::SIZE_LIMIT;
use crate::package::{MANIFEST, Memory};
use std::ffi::OsStr;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

/// The repository that a package lies in.
pub(super) struct Repository {
    folder: PathBuf,
    /// What leads from its top to the package: empty, or steps that end in `/`.
    prefix: String,
}

/// A file of a commit.
struct Entry {
    path: String,
    object: String,
}

impl Repository {
    /// The repository of a package's folder.
    pub fn of(folder: &Path) -> Result<Self, Failure> {
        let output = run(folder, ["rev-parse", "--show-prefix"], None)?;
        if !output.status.success() {
            let message = format!("`{}` lies in no repository of git", folder.display());
            return Err(Failure::unreadable(message)
                .help("a revision needs one; two folders or sheets can be compared without"));
        }
        let prefix = text(output.stdout)?;
        Ok(Self { folder: folder.to_owned(), prefix: prefix.trim_end_matches(['\n', '\r']).to_owned() })
    }

    /// The commit that a revision means; nothing where it means none.
    pub fn commit(&self, revision: &str) -> Result<Option<String>, Failure> {
        let peeled = format!("{revision}^{{commit}}");
        let arguments = ["rev-parse", "--verify", "--quiet", "--end-of-options", &peeled];
        let output = run(&self.folder, arguments, None)?;
        match output.status.success() {
            true => Ok(Some(text(output.stdout)?.trim().to_owned())),
            false => Ok(None),
        }
    }

    /// The package's files at a commit, without links and without what no package reads: hidden files, packages of
    /// their own, and files above the size of a sheet.
    pub fn files(&self, commit: &str) -> Result<Memory, Failure> {
        let folder = self.prefix.trim_end_matches('/');
        let output =
            run(&self.folder, ["ls-tree", "-r", "-z", "-l", "--full-tree", &format!("{commit}:{folder}")], None)?;
        if !output.status.success() {
            let message = format!("the revision holds no `{folder}`");
            return Err(Failure::unreadable(message).help("the package was added later, or lay elsewhere"));
        }
        let listed = text(output.stdout)?;
        let entries = package_files(listed.split('\0').filter_map(entry).collect());
        let objects: String = entries.iter().map(|entry| format!("{}\n", entry.object)).collect();
        let output = run(&self.folder, ["cat-file", "--batch"], Some(objects))?;
        let mut rest = output.stdout.as_slice();
        let mut files = Memory::default();
        for entry in entries {
            let bytes = next_object(&mut rest)
                .ok_or_else(|| Failure::unreadable(format!("git cannot read `{}` of the revision", entry.path)))?;
            files = files.with(&entry.path, bytes);
        }
        Ok(files)
    }
}

/// Runs git in a folder, with or without something to read.
fn run<S: AsRef<OsStr>>(
    folder: &Path,
    arguments: impl IntoIterator<Item = S>,
    input: Option<String>,
) -> Result<Output, Failure> {
    let unusable = |error: io::Error| match error.kind() {
        io::ErrorKind::NotFound => Failure::unreadable("revisions need the program `git`, which is not installed")
            .help("two folders or sheets can be compared without"),
        _ => Failure::unreadable(format!("`git` cannot be run: {error}")),
    };
    let mut child = Command::new("git")
        .arg("-C")
        .arg(folder)
        .args(arguments)
        .stdin(if input.is_some() { Stdio::piped() } else { Stdio::null() })
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .map_err(unusable)?;
    // Git answers while it still reads: one waits for the other unless both ends are served.
    let writer = child.stdin.take().zip(input).map(|(mut stdin, input)| {
        std::thread::spawn(move || {
            // Where git has stopped reading, its answer is short and tells.
            let _ = stdin.write_all(input.as_bytes());
        })
    });
    let output = child.wait_with_output().map_err(unusable)?;
    if let Some(writer) = writer {
        let _ = writer.join();
    }
    Ok(output)
}

fn text(bytes: Vec<u8>) -> Result<String, Failure> {
    String::from_utf8(bytes).map_err(|_| Failure::unreadable("git names a path that is not text in UTF-8"))
}

/// Reads `<mode> blob <object> <size>\t<path>`; nothing for links and for what is no file.
fn entry(listed: &str) -> Option<Entry> {
    let (about, path) = listed.split_once('\t')?;
    let mut fields = about.split_whitespace();
    let (mode, kind, object, size) = (fields.next()?, fields.next()?, fields.next()?, fields.next()?);
    let is_file = kind == "blob" && mode.starts_with("100");
    let is_small = size.parse::<usize>().is_ok_and(|size| size <= SIZE_LIMIT);
    (is_file && is_small).then(|| Entry { path: path.to_owned(), object: object.to_owned() })
}

/// Those that belong to the package.
fn package_files(entries: Vec<Entry>) -> Vec<Entry> {
    let others: Vec<String> = entries
        .iter()
        .filter_map(|entry| Some(entry.path.strip_suffix(MANIFEST)?.to_owned()))
        .filter(|folder| folder.ends_with('/'))
        .collect();
    let is_own = |entry: &Entry| {
        let is_hidden = entry.path.split('/').any(|step| step.starts_with('.'));
        !is_hidden && !others.iter().any(|folder| entry.path.starts_with(folder.as_str()))
    };
    entries.into_iter().filter(is_own).collect()
}

/// The bytes of the next object of `cat-file --batch`: `<object> blob <size>\n<bytes>\n`.
fn next_object(rest: &mut &[u8]) -> Option<Vec<u8>> {
    let end = rest.iter().position(|byte| *byte == b'\n')?;
    let head = std::str::from_utf8(rest.get(..end)?).ok()?;
    let size: usize = head.rsplit(' ').next()?.parse().ok()?;
    let start = end + 1;
    let bytes = rest.get(start..start + size)?.to_vec();
    *rest = rest.get(start + size + 1..)?;
    Some(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_package_is_what_lies_in_it_and_in_no_other() {
        let listed = [
            "100644 blob aa     12\tsoleplate.toml",
            "100755 blob bb     12\tframe/b4.md",
            "120000 blob cc     12\tlink.md",
            "160000 commit dd      -\tother",
            "100644 blob ee 99999999\thuge.md",
            "100644 blob ff     12\t.hidden/b4.md",
            "100644 blob 11     12\tinner/soleplate.toml",
            "100644 blob 22     12\tinner/b5.md",
        ];
        let entries = package_files(listed.into_iter().filter_map(entry).collect());
        let paths: Vec<&str> = entries.iter().map(|entry| entry.path.as_str()).collect();
        assert_eq!(paths, ["soleplate.toml", "frame/b4.md"]);
    }

    #[test]
    fn objects_are_read_one_behind_the_other() {
        let mut rest: &[u8] = b"aa blob 3\na\nb\nbb blob 0\n\ncc missing\n";
        assert_eq!(next_object(&mut rest).unwrap(), b"a\nb");
        assert_eq!(next_object(&mut rest).unwrap(), b"");
        assert!(next_object(&mut rest).is_none());
    }
}
