//! The journal told forward: what the tables must hold, now or on a day gone by.

use std::collections::BTreeMap;

use jiff::civil::Date;
use rusqlite::config::DbConfig;
use rusqlite::{Connection, OptionalExtension};

use super::belonging::{Key, Owners, belonging};
use super::change::{Row, put};
use super::read::piece_file;
use super::{Catalogue, Fault, JournalRow, Result, open};
use crate::record::PieceFile;

/// A place in the journal.
#[derive(Debug, Clone, Default, PartialEq, Eq, serde::Serialize)]
pub struct Moment {
    /// The last row; 0 before the first.
    pub row: i64,
    /// When it was written, in UTC.
    pub at: String,
    /// By whom.
    pub by: String,
    /// Why.
    pub reason: String,
}

/// What the tables must hold if the journal tells the whole story. Rows whose contents were purged are passed over.
///
/// # Errors
/// If a journal row is no JSON, or tells of a change to a row that was not there.
pub fn replay(journal: &[JournalRow]) -> Result<BTreeMap<(String, i64), Row>> {
    let mut state = BTreeMap::new();
    for row in journal.iter().filter(|row| !row.is_digest()) {
        let key = (row.in_table.clone(), row.row_id);
        let read = |text: &Option<String>| -> Result<Option<Row>> {
            text.as_deref().map(serde_json::from_str).transpose().map_err(|e| Fault::Unreadable(e.to_string()))
        };
        if state.get(&key) != read(&row.before)?.as_ref() {
            return Err(Fault::Unreadable(format!("the journal does not follow for row {} of `{}`", key.1, key.0)));
        }
        match read(&row.after)? {
            Some(after) => state.insert(key, after),
            None => state.remove(&key),
        };
    }
    Ok(state)
}

impl Catalogue {
    /// Every row of every journalled table as it stands now, for comparison with [`replay`].
    ///
    /// # Errors
    /// If a table cannot be read.
    pub fn present_state(&self) -> Result<BTreeMap<(String, i64), Row>> {
        let mut state = BTreeMap::new();
        let tables: Vec<String> = self
            .db
            .prepare(
                "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'words%'
                 AND name NOT GLOB 'found_*'
                 AND name NOT LIKE 'sqlite_%' AND name NOT IN ('journal', 'setting', 'account_password')",
            )?
            .query_map([], |r| r.get(0))?
            .collect::<std::result::Result<_, _>>()?;
        for table in tables {
            // Terms are keyed by text: the journal knows them by their rowid.
            let sql = if table == "term" {
                "SELECT rowid AS key, * FROM term WHERE local = 1".to_owned()
            } else {
                format!("SELECT id AS key, * FROM \"{table}\"")
            };
            for mut row in super::change::rows(&self.db, &sql, [])? {
                let key = row.shift_remove("key").and_then(|k| k.as_i64()).unwrap_or_default();
                state.insert((table.clone(), key), row);
            }
        }
        Ok(state)
    }

    /// The last change to the catalogue that was made on or before a day, by the days of this machine's time zone. Where
    /// the clock ran backwards, all that was written before that change counts as well.
    ///
    /// # Errors
    /// If the day has no end that can be reckoned, or the database refuses.
    pub fn moment(&self, day: Date) -> Result<Moment> {
        let end = day
            .tomorrow()
            .and_then(|next| next.to_zoned_datetime(jiff::tz::TimeZone::system()))
            .map_err(|e| Fault::Refused(format!("`{day}` is no day that can be looked back to: {e}")))?;
        // Seconds are enough, and compare as text however many digits follow them.
        let end: String = end.timestamp().to_string().chars().take(19).collect();
        let sql = "SELECT id, at, author, reason FROM journal WHERE substr(at, 1, 19) < ? ORDER BY id DESC LIMIT 1";
        let moment =
            |r: &rusqlite::Row<'_>| Ok(Moment { row: r.get(0)?, at: r.get(1)?, by: r.get(2)?, reason: r.get(3)? });
        Ok(self.db.query_row(sql, [end], moment).optional()?.unwrap_or_default())
    }

    /// A piece as it was recorded after a row of the journal; none if it was not there yet. The journal is told forward
    /// into tables in memory, and read from them as from any others.
    ///
    /// # Errors
    /// [`Fault::NoPiece`] if there is no such piece now, or if the journal does not tell a whole story.
    pub fn piece_after(&self, number: &str, row: i64) -> Result<Option<PieceFile>> {
        let piece = self.piece_id(number)?;
        let mut journal = self.journal(None)?;
        journal.retain(|change| change.id <= row);
        let start = Key::from([("piece".to_owned(), piece)]);
        let mut ours = belonging(&journal, &Owners::of(&self.db)?, &start, true).rows.into_iter().peekable();
        // Names of people and numbers of other pieces are needed to read the piece's rows.
        journal.retain(|change| {
            ours.next_if_eq(&change.id).is_some() || matches!(change.in_table.as_str(), "person" | "piece")
        });
        let tables = open::in_memory(self.clock)?;
        tables.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_TRIGGER, false)?;
        tables.pragma_update(None, "foreign_keys", false)?;
        fill(&tables, replay(&journal)?)?;
        piece_file(&tables, number)
    }
}

/// Puts rows into tables.
fn fill(db: &Connection, state: BTreeMap<(String, i64), Row>) -> Result<()> {
    let transaction = db.unchecked_transaction()?;
    for ((table, _), row) in state {
        put(db, &table, &row)?;
    }
    Ok(transaction.commit()?)
}
