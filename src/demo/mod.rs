//! The invented collection to try everything on: sheets of `fixtures/demo`, entered as a person would, and photographs that
//! the package `dimity-pixels` draws.

mod build;
pub mod sheets;

pub use build::{Built, OWNER, build};

#[cfg(test)]
mod tests;
