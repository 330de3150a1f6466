//! The sciences against values that nobody here worked out: published tables, worked examples, and general-purpose
//! reference libraries. Each row of `fixtures/checks` names its source.

#[path = "checks/dating.rs"]
mod dating;
#[path = "checks/table.rs"]
mod table;
