//! Object documentation for a study collection of garments.

/// The photographs of the invented demo collection, drawn by the program and never photographed.
pub mod demo;
