//! `dimity export csv`: every table as a file, and what they are as CSV on the Web.

use super::{Told, Where, Which};
use crate::cli::say::{count, progress};
use crate::cli::{Desk, Failure};
use crate::exchange::handed::Handed;
use crate::exchange::out::{self, Source as _};

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

/// What `EXPORT.txt` says below its first line.
const PAGE: &str = "\
One file a table: CSV (RFC 4180), UTF-8. A blank cell is what is not recorded; it never means no. The names of numbers end in
their unit; `_u` is a standard uncertainty (GUM, JCGM 100). Links are numbers of rows: `piece_id` names the `id` of piece.csv.

csv-metadata.json      what every column means, its datatype, and what it points to (CSV on the Web, W3C 2015)
";

/// What it says besides of texts that were changed.
const CHANGED: &str = "
For spreadsheets, an apostrophe stands before every text that begins with = + - @, a tab or a return: it is no part of it.
";

impl Csv {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let catalogue = desk.open()?;
        let chosen = self.which.some(&catalogue)?;
        let (place, mut parcel) = self.place.begin("csv", desk)?;
        let moment = catalogue.steady()?;
        let handed = Handed::of(&catalogue, chosen.as_deref(), self.place.with_gps)?;
        let about = handed.about(chosen.as_deref())?;
        let bar = progress(handed.tables().len(), "tables");
        for table in handed.tables() {
            let name = out::csv::file(&table.name);
            parcel.file(&name, |to| out::csv::write(to, table, &handed, self.for_spreadsheets))?;
            bar.inc(1);
        }
        bar.finish_and_clear();
        let metadata = out::csv::metadata(handed.tables(), &about);
        parcel.file(out::csv::METADATA, |to| writeln!(to, "{metadata:#}"))?;
        drop(moment);
        parcel.page("csv", &format!("{PAGE}{}", if self.for_spreadsheets { CHANGED } else { "" }))?;
        let written = parcel.finish()?;
        let what =
            format!("{} of {}", count(handed.tables().len(), "table"), super::of(&catalogue, chosen.as_deref())?);
        Told { what, place: &place, written, left_out: &handed.left_out(&about) }.say(desk);
        Ok(())
    }
}
