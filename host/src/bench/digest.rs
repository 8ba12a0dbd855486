//! What tells whether a file is still the one that was tested.

use sha2::{Digest, Sha256};

/// The SHA-256 of bytes (FIPS 180-4), in lower case hexadecimal digits.
#[must_use]
pub fn digest(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    /// FIPS 180-2, appendix B.1: the digest of "abc".
    #[test]
    fn agrees_with_the_standard() {
        let expected = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad";
        assert_eq!(super::digest(b"abc"), expected);
    }
}
