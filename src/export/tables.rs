//! Every table as a file: CSV with its description, and Parquet.

use std::io::Write;

use super::{Made, NotMade, To, Which};
use crate::catalogue::{Catalogue, Table};
use crate::exchange::handed::{Handed, Wanted};
use crate::exchange::out::{self, About, Source as _};
use crate::exchange::parcel::Parcel;
use crate::words::count;

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

/// What Parquet calls the collection: as it was asked for, else its own name.
pub(super) fn name(catalogue: &Catalogue, given: Option<&str>) -> Result<String, NotMade> {
    let name = given.map(str::to_owned).or(catalogue.collection()?.name);
    name.map(|name| name.trim().to_owned()).filter(|name| !name.is_empty()).ok_or(NotMade::Nameless)
}

pub(super) fn csv(to: To<'_>, of: &Which, with_gps: bool, for_spreadsheets: bool) -> Result<Made, NotMade> {
    let format = Format {
        name: "csv",
        page: format!("{CSV}{}", if for_spreadsheets { CHANGED } else { "" }),
        file: &out::csv::file,
        write: &|to, table, handed| out::csv::write(to, table, handed, for_spreadsheets),
    };
    format.export(to, of, with_gps, |parcel, tables, about| {
        let metadata = out::csv::metadata(tables, about);
        parcel.file(out::csv::METADATA, |to| writeln!(to, "{metadata:#}"))
    })
}

pub(super) fn parquet(to: To<'_>, of: &Which, with_gps: bool, collection: Option<&str>) -> Result<Made, NotMade> {
    let name = name(to.catalogue, collection)?;
    let format = Format {
        name: "parquet",
        page: PARQUET.to_owned(),
        file: &|table| out::parquet::place(table, &name),
        write: &|to, table, handed| out::parquet::write(to, table, handed),
    };
    format.export(to, of, with_gps, |_, _, _| Ok(()))
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
        to: To<'_>,
        which: &Which,
        with_gps: bool,
        beside: impl FnOnce(&mut Parcel, &[Table], &About) -> Result<(), String>,
    ) -> Result<Made, NotMade> {
        let catalogue = to.catalogue;
        let chosen = which.some(catalogue)?;
        let mut parcel = Parcel::begin(to.place)?;
        let moment = catalogue.steady()?;
        let handed = Handed::of(catalogue, Wanted { pieces: chosen.as_deref(), with_gps, files: None })?;
        let about = handed.about()?;
        to.watch.begin("tables", handed.tables().len() as u64);
        for table in handed.tables() {
            parcel.file(&(self.file)(&table.name), |to| (self.write)(to, table, &handed))?;
            to.step()?;
        }
        beside(&mut parcel, handed.tables(), &about)?;
        drop(moment);
        parcel.page(self.name, &format!("{}{}", self.page, super::held(&about)))?;
        let written = parcel.finish()?;
        Ok(Made {
            what: format!("{} of {}", count(handed.tables().len(), "table"), super::of(catalogue, chosen.as_deref())?),
            written,
            left_out: handed.left_out(&about),
            list: None,
            findings: Vec::new(),
            care: None,
        })
    }
}
