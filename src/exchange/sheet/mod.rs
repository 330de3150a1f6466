//! The examination sheet: the text file filled in at the table and entered later.
//!
//! Reading and printing walk the same lists of fields ([`crate::record::form`]), so that a printed sheet reads back.

mod asked;
mod mistake;
mod read;
mod write;

pub use asked::{Asked, NoSheet};
pub use mistake::{Mistake, text_of};
pub use read::{Known, Sheet, read};
pub use write::{again, blank, fields_of, filled, quoted};
