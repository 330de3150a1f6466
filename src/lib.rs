//! Dimity: documentation of garments in a study collection, from the table to the printed report.
//!
//! The house has floors; a floor calls down, never up.

// Ground floor: pure, no IO, no clock, no SQL.
pub mod dating;
pub mod measure;
pub mod vocabulary;

// First floor: what is recorded.
pub mod analysis;
pub mod record;

// Second floor: the photographs.
pub mod photograph;

// Third floor: pages.
pub mod report;
