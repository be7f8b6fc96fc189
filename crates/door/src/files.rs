//! The one trait through which the ends of the program reach files, with the disk and a fake for tests.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use crate::{DoorError, FileHash};

/// Reading and replacing whole files.
pub trait Files: Send + Sync {
    /// The bytes of a design file; `-` is standard input where there is one.
    ///
    /// # Errors
    /// As [`crate::read_design`].
    fn read_design(&self, path: &Path) -> Result<Vec<u8>, DoorError>;

    /// The bytes of a file that a design names.
    ///
    /// # Errors
    /// As [`crate::read_data`].
    fn read_data(&self, path: &Path) -> Result<Vec<u8>, DoorError>;

    /// Replaces a file whole, or makes it.
    ///
    /// # Errors
    /// As [`crate::write_atomically`]; the old file is then as it was.
    fn write(&self, path: &Path, bytes: &[u8]) -> Result<(), DoorError>;

    /// Replaces a file only while it has the bytes whose fingerprint is `read`; gives the new fingerprint.
    ///
    /// # Errors
    /// As [`crate::replace_if_unchanged`].
    fn replace(&self, path: &Path, read: FileHash, bytes: &[u8]) -> Result<FileHash, DoorError>;
}

/// The real files.
#[derive(Debug, Clone, Copy, Default)]
pub struct Disk;

impl Files for Disk {
    fn read_design(&self, path: &Path) -> Result<Vec<u8>, DoorError> {
        crate::read_design(path)
    }

    fn read_data(&self, path: &Path) -> Result<Vec<u8>, DoorError> {
        crate::read_data(path)
    }

    fn write(&self, path: &Path, bytes: &[u8]) -> Result<(), DoorError> {
        crate::write_atomically(path, bytes)
    }

    fn replace(&self, path: &Path, read: FileHash, bytes: &[u8]) -> Result<FileHash, DoorError> {
        crate::replace_if_unchanged(path, read, bytes)
    }
}

/// Files that exist only in memory, for tests of the command line and the web.
#[derive(Debug, Default)]
pub struct InMemory {
    files: Mutex<BTreeMap<PathBuf, Vec<u8>>>,
}

impl InMemory {
    /// With one file in it.
    pub fn with(path: impl Into<PathBuf>, bytes: impl Into<Vec<u8>>) -> InMemory {
        InMemory { files: Mutex::new(BTreeMap::from([(path.into(), bytes.into())])) }
    }
}

impl Files for InMemory {
    fn read_design(&self, path: &Path) -> Result<Vec<u8>, DoorError> {
        let files = self.files.lock().unwrap_or_else(PoisonError::into_inner);
        files.get(path).cloned().ok_or_else(|| DoorError::Missing { path: path.to_path_buf() })
    }

    fn read_data(&self, path: &Path) -> Result<Vec<u8>, DoorError> {
        self.read_design(path)
    }

    fn write(&self, path: &Path, bytes: &[u8]) -> Result<(), DoorError> {
        let mut files = self.files.lock().unwrap_or_else(PoisonError::into_inner);
        files.insert(path.to_path_buf(), bytes.to_vec());
        Ok(())
    }

    fn replace(&self, path: &Path, read: FileHash, bytes: &[u8]) -> Result<FileHash, DoorError> {
        let mut files = self.files.lock().unwrap_or_else(PoisonError::into_inner);
        let present = files.get_mut(path).ok_or_else(|| DoorError::Missing { path: path.to_path_buf() })?;
        if FileHash::of(present) != read {
            return Err(DoorError::Moved { path: path.to_path_buf() });
        }
        *present = bytes.to_vec();
        Ok(FileHash::of(bytes))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The fake is only of use while it behaves like the disk.
    #[test]
    fn memory_behaves_like_the_disk() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let kinds: [(&dyn Files, PathBuf); 2] =
            [(&InMemory::default(), "house.toml".into()), (&Disk, folder.path().join("house.toml"))];
        for (files, path) in kinds {
            assert_eq!(files.read_design(&path), Err(DoorError::Missing { path: path.clone() }));
            files.write(&path, b"one").expect("written");
            assert_eq!(files.read_data(&path), Ok(b"one".to_vec()));
            let two = files.replace(&path, FileHash::of(b"one"), b"two");
            assert_eq!(two, Ok(FileHash::of(b"two")));
            let late = files.replace(&path, FileHash::of(b"one"), b"three");
            assert_eq!(late, Err(DoorError::Moved { path: path.clone() }));
            assert_eq!(files.read_design(&path), Ok(b"two".to_vec()));
        }
    }
}
