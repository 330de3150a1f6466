//! From the bytes of a sheet to the record: read, checked against the catalogue, entered whole or not at all.

use super::sheet::{self, Mistake};
use crate::catalogue::{Catalogue, Entered, Fault, Intent, Sealed};

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
