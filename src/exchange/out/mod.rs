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
pub mod others;
pub mod parquet;
pub mod positions;
pub mod schema;
pub mod subject;
mod xml;

use serde::{Deserialize, Serialize};

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
    /// Whether it is of the whole, and nothing of it is held back.
    pub complete: bool,
    /// What was left out, each in a few words.
    pub left_out: Vec<String>,
    /// What of photographs and sealed pages stays here, one by one.
    pub held_back: HeldBack,
}

/// What of photographs and sealed pages does not go out, by their SHA-256.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct HeldBack {
    /// Photographs whose GPS positions were taken out of their record; what the journal held of them is known by its
    /// SHA-256 alone.
    pub positions: Vec<String>,
    /// Files that do not go out.
    pub files: Vec<Absent>,
}

impl HeldBack {
    /// Whether nothing is.
    pub fn is_empty(&self) -> bool {
        self.positions.is_empty() && self.files.is_empty()
    }
}

/// A file that does not go out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Absent {
    /// The table whose row tells of it: `photograph` or `seal`.
    pub table: String,
    /// Its SHA-256, as it should be.
    pub sha256: String,
    /// Why.
    pub why: Why,
}

impl Absent {
    /// What it is, in words.
    pub fn kind(&self) -> &'static str {
        if self.table == "seal" { "sealed page" } else { "original" }
    }
}

/// Why a file does not go out.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Why {
    /// A GPS position stands in it.
    Position,
    /// It is not what was stored: its SHA-256 is another.
    Changed,
    /// It is not there, or cannot be read.
    Unread,
    /// It tells of a piece that was not chosen.
    Others,
}

impl Why {
    /// Whether it stays here on purpose, and not because something is wrong with it.
    pub fn is_meant(self) -> bool {
        matches!(self, Self::Position | Self::Others)
    }

    /// In words, of one file.
    pub fn words(self) -> &'static str {
        match self {
            Self::Position => "holds a GPS position",
            Self::Changed => "has changed since it was stored",
            Self::Unread => "cannot be read",
            Self::Others => "tells of a piece that is not in the export",
        }
    }
}
