//! Putting a file in place as a whole.

use super::steps;
use std::collections::BTreeSet;
use std::fs::File;
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use tempfile::NamedTempFile;

/// How a name begins under which a file is written before it takes its own; it is hidden, so that no package lists it.
pub const LEFTOVER: &str = ".soleplate-";

/// What a file must outlast once it is written.
#[derive(Copy, Clone, Debug, Eq, PartialEq)]
pub enum Lasts {
    /// The end of the process: for pages, which can be made again.
    Process,
    /// A power cut as well: for what nobody could make again.
    PowerCut,
}

/// Puts a file below a folder in place as a whole, and says whether it changed.
///
/// The bytes go to another file of the same folder, which then takes the name. What must outlast a power cut is on the
/// disk when this returns: the bytes before they get the name, the name and the folders on the way to it afterwards.
/// A file that holds these bytes already is left alone, and with it its date.
pub fn write(folder: &Path, path: &str, bytes: &[u8], lasts: Lasts) -> io::Result<bool> {
    let target = folder.join(path);
    let parent = target.parent().unwrap_or(folder);
    let is_there = holds(&target, bytes);
    if is_there && lasts == Lasts::Process {
        return Ok(false);
    }
    let above = make_folders(parent)?;
    clear_leftovers(parent);
    if is_there {
        // Whoever wrote it may have been cut off before it was safe.
        File::open(&target)?.sync_all()?;
    } else {
        let mut file = temporary(parent)?;
        steps::step();
        for piece in steps::pieces(bytes) {
            file.write_all(piece)?;
            steps::wrote(file.path());
        }
        if lasts == Lasts::PowerCut {
            file.as_file().sync_all()?;
            steps::synced(file.path());
        }
        steps::renaming(file.path(), &target);
        file.persist(&target).map_err(|error| error.error)?;
        steps::step();
    }
    if lasts == Lasts::PowerCut {
        // The new name is an entry of its folder, and a new folder one of the folder above; each is written by itself.
        let inside = parent.ancestors().take_while(|inside| inside.starts_with(folder));
        for entries in inside.chain(above.iter().map(PathBuf::as_path)) {
            sync_folder(entries)?;
        }
    }
    Ok(!is_there)
}

/// Makes a folder with those above it.
pub fn make_folder(path: &Path) -> io::Result<()> {
    make_folders(path).map(drop)
}

/// Makes the folders that are missing on a path; gives the folders that hold an entry of one of them.
#[expect(clippy::disallowed_methods, reason = "this is where folders are made")]
fn make_folders(path: &Path) -> io::Result<Vec<PathBuf>> {
    let is_missing = |folder: &&Path| !folder.as_os_str().is_empty() && !folder.exists();
    let missing: Vec<&Path> = path.ancestors().take_while(is_missing).collect();
    let mut above = Vec::with_capacity(missing.len());
    for folder in missing.into_iter().rev() {
        match std::fs::create_dir(folder) {
            // Another process was quicker.
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists && folder.is_dir() => {}
            made => made?,
        }
        steps::made(folder);
        above.push(folder_of(folder).to_owned());
    }
    Ok(above)
}

/// The folder that holds an entry.
fn folder_of(path: &Path) -> &Path {
    match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent,
        _ => Path::new("."),
    }
}

/// Writes the entries of a folder to the disk. Other systems have no such files.
fn sync_folder(folder: &Path) -> io::Result<()> {
    #[cfg(unix)]
    File::open(if folder.as_os_str().is_empty() { Path::new(".") } else { folder })?.sync_all()?;
    steps::synced_entries(folder);
    Ok(())
}

