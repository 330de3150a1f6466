//! From the bytes of a sheet to the record: read, checked against the catalogue, entered whole or not at all.

use super::sheet::{self, Mistake};
use crate::catalogue::{Catalogue, Entered, Intent};

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
