//! The departures of all pieces, each held against the first of its models that is in the catalogue.

use std::collections::HashMap;

use super::NotPrinted;
use crate::analysis::departed::{Shown, Tested};
use crate::catalogue::{Catalogue, KeptDeparture};
use crate::record::PieceFile;
use crate::report::DepartureEntry;
use crate::vocabulary::Scheme;

/// Every departure, with whether it still shows beside the model.
///
/// # Errors
/// If the database refuses.
pub fn departures(catalogue: &Catalogue) -> Result<Vec<DepartureEntry>, NotPrinted> {
    let mut tested: HashMap<String, Option<Tested>> = HashMap::new();
    let mut list = Vec::new();
    for one in catalogue.departures()? {
        if !tested.contains_key(&one.number) {
            let mut model = None;
            for number in &one.after {
                model = catalogue.piece_if_any(number)?;
                if model.is_some() {
                    break;
                }
            }
            let against = |model: PieceFile| -> Result<Tested, NotPrinted> {
                Ok(Tested::of(&catalogue.piece(&one.number)?, &model, catalogue.vocabulary()))
            };
            tested.insert(one.number.clone(), model.map(against).transpose()?);
        }
        let beside = tested.get(&one.number).and_then(Option::as_ref);
        let shown = beside.map(|tested| tested.shown(&one.component, &one.feature));
        list.push(entry(one, shown));
    }
    Ok(list)
}

/// Which departures are meant; a blank narrows nothing.
#[derive(Debug, Clone, Copy, Default)]
pub struct WhichDepartures<'a> {
    /// Only for this reason of the vocabulary, however it is spelt.
    pub reason: Option<&'a str>,
    /// Only of this piece.
    pub of: Option<&'a str>,
    /// Only those from which something was learned.
    pub learned: bool,
}

/// The departures that are meant.
///
/// # Errors
/// If there is no such reason or piece.
pub fn some_departures(catalogue: &Catalogue, which: WhichDepartures<'_>) -> Result<Vec<KeptDeparture>, NotPrinted> {
    let named = |word| catalogue.vocabulary().find(Scheme::DepartureReason, word);
    let reason = which.reason.map(named).transpose().map_err(|e| NotPrinted::Refused(e.to_string()))?;
    let reason = reason.map(|term| term.id.name());
    if let Some(number) = which.of {
        catalogue.piece(number)?;
    }
    let mut list = catalogue.departures()?;
    list.retain(|d| {
        reason.is_none_or(|reason| d.reason == reason)
            && which.of.is_none_or(|number| d.number == number)
            && (!which.learned || d.learned.is_some())
    });
    Ok(list)
}

/// What the columns of [`departure_row`] are called.
pub const DEPARTURE_HEADINGS: [&str; 10] =
    ["piece", "name", "made after", "component", "feature", "was", "now", "reason", "note", "learned"];

/// A departure as a row.
pub fn departure_row(d: &KeptDeparture) -> Vec<String> {
    let some = |text: &Option<String>| text.clone().unwrap_or_default();
    let after = d.after.join("; ");
    let plain = [&d.number, &d.piece, &after, &d.component, &d.feature].map(Clone::clone);
    let rest = [some(&d.was), some(&d.now), d.reason.clone(), some(&d.note), some(&d.learned)];
    plain.into_iter().chain(rest).collect()
}

fn entry(one: KeptDeparture, shown: Option<Shown>) -> DepartureEntry {
    DepartureEntry {
        number: one.number,
        piece: one.piece,
        after: one.after,
        component: one.component,
        feature: one.feature,
        was: one.was.unwrap_or_default(),
        now: one.now.unwrap_or_default(),
        reason: one.reason,
        note: one.note.unwrap_or_default(),
        learned: one.learned.unwrap_or_default(),
        shown,
    }
}
