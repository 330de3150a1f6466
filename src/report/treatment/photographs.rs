//! Photographs of a treatment: what shows the same part and view stands side by side, before, during, after.

use serde::Serialize;

use super::super::plates::Plate;
use super::super::words::{capital, joined, term, text};
use crate::record::photograph::{Photograph, STAGES};

/// The photographs of a treatment.
#[derive(Debug, Default, Serialize)]
pub struct Stages {
    /// Heads of the columns.
    columns: Vec<&'static str>,
    rows: Vec<StageRow>,
    /// Photographs that say no stage.
    others: Vec<Plate>,
    /// The stages of which no photograph is recorded.
    missing: Vec<&'static str>,
}

/// The same part and view at each stage.
#[derive(Debug, Serialize)]
pub struct StageRow {
    /// `Left sleeve, macro`.
    what: String,
    /// One for each column; blank where there is no photograph.
    cells: Vec<Cell>,
}

/// A place for one photograph.
#[derive(Debug, Serialize)]
pub struct Cell {
    stage: &'static str,
    plate: Option<Plate>,
}

/// The photographs that belong to a treatment or to a version before it, first by what they show, then by stage.
pub fn in_order<'a>(photographs: &'a [Photograph], ids: &[&str], titles: &[&str]) -> Vec<&'a Photograph> {
    let belongs = |p: &&Photograph| match (&p.treatment_id, &p.treatment) {
        (Some(id), _) => ids.contains(&id.as_str()),
        (None, Some(title)) => titles.contains(&title.as_str()),
        (None, None) => false,
    };
    let mut list: Vec<&Photograph> = photographs.iter().filter(belongs).collect();
    let kinds: Vec<String> = list.iter().map(|p| shows(p)).collect();
    let first = |p: &Photograph| kinds.iter().position(|k| *k == shows(p));
    list.sort_by_key(|p| (stage(p).is_none(), first(p), stage(p), p.capture.taken.clone()));
    list
}

/// What a photograph shows, the same words for the same part and view.
fn shows(p: &Photograph) -> String {
    let what = joined([text(p.component.as_ref()), term(p.view.as_ref())], ", ");
    if what.is_empty() { "Part and view not recorded".to_owned() } else { capital(&what) }
}

/// Which of the stages it shows.
fn stage(p: &Photograph) -> Option<usize> {
    STAGES.iter().position(|s| p.stage.as_deref() == Some(s))
}

/// Lays the plates out; they stand in the order of `photographs`, which [`in_order`] gives.
pub fn stages(photographs: &[&Photograph], plates: Vec<Plate>) -> Stages {
    let taken = |n: usize| photographs.iter().any(|p| stage(p) == Some(n));
    let wanted: Vec<usize> = (0..STAGES.len()).filter(|n| *n != 1 || taken(1)).collect();
    let mut found = Stages {
        columns: wanted.iter().map(|n| STAGES[*n]).collect(),
        missing: (0..STAGES.len()).filter(|n| !taken(*n)).map(|n| STAGES[n]).collect(),
        ..Stages::default()
    };
    let mut from = 0;
    for (p, plate) in photographs.iter().zip(plates) {
        let Some(column) = stage(p).and_then(|n| wanted.iter().position(|w| *w == n)) else {
            found.others.push(plate);
            continue;
        };
        let what = shows(p);
        // The rows of what was shown before are full; the first free place among the present ones takes this picture.
        if found.rows.last().is_some_and(|row| row.what != what) {
            from = found.rows.len();
        }
        let free = found.rows[from..].iter_mut().find(|row| row.cells[column].plate.is_none());
        match free {
            Some(row) => row.cells[column].plate = Some(plate),
            None => {
                let mut cells: Vec<Cell> = wanted.iter().map(|n| Cell { stage: STAGES[*n], plate: None }).collect();
                cells[column].plate = Some(plate);
                found.rows.push(StageRow { what, cells });
            }
        }
    }
    found
}
