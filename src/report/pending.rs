//! Pages whose layout is still to come; their callers are ready.

use super::{ReportFault, Settings};
use crate::record::PieceFile;

/// One piece in the index of the collection.
pub struct IndexEntry {
    /// Accession number.
    pub number: String,
    /// Extant, reconstruction …
    pub nature: String,
    /// What it is.
    pub object_name: String,
    /// Kind of garment.
    pub garment: Option<String>,
    /// Its title.
    pub title: Option<String>,
    /// Date as written.
    pub date: Option<String>,
    /// First year.
    pub earliest: Option<i32>,
    /// Last year.
    pub latest: Option<i32>,
    /// Where it lies.
    pub location: Option<String>,
    /// Latest grade.
    pub grade: Option<String>,
    /// Fibres found in it.
    pub fibres: Vec<String>,
    /// SHA-256 of a photograph.
    pub thumbnail: Option<String>,
    /// Names and links of its reports.
    pub links: Vec<(String, String)>,
}

fn to_come() -> Result<String, ReportFault> {
    Err(ReportFault::Template { why: "this page is not written yet".into() })
}

/// A comparison sheet.
pub fn comparison(
    _: &PieceFile,
    _: &[PieceFile],
    _: &crate::analysis::comparison::Tolerances,
    _: &Settings<'_>,
) -> Result<String, ReportFault> {
    to_come()
}

/// The index of the collection.
pub fn index(_: &[IndexEntry], _: &Settings<'_>) -> Result<String, ReportFault> {
    to_come()
}
