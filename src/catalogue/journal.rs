//! The journal: what changed, when, by whom and why, each row's hash covering the one before.

use std::collections::BTreeMap;

use rusqlite::{Connection, OptionalExtension};
use serde::Serialize;
use serde_json::Value;
use sha2::{Digest, Sha256};

use super::change::Row;
use super::{Catalogue, Fault, Result};

/// One change.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct JournalRow {
    /// When, in UTC.
    pub at: String,
    /// Who.
    pub author: String,
    /// Why.
    pub reason: String,
    /// `insert`, `update` or `delete`.
    pub act: String,
    /// The table.
    pub in_table: String,
    /// The row's `id` in it.
    pub row_id: i64,
    /// The row before, as JSON; blank for an insert.
    pub before: Option<String>,
    /// The row after, as JSON; blank for a delete.
    pub after: Option<String>,
}

/// The hash that stands before the first row.
const BEGINNING: &str = "0000000000000000000000000000000000000000000000000000000000000000";

impl JournalRow {
    /// SHA-256 over the previous hash and all fields, joined by line feeds; a blank counts as an empty text.
    fn hash(&self, previous: &str) -> String {
        let row_id = self.row_id.to_string();
        let fields = [
            previous,
            &self.at,
            &self.author,
            &self.reason,
            &self.act,
            &self.in_table,
            &row_id,
            self.before.as_deref().unwrap_or_default(),
            self.after.as_deref().unwrap_or_default(),
        ];
        hex(&Sha256::digest(fields.join("\n").as_bytes()))
    }
}

fn hex(bytes: &[u8]) -> String {
    use std::fmt::Write as _;
    bytes.iter().fold(String::with_capacity(bytes.len() * 2), |mut text, byte| {
        let _ = write!(text, "{byte:02x}");
        text
    })
}

pub(super) fn last_hash(db: &Connection) -> Result<String> {
    let last = db
        .prepare_cached("SELECT hash FROM journal ORDER BY id DESC LIMIT 1")?
        .query_row([], |r| r.get(0))
        .optional()?;
    Ok(last.unwrap_or_else(|| BEGINNING.into()))
}

pub(super) fn append(db: &Connection, row: &JournalRow, previous: &str) -> Result<String> {
    let hash = row.hash(previous);
    db.prepare_cached(
        "INSERT INTO journal (at, author, reason, act, in_table, row_id, before, after, previous_hash, hash)
         VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
    )?
    .execute((
        &row.at,
        &row.author,
        &row.reason,
        &row.act,
        &row.in_table,
        row.row_id,
        &row.before,
        &row.after,
        previous,
        &hash,
    ))?;
    Ok(hash)
}

impl Catalogue {
    /// All changes, oldest first; with a number, those to that piece and whatever belongs to it.
    ///
    /// # Errors
    /// If there is no such piece.
    pub fn journal(&self, number: Option<&str>) -> Result<Vec<JournalRow>> {
        let sql = "SELECT at, author, reason, act, in_table, row_id, before, after FROM journal ORDER BY id";
        let mut statement = self.db.prepare_cached(sql)?;
        let all = statement.query_map([], journal_row)?.collect::<std::result::Result<Vec<_>, _>>()?;
        match number {
            None => Ok(all),
            Some(number) => Ok(belonging(all, self.piece_id(number)?)),
        }
    }

    /// Walks the chain of hashes; gives the number of rows, or the first row that does not fit.
    pub(super) fn chain(&self) -> Result<std::result::Result<u64, i64>> {
        let mut statement = self.db.prepare_cached(
            "SELECT at, author, reason, act, in_table, row_id, before, after, previous_hash, hash, id FROM journal
             ORDER BY id",
        )?;
        let mut rows = statement.query([])?;
        let (mut previous, mut count) = (BEGINNING.to_owned(), 0);
        while let Some(row) = rows.next()? {
            let entry = journal_row(row)?;
            let (written_previous, hash, id): (String, String, i64) = (row.get(8)?, row.get(9)?, row.get(10)?);
            if written_previous != previous || entry.hash(&previous) != hash {
                return Ok(Err(id));
            }
            previous = hash;
            count += 1;
        }
        Ok(Ok(count))
    }

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
}

/// The rows that concern a piece: its own, those that name it, and those that belong to such a row.
fn belonging(all: Vec<JournalRow>, piece: i64) -> Vec<JournalRow> {
    let content_of = |row: &JournalRow| {
        row.after.as_deref().or(row.before.as_deref()).and_then(|t| serde_json::from_str::<Row>(t).ok())
    };
    let mut ours = std::collections::HashSet::from([("piece".to_owned(), piece)]);
    // A photograph is stored before it is tied to what it shows.
    for row in all.iter().filter(|r| r.in_table == "photograph_of") {
        let Some(content) = content_of(row) else { continue };
        let number = |column: &str| content.get(column).and_then(Value::as_i64);
        if let (true, Some(id)) = (number("piece_id") == Some(piece), number("photograph_id")) {
            ours.insert(("photograph".to_owned(), id));
        }
    }
    let mut kept = Vec::new();
    for row in all {
        let content = content_of(&row);
        let points_to = |column: &str, tables: &[&str]| {
            let id = content.as_ref().and_then(|c| c.get(column)).and_then(Value::as_i64);
            id.is_some_and(|id| tables.iter().any(|t| ours.contains(&((*t).to_owned(), id))))
        };
        let shares_id = |table: &str| row.in_table != "piece" && ours.contains(&(table.to_owned(), row.row_id));
        let observed = matches!(
            row.in_table.as_str(),
            "textile"
                | "measurement"
                | "stitching"
                | "fastening"
                | "stiffening"
                | "trimming"
                | "step"
                | "sign"
                | "condition"
                | "overall"
                | "hazard"
        ) && shares_id("observation");
        if ours.contains(&(row.in_table.clone(), row.row_id))
            || points_to("piece_id", &["piece"])
            || points_to("examination_id", &["examination"])
            || points_to(
                "owner_id",
                &[if row.in_table.starts_with("treatment_") { "treatment" } else { "observation" }],
            )
            || (matches!(row.in_table.as_str(), "region" | "scale" | "target_reading")
                && points_to("photograph_id", &["photograph"]))
            || (row.in_table == "registration"
                && (points_to("first_id", &["photograph"]) || points_to("second_id", &["photograph"])))
            || observed
        {
            ours.insert((row.in_table.clone(), row.row_id));
            kept.push(row);
        }
    }
    kept
}

fn journal_row(r: &rusqlite::Row<'_>) -> rusqlite::Result<JournalRow> {
    Ok(JournalRow {
        at: r.get(0)?,
        author: r.get(1)?,
        reason: r.get(2)?,
        act: r.get(3)?,
        in_table: r.get(4)?,
        row_id: r.get(5)?,
        before: r.get(6)?,
        after: r.get(7)?,
    })
}

/// What the tables must hold if the journal tells the whole story.
///
/// # Errors
/// If a journal row is no JSON, or tells of a change to a row that was not there.
pub fn replay(journal: &[JournalRow]) -> Result<BTreeMap<(String, i64), Row>> {
    let mut state = BTreeMap::new();
    for row in journal {
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
