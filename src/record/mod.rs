//! What is recorded: plain types, their fields and their rules. No IO, no clock, no SQL.
//!
//! Each type lists its fields once, in [`form::Record::fields`]; the sheet, the printed form, the tables and the
//! search all walk that list.

pub mod accession;
pub mod account;
pub mod blanks;
pub mod capture;
pub mod care;
pub mod condition;
pub mod construction;
pub mod examination;
pub mod file;
pub mod form;
pub mod making;
pub mod measurement;
pub mod photograph;
pub mod picture_scale;
pub mod piece;
pub mod registration;
pub mod rights;
pub mod seal;
pub mod source;
pub mod target;
pub mod textile;
pub mod treatment;

pub use examination::{Circumstances, Examination, Observation, Observed};
pub use file::PieceFile;
