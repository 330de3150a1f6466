//! What follows from the records: plain functions over them, without SQL and without IO.

pub mod care;
pub(crate) mod chains;
pub mod change;
pub mod cloth;
pub mod colour_change;
pub mod comparability;
pub mod comparison;
pub mod corpus;
pub mod coverage;
pub mod damaged;
pub mod departed;
pub mod drawn;
pub mod effort;
pub mod hazards;
pub mod programme;
pub mod rules;
pub mod sampling;
pub mod series;
pub mod since;
pub mod sums;
pub mod takeoff;
pub mod versions;

pub use chains::latest_notes;
