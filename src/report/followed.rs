//! What a piece was made after, and where its maker chose otherwise.

use serde::Serialize;

use super::words::{bracketed, capital, joined, term, text};
use crate::record::PieceFile;
use crate::record::making::{Departure, MadeAfter};

/// A model.
#[derive(Debug, Serialize)]
pub(super) struct Model {
    pub words: String,
    /// A link to its page; blank if it has none.
    pub href: String,
    pub note: String,
}

/// A choice of the maker.
#[derive(Debug, Serialize)]
pub(super) struct DepartureRow {
    feature: String,
    was: String,
    now: String,
    reason: String,
    note: String,
    learned: String,
}

/// The models; `page` gives the words for a number that has a page, and the link to it.
pub(super) fn models(file: &PieceFile, page: &dyn Fn(&str) -> Option<(String, String)>) -> Vec<Model> {
    let one = |m: &MadeAfter| {
        let number = text(m.model.as_ref());
        let (name, href) = page(&number).unwrap_or((number, String::new()));
        let scale = m.scale.as_ref().map(|s| format!("scale {}", s.as_written)).unwrap_or_default();
        let words = bracketed(&joined([name, text(m.source.as_ref())], "; "), &scale);
        let note = text(m.note.as_ref());
        // Where the model itself stays at home, what is said of it stands alone.
        let (words, note) = if words.is_empty() { (note, String::new()) } else { (words, note) };
        Model { words, href, note }
    };
    file.made_after.iter().map(one).collect()
}

/// The departures, in the order of the record.
pub(super) fn departures(file: &PieceFile) -> Vec<DepartureRow> {
    let row = |d: &Departure| DepartureRow {
        feature: capital(&joined([text(d.feature.as_ref()), text(d.component.as_ref())], ", ")),
        was: text(d.was.as_ref()),
        now: text(d.now.as_ref()),
        reason: term(d.reason.as_ref()),
        note: text(d.note.as_ref()),
        learned: text(d.learned.as_ref()),
    };
    file.departures.iter().map(row).collect()
}
