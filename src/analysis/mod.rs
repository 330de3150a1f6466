//! What follows from the records: plain functions over them, without SQL and without IO.

pub mod care;
pub mod change;
pub mod cloth;
pub mod comparison;
pub mod coverage;
pub mod drawn;
pub mod hazards;
pub mod programme;
pub mod rules;
pub mod sums;
