//! `dimity sheet`: a blank or filled examination sheet, as a text file or as a form for pencil and paper.

use super::{Desk, Failure};
use crate::catalogue::{Catalogue, Entered, Fault, Intent};
use crate::exchange::{entry, paper, sheet};
use crate::record::PieceFile;
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
                    Some(day) => Some(examination_on(&file, day)?),
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

/// The place of the examination of a day among those of a piece.
pub(super) fn examination_on(file: &PieceFile, day: jiff::civil::Date) -> Result<usize, Failure> {
    file.examinations.iter().rposition(|e| e.about.date == Some(day)).ok_or_else(|| {
        let days: Vec<_> = file.examinations.iter().filter_map(|e| e.about.date).map(|d| d.to_string()).collect();
        let days =
            if days.is_empty() { "it has not been examined".into() } else { format!("there are: {}", days.join(", ")) };
        format!("`{}` has no examination on {day}; {days}", file.number()).into()
    })
}

/// Enters rows of one section into the examination of a day, by the sheet's own way in.
pub(super) fn enter_on(
    catalogue: &mut Catalogue,
    (file, day): (&PieceFile, jiff::civil::Date),
    author: &str,
    (section, rows): (&str, Vec<toml::Table>),
) -> Result<Entered, Failure> {
    let about = &file.examinations[examination_on(file, day)?].about;
    let mut examination = toml::Table::new();
    examination.insert("date".into(), toml::Value::String(day.to_string()));
    if let Some(id) = &about.id {
        examination.insert("id".into(), id.clone().into());
    }
    examination.insert("examiner".into(), about.examiner.as_deref().unwrap_or(author).into());
    let mut sheet = toml::Table::new();
    sheet.insert("piece".into(), toml::Table::from_iter([("number".into(), file.number().into())]).into());
    sheet.insert("examination".into(), examination.into());
    sheet.insert(section.into(), rows.into());
    let intent = Intent { author: author.to_owned(), ..Intent::default() };
    entry::enter(catalogue, sheet.to_string().as_bytes(), |_| intent)
        .map_err(|lines| Failure::lines(lines.into_iter().map(|l| format!("dimity:{l}")).collect()))
}
