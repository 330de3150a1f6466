//! Dimity: documentation of garments in a study collection.

/// The words of the trade: one list of terms a scheme, each with a definition and a source.
pub mod vocabulary;
