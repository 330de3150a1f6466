//! SHA-256 and bytes as they are written: lower-case hexadecimal. The one home of both, and of how a digest is shortened.

use sha2::{Digest, Sha256};

/// Bytes as lower-case hexadecimal, two digits each.
pub(crate) fn hex(bytes: &[u8]) -> String {
    const DIGITS: &[u8; 16] = b"0123456789abcdef";
    let mut text = String::with_capacity(2 * bytes.len());
    for byte in bytes {
        text.push(char::from(DIGITS[usize::from(byte >> 4)]));
        text.push(char::from(DIGITS[usize::from(byte & 15)]));
    }
    text
}

/// SHA-256 of bytes, 64 digits (FIPS 180-4).
pub(crate) fn sha256(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

/// What tells one digest from another at a glance: its first twelve digits.
pub(crate) fn short(sha256: &str) -> &str {
    sha256.get(..12).unwrap_or(sha256)
}
