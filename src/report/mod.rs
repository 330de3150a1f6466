//! Records in, HTML pages out: each page is a plain struct of finished words, and a template that lays them out.
//!
//! No clock, no database, no network: the day of printing and the pictures are handed in, so that the same records
//! always give the same page. Sums and choices are made here; the templates hold wording and layout.

mod advice;
mod against;
mod among;
mod areas;
mod care;
mod cloth;
mod colour_changes;
mod colours;
mod comparison;
mod condition;
mod cure;
mod damage;
mod departures;
mod diagram;
mod effort;
mod engine;
mod entry;
mod followed;
mod form;
mod identity;
mod index;
mod letters;
mod light;
mod loan;
mod made;
mod making;
mod measured;
mod over_time;
mod pattern;
mod pictures;
mod plates;
mod press;
mod seal;
mod side_by_side;
pub mod site;
mod summary;
mod sums;
mod survey;
mod target;
mod treatment;
mod words;

pub use comparison::Compared;
pub use departures::DepartureEntry;
pub(crate) use effort::{clock, interval, standing, sum};
pub(crate) use engine::{Engine, Template};
pub use form::paper_form;
pub use index::IndexEntry;
pub use measured::scale_lines;
pub use pattern::COPYRIGHT;
pub(crate) use pattern::{cloth, ratio};
pub use pictures::StorePictures;
pub(crate) use pictures::link_part;
pub use seal::{Before, Sealing};
pub use side_by_side::Laid;
pub use survey::Asked;
pub(crate) use treatment::named as treatment_named;
pub use treatment::{TreatmentAsked, TreatmentPart};
pub(crate) use words::{capital, day};

use crate::analysis::takeoff::{Sheets, TakeOff};
use crate::measure::System;
use crate::optics::Place;
use crate::record::PieceFile;
use crate::record::photograph::Photograph;
use crate::record::registration::Registration;
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
    /// In which system lengths are shown first.
    pub units: System,
    /// Where pictures come from.
    pub pictures: &'a dyn Pictures,
}

/// Where a page gets its pictures.
pub trait Pictures {
    /// The `src` of a picture large enough to study: a `data:` URI or a relative link; none if there is no picture.
    fn view(&self, sha256: &str) -> Option<String>;
    /// The `src` of a small picture.
    fn thumbnail(&self, sha256: &str) -> Option<String>;
    /// The second photograph laid over the first, and where they differ; none where pictures are missing.
    fn laid(&self, _first: &Photograph, _second: &Photograph, _by: &Registration) -> Option<Laid> {
        None
    }
}

/// Why a page could not be printed.
#[derive(Debug, thiserror::Error)]
pub enum ReportFault {
    /// What was asked for cannot be done with these pieces.
    #[error("{0}")]
    Asked(String),
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
    /// No treatment of the piece is recorded.
    #[error("no treatment of `{number}` is recorded; propose one under [[treatment]] in a sheet")]
    NoTreatment {
        /// Accession number.
        number: String,
    },
    /// The piece has treatments, but not the one asked for.
    #[error("`{number}` has no treatment `{asked}`; its treatments: {known}")]
    NoSuchTreatment {
        /// Accession number.
        number: String,
        /// The title or identifier asked for.
        asked: String,
        /// The titles of those that it has.
        known: String,
    },
    /// The examination to compare with is not before the one that is reported.
    #[error("`{number}` was examined on `{date}`, which is not before `{reported}`; compare with an earlier day")]
    NotEarlier {
        /// Accession number.
        number: String,
        /// The day to compare with.
        date: jiff::civil::Date,
        /// The day of the examination that is reported.
        reported: String,
    },
    /// Nothing was examined after the report that was sealed.
    #[error(
        "the sealed report {code} is of the examination on {examined}, and `{number}` has none after it; `dimity sheet {number} --again` prints the sheet for one"
    )]
    NoneLater {
        /// Accession number.
        number: String,
        /// Check code of the sealed report.
        code: String,
        /// The day of the examination that was sealed.
        examined: jiff::civil::Date,
    },
    /// A template and the page do not fit: a fault of the program, not of the records.
    #[error("the page could not be laid out, which is a fault of this program: {why}")]
    Template {
        /// What the template engine said.
        why: String,
    },
}

/// What of a condition report is printed.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum PrintSet {
    /// Everything.
    #[default]
    Full,
    /// One sheet: what someone must know who takes the piece in hand. What is shortened says so.
    Summary,
    /// For a loan: condition with photographs, packing and handling, lines to write on arrival, signatures of both sides.
    Loan,
}

impl PrintSet {
    /// The word by which a seal and the command line know it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Full => "full",
            Self::Summary => "summary",
            Self::Loan => "loan",
        }
    }
}

/// How a condition report is printed.
#[derive(Debug, Clone, Copy, Default)]
pub struct Printing<'a> {
    /// How much of it.
    pub set: PrintSet,
    /// The day of the earlier examination since which changes are told; that of the one before if not given.
    pub since: Option<jiff::civil::Date>,
    /// What a page that is about to be sealed says of its seal.
    pub sealing: Option<&'a Sealing>,
    /// The last report of the piece that was sealed before: what differs from it is listed.
    pub before: Option<&'a Before>,
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
    condition::print(file, examination, &Printing::default(), settings)
}

/// The same as a print set, or to be sealed, or after a sealed one.
///
/// # Errors
/// If there is no such examination.
pub fn condition_as(
    file: &PieceFile,
    examination: Option<jiff::civil::Date>,
    printing: &Printing<'_>,
    settings: &Settings<'_>,
) -> Result<String, ReportFault> {
    condition::print(file, examination, printing, settings)
}

