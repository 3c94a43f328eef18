//! The points between which a write can be cut off.
//!
//! A test sets [`VARIABLE`] to a number and a way to end, such as `7 kill`; the process ends at that point of its
//! writing, as if it had been killed or as if the power had been cut. A build for release has nothing of it.
//!
//! | way | what is left |
//! | --- | --- |
//! | `kill` | all that was handed to the system |
//! | `data` | as after a power cut: names are kept, bytes that were not synchronised are lost |
//! | `names` | as after a power cut: names in folders that were not synchronised are as before |

use std::path::Path;

/// What says where a process ends, and how.
pub const VARIABLE: &str = "SOLEPLATE_END_AT_STEP";

#[cfg(not(debug_assertions))]
#[expect(missing_docs, reason = "they do nothing; what they stand for is said of those that do")]
mod unarmed {
    use super::Path;

    pub fn step() {}
    pub fn wrote(_: &Path) {}
    pub fn synced(_: &Path) {}
    pub fn renaming(_: &Path, _: &Path) {}
    pub fn made(_: &Path) {}
    pub fn synced_entries(_: &Path) {}
    pub fn pieces(bytes: &[u8]) -> impl Iterator<Item = &[u8]> {
        std::iter::once(bytes)
    }
}

#[cfg(not(debug_assertions))]
pub use unarmed::{made, pieces, renaming, step, synced, synced_entries, wrote};

#[cfg(debug_assertions)]
pub use armed::{made, pieces, renaming, step, synced, synced_entries, wrote};

#[cfg(debug_assertions)]
mod armed {
    use super::{Path, VARIABLE};
    use std::path::PathBuf;
    use std::sync::{Mutex, MutexGuard, OnceLock, PoisonError};

    /// What a power cut would take.
    struct Unsafe {
        /// Steps until the end.
        left: usize,
        way: String,
        /// Files with bytes that were not synchronised.
        data: Vec<PathBuf>,
        /// New names in folders that were not synchronised, with what stood there.
        names: Vec<(PathBuf, Before)>,
    }

    enum Before {
        Nothing,
        File(Vec<u8>),
        NoFolder,
    }

    /// Nothing where no end is asked for.
    #[expect(clippy::disallowed_methods, reason = "only tests end a process so, and no result depends on it")]
    fn state() -> Option<MutexGuard<'static, Unsafe>> {
        static STATE: OnceLock<Option<Mutex<Unsafe>>> = OnceLock::new();
        let read = || {
            let asked = std::env::var(VARIABLE).ok()?;
            let (left, way) = asked.split_once(' ')?;
            let (left, way) = (left.parse().ok()?, way.to_owned());
            Some(Mutex::new(Unsafe { left, way, data: Vec::new(), names: Vec::new() }))
        };
        STATE.get_or_init(read).as_ref().map(|state| state.lock().unwrap_or_else(PoisonError::into_inner))
    }

    /// A point at which the process may end.
    pub fn step() {
        let Some(mut state) = state() else { return };
        state.left = state.left.saturating_sub(1);
        if state.left == 0 {
            state.take();
            std::process::abort();
        }
    }

    /// Bytes were written to a file.
    pub fn wrote(path: &Path) {
        if let Some(mut state) = state() {
            state.data.push(path.to_owned());
        }
        step();
    }

    /// A file was synchronised.
    pub fn synced(path: &Path) {
        step();
        if let Some(mut state) = state() {
            state.data.retain(|file| file != path);
        }
        step();
    }

    /// A file is about to take another name.
    #[expect(clippy::disallowed_methods, reason = "what is replaced must be known to be put back")]
    pub fn renaming(from: &Path, to: &Path) {
        step();
        if let Some(mut state) = state() {
            let before = std::fs::read(to).map_or(Before::Nothing, Before::File);
            state.names.push((to.to_owned(), before));
            state.data.iter_mut().filter(|file| *file == from).for_each(|file| to.clone_into(file));
        }
    }

    /// A folder was made.
    pub fn made(folder: &Path) {
        if let Some(mut state) = state() {
            state.names.push((folder.to_owned(), Before::NoFolder));
        }
        step();
    }

    /// The entries of a folder were synchronised.
    pub fn synced_entries(folder: &Path) {
        step();
        if let Some(mut state) = state() {
            let plain = |folder: &Path| if folder == Path::new(".") { PathBuf::new() } else { folder.to_owned() };
            state.names.retain(|(path, _)| path.parent().map(plain) != Some(plain(folder)));
        }
        step();
    }

    /// Bytes in the pieces in which they are written: in three where a process is to end, so that it can end between.
    pub fn pieces(bytes: &[u8]) -> impl Iterator<Item = &[u8]> {
        let parts = if state().is_some() { 3 } else { 1 };
        bytes.chunks(bytes.len().div_ceil(parts).max(1))
    }

    impl Unsafe {
        /// Does what a power cut may do.
        #[expect(clippy::disallowed_methods, reason = "a power cut writes as it likes")]
        fn take(&mut self) {
            if self.way == "data" {
                for path in &self.data {
                    let _ = std::fs::File::options().write(true).open(path).and_then(|file| file.set_len(0));
                }
            }
            if self.way == "names" {
                for (path, before) in self.names.iter().rev() {
                    let _ = match before {
                        Before::Nothing => std::fs::remove_file(path),
                        Before::File(bytes) => std::fs::write(path, bytes),
                        Before::NoFolder => std::fs::remove_dir_all(path),
                    };
                }
            }
        }
    }
}
