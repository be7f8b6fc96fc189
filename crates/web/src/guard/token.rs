//! Words that nobody can guess, and how they are compared and kept.

use sha2::{Digest, Sha256};
use std::fmt::Write as _;
use subtle::ConstantTimeEq;

/// 128 random bits of the system as 32 hexadecimal digits.
///
/// # Errors
/// When the system gives no randomness; nothing may then be served that rests on a token.
pub(crate) fn token() -> Result<String, std::io::Error> {
    let mut bytes = [0_u8; 16];
    getrandom::fill(&mut bytes).map_err(|error| std::io::Error::other(error.to_string()))?;
    Ok(hex(&bytes))
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::with_capacity(2 * bytes.len()), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

/// Compares without telling by its time how much agrees.
pub(crate) fn same(a: &str, b: &str) -> bool {
    a.as_bytes().ct_eq(b.as_bytes()).into()
}

/// What is kept of a token that a device holds: who reads it cannot make the token from it.
pub(crate) fn digest(token: &str) -> String {
    hex(&Sha256::digest(token.as_bytes()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tokens_differ_and_compare_whole() {
        let (a, b) = (token().expect("random bits"), token().expect("random bits"));
        assert_eq!(a.len(), 32);
        assert_ne!(a, b);
        assert!(same(&a, &a) && !same(&a, &b) && !same(&a, &a[..31]) && !same(&a, ""));
    }

    #[test]
    fn digests_are_those_of_the_standard() {
        // FIPS 180-4, example of "abc".
        assert_eq!(digest("abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    }
}
