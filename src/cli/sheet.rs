//! `dimity sheet`: a blank or filled examination sheet, as a text file or as a form for pencil and paper.

use super::{Desk, Failure};
use crate::catalogue::{Catalogue, Fault};
use crate::exchange::{entry, paper, sheet};
use crate::report;
use crate::vocabulary::{Scheme, Term, Vocabulary};

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
        let shipped = Vocabulary::shipped();
        let vocabulary = catalogue.as_ref().map_or(shipped, Catalogue::vocabulary);
        let known = match (&catalogue, self.blank) {
            (Some(catalogue), false) => catalogue.piece_if_any(&self.number)?,
            _ => None,
        };
        let known_garment = known.as_ref().and_then(|f| f.piece.garment.clone());
        let garment = match (&self.garment, &known_garment) {
            (Some(word), _) => Some(garment(vocabulary, word)?),
            (None, Some(id)) => vocabulary.get(id),
            (None, None) => None,
        };
        if self.form {
            let page =
                report::paper_form(&paper::form(&self.number, garment), &self.paper).map_err(|e| e.to_string())?;
            desk.out.line(page);
            return Ok(());
        }
        if self.number.is_empty() {
            return Err("a sheet is for one piece; give its accession number: `dimity sheet 2024.1`".into());
        }
        let text = match known {
            None => sheet::blank(&self.number, garment),
            Some(file) if self.again => sheet::again(&file, desk.today()),
            Some(file) => {
                let chosen = match self.examination {
                    None => file.examinations.len().checked_sub(1),
                    Some(day) => Some(entry::examination_on(&file, day)?),
                };
                sheet::filled(&file, chosen)
            }
        };
        desk.out.line(text.trim_end());
        Ok(())
    }
}

fn garment<'v>(vocabulary: &'v Vocabulary, word: &str) -> Result<&'v Term, Failure> {
    vocabulary.find(Scheme::Garment, word).map_err(|e| e.to_string().into())
}
