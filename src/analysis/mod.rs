//! What can be worked out from records alone.

pub mod change;
