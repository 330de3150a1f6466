//! From the bytes of a sheet to the record: read, checked against the catalogue, entered whole or not at all.

use jiff::civil::Date;

use super::sheet::{self, Mistake};
use crate::catalogue::{Catalogue, Entered, Intent};
use crate::record::PieceFile;

/// Reads one sheet from its bytes, against what the catalogue knows.
///
/// # Errors
/// Every mistake of the sheet.
pub fn read(catalogue: &Catalogue, bytes: &[u8]) -> Result<sheet::Sheet, Vec<Mistake>> {
    let text = sheet::text_of(bytes).map_err(|mistake| vec![mistake])?;
    let components = |number: &str| {
        let file = catalogue.piece_if_any(number).ok().flatten()?;
        Some(file.components.into_iter().filter_map(|c| c.name).collect())
    };
    // A catalogue that cannot say how it understands dates refuses the sheet when it is entered.
    let conventions = catalogue.conventions().unwrap_or_default();
    sheet::read(text, &sheet::Known { vocabulary: catalogue.vocabulary(), components: &components, conventions })
}

/// Reads one sheet from its bytes and enters it; each failure is a line to be put behind the file's name.
///
/// # Errors
/// Every mistake of the sheet, or the catalogue's refusal, a text each.
pub fn enter(
    catalogue: &mut Catalogue,
    bytes: &[u8],
    intent: impl FnOnce(&sheet::Sheet) -> Intent,
) -> Result<Entered, Vec<String>> {
    catalogue.conventions().map_err(|fault| vec![format!(" {fault}")])?;
    let read = read(catalogue, bytes).map_err(|all| all.iter().map(ToString::to_string).collect::<Vec<_>>())?;
    let intent = Intent { strike: read.strike.clone(), ..intent(&read) };
    catalogue.enter(&read.file, &intent).map_err(|fault| vec![format!(" {fault}")])
}

/// The place of the examination of a day among those of a piece.
///
/// # Errors
/// A sentence that names the days there are.
pub fn examination_on(file: &PieceFile, day: Date) -> Result<usize, String> {
    file.examinations.iter().rposition(|e| e.about.date == Some(day)).ok_or_else(|| {
        let days: Vec<_> = file.examinations.iter().filter_map(|e| e.about.date).map(|d| d.to_string()).collect();
        let days =
            if days.is_empty() { "it has not been examined".into() } else { format!("there are: {}", days.join(", ")) };
        format!("`{}` has no examination on {day}; {days}", file.number())
    })
}

/// Enters rows of one section into the examination of a day, by the sheet's own way in.
///
/// # Errors
/// Every mistake of the rows, or why they are refused, a text each, as [`enter`] gives them.
pub fn enter_on(
    catalogue: &mut Catalogue,
    (file, day): (&PieceFile, Date),
    author: &str,
    (section, rows): (&str, Vec<toml::Table>),
) -> Result<Entered, Vec<String>> {
    let at = examination_on(file, day).map_err(|why| vec![format!(" {why}")])?;
    let about = &file.examinations[at].about;
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
    enter(catalogue, sheet.to_string().as_bytes(), |_| intent)
}
