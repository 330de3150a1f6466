//! In and out: the examination sheet as a text file and on paper; a piece as JSON; regions as
//! web annotations.

pub mod annotations;
pub mod changes;
pub mod correction;
pub mod entry;
pub mod import;
pub mod json;
pub mod json_in;
pub mod line;
pub mod lines;
pub mod paper;
pub mod sheet;
pub mod sitting;
