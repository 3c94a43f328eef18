//! Waits for files of a folder to change.
//!
//! Editors save by writing in place, by emptying and writing, or by renaming a finished copy over the old file, and each
//! comes as a burst of events. [`Watcher::next`] waits until a burst is over and tells the names once.

use super::Changes;
use notify::event::{AccessKind, AccessMode};
use notify::{Config, Event, EventKind, RecommendedWatcher, RecursiveMode, Watcher as _};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

/// A burst is over when nothing came for so long.
pub const QUIET: Duration = Duration::from_millis(20);
/// A file that is written without pause is read after so many quiet times all the same.
const PATIENCE: u32 = 10;

/// Told by the system of changes in a folder.
pub struct Watcher {
    folder: PathBuf,
    is_ignored: Box<dyn Fn(&Path) -> bool + Send>,
    events: Receiver<notify::Result<Event>>,
    /// Events end when it is dropped.
    _source: RecommendedWatcher,
}

impl Watcher {
    /// Watches a folder, whose path must have its links followed.
    ///
    /// Of a folder that is no package, only its own files and the folders `clauses`, `data` and `records` are watched.
    pub fn new(
        folder: &Path,
        is_package: bool,
        is_ignored: impl Fn(&Path) -> bool + Send + 'static,
    ) -> notify::Result<Self> {
        let (sender, events) = channel();
        let config = Config::default().with_follow_symlinks(false);
        let mut source = RecommendedWatcher::new(sender, config)?;
        if is_package {
            source.watch(folder, RecursiveMode::Recursive)?;
        } else {
            source.watch(folder, RecursiveMode::NonRecursive)?;
            for inside in ["clauses", "data", "records"].map(|name| folder.join(name)) {
                if inside.is_dir() {
                    source.watch(&inside, RecursiveMode::Recursive)?;
                }
            }
        }
        Ok(Self { folder: folder.to_owned(), is_ignored: Box::new(is_ignored), events, _source: source })
    }

    /// Waits for the next changes; nothing when there can be no more.
    pub fn next(&self) -> Option<Changes> {
        let mut burst = Burst::default();
        // Reading a file is an event as well, and so is writing a page.
        while !burst.add(self, self.events.recv().ok()?) {}
        let mut last = Instant::now();
        let end = last + QUIET * PATIENCE;
        loop {
            let now = Instant::now();
            let left = (last + QUIET).min(end).saturating_duration_since(now);
            match self.events.recv_timeout(left) {
                Ok(event) => {
                    if burst.add(self, event) {
                        last = Instant::now();
                    }
                }
                Err(_) => return Some(burst.into_changes()),
            }
            if left.is_zero() {
                return Some(burst.into_changes());
            }
        }
    }

    /// The path inside the folder, of a file that matters.
    fn inside(&self, path: &Path) -> Option<String> {
        let inside = path.strip_prefix(&self.folder).ok()?;
        let is_hidden = inside.components().any(|step| step.as_os_str().to_string_lossy().starts_with('.'));
        let inside = inside.to_string_lossy().replace('\\', "/");
        (!is_hidden && !inside.ends_with('~') && !(self.is_ignored)(path)).then_some(inside)
    }
}

/// Changes that come together.
#[derive(Default)]
struct Burst {
    files: BTreeSet<String>,
    anything: bool,
}

impl Burst {
    /// Takes an event in and says whether it was a change.
    fn add(&mut self, watcher: &Watcher, event: notify::Result<Event>) -> bool {
        let Ok(event) = event else {
            self.anything = true;
            return true;
        };
        if event.need_rescan() {
            self.anything = true;
            return true;
        }
        if matches!(event.kind, EventKind::Access(access) if access != AccessKind::Close(AccessMode::Write)) {
            return false;
        }
        let mut is_change = false;
        for file in event.paths.iter().filter_map(|path| watcher.inside(path)) {
            is_change = true;
            // The folder itself was moved or removed.
            self.anything |= file.is_empty();
            self.files.insert(file);
        }
        is_change
    }

    fn into_changes(self) -> Changes {
        if self.anything { Changes::Anything } else { Changes::Files(self.files.into_iter().collect()) }
    }
}
