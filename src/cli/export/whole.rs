//! What is asked for where everything goes out: JSON, CSV, Parquet, a bag.

use std::path::PathBuf;

use super::{Pieces, Wanted};
use crate::catalogue::tables;
use crate::cli::{Desk, Failure};
use crate::exchange::out;
use crate::export::Asked;

/// Where an export goes, and what of photographs stays here.
#[derive(Debug, Clone, Default, clap::Args)]
struct Where {
    /// The folder to write; if not given, one named like the format in the catalogue's folder `exports`
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Leave the GPS positions of photographs in
    #[arg(long)]
    with_gps: bool,
}

/// The whole catalogue as JSON, to be read by anything, and read back by `dimity import json`
///
/// The folder holds `catalogue.json`, `photographs` and `sealed`. Every table is in it, the journal and its hashes as well;
/// read back into a new catalogue it gives the same export again, byte for byte. Photographs that hold a GPS position stay
/// here unless `--with-gps` is given; the document names them, and can be read back without them.
#[derive(Debug, clap::Args)]
pub struct Json {
    #[command(flatten)]
    place: Where,
    /// Write the document alone, without photographs and sealed pages
    #[arg(long)]
    alone: bool,
    /// Print the JSON Schema (2020-12) of the document, and write nothing
    #[arg(long)]
    pub(super) schema: bool,
}

/// Every table as CSV, described by CSV on the Web (W3C, 2015)
///
/// `csv-metadata.json` says of every column what it means, its datatype and unit, and which rows of which file it names.
/// Texts stand as they were recorded. A spreadsheet may take a text that begins with = + - or @ for a formula: for opening
/// the files in one, `--for-spreadsheets` puts an apostrophe before such texts; then they are no longer as recorded.
#[derive(Debug, clap::Args)]
pub struct Csv {
    #[command(flatten)]
    which: Pieces,
    #[command(flatten)]
    place: Where,
    /// Put an apostrophe before texts that a spreadsheet would take for a formula
    #[arg(long)]
    for_spreadsheets: bool,
}

/// Every table as Parquet, in folders that name the collection, to be queried beside those of other collections
///
/// A table lies at `TABLE/collection=NAME/part-0.parquet`. Put the exports of many collections into one folder, and an
/// engine that takes columns from the names of folders reads them as one. Numbers of rows count within a collection: a join
/// is by `collection` and number.
#[derive(Debug, clap::Args)]
pub struct Parquet {
    #[command(flatten)]
    which: Pieces,
    #[command(flatten)]
    place: Where,
    /// What the collection is called there; by default its own name (`dimity collection`)
    #[arg(long, value_name = "NAME")]
    collection: Option<String>,
}

/// Chosen pieces in a bag (BagIt 1.0, RFC 8493): records as JSON, photographs, reports, sealed reports, each file with its SHA-256
///
/// For a deposit, a loan, a colleague. Any BagIt tool tells whether a bit has changed since: `bagit.py --validate DIR`, or
/// `sha256sum -c manifest-sha256.txt` in the folder. The reports are dated by the last change to the catalogue. A sealed report
/// goes along as it was sealed; one that tells of a piece that is not in the bag stays here, and `EXPORT.txt` names it.
#[derive(Debug, clap::Args)]
pub struct Bag {
    #[command(flatten)]
    which: Pieces,
    #[command(flatten)]
    place: Where,
}

/// Prints what a JSON export is held against.
pub(super) fn print_schema(desk: &mut Desk) -> Result<(), Failure> {
    desk.out.line(format!("{:#}", out::schema::schema(tables()?)));
    Ok(())
}

impl Json {
    pub(super) fn asked(self) -> Wanted {
        (Asked::Json { with_gps: self.place.with_gps, alone: self.alone }, self.place.out)
    }
}

impl Csv {
    pub(super) fn asked(self) -> Wanted {
        let Self { which, place, for_spreadsheets } = self;
        (Asked::Csv { of: which.into(), with_gps: place.with_gps, for_spreadsheets }, place.out)
    }
}

impl Parquet {
    pub(super) fn asked(self) -> Wanted {
        let Self { which, place, collection } = self;
        (Asked::Parquet { of: which.into(), with_gps: place.with_gps, collection }, place.out)
    }
}

impl Bag {
    pub(super) fn asked(self) -> Wanted {
        (Asked::Bag { of: self.which.into(), with_gps: self.place.with_gps }, self.place.out)
    }
}
