//! What is read off the pixels of a photograph: a colour, its target, threads, a pattern, how sharp it is. Looked at first,
//! and entered only when somebody says so. Both doors ask here, and put their own words round the answers; no SQL.

pub mod colour;
pub mod pattern;
pub mod sampling;
pub mod target;
pub mod threads;

/// The first digits of a SHA-256, as readings name their photograph.
pub fn beginning(sha: &str) -> &str {
    sha.get(..8).unwrap_or(sha)
}
