//! What is recorded: plain types and their rules.
pub mod capture;
