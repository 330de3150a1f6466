//! The sciences against values that nobody here worked out: published tables, worked examples, and general-purpose
//! reference libraries. Each row of `fixtures/checks` names its source.

#[path = "checks/table.rs"]
mod table;

#[path = "checks/textile.rs"]
mod textile;
