//! `dimity export parquet`: every table as a Parquet file, so that many collections are queried as one.

use super::{Told, Where, Which};
use crate::cli::say::{count, progress};
use crate::cli::{Desk, Failure};
use crate::exchange::handed::Handed;
use crate::exchange::out::{self, Source as _};

/// Every table as Parquet, in folders that name the collection, to be queried beside those of other collections
///
/// A table lies at `TABLE/collection=NAME/part-0.parquet`. Put the exports of many collections into one folder, and an
/// engine such as DuckDB reads them as one:
///
/// `SELECT collection, count(*) FROM read_parquet('pool/*/piece/*/*.parquet', hive_partitioning = true) GROUP BY 1`
///
/// Numbers of rows count within a collection: a join is by `collection` and number.
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

/// What `EXPORT.txt` says below its first line.
const PAGE: &str = "\
One file a table: Apache Parquet, at TABLE/collection=NAME/part-0.parquet. A null is what is not recorded; it never means no.
The names of numbers end in their unit; `_u` is a standard uncertainty (GUM, JCGM 100). Links are numbers of rows and count
within the collection: join by `collection` and number.
";

impl Parquet {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let catalogue = desk.open()?;
        let chosen = self.which.some(&catalogue)?;
        let name = self.collection.clone().or(catalogue.collection()?.name);
        let name = name.map(|name| name.trim().to_owned()).filter(|name| !name.is_empty()).ok_or(
            "this collection has no name yet, and needs one beside others: `--collection NAME`, or `dimity collection --name`",
        )?;
        let (place, mut parcel) = self.place.begin("parquet", desk)?;
        let moment = catalogue.steady()?;
        let handed = Handed::of(&catalogue, chosen.as_deref(), self.place.with_gps)?;
        let about = handed.about(chosen.as_deref())?;
        let bar = progress(handed.tables().len(), "tables");
        for table in handed.tables() {
            let file = out::parquet::place(&table.name, &name);
            parcel.file(&file, |to| out::parquet::write(to, table, &handed))?;
            bar.inc(1);
        }
        bar.finish_and_clear();
        drop(moment);
        parcel.page("parquet", PAGE)?;
        let written = parcel.finish()?;
        let what =
            format!("{} of {}", count(handed.tables().len(), "table"), super::of(&catalogue, chosen.as_deref())?);
        Told { what, place: &place, written, left_out: &handed.left_out(&about) }.say(desk);
        Ok(())
    }
}
