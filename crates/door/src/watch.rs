//! Watching one file for changes made by something else.
//!
//! The file is looked at a few times a second. That costs one system call, needs nothing of the platform, works on
//! shared folders, and an editor that writes a new file and renames it over the old one looks like any other change.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{self, RecvTimeoutError, Sender};
use std::sync::{Arc, Mutex, PoisonError};
use std::thread::JoinHandle;
use std::time::{Duration, SystemTime};

use crate::{DoorError, FileHash};

/// What happened to the watched file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Change {
    /// It has other bytes than before, with this fingerprint; also when it is back after it was gone.
    Bytes(FileHash),
    /// It is gone or cannot be read.
    Gone,
}

/// Watches until dropped.
#[derive(Debug)]
pub struct Watcher {
    own: Arc<Mutex<Vec<FileHash>>>,
    stop: Sender<()>,
    thread: Option<JoinHandle<()>>,
}

/// Calls `on_change` from a thread of its own for each change of the file at `path`, looking every `pause`.
///
/// The bytes present at the call are the starting point; a file that is missing then is reported when it appears.
/// Changes faster than `pause` are reported as one. Touching a file without changing its bytes is no change, and a file
/// found empty is one when it is still empty at the next look: many editors empty a file before they write it.
///
/// # Errors
/// When no thread can be started.
pub fn watch(
    path: &Path,
    pause: Duration,
    on_change: impl Fn(Change) + Send + 'static,
) -> Result<Watcher, DoorError> {
    let own = Arc::new(Mutex::new(Vec::new()));
    let (stop, stopped) = mpsc::channel();
    let mut eye =
        Eye { path: path.to_path_buf(), own: Arc::clone(&own), seen: None, last: None, emptied: false };
    eye.look();
    let look_until_stopped = move || {
        while let Err(RecvTimeoutError::Timeout) = stopped.recv_timeout(pause) {
            if let Some(change) = eye.look() {
                on_change(change);
            }
        }
    };
    let thread = std::thread::Builder::new()
        .name("watch the design".to_owned())
        .spawn(look_until_stopped)
        .map_err(|error| DoorError::from_system(path, "watch", &error))?;
    Ok(Watcher { own, stop, thread: Some(thread) })
}

impl Watcher {
    /// Announces bytes the program itself is about to write, so that they are not reported as a change.
    ///
    /// Call it before writing. An announcement serves once; if something else writes the same bytes first, nothing is
    /// lost, because the file then has just these bytes.
    pub fn about_to_write(&self, bytes: &[u8]) {
        let mut own = self.own.lock().unwrap_or_else(PoisonError::into_inner);
        own.push(FileHash::of(bytes));
    }
}

impl Drop for Watcher {
    fn drop(&mut self) {
        self.stop.send(()).ok();
        if let Some(thread) = self.thread.take() {
            // Dropped by its own call-back, the thread ends by itself.
            if thread.thread().id() != std::thread::current().id() {
                thread.join().ok();
            }
        }
    }
}

/// Length, time of change and identity: when all are as before, and not of this moment, the bytes are too.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Stamp {
    length: u64,
    modified: SystemTime,
    identity: u64,
}

struct Eye {
    path: PathBuf,
    own: Arc<Mutex<Vec<FileHash>>>,
    seen: Option<FileHash>,
    last: Option<Stamp>,
    /// It was found empty at the last look, which is not believed yet.
    emptied: bool,
}

/// The coarsest file times in use have steps of two seconds: a younger time may hide a second change.
const COARSEST_TIME_STEP: Duration = Duration::from_secs(2);

impl Eye {
    fn look(&mut self) -> Option<Change> {
        let stamp = stamp(&self.path);
        if stamp.is_some() && stamp == self.last {
            return None;
        }
        let Ok(bytes) = crate::read_data(&self.path) else {
            self.last = None;
            return self.seen.take().map(|_| Change::Gone);
        };
        if bytes.is_empty() && self.seen.is_some() && !std::mem::replace(&mut self.emptied, true) {
            self.last = None;
            return None;
        }
        self.emptied = bytes.is_empty();
        let young = |stamp: &Stamp| stamp.modified.elapsed().map_or(true, |age| age < COARSEST_TIME_STEP);
        self.last = stamp.filter(|stamp| !young(stamp));
        let hash = FileHash::of(&bytes);
        if self.seen == Some(hash) {
            return None;
        }
        self.seen = Some(hash);
        let mut own = self.own.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(position) = own.iter().position(|written| *written == hash) {
            // Announcements before this one were overwritten by it before anyone looked.
            own.drain(..=position);
            return None;
        }
        // What was announced and not seen by now was overwritten unseen, or is still to come and then reported, which
        // costs a reading. Keeping it would silence a later return to the same bytes.
        own.clear();
        Some(Change::Bytes(hash))
    }
}