/// A new file in a folder, locked as long as its writer lives, so that nobody clears it away.
fn temporary(folder: &Path) -> io::Result<NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(LEFTOVER);
    // Temporary files are private by default; pages are as readable as any file that the user makes.
    #[cfg(unix)]
    builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
    loop {
        let file = builder.tempfile_in(folder)?;
        match file.as_file().try_lock() {
            // Somebody who clears up took it before it was locked.
            Err(std::fs::TryLockError::WouldBlock) => continue,
            // Where files cannot be locked nobody clears up.
            Err(std::fs::TryLockError::Error(_)) => return Ok(file),
            Ok(()) if file.path().exists() => return Ok(file),
            Ok(()) => continue,
        }
    }
}

/// Removes what writers left behind that came to no end; once in each folder.
///
/// The files of those that still write are locked. Whatever cannot be cleared harms nobody: its name is hidden.
#[expect(clippy::disallowed_methods, reason = "what others left behind is nothing that a result depends on")]
fn clear_leftovers(folder: &Path) {
    static CLEARED: Mutex<BTreeSet<PathBuf>> = Mutex::new(BTreeSet::new());
    let is_new = CLEARED.lock().is_ok_and(|mut cleared| cleared.insert(folder.to_owned()));
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    for entry in std::fs::read_dir(folder).into_iter().flatten().flatten().take_while(|_| is_new) {
        let is_leftover = entry.file_name().to_string_lossy().starts_with(LEFTOVER);
        if is_leftover
            && entry.file_type().is_ok_and(|kind| kind.is_file())
            && let Ok(file) = File::options().write(true).open(entry.path())
            && file.try_lock().is_ok()
        {
            let _ = std::fs::remove_file(entry.path());
        }
    }
}

/// Whether a file holds just these bytes.
#[expect(clippy::disallowed_methods, reason = "a file is compared with the one that it would replace")]
fn holds(path: &Path, bytes: &[u8]) -> bool {
    let is_as_long = std::fs::metadata(path).is_ok_and(|metadata| metadata.len() == bytes.len() as u64);
    is_as_long && std::fs::read(path).is_ok_and(|found| found == bytes)
}

#[cfg(test)]
#[expect(clippy::disallowed_methods, reason = "the tests look at what was written")]
mod tests {
    use super::{LEFTOVER, Lasts, write};

    #[test]
    fn a_file_is_replaced_as_a_whole_and_only_if_it_differs() {
        let folder = tempfile::tempdir().unwrap();
        let out = folder.path().join("out");
        for lasts in [Lasts::Process, Lasts::PowerCut] {
            let path = format!("a/{lasts:?}.html");
            assert!(write(&out, &path, b"one", lasts).unwrap());
            assert!(!write(&out, &path, b"one", lasts).unwrap());
            assert!(write(&out, &path, b"two", lasts).unwrap());
            assert_eq!(std::fs::read(out.join(path)).unwrap(), b"two");
        }
        let inside = out.join("a");
        assert_eq!(std::fs::read_dir(&inside).unwrap().count(), 2, "no temporary file is left");
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt;
            let mode = |name: &str| std::fs::metadata(inside.join(name)).unwrap().permissions().mode();
            std::fs::write(inside.join("plain"), "").unwrap();
            assert_eq!(mode("Process.html"), mode("plain"));
        }
    }

    #[test]
    fn leftovers_are_cleared_but_not_those_of_writers_at_work() {
        let folder = tempfile::tempdir().unwrap();
        let path = |name: &str| folder.path().join(format!("{LEFTOVER}{name}"));
        std::fs::write(path("dead"), "half").unwrap();
        std::fs::write(path("alive"), "half").unwrap();
        let alive = std::fs::File::open(path("alive")).unwrap();
        alive.lock().unwrap();
        write(folder.path(), "b4.marks", b"whole", Lasts::PowerCut).unwrap();
        assert!(!path("dead").exists());
        assert!(path("alive").exists());
    }

    #[test]
    fn a_folder_that_is_a_file_is_refused() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("a"), "").unwrap();
        assert!(write(folder.path(), "a/b", b"x", Lasts::PowerCut).is_err());
    }
}
