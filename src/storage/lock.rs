//! One at a time: the lock of a folder whose files several people change.

use std::fs::{File, TryLockError};
use std::io;
use std::path::Path;
use std::time::{Duration, Instant};

/// The file that is locked, in the folder of the package. It stays, empty: to remove it would let two in at once.
pub const LOCK: &str = ".soleplate.lock";
/// How long somebody waits for whoever holds the lock, who needs it for as long as a file takes to be written.
pub const PATIENCE: Duration = Duration::from_secs(10);
/// How often is looked meanwhile.
const PAUSE: Duration = Duration::from_millis(4);

/// The right to change the files of a folder, until it is dropped; the system takes it back when the process ends.
#[derive(Debug)]
pub struct Lock {
    _file: File,
}

/// What comes of asking for a lock.
#[derive(Debug)]
pub enum Locked {
    /// It is held.
    Yes(Lock),
    /// Another process held it all the while.
    Busy,
}

/// Waits for the lock of a folder, for [`PATIENCE`] at most.
///
/// Fails where the file of the lock cannot be made, or where the disk has no locks: to write without one could lose
/// what another writes at that moment.
pub fn lock(folder: &Path) -> io::Result<Locked> {
    let file = open(&folder.join(LOCK))?;
    let end = Instant::now() + PATIENCE;
    loop {
        match file.try_lock() {
            Ok(()) => return Ok(Locked::Yes(Lock { _file: file })),
            Err(TryLockError::Error(error)) => return Err(error),
            Err(TryLockError::WouldBlock) if Instant::now() >= end => return Ok(Locked::Busy),
            Err(TryLockError::WouldBlock) => std::thread::sleep(PAUSE),
        }
    }
}

/// Where the file belongs to another, who lets others only read it, that is enough to lock it.
fn open(path: &Path) -> io::Result<File> {
    match File::options().read(true).write(true).create(true).truncate(false).open(path) {
        Err(error) if error.kind() == io::ErrorKind::PermissionDenied && path.exists() => File::open(path),
        opened => opened,
    }
}

#[cfg(test)]
mod tests {
    use super::{Locked, lock};

    #[test]
    fn a_lock_is_held_by_one_and_free_again_when_dropped() {
        let folder = tempfile::tempdir().unwrap();
        let Locked::Yes(first) = lock(folder.path()).unwrap() else { panic!("nobody else is here") };
        let path = folder.path().to_owned();
        let waiting = std::thread::spawn(move || matches!(lock(&path).unwrap(), Locked::Yes(_)));
        std::thread::sleep(std::time::Duration::from_millis(50));
        assert!(!waiting.is_finished());
        drop(first);
        assert!(waiting.join().unwrap());
    }

    #[test]
    fn a_folder_that_is_not_there_cannot_be_locked() {
        let folder = tempfile::tempdir().unwrap();
        assert!(lock(&folder.path().join("gone")).is_err());
    }
}
