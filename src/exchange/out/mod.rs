//! Out, by open standards: rows and records to bytes, a file a format. No SQL, and no IO but the writer that is given.
//! No clock and no dice: the same catalogue gives the same bytes.

pub mod bagit;
pub mod csv;
pub mod discretion;
pub mod dublin_core;
mod fields;
pub mod iiif;
pub mod json;
pub mod lido;
pub mod linked_art;
pub mod parquet;
pub mod positions;
pub mod schema;
pub mod subject;
mod xml;

use crate::catalogue::{Row, Table};

/// The tables of a catalogue, as a format is given them.
pub trait Source {
    /// Every table, in order.
    fn tables(&self) -> &[Table];
    /// Gives the rows of a table to `visit`, in order, blanks left out.
    ///
    /// # Errors
    /// If they cannot be read, or whatever `visit` returns.
    fn rows(&self, table: &Table, visit: &mut dyn FnMut(Row) -> Result<(), String>) -> Result<(), String>;
}

/// What an export says of itself.
#[derive(Debug, Clone, Default)]
pub struct About {
    /// The newest schema of the program that writes it.
    pub schema: i64,
    /// When the catalogue was last changed; blank if it never was.
    pub made_at: String,
    /// The numbers of the chosen pieces; none if it is of the whole catalogue.
    pub of: Option<Vec<String>>,
    /// Whether a catalogue can be made from it again: it is of the whole, and nothing of the journal was left out.
    pub complete: bool,
    /// What was left out, each in a few words.
    pub left_out: Vec<String>,
}
