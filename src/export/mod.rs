//! Exports: the catalogue, or chosen pieces of it, to a folder in an open format. What is asked, a catalogue, a folder and
//! whoever watches go in; what was written, what was left out and what should have gone out and could not come back. One
//! file a format; what all of them share is here.

mod bag;
mod described;
mod iiif;
mod json;
mod linked_art;
mod lying;
mod public;
mod site;
mod tables;
mod which;

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

pub use lying::{List, Lying};
pub use public::{ForThePublic, base};
pub use which::Which;

use crate::catalogue::{Catalogue, Fault, Finding};
use crate::exchange::out::{About, Absent};
use crate::exchange::parcel::Written;
use crate::report::ReportFault;
use crate::safekeeping::Watch;
use crate::words::{count, size};

/// The words of the formats, as commands, folders and pages name them.
pub const FORMATS: [&str; 9] = ["json", "csv", "parquet", "bag", "site", "iiif", "lido", "linked-art", "dublin-core"];

/// The longest side of published photographs in pixels, where nobody says otherwise, and between what it may lie.
pub const LONGEST: u32 = 6000;
/// The least and the most that may be asked of it.
pub const LONGEST_FITS: std::ops::RangeInclusive<u32> = 64..=60_000;

/// What is asked for: a format and its choices.
#[derive(Debug, Clone)]
pub enum Asked {
    /// The whole catalogue in one document, with its photographs and sealed pages beside it.
    Json {
        /// GPS positions stay in.
        with_gps: bool,
        /// The document alone.
        alone: bool,
    },
    /// Every table as CSV.
    Csv {
        /// Of these pieces.
        of: Which,
        /// GPS positions stay in.
        with_gps: bool,
        /// An apostrophe stands before what a spreadsheet would take for a formula.
        for_spreadsheets: bool,
    },
    /// Every table as Parquet.
    Parquet {
        /// Of these pieces.
        of: Which,
        /// GPS positions stay in.
        with_gps: bool,
        /// What the collection is called there; its own name if none is given.
        collection: Option<String>,
    },
    /// Chosen pieces with photographs and reports, in a bag that proves itself.
    Bag {
        /// Of these pieces.
        of: Which,
        /// GPS positions stay in.
        with_gps: bool,
    },
    /// LIDO in one file.
    Lido {
        /// Which pieces, and what of them.
        public: ForThePublic,
        /// Where the records will lie on the web.
        base: Option<String>,
    },
    /// Linked Art, a file a piece.
    LinkedArt {
        /// Which pieces, and what of them.
        public: ForThePublic,
        /// Where the records will lie on the web.
        base: Option<String>,
    },
    /// Dublin Core in one file.
    DublinCore {
        /// Which pieces, and what of them.
        public: ForThePublic,
        /// Where the records will lie on the web.
        base: Option<String>,
    },
    /// IIIF manifests and tiles.
    Iiif {
        /// Which pieces, and what of them.
        public: ForThePublic,
        /// Where the folder will lie on the web.
        base: String,
        /// The longest side of a photograph in pixels, within [`LONGEST_FITS`].
        longest: u32,
    },
    /// A site to read.
    Site {
        /// Which pieces, and what of them.
        public: ForThePublic,
        /// Where the folder of an IIIF export lies on the web.
        manifests: Option<String>,
    },
}

impl Asked {
    /// The word of the format, one of [`FORMATS`].
    pub fn format(&self) -> &'static str {
        match self {
            Self::Json { .. } => "json",
            Self::Csv { .. } => "csv",
            Self::Parquet { .. } => "parquet",
            Self::Bag { .. } => "bag",
            Self::Lido { .. } => "lido",
            Self::LinkedArt { .. } => "linked-art",
            Self::DublinCore { .. } => "dublin-core",
            Self::Iiif { .. } => "iiif",
            Self::Site { .. } => "site",
        }
    }

    /// Looks whether it can be made, before the work begins: the pieces are there, and for the public none is withdrawn.
    ///
    /// # Errors
    /// As [`make`] has it.
    pub fn look(&self, catalogue: &Catalogue) -> Result<(), NotMade> {
        match self {
            Self::Json { .. } => Ok(()),
            Self::Csv { of, .. } => of.some(catalogue).map(drop),
            Self::Parquet { of, collection, .. } => {
                tables::name(catalogue, collection.as_deref())?;
                of.some(catalogue).map(drop)
            }
            Self::Bag { of, .. } => of.chosen(catalogue).map(drop),
            Self::Lido { public, .. }
            | Self::LinkedArt { public, .. }
            | Self::DublinCore { public, .. }
            | Self::Iiif { public, .. }
            | Self::Site { public, .. } => public.numbers(catalogue).map(drop),
        }
    }
}

