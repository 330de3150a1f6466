//! `dimity export csv` and `dimity export parquet`: every table as a file.

use std::io::Write;

use super::{Told, Where, Which};
use crate::catalogue::{Catalogue, Table};
use crate::cli::say::{count, progress};
use crate::cli::{Desk, Failure};
use crate::exchange::handed::{Handed, Wanted};
use crate::exchange::out::{self, About, Source as _};
use crate::exchange::parcel::Parcel;

/// Every table as CSV, described by CSV on the Web (W3C, 2015)
///
/// `csv-metadata.json` says of every column what it means, its datatype and unit, and which rows of which file it names.
/// Texts stand as they were recorded. A spreadsheet may take a text that begins with = + - or @ for a formula: for opening
/// the files in one, `--for-spreadsheets` puts an apostrophe before such texts; then they are no longer as recorded.
#[derive(Debug, clap::Args)]
pub struct Csv {
    #[command(flatten)]
    which: Which,
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
    which: Which,
    #[command(flatten)]
    place: Where,
    /// What the collection is called there; by default its own name (`dimity collection`)
    #[arg(long, value_name = "NAME")]
    collection: Option<String>,
}

/// What `EXPORT.txt` of CSV says below its first line.
const CSV: &str = "\
One file a table: CSV (RFC 4180), UTF-8. A blank cell is what is not recorded; it never means no. The names of numbers end in
their unit; `_u` is a standard uncertainty (GUM, JCGM 100). Links are numbers of rows: `piece_id` names the `id` of piece.csv.

csv-metadata.json      what every column means, its datatype, and what it points to (CSV on the Web, W3C 2015)
";

/// What it says besides of texts that were changed.
const CHANGED: &str = "
For spreadsheets, an apostrophe stands before every text that begins with = + - @, a tab or a return: it is no part of it.
";

/// What `EXPORT.txt` of Parquet says below its first line.
const PARQUET: &str = "\
One file a table: Apache Parquet, at TABLE/collection=NAME/part-0.parquet. A null is what is not recorded; it never means no.
The names of numbers end in their unit; `_u` is a standard uncertainty (GUM, JCGM 100). Links are numbers of rows and count
within the collection: join by `collection` and number.
";

impl Csv {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let catalogue = desk.open()?;
        let format = Format {
            name: "csv",
            page: format!("{CSV}{}", if self.for_spreadsheets { CHANGED } else { "" }),
            file: &out::csv::file,
            write: &|to, table, handed| out::csv::write(to, table, handed, self.for_spreadsheets),
        };
        format.export(&catalogue, &self.which, &self.place, desk, |parcel, tables, about| {
            let metadata = out::csv::metadata(tables, about);
            parcel.file(out::csv::METADATA, |to| writeln!(to, "{metadata:#}"))
        })
    }
}

impl Parquet {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let catalogue = desk.open()?;
        let name = self.collection.clone().or(catalogue.collection()?.name);
        let name = name.map(|name| name.trim().to_owned()).filter(|name| !name.is_empty()).ok_or(
            "this collection has no name yet, and needs one beside others: `--collection NAME`, or `dimity collection --name`",
        )?;
        let format = Format {
            name: "parquet",
            page: PARQUET.to_owned(),
            file: &|table| out::parquet::place(table, &name),
            write: &|to, table, handed| out::parquet::write(to, table, handed),
        };
        format.export(&catalogue, &self.which, &self.place, desk, |_, _, _| Ok(()))
    }
}

/// A format with a file a table.
struct Format<'a> {
    name: &'static str,
    page: String,
    /// Where a table's file lies.
    file: &'a dyn Fn(&str) -> String,
    write: &'a dyn Fn(&mut dyn Write, &Table, &Handed<'_>) -> Result<(), String>,
}

impl Format<'_> {
    /// Writes every table, and whatever `beside` adds.
    fn export(
        self,
        catalogue: &Catalogue,
        which: &Which,
        to: &Where,
        desk: &mut Desk,
        beside: impl FnOnce(&mut Parcel, &[Table], &About) -> Result<(), String>,
    ) -> Result<(), Failure> {
        let chosen = which.some(catalogue)?;
        let (place, mut parcel) = to.begin(self.name, desk)?;
        let moment = catalogue.steady()?;
        let handed = Handed::of(catalogue, Wanted { pieces: chosen.as_deref(), with_gps: to.with_gps, files: None })?;
        let about = handed.about()?;
        let bar = progress(handed.tables().len(), "tables");
        for table in handed.tables() {
            parcel.file(&(self.file)(&table.name), |to| (self.write)(to, table, &handed))?;
            bar.inc(1);
        }
        bar.finish_and_clear();
        beside(&mut parcel, handed.tables(), &about)?;
        drop(moment);
        parcel.page(self.name, &format!("{}{}", self.page, super::held(&about)))?;
        let written = parcel.finish()?;
        let what = format!("{} of {}", count(handed.tables().len(), "table"), super::of(catalogue, chosen.as_deref())?);
        Told { what, place: &place, written, left_out: &handed.left_out(&about), list: None, findings: &[] }.say(desk)
    }
}
