//! Which sheet is wanted of a piece: blank, filled with what is recorded, or for a new examination.

use jiff::civil::Date;

use super::write::{again, blank, filled};
use crate::catalogue::{Catalogue, Fault};
use crate::exchange::entry::examination_on;
use crate::exchange::paper::{self, PaperForm};
use crate::record::PieceFile;
use crate::vocabulary::{Scheme, Term, Vocabulary};

/// A sheet that is wanted.
#[derive(Debug, Clone, Default)]
pub struct Asked {
    /// Accession number of the piece.
    pub number: String,
    /// The kind of garment whose dimensions and components it is to have; that of the piece if not given.
    pub garment: Option<String>,
    /// Blank, also where the piece is known.
    pub blank: bool,
    /// A new examination: the last condition notes, each to be confirmed, changed or removed.
    pub again: bool,
    /// The examination to print, by its day; the last if not given.
    pub examination: Option<Date>,
}

/// Why there is no such sheet.
#[derive(Debug)]
pub enum NoSheet {
    /// There is no such kind of garment: a sentence with the nearest.
    Garment(String),
    /// There is no such examination: a sentence with those that there are.
    Examination(String),
    /// The catalogue cannot be asked.
    Catalogue(Fault),
}

impl From<Fault> for NoSheet {
    fn from(fault: Fault) -> Self {
        Self::Catalogue(fault)
    }
}

impl Asked {
    /// The sheet as a text file. A blank one needs no catalogue.
    ///
    /// # Errors
    /// If garment or examination are not there, or the catalogue cannot be asked.
    pub fn text(&self, catalogue: Option<&Catalogue>, today: Date) -> Result<String, NoSheet> {
        let known = self.known(catalogue)?;
        let garment = self.garment(catalogue, known.as_ref())?;
        Ok(match known {
            None => blank(&self.number, garment),
            Some(file) if self.again => again(&file, today),
            Some(file) => {
                let chosen = match self.examination {
                    None => file.examinations.len().checked_sub(1),
                    Some(day) => Some(examination_on(&file, day).map_err(NoSheet::Examination)?),
                };
                filled(&file, chosen)
            }
        })
    }

    /// The form for pencil and paper.
    ///
    /// # Errors
    /// If the garment is not there, or the catalogue cannot be asked.
    pub fn form(&self, catalogue: Option<&Catalogue>) -> Result<PaperForm, NoSheet> {
        let known = self.known(catalogue)?;
        Ok(paper::form(&self.number, self.garment(catalogue, known.as_ref())?))
    }

    fn known(&self, catalogue: Option<&Catalogue>) -> Result<Option<PieceFile>, Fault> {
        match catalogue {
            Some(catalogue) if !self.blank => catalogue.piece_if_any(&self.number),
            _ => Ok(None),
        }
    }

    fn garment<'v>(
        &self,
        catalogue: Option<&'v Catalogue>,
        known: Option<&PieceFile>,
    ) -> Result<Option<&'v Term>, NoSheet> {
        let vocabulary = catalogue.map_or(Vocabulary::shipped(), Catalogue::vocabulary);
        match (&self.garment, known.and_then(|file| file.piece.garment.as_ref())) {
            (Some(word), _) => {
                vocabulary.find(Scheme::Garment, word).map(Some).map_err(|e| NoSheet::Garment(e.to_string()))
            }
            (None, Some(id)) => Ok(vocabulary.get(id)),
            (None, None) => Ok(None),
        }
    }
}
