//! What can be worked out from records alone: plain functions over them, without SQL and without IO.

pub mod change;
pub mod comparison;
