//! Rows taken in: an empty catalogue becomes the one that was handed on, journal and all, or stays empty.

use rusqlite::config::DbConfig;
use serde_json::Value;

use super::{ROW, Table};
use crate::catalogue::change::{Row, to_sql};
use crate::catalogue::finding::index;
use crate::catalogue::{Catalogue, Fault, Result, journal, terms};

impl Catalogue {
    /// Fills an empty catalogue with the rows that `give` hands over, as they were handed on. They are taken only if the
    /// journal among them tells how all others came to be, and its hashes follow from each other. What `give` returns are
    /// the SHA-256 of photographs of which the journal holds no more than digests, since their GPS positions stayed where
    /// they came from: how these stand now becomes a row of the journal.
    ///
    /// # Errors
    /// If the catalogue holds anything, if a row does not fit its table, whatever `give` returns, or the first thing
    /// that a check finds. It is empty then as before.
    pub fn take_in(
        &mut self,
        give: impl FnOnce(&mut dyn FnMut(&Table, Row) -> Result<()>) -> Result<Vec<String>>,
    ) -> Result<()> {
        let there: i64 = self.db.query_row("SELECT count(*) FROM journal", [], |r| r.get(0))?;
        if there > 0 {
            return Err(Fault::Refused(format!(
                "`{}` holds records already; an export is read back into a new catalogue: `dimity new DIR`, and \
                 `--in DIR`",
                self.folder.display()
            )));
        }
        // Seals and journal are fenced against rows that come in by another way than this.
        self.db.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_TRIGGER, false)?;
        let done = self.fill(give);
        self.db.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_TRIGGER, true)?;
        done?;
        self.load_terms()
    }

    fn fill(&self, give: impl FnOnce(&mut dyn FnMut(&Table, Row) -> Result<()>) -> Result<Vec<String>>) -> Result<()> {
        let whole = self.db.unchecked_transaction()?;
        // A row may name one that comes after it.
        whole.execute_batch("PRAGMA defer_foreign_keys = ON; DELETE FROM term;")?;
        let without_position = give(&mut |table, row| {
            let names: Vec<_> = row.keys().map(|name| column(table, name)).collect();
            let marks = vec!["?"; row.len()].join(", ");
            let sql = format!("INSERT INTO \"{}\" ({}) VALUES ({marks})", table.name, names.join(", "));
            let values = row.values().map(|value: &Value| to_sql(value));
            let taken = whole.prepare_cached(&sql)?.execute(rusqlite::params_from_iter(values));
            taken.map(drop).map_err(|e| misfit(table, &row, &e))
        })?;
        terms::ship(&whole)?;
        journal::told_anew(&whole, self.clock, &without_position)?;
        index::rebuild(&whole)?;
        if let Some(finding) = self.check_database()?.first() {
            return Err(Fault::Refused(format!(
                "{}; the export was changed after it was written, or its catalogue was not sound: nothing was taken in",
                finding.what
            )));
        }
        whole.commit()?;
        self.note_last();
        Ok(())
    }
}

/// The name of a column in a statement.
fn column(table: &Table, name: &str) -> String {
    if table.name == "term" && name == ROW { "rowid".into() } else { format!("\"{name}\"") }
}

fn misfit(table: &Table, row: &Row, e: &rusqlite::Error) -> Fault {
    let id = row.get("id").map(ToString::to_string).unwrap_or_default();
    Fault::Refused(format!("row {id} of `{}` does not fit its table: {e}; nothing was taken in", table.name))
}