/// What was made.
#[derive(Debug, Clone)]
pub struct Made {
    /// `14 pieces`, `43 tables of 14 pieces`.
    pub what: String,
    /// How much.
    pub written: Written,
    /// What stayed here, each in a few words.
    pub left_out: Vec<String>,
    /// Where all of it is listed, if it is.
    pub list: Option<PathBuf>,
    /// What should have gone out and could not.
    pub findings: Vec<Finding>,
    /// What to think of before it is published.
    pub care: Option<String>,
}

impl Made {
    /// What was written in a line: `14 pieces in 3 files, 1.2 MB`.
    pub fn told(&self) -> String {
        format!("{} in {}, {}", self.what, count(self.written.files, "file"), size(self.written.bytes))
    }
}

/// Why there is no export. Nothing was written then, and an earlier one is still there.
#[derive(Debug, thiserror::Error)]
pub enum NotMade {
    /// The catalogue refuses.
    #[error(transparent)]
    Fault(#[from] Fault),
    /// A page cannot be made.
    #[error(transparent)]
    Report(#[from] ReportFault),
    /// Nothing was chosen, or nothing is there.
    #[error("there is no piece to export; `dimity list` lists them, `dimity find` tries a search")]
    NoPiece,
    /// This piece is withdrawn.
    #[error("`{0}` is withdrawn and not for the public; leave it out, or `dimity reinstate {0}` first")]
    Withdrawn(String),
    /// The collection has no name, and none was given.
    #[error(
        "this collection has no name yet, and needs one beside others: `--collection NAME`, or `dimity collection --name`"
    )]
    Nameless,
    /// Whatever else, in a sentence.
    #[error("{0}")]
    Refused(String),
}

impl From<String> for NotMade {
    fn from(why: String) -> Self {
        Self::Refused(why)
    }
}

/// Where an export of this format goes, if no other place is given.
pub fn place(catalogue: &Path, format: &str) -> PathBuf {
    catalogue.join("exports").join(format)
}

/// Makes an export in the folder `place`. It appears there whole or not at all, and takes the place of an earlier one.
///
/// # Errors
/// If what was asked for is not there, if the folder holds something else, or if the disk refuses.
pub fn make(catalogue: &Catalogue, asked: &Asked, place: &Path, watch: &dyn Watch) -> Result<Made, NotMade> {
    let to = To { catalogue, place, watch };
    match asked {
        Asked::Json { with_gps, alone } => json::make(to, *with_gps, *alone),
        Asked::Csv { of, with_gps, for_spreadsheets } => tables::csv(to, of, *with_gps, *for_spreadsheets),
        Asked::Parquet { of, with_gps, collection } => tables::parquet(to, of, *with_gps, collection.as_deref()),
        Asked::Bag { of, with_gps } => bag::make(to, of, *with_gps),
        Asked::Lido { public, base } => described::lido(to, public, base.as_deref()),
        Asked::LinkedArt { public, base } => linked_art::make(to, public, base.as_deref()),
        Asked::DublinCore { public, base } => described::dublin_core(to, public, base.as_deref()),
        Asked::Iiif { public, base, longest } => iiif::make(to, public, base, *longest),
        Asked::Site { public, manifests } => site::make(to, public, manifests.as_deref()),
    }
}

/// From where, to where, and who watches.
#[derive(Clone, Copy)]
struct To<'a> {
    catalogue: &'a Catalogue,
    place: &'a Path,
    watch: &'a dyn Watch,
}

impl To<'_> {
    /// One more is done.
    ///
    /// # Errors
    /// If nobody wants the rest.
    fn step(&self) -> Result<(), Fault> {
        self.watch.more(1);
        self.watch.go_on()
    }
}

/// `14 pieces` or `3 chosen pieces`, in words.
fn of(catalogue: &Catalogue, chosen: Option<&[String]>) -> Result<String, Fault> {
    Ok(match chosen {
        Some(numbers) => count(numbers.len(), "chosen piece"),
        None => count(catalogue.numbers()?.len(), "piece"),
    })
}

/// What is held back of photographs and sealed pages, for `EXPORT.txt`; blank if nothing is.
fn held(about: &About) -> String {
    let held = &about.held_back;
    let mut lines = String::new();
    for sha256 in &held.positions {
        let _ = writeln!(lines, "photograph {sha256}: its record is without its GPS position");
    }
    for file in &held.files {
        let _ = writeln!(lines, "{} {}: {}; it is not here", file.kind(), file.sha256, file.why.words());
    }
    if lines.is_empty() { lines } else { format!("\nHeld back, by SHA-256:\n\n{lines}") }
}

/// Files that should have gone out and could not.
fn findings(about: &About) -> Vec<Finding> {
    let wrong = about.held_back.files.iter().filter(|file| !file.why.is_meant());
    let told = |file: &Absent| {
        let what = format!("the {} {} {}; it is not in the export", file.kind(), file.sha256, file.why.words());
        Finding::new(what, "`dimity check` says where it lies; put it back from a backup and export again")
    };
    wrong.map(told).collect()
}
