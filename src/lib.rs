//! x

/// Draws the invented demo photographs.
pub mod demo;
