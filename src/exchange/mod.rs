//! In and out: the examination sheet as a text file and on paper; a piece as JSON; regions as
//! web annotations; the catalogue by open standards (`out`), as it is handed on (`handed`, `parcel`).

pub mod annotations;
pub mod catalogue_in;
pub mod changes;
pub mod correction;
pub mod entry;
pub mod handed;
pub mod import;
pub mod json;
pub mod json_in;
pub mod line;
pub mod lines;
pub mod made_again;
pub mod old_list;
pub mod out;
pub mod paper;
pub mod parcel;
mod rows;
pub mod sheet;
pub mod sitting;

pub use rows::csv;
