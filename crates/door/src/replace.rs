//! Replacing a file whole: whoever looks sees the old bytes or the new ones, never a part, also after a power cut.

use std::fs::{self, File, Metadata};
use std::io::{self, Write};
use std::path::{Path, PathBuf};
use std::time::{Duration, SystemTime};

use crate::{DoorError, FileHash};

/// Ends the name of the unfinished file beside the target.
const UNFINISHED: &str = ".unfinished";

/// An unfinished file this old belongs to nobody: its writer was killed.
const ABANDONED_AFTER: Duration = Duration::from_secs(3600);

/// As [`write_atomically`], making the folder that holds the file where it is not there.
///
/// # Errors
/// As [`write_atomically`]; a folder that cannot be made.
pub fn write_in_new_folder(path: &Path, bytes: &[u8]) -> Result<(), DoorError> {
    let folder = folder_of(path);
    fs::create_dir_all(&folder).map_err(|error| DoorError::from_system(&folder, "write", &error))?;
    write_atomically(path, bytes)
}

/// Writes `bytes` to `path`, replacing what was there at one instant.
///
/// A new file in the same folder is written, brought to the disk, given the old file's permissions and renamed over it.
/// A link is followed, so that the file it leads to is replaced and the link stays. Unfinished files that a killed run
/// left beside the target more than an hour ago are removed.
///
/// # Errors
/// A missing folder, a folder of that name, a file marked read-only, or what the system reports. The old file is then
/// as it was, and no unfinished file stays.
pub fn write_atomically(path: &Path, bytes: &[u8]) -> Result<(), DoorError> {
    let failed = |error: io::Error| DoorError::from_system(path, "write", &error);
    let target = fs::canonicalize(path).unwrap_or_else(|_| path.to_path_buf());
    let old = fs::metadata(&target).ok();
    match &old {
        Some(about) if about.is_dir() => return Err(DoorError::IsFolder { path: path.to_path_buf() }),
        // A rename would replace it all the same, against what its owner asked for.
        Some(about) if about.permissions().readonly() => {
            return Err(DoorError::NotAllowed { path: path.to_path_buf(), doing: "write" });
        }
        _ => {}
    }
    let folder = folder_of(&target);
    remove_abandoned(&folder, &target);
    let mut unfinished = unfinished_beside(&folder, &target).map_err(failed)?;
    unfinished.write_all(bytes).map_err(failed)?;
    if let Some(about) = &old {
        keep_ownership(unfinished.as_file(), about);
        unfinished.as_file().set_permissions(about.permissions()).map_err(failed)?;
    }
    unfinished.as_file().sync_all().map_err(failed)?;
    // On an error the unfinished file comes back inside it and is removed when dropped.
    unfinished.persist(&target).map_err(|failure| failed(failure.error))?;
    // The rename itself is on the disk once the folder is. Where a folder cannot be opened, the rename still holds.
    if let Ok(folder) = File::open(&folder) {
        folder.sync_all().ok();
    }
    Ok(())
}

/// [`write_atomically`], but only while the file still has the bytes whose fingerprint is `read`.
///
/// # Errors
/// [`DoorError::Moved`] when the file's bytes are others; else as reading and [`write_atomically`].
pub fn replace_if_unchanged(path: &Path, read: FileHash, bytes: &[u8]) -> Result<FileHash, DoorError> {
    let present = crate::read_design(path)?;
    if FileHash::of(&present) != read {
        return Err(DoorError::Moved { path: path.to_path_buf() });
    }
    write_atomically(path, bytes)?;
    Ok(FileHash::of(bytes))
}

fn folder_of(target: &Path) -> PathBuf {
    match target.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_path_buf(),
        _ => PathBuf::from("."),
    }
}