fn stamp(path: &Path) -> Option<Stamp> {
    let about = fs::metadata(path).ok()?;
    #[cfg(unix)]
    let identity = std::os::unix::fs::MetadataExt::ino(&about);
    #[cfg(not(unix))]
    let identity = 0;
    Some(Stamp { length: about.len(), modified: about.modified().ok()?, identity })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::write_atomically;

    fn eye(path: &Path) -> Eye {
        let own = Arc::new(Mutex::new(Vec::new()));
        let mut eye = Eye { path: path.to_path_buf(), own, seen: None, last: None, emptied: false };
        eye.look();
        eye
    }

    #[test]
    fn a_change_is_seen_once_and_a_touch_is_none() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let path = folder.path().join("house.toml");
        fs::write(&path, b"count = 8").expect("a file");
        let mut eye = eye(&path);
        assert_eq!(eye.look(), None);
        // Same length, same moment: only the bytes tell.
        fs::write(&path, b"count = 9").expect("a file");
        assert_eq!(eye.look(), Some(Change::Bytes(FileHash::of(b"count = 9"))));
        assert_eq!(eye.look(), None);
        fs::write(&path, b"count = 9").expect("a file");
        assert_eq!(eye.look(), None);
    }

    #[test]
    fn an_old_file_that_stays_is_not_read_again() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let path = folder.path().join("house.toml");
        fs::write(&path, b"count = 8").expect("a file");
        let old = SystemTime::now() - Duration::from_secs(60);
        fs::File::options().write(true).open(&path).expect("a file").set_modified(old).expect("a time");
        let eye = eye(&path);
        assert_eq!(eye.last, stamp(&path));
        assert!(eye.last.is_some());
    }

    #[test]
    fn a_file_replaced_by_rename_is_still_watched() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let path = folder.path().join("house.toml");
        fs::write(&path, b"a").expect("a file");
        let mut eye = eye(&path);
        for bytes in [b"b", b"c"] {
            write_atomically(&path, bytes).expect("written");
            assert_eq!(eye.look(), Some(Change::Bytes(FileHash::of(bytes))));
        }
    }

    #[test]
    fn a_file_emptied_to_be_written_is_not_taken_for_an_empty_one() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let path = folder.path().join("house.toml");
        fs::write(&path, b"a").expect("a file");
        let mut eye = eye(&path);
        fs::write(&path, b"").expect("emptied");
        assert_eq!(eye.look(), None);
        fs::write(&path, b"b").expect("written");
        assert_eq!(eye.look(), Some(Change::Bytes(FileHash::of(b"b"))));
        // Emptied once more, and left so: an owner may want that.
        fs::write(&path, b"").expect("emptied");
        assert_eq!(eye.look(), None);
        assert_eq!(eye.look(), Some(Change::Bytes(FileHash::of(b""))));
        assert_eq!(eye.look(), None);
    }

    #[test]
    fn a_file_that_goes_and_comes_back_is_reported_both_times() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let path = folder.path().join("house.toml");
        let mut eye = eye(&path);
        assert_eq!(eye.look(), None, "it was not there before either");
        fs::write(&path, b"a").expect("a file");
        assert_eq!(eye.look(), Some(Change::Bytes(FileHash::of(b"a"))));
        fs::remove_file(&path).expect("removed");
        assert_eq!(eye.look(), Some(Change::Gone));
        assert_eq!(eye.look(), None);
        fs::write(&path, b"a").expect("a file");
        assert_eq!(eye.look(), Some(Change::Bytes(FileHash::of(b"a"))));
    }

    #[test]
    fn an_own_write_that_was_overwritten_unseen_does_not_silence_its_return() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let path = folder.path().join("house.toml");
        fs::write(&path, b"a").expect("a file");
        let mut eye = eye(&path);
        eye.own.lock().expect("no thread panicked").push(FileHash::of(b"ours"));
        fs::write(&path, b"ours").expect("written");
        fs::write(&path, b"theirs").expect("written");
        assert_eq!(eye.look(), Some(Change::Bytes(FileHash::of(b"theirs"))));
        fs::write(&path, b"ours").expect("written");
        assert_eq!(eye.look(), Some(Change::Bytes(FileHash::of(b"ours"))));
    }

    #[test]
    fn own_writes_are_silent_and_the_next_foreign_one_is_not() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let path = folder.path().join("house.toml");
        fs::write(&path, b"a").expect("a file");
        let (tell, told) = mpsc::channel();
        let pause = Duration::from_millis(5);
        let watcher = watch(&path, pause, move |change| {
            tell.send(change).ok();
        })
        .expect("a thread");
        watcher.about_to_write(b"ours");
        write_atomically(&path, b"ours").expect("written");
        // Long enough for many looks; what is tested is silence.
        assert_eq!(told.recv_timeout(Duration::from_millis(150)), Err(RecvTimeoutError::Timeout));
        write_atomically(&path, b"theirs").expect("written");
        let patient = Duration::from_secs(20);
        assert_eq!(told.recv_timeout(patient), Ok(Change::Bytes(FileHash::of(b"theirs"))));
        // The announcement served once: the same bytes from elsewhere are a change.
        write_atomically(&path, b"ours").expect("written");
        assert_eq!(told.recv_timeout(patient), Ok(Change::Bytes(FileHash::of(b"ours"))));
        drop(watcher);
        assert!(told.recv().is_err(), "the thread has ended and dropped its end");
    }
}
