//! The journal: what changed, when, by whom and why, each row's hash covering the one before.

mod leaf;
mod words;

use rusqlite::{Connection, OptionalExtension};
use serde::Serialize;
use sha2::{Digest, Sha256};

pub use leaf::Leaf as JournalLeaf;

use super::belonging::{Key, Owners, belonging};
use super::change::Row;
use super::{Catalogue, Clock, Result};
use crate::digest::{hex, sha256};

/// One change.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct JournalRow {
    /// Its number, from 1; the order in which things happened, whatever the clock said.
    pub id: i64,
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
    /// SHA-256 of `before`, where that was purged or held back.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub before_sha256: Option<String>,
    /// SHA-256 of `after`, where that was purged or held back.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub after_sha256: Option<String>,
}

/// The hash that stands before the first row.
const BEGINNING: &str = "0000000000000000000000000000000000000000000000000000000000000000";

/// What a row's hash covers of its contents.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Covers {
    /// The contents themselves: rows from before contents could be purged.
    Contents,
    /// Their SHA-256.
    Digests,
}

fn content(text: Option<&String>) -> Row {
    text.and_then(|text| serde_json::from_str(text).ok()).unwrap_or_default()
}

impl JournalRow {
    /// What stood before it; nothing where the row is new, or its contents are not here.
    pub(super) fn row_before(&self) -> Row {
        content(self.before.as_ref())
    }

    /// What stands after it; nothing where the row was removed, or its contents are not here.
    pub(super) fn row_after(&self) -> Row {
        content(self.after.as_ref())
    }

    /// What it tells of: the row as it stands after it, or stood before it was removed.
    pub(super) fn content(&self) -> Row {
        content(self.after.as_ref().or(self.before.as_ref()))
    }

    /// Whether no more than the digests of the contents are here: they went with a purged piece, or were held back by the
    /// export that this catalogue was made from.
    pub fn is_digest(&self) -> bool {
        self.before_sha256.is_some() || self.after_sha256.is_some()
    }

    /// Whether both are of one act: what one person did at one moment for one reason.
    pub fn same_act(&self, other: &Self) -> bool {
        (&self.at, &self.author, &self.reason) == (&other.at, &other.author, &other.reason)
    }

    /// Whether this row tells anew of a photograph whose story before is digests alone.
    pub(super) fn tells_anew(&self) -> bool {
        self.act == "insert" && self.in_table == "photograph" && self.reason == TOLD_ANEW
    }

    /// SHA-256 over the previous hash and all fields, joined by line feeds; a blank counts as an empty text.
    fn hash(&self, previous: &str, covers: Covers) -> String {
        let covered = |content: Option<&String>, purged: Option<&String>| match (content, covers) {
            (Some(text), Covers::Contents) => text.clone(),
            (Some(text), Covers::Digests) => sha256(text.as_bytes()),
            (None, _) => purged.cloned().unwrap_or_default(),
        };
        let before = covered(self.before.as_ref(), self.before_sha256.as_ref());
        let after = covered(self.after.as_ref(), self.after_sha256.as_ref());
        let row_id = self.row_id.to_string();
        let mut hash = Sha256::new_with_prefix(previous);
        for field in [&self.at, &self.author, &self.reason, &self.act, &self.in_table, &row_id, &before, &after] {
            hash.update("\n");
            hash.update(field);
        }
        hex(&hash.finalize())
    }
}

pub(super) fn last_hash(db: &Connection) -> Result<String> {
    let last = db
        .prepare_cached("SELECT hash FROM journal ORDER BY id DESC LIMIT 1")?
        .query_row([], |r| r.get(0))
        .optional()?;
    Ok(last.unwrap_or_else(|| BEGINNING.into()))
}

