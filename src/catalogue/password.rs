//! Passwords: hashed with Argon2id and a salt each, never stored or shown as written.
//!
//! Cost as RFC 9106 allows for small machines and the crate's authors recommend: 19 MiB, two passes, one lane.

use argon2::Argon2;
use argon2::password_hash::phc::PasswordHash;
use argon2::password_hash::{PasswordHasher, PasswordVerifier};

use super::{Fault, Result};

/// The fewest characters; length is what makes a password hard to guess, so no kinds of characters are demanded.
pub const SHORTEST: usize = 12;
/// The most, so that hashing is bounded.
pub const LONGEST: usize = 256;

/// Hashes a password with a fresh salt.
pub(super) fn hash(password: &str) -> Result<String> {
    let length = password.chars().count();
    if !(SHORTEST..=LONGEST).contains(&length) {
        return Err(Fault::Refused(format!(
            "a password has {SHORTEST} to {LONGEST} characters; this one has {length}; four or five unrelated words do well"
        )));
    }
    let hash = Argon2::default().hash_password(password.as_bytes());
    hash.map(|hash| hash.to_string()).map_err(|e| Fault::Refused(format!("the password could not be hashed: {e}")))
}

/// Whether a password is the one that was hashed. Takes as long as hashing it did.
pub(super) fn fits(password: &str, hash: &str) -> bool {
    let Ok(parsed) = PasswordHash::new(hash) else { return false };
    password.chars().count() <= LONGEST && Argon2::default().verify_password(password.as_bytes(), &parsed).is_ok()
}
