//! What the program remembers between runs, outside every design: files opened lately, edits that can be undone, devices
//! that were paired. All of it may be deleted; nothing of a design is in it alone.

use serde::Serialize;
use serde::de::DeserializeOwned;
use std::path::PathBuf;

/// A folder of small files; without one, nothing outlives the run.
#[derive(Clone, Debug, Default)]
pub struct Memory {
    folder: Option<PathBuf>,
}

/// The most that is read of one of its files.
const LARGEST: u64 = 4_000_000;

impl Memory {
    /// Nothing outlives the run.
    pub fn none() -> Memory {
        Memory::default()
    }

    /// In a folder, which is made when something is first kept.
    pub fn in_folder(folder: PathBuf) -> Memory {
        Memory { folder: Some(folder) }
    }

    /// Where this user's programs keep such things.
    pub fn of_this_user() -> Memory {
        let of = |name: &str| std::env::var_os(name).map(PathBuf::from).filter(|path| path.is_absolute());
        let base = if cfg!(windows) {
            of("LOCALAPPDATA")
        } else {
            of("XDG_STATE_HOME").or_else(|| of("HOME").map(|home| home.join(".local").join("state")))
        };
        Memory { folder: base.map(|base| base.join("wattwright")) }
    }

    /// What was kept under a name; nothing where it cannot be read.
    pub(crate) fn recall<T: DeserializeOwned>(&self, name: &str) -> Option<T> {
        let path = self.folder.as_ref()?.join(name);
        let file = std::fs::File::open(&path).ok()?;
        let bytes = door::read_limited(file, &path, LARGEST).ok()?;
        serde_json::from_slice(&bytes).ok()
    }

    /// Keeps something under a name. That it could not be kept costs only the memory of it, so it is not told.
    pub(crate) fn keep<T: Serialize>(&self, name: &str, thing: &T) {
        let Some(folder) = &self.folder else { return };
        if let Ok(bytes) = serde_json::to_vec(thing) {
            door::write_in_new_folder(&folder.join(name), &bytes).ok();
        }
    }
}

/// Files opened lately, newest first.
const RECENT: &str = "recent.json";
/// How many are remembered.
const MOST_RECENT: usize = 8;

impl Memory {
    /// Designs opened lately that are still there, newest first.
    pub(crate) fn recent(&self) -> Vec<PathBuf> {
        let paths: Vec<PathBuf> = self.recall(RECENT).unwrap_or_default();
        paths.into_iter().filter(|path| path.is_file()).take(MOST_RECENT).collect()
    }

    /// Puts a design at the head of those opened lately.
    pub(crate) fn opened(&self, path: &std::path::Path) {
        let Ok(path) = std::path::absolute(path) else { return };
        let mut paths: Vec<PathBuf> = self.recall(RECENT).unwrap_or_default();
        paths.retain(|known| *known != path);
        paths.insert(0, path);
        paths.truncate(MOST_RECENT);
        self.keep(RECENT, &paths);
    }
}
