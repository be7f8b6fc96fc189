//! A fingerprint of a file's bytes, to notice that a file is no longer the one an edit was made for.

use std::fmt;
use std::str::FromStr;

/// Fingerprint of bytes: 128-bit FNV-1a (Fowler, Noll & Vo, IETF draft-eastlake-fnv), the same on every machine.
///
/// It guards against accidents, such as two editors on one file, and not against someone who makes two files of one
/// fingerprint on purpose. Prints as 32 hexadecimal digits and is read back from them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct FileHash(u128);

const OFFSET_BASIS: u128 = 0x6c62_272e_07bb_0142_62b8_2175_6295_c58d;
const PRIME: u128 = 0x0000_0000_0100_0000_0000_0000_0000_013b;

impl FileHash {
    /// The fingerprint of `bytes`.
    pub fn of(bytes: &[u8]) -> FileHash {
        FileHash(bytes.iter().fold(OFFSET_BASIS, |hash, byte| (hash ^ u128::from(*byte)).wrapping_mul(PRIME)))
    }
}

impl fmt::Display for FileHash {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:032x}", self.0)
    }
}

/// The text is not a fingerprint of 32 hexadecimal digits.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct NotAHash;

impl FromStr for FileHash {
    type Err = NotAHash;

    fn from_str(text: &str) -> Result<FileHash, NotAHash> {
        let plain = text.len() == 32 && text.bytes().all(|b| b.is_ascii_hexdigit());
        if !plain {
            return Err(NotAHash);
        }
        u128::from_str_radix(text, 16).map(FileHash).map_err(|_| NotAHash)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn fingerprints_are_those_of_the_published_vectors() {
        // draft-eastlake-fnv, 128-bit FNV-1a test vectors, from memory: the empty string is the offset basis.
        assert_eq!(FileHash::of(b"").to_string(), "6c62272e07bb014262b821756295c58d");
        // One step by hand in exact arithmetic: (basis xor 0x61) times prime, modulo 2^128.
        assert_eq!(FileHash::of(b"a").to_string(), "d228cb696f1a8caf78912b704e4a8964");
    }

    #[test]
    fn one_changed_byte_changes_the_fingerprint_and_text_reads_back() {
        let hash = FileHash::of(b"count = 8\n");
        assert_ne!(hash, FileHash::of(b"count = 9\n"));
        assert_eq!(hash.to_string().parse(), Ok(hash));
        for wrong in ["", "12", "+c62272e07bb014262b821756295c58d", "zc62272e07bb014262b821756295c58d"] {
            assert_eq!(wrong.parse::<FileHash>(), Err(NotAHash));
        }
    }
}
