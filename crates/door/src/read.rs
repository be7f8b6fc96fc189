//! Reading whole files and standard input, with a limit so that a wrong file cannot fill the memory.

use std::fs::File;
use std::io::{self, Read};
use std::path::Path;

use crate::DoorError;

/// Bytes from which on a design file is refused: 10 MB. A full house is under 0.1 MB.
pub const DESIGN_LIMIT: u64 = 10_000_000;

/// Bytes from which on a weather, meter or horizon file is refused: 10 MB. A year of hours is under 2 MB.
pub const DATA_LIMIT: u64 = 10_000_000;

/// The bytes of a design file; `-` reads standard input.
///
/// # Errors
/// A missing file, a folder, a file of [`DESIGN_LIMIT`] bytes or more, or what the system reports.
pub fn read_design(path: &Path) -> Result<Vec<u8>, DoorError> {
    if path == Path::new("-") {
        return read_limited(io::stdin().lock(), path, DESIGN_LIMIT);
    }
    read_file(path, DESIGN_LIMIT)
}

/// The bytes of a weather, meter or horizon file that a design names.
///
/// # Errors
/// As [`read_design`], with [`DATA_LIMIT`].
pub fn read_data(path: &Path) -> Result<Vec<u8>, DoorError> {
    read_file(path, DATA_LIMIT)
}

/// Everything `reader` gives, under `limit` bytes; `path` only names it in messages.
///
/// # Errors
/// [`DoorError::TooLarge`] as soon as `limit` bytes are reached, even where the source has no end; or what the system reports.
pub fn read_limited(reader: impl Read, path: &Path, limit: u64) -> Result<Vec<u8>, DoorError> {
    let mut bytes = Vec::new();
    reader
        .take(limit)
        .read_to_end(&mut bytes)
        .map_err(|error| DoorError::from_system(path, "read", &error))?;
    if bytes.len() as u64 >= limit {
        return Err(DoorError::TooLarge { path: path.to_path_buf(), limit });
    }
    Ok(bytes)
}

fn read_file(path: &Path, limit: u64) -> Result<Vec<u8>, DoorError> {
    let file = File::open(path).map_err(|error| DoorError::from_system(path, "read", &error))?;
    let about = file.metadata().map_err(|error| DoorError::from_system(path, "read", &error))?;
    if about.is_dir() {
        return Err(DoorError::IsFolder { path: path.to_path_buf() });
    }
    if about.len() >= limit {
        return Err(DoorError::TooLarge { path: path.to_path_buf(), limit });
    }
    read_limited(file, path, limit)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_read_as_it_stands_even_if_it_is_no_text() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let path = folder.path().join("house.toml");
        std::fs::write(&path, [0xff, 0x00, b'\n']).expect("a file of three bytes");
        assert_eq!(read_design(&path), Ok(vec![0xff, 0x00, b'\n']));
        std::fs::write(&path, []).expect("an empty file");
        assert_eq!(read_design(&path), Ok(Vec::new()));
    }

    #[test]
    fn a_missing_file_and_a_folder_are_told_apart() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let missing = folder.path().join("nothing.toml");
        assert_eq!(read_design(&missing), Err(DoorError::Missing { path: missing.clone() }));
        let error = read_design(folder.path()).expect_err("a folder is no design");
        assert_eq!(error, DoorError::IsFolder { path: folder.path().to_path_buf() });
        assert!(error.to_string().ends_with("is a folder; name a file in it"));
    }

    #[test]
    fn ten_megabytes_are_refused_and_one_byte_less_is_read() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let path = folder.path().join("huge.toml");
        std::fs::write(&path, vec![b'#'; DESIGN_LIMIT as usize]).expect("a large file");
        let error = read_design(&path).expect_err("too large");
        assert_eq!(error, DoorError::TooLarge { path: path.clone(), limit: DESIGN_LIMIT });
        assert!(error.to_string().contains("10 MB"), "{error}");
        std::fs::write(&path, vec![b'#'; DESIGN_LIMIT as usize - 1]).expect("a large file");
        assert_eq!(read_design(&path).map(|bytes| bytes.len() as u64), Ok(DESIGN_LIMIT - 1));
    }

    #[test]
    fn a_source_without_end_is_refused_and_not_read_for_ever() {
        let endless = read_limited(io::repeat(b'x'), Path::new("-"), 1000);
        assert_eq!(endless, Err(DoorError::TooLarge { path: "-".into(), limit: 1000 }));
        let short = read_limited(&b"[place]\n"[..], Path::new("-"), 1000);
        assert_eq!(short, Ok(b"[place]\n".to_vec()));
    }

    #[test]
    fn a_source_that_breaks_off_is_an_error_and_not_half_a_file() {
        struct Broken;
        impl Read for Broken {
            fn read(&mut self, _: &mut [u8]) -> io::Result<usize> {
                Err(io::Error::other("the pipe is broken"))
            }
        }
        let error = read_limited((&b"[place]"[..]).chain(Broken), Path::new("-"), 1000).expect_err("broken");
        assert_eq!(error.to_string(), "standard input: could not read it: the pipe is broken");
    }
}
