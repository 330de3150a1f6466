//! SHA-256 and bytes as they are written: lower-case hexadecimal. The one home of both.

use std::fmt::Write as _;

use sha2::{Digest, Sha256};

/// Bytes as lower-case hexadecimal, two digits each.
pub(crate) fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::with_capacity(2 * bytes.len()), |mut text, byte| {
        let _ = write!(text, "{byte:02x}"); // writing to a String cannot fail
        text
    })
}

/// SHA-256 of bytes, 64 digits (FIPS 180-4).
pub(crate) fn sha256(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}
