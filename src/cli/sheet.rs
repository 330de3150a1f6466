//! `dimity sheet`: a blank or filled examination sheet, as a text file or as a form for pencil and paper.

use super::{Desk, Failure};
use crate::catalogue::{Catalogue, Fault};
use crate::exchange::sheet::{Asked, NoSheet};
use crate::report;

/// Print an examination sheet, blank or filled with what is known
///
/// Without --blank, a piece that is in the catalogue prints what is recorded, ready to be corrected: change a line,
/// add `reason = "..."` at the top, and enter it again. --again begins a new examination that follows the last one.
#[derive(Debug, clap::Args)]
pub struct Sheet {
    /// Accession number of the piece
    #[arg(default_value = "")]
    number: String,
    /// Choose the dimensions and components of a kind of garment: spencer, stays, gown ...
    #[arg(long = "for", value_name = "GARMENT")]
    garment: Option<String>,
    /// A blank sheet, also where the piece is known
    #[arg(long)]
    blank: bool,
    /// A new examination: the last condition notes, each to be confirmed, changed or removed
    #[arg(long, conflicts_with = "blank")]
    again: bool,
    /// The examination to print, by its day; the last if not given
    #[arg(long, value_name = "DAY", conflicts_with = "again")]
    examination: Option<jiff::civil::Date>,
    /// An HTML form to print and fill in with a pencil
    #[arg(long)]
    form: bool,
    /// Paper size of the form
    #[arg(long, value_name = "SIZE", default_value = "a4", value_parser = ["a4", "letter"])]
    paper: String,
}

impl Sheet {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let catalogue = match Catalogue::open(&desk.folder, desk.clock) {
            Ok(catalogue) => Some(catalogue),
            // A blank sheet needs no catalogue.
            Err(Fault::NoCatalogue(_)) => None,
            Err(other) => return Err(other.into()),
        };
        let catalogue = catalogue.as_ref();
        let asked = Asked {
            number: self.number,
            garment: self.garment,
            blank: self.blank,
            again: self.again,
            examination: self.examination,
        };
        if self.form {
            let page = report::paper_form(&asked.form(catalogue)?, &self.paper).map_err(|e| e.to_string())?;
            desk.out.line(page);
            return Ok(());
        }
        if asked.number.is_empty() {
            // A kind of garment that is none is told before.
            asked.form(catalogue)?;
            return Err("a sheet is for one piece; give its accession number: `dimity sheet 2024.1`".into());
        }
        desk.out.line(asked.text(catalogue, desk.today())?.trim_end());
        Ok(())
    }
}

impl From<NoSheet> for Failure {
    fn from(why: NoSheet) -> Self {
        match why {
            NoSheet::Garment(why) | NoSheet::Examination(why) => why.into(),
            NoSheet::Catalogue(fault) => fault.into(),
        }
    }
}
