//! Records in, HTML pages out: each page is a plain struct of finished words, and a template that lays them out.
//!
//! No clock, no database, no network: the day of printing and the pictures are handed in, so that the same records
//! always give the same page. Sums and choices are made here; the templates hold wording and layout.

mod advice;
mod areas;
mod care;
mod cloth;
mod colours;
mod comparison;
mod condition;
mod damage;
mod entry;
mod form;
mod identity;
mod index;
mod letters;
mod light;
mod making;
mod pictures;
mod plates;
mod press;
mod sums;
mod survey;
mod target;
mod words;

pub use form::paper_form;
pub use index::IndexEntry;
pub use pictures::StorePictures;
pub use survey::Asked;

use crate::analysis::comparison::Tolerances;
use crate::optics::Place;
use crate::record::PieceFile;
use crate::vocabulary::Vocabulary;

/// What a page needs beside the records.
pub struct Settings<'a> {
    /// The terms and their definitions.
    pub vocabulary: &'a Vocabulary,
    /// The day printed on the page.
    pub printed_on: jiff::civil::Date,
    /// Name of the collection, or blank.
    pub collection: &'a str,
    /// Where the collection is, if that is known: the height of the sun in daylight photographs is reckoned for it.
    pub place: Option<Place>,
    /// Where pictures come from.
    pub pictures: &'a dyn Pictures,
}

/// Where a page gets its pictures.
pub trait Pictures {
    /// The `src` of a picture large enough to study: a `data:` URI or a relative link; none if there is no picture.
    fn view(&self, sha256: &str) -> Option<String>;
    /// The `src` of a small picture.
    fn thumbnail(&self, sha256: &str) -> Option<String>;
}

/// Why a page could not be printed.
#[derive(Debug, thiserror::Error)]
pub enum ReportFault {
    /// The piece has no examination at all.
    #[error("`{number}` has not been examined; enter an examination sheet first")]
    NotExamined {
        /// Accession number.
        number: String,
    },
    /// The piece was not examined on the day asked for.
    #[error("`{number}` was not examined on `{date}`; its examinations: {known}")]
    NoSuchExamination {
        /// Accession number.
        number: String,
        /// The day asked for.
        date: jiff::civil::Date,
        /// The days on which it was examined.
        known: String,
    },
    /// A template and the page do not fit: a fault of the program, not of the records.
    #[error("the page could not be laid out, which is a fault of this program: {why}")]
    Template {
        /// What the template engine said.
        why: String,
    },
}

/// The condition report of the examination on a day; of the latest one if no day is given.
///
/// # Errors
/// If there is no such examination.
pub fn condition(
    file: &PieceFile,
    examination: Option<jiff::civil::Date>,
    settings: &Settings<'_>,
) -> Result<String, ReportFault> {
    condition::print(file, examination, settings)
}

/// The entry of one piece, as in a printed catalogue.
///
/// # Errors
/// Only if a template is at fault.
pub fn catalogue_entry(file: &PieceFile, settings: &Settings<'_>) -> Result<String, ReportFault> {
    entry::print(file, settings)
}

/// The comparison of a piece with others: one sheet to pin up, a section for each.
///
/// # Errors
/// Only if a template is at fault.
pub fn comparison(
    subject: &PieceFile,
    others: &[PieceFile],
    tolerances: &Tolerances,
    settings: &Settings<'_>,
) -> Result<String, ReportFault> {
    comparison::print(subject, others, tolerances, settings)
}

/// The survey of the collection: what is due by location, counts of grades and damage, what was never examined.
///
/// # Errors
/// Only if a template is at fault.
pub fn survey(
    survey: &crate::analysis::programme::Survey,
    asked: &Asked<'_>,
    settings: &Settings<'_>,
) -> Result<String, ReportFault> {
    survey::print(survey, asked, settings)
}

/// The whole collection on one page, to look through and search without the program.
///
/// # Errors
/// Only if a template is at fault.
pub fn index(entries: &[IndexEntry], settings: &Settings<'_>) -> Result<String, ReportFault> {
    index::print(entries, settings)
}
