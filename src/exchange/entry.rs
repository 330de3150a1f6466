//! From the bytes of a sheet to the record: read, checked against the catalogue, entered whole or not at all.

use jiff::civil::Date;

use super::sheet::{self, Mistake};
use crate::catalogue::{Catalogue, Entered, Fault, Intent, Sealed};
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

/// Why a sheet was not entered. Nothing of it was.
#[derive(Debug)]
pub enum Refusal {
    /// Every mistake of the sheet.
    Mistakes(Vec<Mistake>),
    /// The catalogue refuses.
    Catalogue(Fault),
}

/// Reads one sheet from its bytes and enters it, whole or not at all.
///
/// # Errors
/// Every mistake of the sheet, or the catalogue's refusal.
pub fn enter_or(
    catalogue: &mut Catalogue,
    bytes: &[u8],
    intent: impl FnOnce(&sheet::Sheet) -> Intent,
) -> Result<Entered, Refusal> {
    catalogue.conventions().map_err(Refusal::Catalogue)?;
    let read = read(catalogue, bytes).map_err(Refusal::Mistakes)?;
    let intent = Intent { strike: read.strike.clone(), ..intent(&read) };
    catalogue.enter(&read.file, &intent).map_err(Refusal::Catalogue)
}

/// The same; each failure is a line to be put behind the file's name.
///
/// # Errors
/// Every mistake of the sheet, or the catalogue's refusal, a text each.
pub fn enter(
    catalogue: &mut Catalogue,
    bytes: &[u8],
    intent: impl FnOnce(&sheet::Sheet) -> Intent,
) -> Result<Entered, Vec<String>> {
    enter_or(catalogue, bytes, intent).map_err(|refusal| match refusal {
        Refusal::Mistakes(all) => all.iter().map(ToString::to_string).collect(),
        Refusal::Catalogue(fault) => vec![format!(" {fault}")],
    })
}

/// What a sheet brought, in words.
pub fn told(entered: &Entered) -> String {
    let number = &entered.number;
    if entered.is_nothing() {
        return format!("nothing new; all of it is recorded for {number} already");
    }
    let mut parts = Vec::new();
    if entered.new_piece {
        parts.push("new piece".to_owned());
    }
    for (n, what) in [(entered.added, "added"), (entered.corrected, "corrected"), (entered.unchanged, "unchanged")] {
        if n > 0 {
            parts.push(format!("{n} {what}"));
        }
    }
    format!("{number}: {}", parts.join(", "))
}

/// A seal cannot be taken back, so nobody sets one without being told.
pub fn seal_told(sealed: &Sealed, dry_run: bool) -> String {
    let Sealed { treatment, seal, .. } = sealed;
    if dry_run {
        format!("treatment `{treatment}` would be sealed ({seal}): its proposal could not be changed from then on")
    } else {
        format!(
            "treatment `{treatment}` is consented to and sealed ({seal}): its proposal cannot be changed from now on"
        )
    }
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