fn unfinished_beside(folder: &Path, target: &Path) -> io::Result<tempfile::NamedTempFile> {
    let mut builder = tempfile::Builder::new();
    let prefix = unfinished_prefix(target);
    builder.prefix(&prefix).suffix(UNFINISHED);
    #[cfg(unix)]
    {
        // A temporary file is private by habit; a new output gets what any new file gets (the user's mask applies).
        use std::os::unix::fs::PermissionsExt;
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(folder)
}

/// Hidden, and short enough beside any name that a file system takes.
fn unfinished_prefix(target: &Path) -> String {
    let name = target.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default();
    let short: String = name.chars().take(40).collect();
    format!(".{short}.")
}

fn remove_abandoned(folder: &Path, target: &Path) {
    let prefix = unfinished_prefix(target);
    let Ok(entries) = fs::read_dir(folder) else { return };
    for entry in entries.flatten() {
        let name = entry.file_name();
        let name = name.to_string_lossy();
        if !name.starts_with(&prefix) || !name.ends_with(UNFINISHED) {
            continue;
        }
        let modified = entry.metadata().and_then(|about| about.modified());
        let age = modified.ok().and_then(|then| SystemTime::now().duration_since(then).ok());
        if age.is_some_and(|age| age > ABANDONED_AFTER) {
            fs::remove_file(entry.path()).ok();
        }
    }
}

/// A run as another user keeps the owner where the system lets it; where not, the writer owns the new file.
#[cfg(unix)]
fn keep_ownership(file: &File, about: &Metadata) {
    use std::os::unix::fs::{MetadataExt, fchown};
    fchown(file, Some(about.uid()), Some(about.gid())).ok();
}

#[cfg(not(unix))]
fn keep_ownership(_: &File, _: &Metadata) {}

#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> Vec<String> {
        let entries = fs::read_dir(folder).expect("a folder");
        let mut names: Vec<String> = entries
            .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }

    #[test]
    fn a_new_file_is_made_and_an_old_one_replaced() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let path = folder.path().join("book.html");
        write_atomically(&path, b"first").expect("written");
        write_atomically(&path, b"second").expect("written");
        assert_eq!(fs::read(&path).expect("a file"), b"second");
        assert_eq!(names(folder.path()), ["book.html"]);
    }

    #[cfg(unix)]
    #[test]
    fn permissions_stay_and_a_new_file_can_be_read_by_others() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().expect("a temporary folder");
        let mode = |path: &Path| fs::metadata(path).expect("a file").permissions().mode() & 0o777;
        let (ordinary, new) = (folder.path().join("ordinary"), folder.path().join("new"));
        fs::write(&ordinary, b"x").expect("a file");
        write_atomically(&new, b"x").expect("written");
        assert_eq!(mode(&new), mode(&ordinary), "a new file is like any other new file");
        fs::set_permissions(&new, fs::Permissions::from_mode(0o640)).expect("permissions");
        write_atomically(&new, b"y").expect("written");
        assert_eq!(mode(&new), 0o640);
    }

    #[cfg(unix)]
    #[test]
    fn a_link_stays_a_link_and_its_file_is_replaced() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let (real, link) = (folder.path().join("real.toml"), folder.path().join("link.toml"));
        fs::write(&real, b"old").expect("a file");
        std::os::unix::fs::symlink(&real, &link).expect("a link");
        write_atomically(&link, b"new").expect("written");
        assert_eq!(fs::read(&real).expect("a file"), b"new");
        assert!(fs::symlink_metadata(&link).expect("a link").file_type().is_symlink());
    }

    #[test]
    fn a_write_that_fails_leaves_the_old_file_and_nothing_beside_it() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let path = folder.path().join("book.html");
        fs::write(&path, b"old").expect("a file");
        let mut permissions = fs::metadata(&path).expect("a file").permissions();
        permissions.set_readonly(true);
        fs::set_permissions(&path, permissions).expect("permissions");
        let error = write_atomically(&path, b"new").expect_err("read-only");
        assert_eq!(error, DoorError::NotAllowed { path: path.clone(), doing: "write" });
        assert_eq!(fs::read(&path).expect("a file"), b"old");
        assert_eq!(names(folder.path()), ["book.html"]);
    }

    #[test]
    fn a_rename_that_fails_removes_the_unfinished_file() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        // 255 bytes are the most a name may have on common file systems; the unfinished name is shorter.
        let path = folder.path().join("b".repeat(300));
        let error = write_atomically(&path, b"new").expect_err("the name is too long");
        assert_eq!(error.path(), path);
        assert!(names(folder.path()).is_empty(), "{:?}", names(folder.path()));
    }

    #[test]
    fn a_folder_that_is_missing_or_in_the_way_is_named() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let nowhere = folder.path().join("no such folder").join("book.html");
        assert_eq!(write_atomically(&nowhere, b"x"), Err(DoorError::Missing { path: nowhere.clone() }));
        assert_eq!(
            write_atomically(folder.path(), b"x"),
            Err(DoorError::IsFolder { path: folder.path().to_path_buf() })
        );
    }

    #[test]
    fn what_a_killed_run_left_is_removed_once_it_is_old() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let path = folder.path().join("book.html");
        let old = folder.path().join(".book.html.abc123.unfinished");
        let fresh = folder.path().join(".book.html.def456.unfinished");
        let foreign = folder.path().join(".other.html.abc123.unfinished");
        for left in [&old, &fresh, &foreign] {
            fs::write(left, b"half a bo").expect("a file");
        }
        let long_ago = SystemTime::now() - 2 * ABANDONED_AFTER;
        for aged in [&old, &foreign] {
            let file = File::options().write(true).open(aged).expect("a file");
            file.set_modified(long_ago).expect("a time");
        }
        write_atomically(&path, b"whole").expect("written");
        assert!(!old.exists(), "nobody writes it any more");
        assert!(fresh.exists(), "another run may be writing it at this moment");
        assert!(foreign.exists(), "it belongs to another target");
    }

    #[test]
    fn a_reader_never_sees_a_part() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let path = folder.path().join("book.html");
        let versions: [Vec<u8>; 2] = [vec![b'a'; 300_000], vec![b'b'; 500_000]];
        write_atomically(&path, &versions[0]).expect("written");
        std::thread::scope(|scope| {
            let writer = scope.spawn(|| {
                for turn in 0..40 {
                    write_atomically(&path, &versions[turn % 2]).expect("written");
                }
            });
            while !writer.is_finished() {
                let seen = fs::read(&path).expect("there is always a file");
                assert!(versions.contains(&seen), "{} bytes are neither version", seen.len());
            }
        });
    }

    #[test]
    fn a_change_made_for_other_bytes_is_refused() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let path = folder.path().join("house.toml");
        fs::write(&path, b"count = 8\n").expect("a file");
        let read = FileHash::of(b"count = 8\n");
        let now = replace_if_unchanged(&path, read, b"count = 9\n").expect("unchanged since");
        assert_eq!(now, FileHash::of(b"count = 9\n"));
        let error = replace_if_unchanged(&path, read, b"count = 10\n").expect_err("changed since");
        assert_eq!(error, DoorError::Moved { path: path.clone() });
        assert_eq!(fs::read(&path).expect("a file"), b"count = 9\n");
    }
}
