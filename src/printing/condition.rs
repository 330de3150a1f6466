//! A condition report that can be sealed: what the page, its seal and its record need together.

use jiff::civil::Date;

use super::NotPrinted;
use crate::catalogue::{Catalogue, Fault, NewSeal, Seal};
use crate::exchange::{json, json_in};
use crate::record::PieceFile;
use crate::report::{self, Before, PrintSet, Printing, Sealing, Settings};

/// What is asked for.
#[derive(Debug, Clone, Copy)]
pub struct Asked<'a> {
    /// Accession number.
    pub number: &'a str,
    /// The examination, by its day; the last if not given.
    pub examination: Option<Date>,
    /// Tell changes since the examination of this day.
    pub since: Option<Date>,
    /// Full report, summary or loan set.
    pub set: PrintSet,
    /// Lay it beside this sealed report.
    pub against: Option<&'a str>,
    /// Who seals it, if it is to be sealed.
    pub sealed_by: Option<&'a str>,
}

/// A page, with what its seal needs if it is to be sealed.
#[derive(Debug)]
pub struct Printed {
    /// The page.
    pub page: String,
    /// The seal to be.
    pub new: Option<NewSeal>,
}

/// Prints a condition report as it is asked for.
///
/// # Errors
/// If there is no such piece, examination or sealed report.
pub fn condition(catalogue: &Catalogue, asked: &Asked<'_>, settings: &Settings<'_>) -> Result<Printed, NotPrinted> {
    let number = asked.number;
    let revision = catalogue.revision()?;
    let file = catalogue.piece(number)?;
    let before = before(catalogue, &file, asked.against)?;
    let sealing = asked.sealed_by.map(|by| Sealing { by: by.trim().to_owned(), revision: revision.clone() });
    let page = match (&before, asked.against) {
        (Some(before), Some(_)) => report::against(&file, asked.examination, before, sealing.as_ref(), settings)?,
        _ => {
            let printing =
                Printing { set: asked.set, since: asked.since, sealing: sealing.as_ref(), before: before.as_ref() };
            report::condition_as(&file, asked.examination, &printing, settings)?
        }
    };
    let exam = match asked.examination {
        Some(day) => file.examinations.iter().rev().find(|e| e.about.date == Some(day)),
        None => file.examinations.last(),
    };
    let new = sealing.map(|_| NewSeal {
        number: number.to_owned(),
        examination: exam.and_then(|e| e.about.id.clone()).unwrap_or_default(),
        print_set: if asked.against.is_some() { "against" } else { asked.set.word() }.to_owned(),
        against: before.filter(|_| asked.against.is_some()).map(|b| b.seal.code),
        sealed_on: settings.printed_on,
        record: json::of_piece(&file),
        revision,
    });
    Ok(Printed { page, new })
}

/// The sealed report that was named, or the last one of the piece.
fn before(catalogue: &Catalogue, file: &PieceFile, named: Option<&str>) -> Result<Option<Before>, NotPrinted> {
    let number = file.number();
    let seal = match named {
        None => catalogue.seals(Some(number))?.pop(),
        Some(code) => {
            let seal = catalogue.seal_named(code)?;
            if seal.number != number {
                return Err(NotPrinted::Refused(format!(
                    "`{code}` is a sealed report of `{}`, not of `{number}`",
                    seal.number
                )));
            }
            Some(seal)
        }
    };
    Ok(seal.map(|seal| laid_beside(catalogue, seal)).transpose()?)
}

fn laid_beside(catalogue: &Catalogue, seal: Seal) -> Result<Before, Fault> {
    let then = json_in::piece(&catalogue.sealed_record(&seal)?);
    let fates = catalogue.fates(&seal.number)?;
    Ok(Before { seal, then, fates })
}
