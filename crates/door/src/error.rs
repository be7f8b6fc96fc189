//! What can go wrong at the door, one variant per situation.

use std::fmt;
use std::io;
use std::path::{Path, PathBuf};

/// A file that could not be read, written or watched. The text says what is and what to do next.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum DoorError {
    /// There is no file of this name.
    Missing {
        /// As the caller named it.
        path: PathBuf,
    },
    /// The name is that of a folder.
    IsFolder {
        /// As the caller named it.
        path: PathBuf,
    },
    /// More bytes than a file of this kind may have; nothing of it was kept.
    TooLarge {
        /// As the caller named it; `-` is standard input.
        path: PathBuf,
        /// The most bytes that are read.
        limit: u64,
    },
    /// The system does not let this user read or write it, or the file is marked read-only.
    NotAllowed {
        /// As the caller named it.
        path: PathBuf,
        /// What was tried: "read" or "write".
        doing: &'static str,
    },
    /// The file is no longer the one the change was made for; nothing was written.
    Moved {
        /// As the caller named it.
        path: PathBuf,
    },
    /// Anything else the system reports: a full disk, a name too long, a broken device.
    System {
        /// As the caller named it; `-` is standard input.
        path: PathBuf,
        /// What was tried: "read", "write" or "watch".
        doing: &'static str,
        /// The system's own words.
        says: String,
    },
}

impl DoorError {
    /// The situation an error of the system stands for.
    pub(crate) fn from_system(path: &Path, doing: &'static str, error: &io::Error) -> DoorError {
        let path = path.to_path_buf();
        match error.kind() {
            io::ErrorKind::NotFound => DoorError::Missing { path },
            io::ErrorKind::IsADirectory => DoorError::IsFolder { path },
            io::ErrorKind::PermissionDenied | io::ErrorKind::ReadOnlyFilesystem => {
                DoorError::NotAllowed { path, doing }
            }
            _ => DoorError::System { path, doing, says: error.to_string() },
        }
    }

    /// The file that is meant, as the caller named it.
    pub fn path(&self) -> &Path {
        match self {
            DoorError::Missing { path }
            | DoorError::IsFolder { path }
            | DoorError::TooLarge { path, .. }
            | DoorError::NotAllowed { path, .. }
            | DoorError::Moved { path }
            | DoorError::System { path, .. } => path,
        }
    }
}

impl fmt::Display for DoorError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let name = if self.path() == Path::new("-") {
            "standard input".to_owned()
        } else {
            self.path().display().to_string()
        };
        match self {
            DoorError::Missing { .. } => {
                write!(f, "{name}: there is no such file; check the name and the folder")
            }
            DoorError::IsFolder { .. } => write!(f, "{name} is a folder; name a file in it"),
            DoorError::TooLarge { limit, .. } => write!(
                f,
                "{name} holds {} MB or more, which no file of this kind does; is it the right file?",
                limit / 1_000_000
            ),
            DoorError::NotAllowed { doing, .. } => {
                write!(f, "{name}: not allowed to {doing} it; check its owner and permissions")
            }
            DoorError::Moved { .. } => write!(
                f,
                "{name} was changed by something else since it was read; nothing was written, read it again"
            ),
            DoorError::System { doing, says, .. } => write!(f, "{name}: could not {doing} it: {says}"),
        }
    }
}

impl std::error::Error for DoorError {}
