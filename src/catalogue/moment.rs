//! One moment of the catalogue, held while several things are read of it, whatever others write meanwhile.

use rusqlite::{Connection, Transaction};

use super::{Catalogue, Fault, Result};

/// While it lives, what is read is of one moment, whatever others write.
pub struct Steady<'c>(Option<Transaction<'c>>);

impl Catalogue {
    /// Holds the catalogue as it is at this moment, for whoever reads it in several steps; inside another such reading, as
    /// it is in that.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn steady(&self) -> Result<Steady<'_>> {
        Ok(Steady(self.db.is_autocommit().then(|| hold(&self.db)).transpose()?))
    }

    /// Reads several things in one moment of the catalogue, the index of what is found among them.
    ///
    /// # Errors
    /// As the reading has it, or if the database refuses.
    pub fn at_once<T, E: From<Fault>>(
        &self,
        read: impl FnOnce() -> std::result::Result<T, E>,
    ) -> std::result::Result<T, E> {
        if self.db.is_autocommit() {
            // What this makes would be taken back with the reading.
            self.ready_to_find()?;
        }
        let moment = self.steady()?;
        let told = read();
        moment.0.map_or(Ok(()), Transaction::finish).map_err(Fault::from)?;
        told
    }
}

/// Begins to read. The moment is that of the first look.
pub(super) fn hold(db: &Connection) -> Result<Transaction<'_>> {
    let moment = db.unchecked_transaction()?;
    moment.query_row("SELECT count(*) FROM sqlite_master", [], |r| r.get::<_, i64>(0))?;
    Ok(moment)
}
