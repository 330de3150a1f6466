//! Which earlier note a condition note continues: what was written, checked and told as what stands now.

use jiff::civil::Date;
use rusqlite::OptionalExtension;

use super::Entry;
use crate::analysis::chains::last_alike;
use crate::catalogue::flat::Source;
use crate::catalogue::read::FromTable;
use crate::catalogue::{Fault, Result};
use crate::record::condition::Condition;
use crate::record::{Observed, PieceFile};

/// The examination whose notes are entered.
pub(super) struct Here {
    pub row: i64,
    pub date: Option<Date>,
}

impl Entry<'_, '_> {
    /// Replaces the word `last` by the latest earlier note of the same damage on the same component, and the id of a
    /// note that was corrected or withdrawn since by that of what took its place.
    pub(super) fn continues(&self, notes: &mut [Observed<Condition>], here: &Here, known: &PieceFile) -> Result<()> {
        for (i, note) in notes.iter_mut().enumerate() {
            let Some(written) = note.what.continues.clone() else { continue };
            let place = format!(
                "[[condition]] {} (`{}` on `{}`), `continues = \"{written}\"`",
                i + 1,
                note.what.damage.as_ref().map(ToString::to_string).unwrap_or_default(),
                note.component.as_deref().unwrap_or("the whole piece")
            );
            let refused = |cause: String, mend: &str| Fault::Refused(format!("{place}: {cause}; {mend}"));
            note.what.continues = if written == "last" {
                Some(self.last(note, here, known, refused)?)
            } else {
                self.named(note, &written, here, known, refused)?
            };
        }
        Ok(())
    }

    /// The one note that `last` means.
    fn last(
        &self,
        note: &Observed<Condition>,
        here: &Here,
        known: &PieceFile,
        refused: impl Fn(String, &str) -> Fault,
    ) -> Result<String> {
        // The order of a piece file: by day and, on one day, by entry.
        let mut earlier = Vec::new();
        for exam in &known.examinations {
            let row = self.row_of("examination", exam.about.id.as_deref().unwrap_or_default())?;
            if row != here.row && (exam.about.date, row) < (here.date, here.row) {
                earlier.push(exam);
            }
        }
        let ids: Vec<String> = last_alike(earlier.into_iter(), note).into_iter().filter_map(|n| n.id.clone()).collect();
        match &ids[..] {
            [id] => Ok(id.clone()),
            [] => Err(refused(
                format!("no earlier examination of `{}` records this damage there", self.done.number),
                "leave `continues` out if it is new",
            )),
            several => Err(refused(
                format!("the latest earlier examination has {} such notes", several.len()),
                &format!("give the id of the one meant: `{}`", several.join("`, `")),
            )),
        }
    }

    /// The note of this id, or what took its place; none where it was withdrawn and continued nothing.
    fn named(
        &self,
        note: &Observed<Condition>,
        written: &str,
        here: &Here,
        known: &PieceFile,
        refused: impl Fn(String, &str) -> Fault,
    ) -> Result<Option<String>> {
        const MEND: &str = "give the id of a condition note of an earlier examination of this piece, or leave `continues` \
                            out if it is new";
        type Found = (i64, String, i64, Option<String>, i64);
        let of = |uid: &str| -> Result<Option<Found>> {
            let sql = "SELECT o.id, o.kind, e.piece_id, e.date, e.id FROM observation o
                         JOIN examination e ON e.id = o.examination_id WHERE o.uid = ?";
            let row = |r: &rusqlite::Row<'_>| Ok((r.get(0)?, r.get(1)?, r.get(2)?, r.get(3)?, r.get(4)?));
            Ok(self.change.db().prepare_cached(sql)?.query_row([uid], row).optional()?)
        };
        let Some((row, kind, piece, ..)) = of(written)? else {
            return Err(refused("no note has this id".into(), MEND));
        };
        let now = FromTable::of(self.change.db(), "condition").name_of("observation", row);
        // What stands already is not asked again: a printed sheet can always be entered.
        let mut stored = known.examinations.iter().flat_map(|e| &e.conditions);
        if stored.any(|k| note.id.is_some() && k.id == note.id && k.what.continues == now) {
            return Ok(now);
        }
        if kind != "condition" {
            return Err(refused(format!("this is the id of a {kind}"), MEND));
        }
        if piece != self.piece {
            return Err(refused("this note is of another piece".into(), MEND));
        }
        let Some((_, _, _, date, exam)) = now.as_deref().map(of).transpose()?.flatten() else {
            return Err(refused("this note was withdrawn, and continued none".into(), MEND));
        };
        let date: Option<Date> = date.and_then(|day| day.parse().ok());
        if exam == here.row {
            let cause = if note.id.as_deref() == Some(written) || note.id == now {
                "a note cannot continue itself"
            } else {
                "this note is of the same examination"
            };
            return Err(refused(cause.into(), MEND));
        }
        if (date, exam) > (here.date, here.row) {
            return Err(refused("this note is of a later examination".into(), MEND));
        }
        Ok(now)
    }
}
