//! Colour readings of the same place at two examinations, set side by side.

use serde::Serialize;

use super::words::{day, joined};
use crate::analysis::colour_change::{ColourChange, Outcome, between};
use crate::colour::{CAUTION, Lab};
use crate::record::PieceFile;

/// The colours read again, and the places that cannot be compared.
#[derive(Debug, Default, Serialize)]
pub(super) struct ColourChanges {
    pub rows: Vec<ColourRow>,
    /// Places read for the first time, and those not read again, in words.
    pub asides: Vec<String>,
    pub caution: &'static str,
}

/// One place.
#[derive(Debug, Serialize)]
pub(super) struct ColourRow {
    pub place: String,
    pub then: String,
    pub then_on: String,
    pub now: String,
    pub difference: String,
    pub grade: String,
    pub finding: String,
}

/// What became of each colour between two examinations.
pub(super) fn colour_changes(file: &PieceFile, earlier: Option<usize>, at: usize) -> ColourChanges {
    let found = earlier.map(|earlier| between(&file.examinations, earlier, at)).unwrap_or_default();
    let named = |wanted: &Outcome| joined(found.iter().filter(|c| c.outcome == *wanted).map(place), "; ");
    let aside = |said: &str, places: String| (!places.is_empty()).then(|| format!("{said}: {places}."));
    let rows: Vec<ColourRow> = found.iter().filter_map(row).collect();
    // Where nothing was read again, the places of earlier examinations are no news.
    let unread = if rows.is_empty() { String::new() } else { named(&Outcome::NotReadAgain) };
    let first = if found.iter().any(|c| c.then.is_some()) { named(&Outcome::First) } else { String::new() };
    ColourChanges {
        caution: if rows.is_empty() { "" } else { CAUTION },
        asides: [aside("Colour read for the first time", first), aside("Colour not read again", unread)]
            .into_iter()
            .flatten()
            .collect(),
        rows,
    }
}

fn row(c: &ColourChange) -> Option<ColourRow> {
    let (difference, grade, finding) = match &c.outcome {
        Outcome::First | Outcome::NotReadAgain => return None,
        Outcome::NotComparable(why) => (String::new(), String::new(), format!("not compared: {why}")),
        Outcome::Compared(d) => (
            format!("{:.1}; limit {:.1}", d.de00, d.limit),
            d.grade.to_string(),
            if d.changed {
                format!("changed: {}", d.words)
            } else {
                "unchanged within the scatter of readings".to_owned()
            },
        ),
    };
    let figures = |lab: Option<Lab>| lab.map(|l| l.to_string()).unwrap_or_default();
    Some(ColourRow {
        place: place(c),
        then: figures(c.then),
        then_on: day(c.then_on),
        now: figures(c.now),
        difference,
        grade,
        finding,
    })
}

fn place(c: &ColourChange) -> String {
    let component = if c.component.is_empty() { "whole piece" } else { &c.component };
    let place = if c.place.is_empty() { "place not named" } else { &c.place };
    joined([component, &c.role, place], ", ")
}
