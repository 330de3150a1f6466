//! What is worked out pixel by pixel by arithmetic of our own: threads counted in a photograph, pictures made
//! smaller, and the photographs of the invented collection. Pure: pixels and lists in, pixels and figures out.
//!
//! It is a package of its own so that it can be built for speed even where all else is built in a hurry, while one works and
//! for the tests (`[profile.dev.package.dimity-pixels]`).

pub mod scenes;
pub mod smaller;
pub mod threads;
