//! In and out: the examination sheet as a text file and on paper.

pub mod entry;
pub mod json;
pub mod paper;
pub mod sheet;
