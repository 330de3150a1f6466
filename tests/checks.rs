//! The sciences against values that nobody here worked out: published tables, worked examples, and general-purpose
//! reference libraries. Each row of `fixtures/checks` names its source.

#[path = "checks/colour.rs"]
mod colour;
#[path = "checks/comparison.rs"]
mod comparison;
#[path = "checks/corpus.rs"]
mod corpus;
#[path = "checks/dating.rs"]
mod dating;
#[path = "checks/dimensions.rs"]
mod dimensions;
#[path = "checks/geometry.rs"]
mod geometry;
#[path = "checks/lists.rs"]
mod lists;
#[path = "support/machine.rs"]
mod machine;
#[path = "checks/measure.rs"]
mod measure;
#[path = "checks/optics.rs"]
mod optics;
#[path = "checks/stress.rs"]
mod stress;
#[path = "checks/table.rs"]
mod table;
#[path = "checks/target.rs"]
mod target;
#[path = "checks/textile.rs"]
mod textile;
#[path = "checks/threads.rs"]
mod threads;
