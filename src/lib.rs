//! Dimity: documentation of garments in a study collection, from the table to the printed report.
//!
//! The house has floors; a floor calls down, never up.

// Ground floor: pure, no IO, no clock, no SQL.
pub mod colour;
pub mod dating;
mod digest;
pub mod geometry;
pub mod measure;
pub mod optics;
pub mod textile;
pub mod threads;
pub mod vocabulary;
mod words;

// First floor: what is recorded, what can be worked out from records alone, the language of searches, and the calculators.
pub mod analysis;
pub mod query;
pub mod reckon;
pub mod record;

// Second floor: the database, the photographs, the sealed pages, their safekeeping, and the drafts.
pub mod catalogue;
pub mod draft;
pub mod photograph;
pub mod safekeeping;
pub mod sealed;

// Third floor: in and out, what is read off photographs, and the invented collection to try it on.
pub mod demo;
pub mod exchange;
pub mod export;
pub mod printing;
pub mod readings;
pub mod report;

// The doors.
pub mod cli;
pub mod workbench;

/// Records are many short texts, and the database keeps many small things of its own. It stands here, so that program, tests
/// and benches have it alike.
#[cfg(target_os = "linux")]
#[global_allocator]
static MEMORY: mimalloc::MiMalloc = mimalloc::MiMalloc;
