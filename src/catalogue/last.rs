//! What was acknowledged last, noted in a file of its own beside the database.
//!
//! What is written last lies for a while in SQLite's log alone. If a bit of the log changes, or if the log is lost, SQLite
//! takes what stands behind that place for work that was never finished, and passes over it without a word. By this note it
//! is seen. It is written after the database has the work safe and before anyone is told so; a note that is lost or spoilt
//! says nothing, and is never taken for a loss.

use std::fs::File;
use std::io::Write as _;
use std::path::{Path, PathBuf};

use rusqlite::{Connection, OptionalExtension};

use super::{Catalogue, FILE, Finding, Result};
use crate::digest::sha256;

/// What the note is called, behind the name of the database.
pub(super) const ENDING: &str = "-last";

/// A row of the journal that was acknowledged.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Last {
    row: i64,
    hash: String,
}

impl Last {
    fn place(folder: &Path) -> PathBuf {
        folder.join(format!("{FILE}{ENDING}"))
    }

    /// What is noted in a catalogue's folder; none if nothing is, or nothing that is as it was written.
    pub fn noted_in(folder: &Path) -> Option<Self> {
        Self::read(&std::fs::read_to_string(Self::place(folder)).ok()?)
    }

    fn read(text: &str) -> Option<Self> {
        let (row, hash) = text.split_once(' ')?;
        let last = Self { row: row.parse().ok()?, hash: hash.get(..64)?.to_owned() };
        (last.written() == text).then_some(last)
    }

    /// The note, always of one length, with a checksum of what it says.
    fn written(&self) -> String {
        let says = format!("{:020} {}", self.row, self.hash);
        format!("{says} {}\n", sha256(says.as_bytes()))
    }

    /// Whether the journal has this row.
    fn stands(&self, db: &Connection) -> Result<bool> {
        let sql = "SELECT hash FROM journal WHERE id = ?";
        let there: Option<String> = db.prepare_cached(sql)?.query_row([self.row], |r| r.get(0)).optional()?;
        Ok(there.as_ref() == Some(&self.hash))
    }
}

impl Catalogue {
    /// Notes the last row of the journal, which is safe by now. A note of work that is not there any more stays, so that
    /// the loss is told until somebody has seen to it. Nothing hangs on a note that cannot be written.
    pub(super) fn note_last(&self) {
        let sql = "SELECT id, hash FROM journal ORDER BY id DESC LIMIT 1";
        let row = self
            .db
            .prepare_cached(sql)
            .and_then(|mut last| last.query_row([], |r| Ok(Last { row: r.get(0)?, hash: r.get(1)? })).optional());
        let Ok(Some(last)) = row else { return };
        let stands = |noted: &Last| noted.row < last.row && noted.stands(&self.db).unwrap_or(false);
        if Last::noted_in(&self.folder).as_ref().is_none_or(stands) {
            // Written over in one go, so that a kill leaves the note of before or this one.
            let file = File::options().create(true).truncate(false).write(true).open(Last::place(&self.folder));
            let _ = file.and_then(|mut file| file.write_all(last.written().as_bytes()));
        }
    }

    /// What is lost of the work that was noted before this database was read or copied.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn lost_since(&self, last: Option<&Last>) -> Result<Option<Finding>> {
        // While one moment is held, what was noted after it is not to be seen.
        let Some(noted) = last.filter(|_| self.db.is_autocommit()) else { return Ok(None) };
        if noted.stands(&self.db)? {
            return Ok(None);
        }
        let end: i64 = self.db.query_row("SELECT coalesce(max(id), 0) FROM journal", [], |r| r.get(0))?;
        Ok(Some(Finding::new(
            format!(
                "row {} of the journal was acknowledged, as `{FILE}{ENDING}` says, and is not in the database, whose journal \
                 ends with row {end}: what was entered last is lost, or an older database was put in the place of this one",
                noted.row
            ),
            format!(
                "restore a backup that has that row, or enter again what is missing; then delete `{FILE}{ENDING}`, which is \
                 made anew"
            ),
        )))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_note_that_is_spoilt_says_nothing() {
        let last = Last { row: 4711, hash: sha256(b"x") };
        let text = last.written();
        assert_eq!(Last::read(&text), Some(last));
        for at in 0..text.len() * 8 {
            let mut spoilt = text.clone().into_bytes();
            spoilt[at / 8] ^= 1 << (at % 8);
            let read = String::from_utf8(spoilt).ok().and_then(|text| Last::read(&text));
            assert_eq!(read, None, "bit {at}");
        }
        for length in 0..text.len() {
            assert_eq!(Last::read(&text[..length]), None, "the first {length} bytes");
        }
    }
}
