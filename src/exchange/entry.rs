//! From the bytes of a sheet to the record: read, checked against the catalogue, entered whole or not at all.

use super::sheet;
use crate::catalogue::{Catalogue, Entered, Intent};

/// Reads one sheet from its bytes and enters it; each failure is a line to be put behind the file's name.
///
/// # Errors
/// Every mistake of the sheet, or the catalogue's refusal, a text each.
pub fn enter(
    catalogue: &mut Catalogue,
    bytes: &[u8],
    intent: impl FnOnce(&sheet::Sheet) -> Intent,
) -> Result<Entered, Vec<String>> {
    let text = sheet::text_of(bytes).map_err(|mistake| vec![mistake.to_string()])?;
    let read = {
        let components = |number: &str| {
            let file = catalogue.piece_if_any(number).ok().flatten()?;
            Some(file.components.into_iter().filter_map(|c| c.name).collect())
        };
        let known = sheet::Known {
            vocabulary: catalogue.vocabulary(),
            components: &components,
            conventions: catalogue.conventions().map_err(|fault| vec![format!(" {fault}")])?,
        };
        sheet::read(text, &known).map_err(|all| all.iter().map(ToString::to_string).collect::<Vec<_>>())?
    };
    let intent = intent(&read);
    catalogue.enter(&read.file, &intent).map_err(|fault| vec![format!(" {fault}")])
}
