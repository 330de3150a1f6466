//! Which known line an incoming one is: the same, a correction, or new.

use crate::catalogue::{Fault, Result};
use crate::record::PieceFile;
use crate::record::blanks::fill_blanks;
use crate::record::form::{Field, Form, Record, Rows};

/// Where an incoming line belongs.
pub(super) enum Place {
    Same,
    New,
    Correction(String),
}

/// The known lines of a list, each of which one incoming line can meet.
pub(super) struct Matching<T> {
    known: Vec<(Option<String>, T, bool)>,
}

impl<T: Record + Clone + PartialEq> Matching<T> {
    pub(super) fn of(known: &[T]) -> Self {
        let known = known.iter().map(|k| {
            let (id, bare) = split(k);
            (id, bare, false)
        });
        Self { known: known.collect() }
    }

    pub(super) fn place(&mut self, incoming: &T) -> Result<Place> {
        let (id, bare) = split(incoming);
        if let Some(met) = self.known.iter_mut().find(|(k, ..)| id.is_some() && *k == id) {
            met.2 = true;
            return Ok(if met.1 == bare { Place::Same } else { Place::Correction(id.unwrap_or_default()) });
        }
        // The id of a line that was corrected to just this is that of the correction entered again.
        if let Some(met) = self.known.iter_mut().find(|(_, k, used)| !used && *k == bare) {
            met.2 = true;
            return Ok(Place::Same);
        }
        match id {
            None => Ok(Place::New),
            Some(id) => Err(Fault::Refused(format!(
                "no line with the id `{id}` stands here now: it was corrected or withdrawn meanwhile, or belongs \
                 elsewhere; print the sheet again, or remove the id to enter a new line"
            ))),
        }
    }
}

/// A record's own identifier, and the record without it.
pub(super) fn split<T: Record + Clone>(record: &T) -> (Option<String>, T) {
    struct TakeId(Option<String>);
    impl Form for TakeId {
        fn id(&mut self, value: &mut Option<String>) {
            self.0 = value.take();
        }
        fn row(&mut self, _: Field, _: &mut dyn Record) {}
        fn rows(&mut self, _: Field, _: &mut dyn Rows) {}
    }
    let mut bare = record.clone();
    let mut form = TakeId(None);
    bare.fields(&mut form);
    (form.0, bare)
}

/// A date written as before keeps the years it was given then, whatever convention holds now.
pub(super) fn keep_years(sheet: &mut PieceFile, known: &PieceFile) {
    let stored: Vec<_> = known.piece.date.iter().chain(known.events.iter().filter_map(|e| e.date.as_ref())).collect();
    let written = sheet.piece.date.iter_mut().chain(sheet.events.iter_mut().filter_map(|e| e.date.as_mut()));
    for date in written {
        if let Some(same) = stored.iter().find(|known| known.as_written == date.as_written) {
            date.clone_from(same);
        }
    }
}

/// Fills the blanks of `incoming` from `known`; says whether anything else differs.
pub(super) fn merge<T: Record + Clone + PartialEq>(incoming: &mut T, known: &T) -> bool {
    fill_blanks(incoming, known);
    split(incoming).1 != split(known).1
}