pub(super) fn append(db: &Connection, row: &JournalRow, previous: &str, covers: Covers) -> Result<String> {
    let hash = row.hash(previous, covers);
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

/// Covers the rows of an older catalogue a second time, by the digests of their contents, and journals that.
pub(super) fn cover_older(db: &Connection, clock: Clock) -> Result<()> {
    let (mut up_to, mut sha256) = (0, BEGINNING.to_owned());
    each(db, COLUMNS, |row, _| {
        sha256 = row.hash(&sha256, Covers::Digests);
        up_to = row.id;
        Ok(true)
    })?;
    if up_to == 0 {
        return Ok(());
    }
    db.execute("INSERT INTO journal_cover (id, up_to, sha256) VALUES (1, ?, ?)", (up_to, &sha256))?;
    let reason = "older rows of the journal covered by the digests of their contents";
    let cover = serde_json::json!({ "id": 1, "up_to": up_to, "sha256": sha256 }).to_string();
    by_program(db, clock, reason, ("journal_cover", 1, cover), Covers::Digests)
}

/// Journals a row, by table, number and content, that the program itself put in.
pub(super) fn by_program(
    db: &Connection,
    clock: Clock,
    reason: &str,
    (table, row, content): (&str, i64, String),
    covers: Covers,
) -> Result<()> {
    let entry = JournalRow {
        at: clock.now().to_string(),
        author: "dimity".into(),
        reason: reason.into(),
        act: "insert".into(),
        in_table: table.into(),
        row_id: row,
        after: Some(content),
        ..JournalRow::default()
    };
    append(db, &entry, &last_hash(db)?, covers)?;
    Ok(())
}

/// Why a photograph is told of a second time. Such rows are known by it: it stands in catalogues, and is never worded anew.
const TOLD_ANEW: &str =
    "read from an export without its GPS position; what the journal held of it before is digests alone";

/// Journals how these photographs, by their SHA-256, stand now.
pub(super) fn told_anew(db: &Connection, clock: Clock, photographs: &[String]) -> Result<()> {
    for sha256 in photographs {
        for row in super::change::rows(db, "SELECT * FROM photograph WHERE sha256 = ?", [sha256])? {
            let id = row.get("id").and_then(serde_json::Value::as_i64).unwrap_or_default();
            let content = serde_json::Value::Object(row).to_string();
            by_program(db, clock, TOLD_ANEW, ("photograph", id, content), Covers::Digests)?;
        }
    }
    Ok(())
}

const COLUMNS: &str =
    "id, at, author, reason, act, in_table, row_id, before, after, before_sha256, after_sha256, previous_hash, hash";

/// The same of an older catalogue that cannot be brought up to date: nothing is purged there.
const OLDER: &str = "id, at, author, reason, act, in_table, row_id, before, after, NULL, NULL, previous_hash, hash";

/// Visits the rows in order with the two hashes written in each, until `visit` says false.
fn each(
    db: &Connection,
    columns: &str,
    mut visit: impl FnMut(JournalRow, (String, String)) -> Result<bool>,
) -> Result<()> {
    let mut statement = db.prepare_cached(&format!("SELECT {columns} FROM journal ORDER BY id"))?;
    let mut rows = statement.query([])?;
    while let Some(r) = rows.next()? {
        if !visit(from_sql(r)?, (r.get(11)?, r.get(12)?))? {
            break;
        }
    }
    Ok(())
}

/// A row as [`COLUMNS`] has it.
fn from_sql(r: &rusqlite::Row<'_>) -> rusqlite::Result<JournalRow> {
    Ok(JournalRow {
        id: r.get(0)?,
        at: r.get(1)?,
        author: r.get(2)?,
        reason: r.get(3)?,
        act: r.get(4)?,
        in_table: r.get(5)?,
        row_id: r.get(6)?,
        before: r.get(7)?,
        after: r.get(8)?,
        before_sha256: r.get(9)?,
        after_sha256: r.get(10)?,
    })
}

/// All rows, in order.
pub(super) fn all(db: &Connection) -> Result<Vec<JournalRow>> {
    told(db, COLUMNS)
}

fn told(db: &Connection, columns: &str) -> Result<Vec<JournalRow>> {
    let mut rows = Vec::new();
    each(db, columns, |row, _| {
        rows.push(row);
        Ok(true)
    })?;
    Ok(rows)
}

impl Catalogue {
    /// All changes, oldest first; with a number, those to that piece and whatever belongs to it.
    ///
    /// # Errors
    /// If there is no such piece.
    pub fn journal(&self, number: Option<&str>) -> Result<Vec<JournalRow>> {
        let piece = number.map(|number| self.piece_id(number)).transpose()?;
        let all = told(&self.db, self.journal_columns()?)?;
        let Some(piece) = piece else { return Ok(all) };
        let start = Key::from([("piece".to_owned(), piece)]);
        let mut ours = belonging(&all, &Owners::of(&self.db)?, &start, true).rows.into_iter().peekable();
        Ok(all.into_iter().filter(|row| ours.next_if_eq(&row.id).is_some()).collect())
    }

    fn journal_columns(&self) -> Result<&'static str> {
        Ok(if self.has_table("purge")? { COLUMNS } else { OLDER })
    }

    /// Walks the chain of hashes; gives the number of rows, or the first row that does not fit.
    pub(super) fn chain(&self) -> Result<std::result::Result<u64, i64>> {
        // Of an older catalogue that cannot be brought up to date, every row is an older one.
        let cover: Option<(i64, String)> = if self.has_table("journal_cover")? {
            let sql = "SELECT up_to, sha256 FROM journal_cover";
            self.db.query_row(sql, [], |r| Ok((r.get(0)?, r.get(1)?))).optional()?
        } else {
            Some((i64::MAX, String::new()))
        };
        let older = cover.as_ref().map_or(0, |(up_to, _)| *up_to);
        let (mut previous, mut second, mut count, mut misfit) = (BEGINNING.to_owned(), BEGINNING.to_owned(), 0, None);
        each(&self.db, self.journal_columns()?, |row, (written_previous, hash)| {
            let fits = if row.id > older {
                row.hash(&previous, Covers::Digests) == hash
            } else {
                second = row.hash(&second, Covers::Digests);
                // What a purged row of before held cannot be hashed again; the second chain vouches for its digest.
                row.is_digest() || row.hash(&previous, Covers::Contents) == hash
            };
            let covered = cover.as_ref().is_none_or(|(up_to, sha256)| row.id != *up_to || *sha256 == second);
            if written_previous != previous || !fits || !covered {
                misfit = Some(row.id);
                return Ok(false);
            }
            previous = hash;
            count += 1;
            Ok(true)
        })?;
        Ok(misfit.map_or(Ok(count), Err))
    }

    /// Rows of the journal that bear an earlier time than the row before them, with both times: the machine's clock ran
    /// backwards. The order of the rows is what counts.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn backward_times(&self) -> Result<Vec<(i64, String, String)>> {
        let (mut latest, mut found) = (String::new(), Vec::new());
        let mut statement = self.db.prepare_cached("SELECT id, at FROM journal ORDER BY id")?;
        let mut rows = statement.query([])?;
        while let Some(r) = rows.next()? {
            let at: String = r.get(1)?;
            let moment = |text: &str| text.parse::<jiff::Timestamp>().ok();
            if moment(&at) < moment(&latest) {
                found.push((r.get(0)?, latest.clone(), at.clone()));
            }
            latest = at;
        }
        Ok(found)
    }
}