/// A later examination beside a sealed report: outgoing and incoming, with lines to sign for both sides.
///
/// # Errors
/// If there is no such examination, or it is not later than the one that was sealed.
pub fn against(
    file: &PieceFile,
    examination: Option<jiff::civil::Date>,
    before: &Before,
    sealing: Option<&Sealing>,
    settings: &Settings<'_>,
) -> Result<String, ReportFault> {
    against::print(file, examination, before, sealing, settings)
}

/// The entry of one piece, as in a printed catalogue.
///
/// # Errors
/// Only if a template is at fault.
pub fn catalogue_entry(file: &PieceFile, settings: &Settings<'_>) -> Result<String, ReportFault> {
    entry::print(file, settings)
}

/// What a piece is made of, in a sentence: `Shell: silk, 2/1 twill; lining: linen, tabby`.
pub(crate) fn medium(file: &PieceFile) -> String {
    entry::medium(file)
}

/// What the entry of a piece says, for a page that lays it out itself with the part `entry`.
pub(crate) fn entry_view(file: &PieceFile, settings: &Settings<'_>) -> entry::Page {
    entry::page(file, settings)
}

/// One photograph of a piece, by its place among them, with what is drawn on it and how it was taken.
pub(crate) fn plate_view(
    file: &PieceFile,
    at: usize,
    settings: &Settings<'_>,
) -> Option<impl serde::Serialize + use<>> {
    plates::one(file, at, settings)
}

/// One photograph of a piece, by its place among them, with the size of all that is drawn on it.
pub(crate) fn study_view(file: &PieceFile, at: usize, settings: &Settings<'_>) -> Option<measured::Study> {
    measured::study(file, at, settings)
}

/// How large a region of a photograph is, in words.
pub(crate) fn region_figures(
    photograph: &Photograph,
    region: &crate::record::photograph::Region,
    units: System,
) -> Vec<String> {
    measured::figures(photograph, region, units)
}

/// The photographs laid over each other among these, each pair with what may be said of it.
pub(crate) fn pairs_view(photographs: &[&Photograph], settings: &Settings<'_>) -> Vec<impl serde::Serialize + use<>> {
    side_by_side::side_by_side(photographs, |_, _| true, 1, settings)
}

/// What the comparison of a piece with others says, for a page that lays it out itself.
pub(crate) fn comparison_view(
    subject: &PieceFile,
    others: &[PieceFile],
    compared: &Compared,
    settings: &Settings<'_>,
) -> Result<comparison::Page, ReportFault> {
    comparison::page(subject, others, compared, settings)
}

/// What the survey of the collection says, for a page that lays it out itself.
pub(crate) fn survey_view(
    survey: &crate::analysis::programme::Survey,
    asked: &Asked<'_>,
    settings: &Settings<'_>,
) -> survey::Page {
    survey::page(survey, asked, settings.vocabulary)
}

/// The comparison of a piece with others: the first sheet stands alone; of several others each gets a section.
///
/// # Errors
/// If a pair of components set by hand is on none of the pieces.
pub fn comparison(
    subject: &PieceFile,
    others: &[PieceFile],
    compared: &Compared,
    settings: &Settings<'_>,
) -> Result<String, ReportFault> {
    comparison::print(subject, others, compared, settings)
}

/// What a piece takes to sew, by the pace of a maker's logs.
///
/// # Errors
/// Only if a template is at fault.
pub fn effort(
    file: &PieceFile,
    found: &crate::analysis::effort::Effort,
    settings: &Settings<'_>,
) -> Result<String, ReportFault> {
    effort::print(file, found, settings)
}

/// A pattern at full size as sheets to print and join, with test squares, a map of the sheets and the list of sizes.
///
/// # Errors
/// Only if a template is at fault.
pub fn pattern_sheets(
    off: &TakeOff,
    laid: &Sheets,
    file: &PieceFile,
    photograph: &Photograph,
    settings: &Settings<'_>,
) -> Result<String, ReportFault> {
    pattern::page(off, laid, file, photograph, settings)
}

/// What the pieces of a pattern measure at full size, for the workbench.
pub(crate) fn pattern_sizes(off: &TakeOff) -> pattern::SizeLists {
    pattern::sizes(off)
}

/// A pattern at full size as one SVG drawing in millimetres.
///
/// # Errors
/// Only if a template is at fault.
pub fn pattern_outline(off: &TakeOff, file: &PieceFile, photograph: &Photograph) -> Result<String, ReportFault> {
    pattern::whole(off, file, photograph)
}

/// A treatment of a piece, as proposal or as record.
///
/// # Errors
/// If the piece has no such treatment.
pub fn treatment(file: &PieceFile, asked: &TreatmentAsked<'_>, settings: &Settings<'_>) -> Result<String, ReportFault> {
    treatment::print(file, asked, settings)
}

/// A set of pieces, feature by feature, with the place of one piece in it. `set` says in words what was asked for.
///
/// # Errors
/// If the template fails.
pub fn among(
    corpus: &crate::analysis::corpus::Corpus<'_>,
    set: &str,
    settings: &Settings<'_>,
) -> Result<String, ReportFault> {
    among::print(corpus, set, settings)
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

/// The departures of all reconstructions, by reason.
///
/// # Errors
/// Only if a template is at fault.
pub fn departures(list: &[DepartureEntry], settings: &Settings<'_>) -> Result<String, ReportFault> {
    departures::print(list, settings)
}

/// The whole collection on one page, to look through and search without the program.
///
/// # Errors
/// Only if a template is at fault.
pub fn index(entries: &[IndexEntry], settings: &Settings<'_>) -> Result<String, ReportFault> {
    index::print(entries, settings)
}
