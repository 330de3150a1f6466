//! The dating convention of a catalogue: read, and changed under the journal.

use rusqlite::OptionalExtension;

use super::change::Row;
use super::{Catalogue, Result};
use crate::dating::{Beyond, Conventions, Cut, Hundreds};

impl Catalogue {
    /// How this catalogue understands written dates; the program's own conventions until it chooses others.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn conventions(&self) -> Result<Conventions> {
        // An older catalogue on a medium that cannot be written has no such table.
        if !self.has_table("dating_convention")? {
            return Ok(Conventions::default());
        }
        let found = self
            .db
            .prepare_cached("SELECT circa_years, century_from, cut, beyond, hundreds FROM dating_convention")?
            .query_row([], |r| {
                Ok(Conventions {
                    circa_years: r.get(0)?,
                    century_from: r.get(1)?,
                    cut: Cut::from_word(&r.get::<_, String>(2)?).unwrap_or_default(),
                    beyond: Beyond::from_word(&r.get::<_, String>(3)?).unwrap_or_default(),
                    hundreds: Hundreds::from_word(&r.get::<_, String>(4)?).unwrap_or_default(),
                })
            })
            .optional()?;
        Ok(found.unwrap_or_default())
    }

    /// Chooses how written dates are understood from now on. Dates that were entered keep their years: what the
    /// cataloguer saw and signed is not changed behind their back, and the remark of each names its convention.
    /// Returns whether anything changed.
    ///
    /// # Errors
    /// If the author is blank or the database refuses.
    pub fn set_conventions(&mut self, author: &str, reason: &str, chosen: &Conventions) -> Result<bool> {
        if self.conventions()? == *chosen {
            return Ok(false);
        }
        let mut row = Row::new();
        row.insert("circa_years".into(), chosen.circa_years.into());
        row.insert("century_from".into(), chosen.century_from.into());
        row.insert("cut".into(), chosen.cut.word().into());
        row.insert("beyond".into(), chosen.beyond.word().into());
        row.insert("hundreds".into(), chosen.hundreds.word().into());
        self.write(author, reason, |change| change.keep_only("dating_convention", row))
    }
}
