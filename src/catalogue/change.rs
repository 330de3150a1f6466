//! The one way in for every write: an author, a reason, one immediate transaction, and a journal row for each change.

use std::collections::{BTreeMap, BTreeSet};

use jiff::civil::Date;
use rusqlite::types::{ToSqlOutput, Value as Sql, ValueRef};
use rusqlite::{Transaction, TransactionBehavior};
use serde::ser::{Serialize, SerializeMap, Serializer};
use serde_json::{Map, Value};
use uuid::Uuid;

use super::finding::index::{self, FoundBy, Homes, Index};
use super::journal::{self, Covers};
use super::{Catalogue, Fault, Result};

/// A row of a table, by column; a blank column is left out.
pub type Row = Map<String, Value>;

/// A transaction that journals what it does.
pub struct Change<'c> {
    transaction: Transaction<'c>,
    author: String,
    reason: String,
    at: String,
    last_hash: Option<String>,
    /// The last row of the journal that it wrote.
    last_row: Option<i64>,
    homes: Homes,
    /// Pieces of whose record something was written.
    touched: BTreeSet<i64>,
    /// Those of them that are new: nothing finds them yet. By what they will be found, where that is known.
    fresh: BTreeMap<i64, Option<FoundBy>>,
}

impl Catalogue {
    /// Runs `work` in one immediate transaction, journalled under `author` and `reason`. If it fails, nothing happened.
    ///
    /// # Errors
    /// Whatever `work` returns; or if author or reason is blank, or the database refuses.
    pub fn write<T>(
        &mut self,
        author: &str,
        reason: &str,
        work: impl FnOnce(&mut Change<'_>) -> Result<T>,
    ) -> Result<T> {
        self.write_or_try(author, reason, false, work)
    }

    /// The same; with `dry_run` all of it is taken back at the end, and what `work` gave is what it would have given.
    pub(super) fn write_or_try<T>(
        &mut self,
        author: &str,
        reason: &str,
        dry_run: bool,
        work: impl FnOnce(&mut Change<'_>) -> Result<T>,
    ) -> Result<T> {
        if author.trim().is_empty() {
            return Err(Fault::Refused("say who is writing: `--by NAME`, or set DIMITY_BY".into()));
        }
        if reason.trim().is_empty() {
            return Err(Fault::Refused("say why: `--reason TEXT`".into()));
        }
        // The journal's hash runs over lines: a name is one of them.
        let author = author.trim().replace(char::is_control, " ");
        let at = self.clock.now().to_string();
        let done = {
            let transaction = self.db.transaction_with_behavior(TransactionBehavior::Immediate)?;
            let mut change = Change {
                transaction,
                author,
                reason: reason.trim().into(),
                at,
                last_hash: None,
                last_row: None,
                homes: Homes::default(),
                touched: BTreeSet::new(),
                fresh: BTreeMap::new(),
            };
            let done = work(&mut change)?;
            if dry_run {
                return Ok(done); // a transaction that is dropped is rolled back
            }
            change.index()?;
            change.transaction.commit()?;
            done
        };
        self.note_last();
        Ok(done)
    }
}

impl Change<'_> {
    /// The connection, for reading inside the transaction.
    pub(super) fn db(&self) -> &rusqlite::Connection {
        &self.transaction
    }

    /// Why it is done.
    pub(super) fn reason(&self) -> &str {
        &self.reason
    }

    /// The last row of the journal that this change wrote, if it changed anything yet.
    pub(super) fn last_row(&self) -> Option<i64> {
        self.last_row
    }

    /// Inserts a row and returns its `id`. A table with a `uid` gets one if the row brings none.
    pub(super) fn insert(&mut self, table: &str, row: &Row) -> Result<i64> {
        put(&self.transaction, table, row)?;
        let id = self.transaction.last_insert_rowid();
        if table == "piece" {
            self.fresh.insert(id, None);
        }
        self.journal("insert", table, id, None, Some(row))?;
        Ok(id)
    }

    /// Sets columns of a row; a null blanks one. Columns that already hold the value are left alone; returns whether
    /// anything changed.
    pub(super) fn update(&mut self, table: &str, id: i64, columns: &Row) -> Result<bool> {
        let before = row_by_id(&self.transaction, table, id)?;
        let differs = |name: &String, value: &Value| before.get(name).unwrap_or(&Value::Null) != value;
        let set: Row = columns.iter().filter(|(k, v)| differs(k, v)).map(|(k, v)| (k.clone(), v.clone())).collect();
        if set.is_empty() {
            return Ok(false);
        }
        let assignments: Vec<_> = set.keys().map(|k| format!("\"{k}\" = ?")).collect();
        let sql = format!("UPDATE \"{table}\" SET {} WHERE id = ?", assignments.join(", "));
        let values = set.values().map(to_sql).chain([ToSqlOutput::Borrowed(ValueRef::Integer(id))]);
        self.transaction.prepare_cached(&sql)?.execute(rusqlite::params_from_iter(values))?;
        let mut after = before.clone();
        after.extend(set);
        after.retain(|_, v| !v.is_null());
        self.journal("update", table, id, Some(&before), Some(&after))?;
        Ok(true)
    }

    /// Inserts a row in place of the one that stood before, if one did; that one stays and points to the new row. The two
    /// never stand at once: the new one comes in as its own replacement, and stands in the end.
    pub(super) fn insert_instead(&mut self, table: &str, mut row: Row, before: Option<i64>) -> Result<()> {
        let sql = format!("SELECT ifnull(max(id), 0) + 1 FROM \"{table}\"");
        let next: i64 = self.db().query_row(&sql, [], |r| r.get(0))?;
        let replaced_by = |id: Value| Row::from_iter([("replaced_by".to_owned(), id)]);
        row.insert("id".into(), next.into());
        row.extend(replaced_by(before.map(|_| next).into()));
        self.insert(table, &row)?;
        if let Some(before) = before {
            self.update(table, before, &replaced_by(next.into()))?;
            self.update(table, next, &replaced_by(Value::Null))?;
        }
        Ok(())
    }

    /// Takes back a row that stands: the one whose place it took stands again, if there was one; says whether there was. The
    /// row stays. One that does not stand, and whose place nothing took, points to itself.
    pub(super) fn take_back(&mut self, table: &str, stands: i64) -> Result<bool> {
        let sql = format!("SELECT max(id) FROM \"{table}\" WHERE replaced_by = ?1 AND id <> ?1");
        let before: Option<i64> = self.db().query_row(&sql, [stands], |r| r.get(0))?;
        self.remove_standing(table, stands)?;
        if let Some(before) = before {
            self.update(table, before, &Row::from_iter([("replaced_by".to_owned(), Value::Null)]))?;
        }
        Ok(before.is_some())
    }

    /// Lets a row stand no more, without another in its place. The row stays, and points to itself.
    pub(super) fn remove_standing(&mut self, table: &str, stands: i64) -> Result<()> {
        self.update(table, stands, &Row::from_iter([("replaced_by".to_owned(), stands.into())]))?;
        Ok(())
    }

    /// Marks a row as withdrawn for this reason, or as standing again; returns whether anything changed. The row stays.
    pub(super) fn withdraw(&mut self, table: &str, id: i64, why: Option<&str>) -> Result<bool> {
        self.update(table, id, &Row::from_iter([("withdrawn".to_owned(), why.map(str::trim).into())]))
    }

    /// Keeps the one row of a table that holds a choice of the whole catalogue. Returns whether anything changed.
    pub(super) fn keep_only(&mut self, table: &str, mut row: Row) -> Result<bool> {
        let there: i64 = self.db().query_row(&format!("SELECT count(*) FROM \"{table}\""), [], |r| r.get(0))?;
        if there > 0 {
            return self.update(table, 1, &row);
        }
        row.insert("id".into(), 1.into());
        self.insert(table, &row).map(|_| true)
    }

    /// Removes a row that only lists a detail of another (a material, a fibre) or ties two together; the journal keeps it.
    pub(super) fn delete(&mut self, table: &str, id: i64) -> Result<()> {
        let before = row_by_id(&self.transaction, table, id)?;
        self.transaction.prepare_cached(&format!("DELETE FROM \"{table}\" WHERE id = ?"))?.execute([id])?;
        self.journal("delete", table, id, Some(&before), None)
    }

    /// Removes a local term, known by its rowid.
    pub(super) fn delete_term(&mut self, rowid: i64) -> Result<()> {
        let before = rows(&self.transaction, "SELECT * FROM term WHERE rowid = ?", [rowid])?.pop();
        self.transaction.execute("DELETE FROM term WHERE rowid = ?", [rowid])?;
        self.journal("delete", "term", rowid, before.as_ref(), None)
    }

    fn journal(
        &mut self,
        act: &str,
        table: &str,
        row_id: i64,
        before: Option<&Row>,
        after: Option<&Row>,
    ) -> Result<()> {
        let previous = match self.last_hash.take() {
            Some(hash) => hash,
            None => journal::last_hash(&self.transaction)?,
        };
        let text = |row: Option<&Row>| {
            let given = |row: &&Row| act == "insert" && !row.contains_key("id");
            let kept = row.map(|row| Kept { row, id: Some(row_id).filter(|_| given(&row)) });
            kept.map(|kept| serde_json::to_string(&kept).unwrap_or_default())
        };
        let entry = journal::JournalRow {
            at: self.at.clone(),
            author: self.author.clone(),
            reason: self.reason.clone(),
            act: act.into(),
            in_table: table.into(),
            row_id,
            before: text(before),
            after: text(after),
            ..journal::JournalRow::default()
        };
        self.last_hash = Some(journal::append(&self.transaction, &entry, &previous, Covers::Digests)?);
        self.last_row = Some(self.transaction.last_insert_rowid());
        if let Some(row) = after.or(before) {
            for piece in self.homes.pieces_of(&self.transaction, table, row_id, row)? {
                self.touched.insert(piece);
                if let Some(fresh) = self.fresh.get_mut(&piece) {
                    *fresh = None;
                }
            }
        }
        Ok(())
    }

    /// Brings what the touched pieces are found by into step with their records.
    fn index(&self) -> Result<()> {
        let day = self.day();
        Index::over(&self.transaction, |index| {
            self.touched.iter().try_for_each(|piece| match self.fresh.get(piece) {
                Some(Some(found)) => index.put(*piece, found),
                Some(None) => index.add(*piece, day),
                None => index.refresh(*piece, day),
            })
        })
    }

    /// The day of the change, as pieces are found by it.
    pub(super) fn day(&self) -> Option<Date> {
        index::day_of(&self.at)
    }

    /// Says by what a new piece is found, so that it need not be read again for that. What is written of it afterwards makes
    /// this void.
    pub(super) fn is_found_by(&mut self, piece: i64, found: FoundBy) {
        if let Some(fresh) = self.fresh.get_mut(&piece) {
            *fresh = Some(found);
        }
    }
}

/// A row as the journal keeps it: without its blanks, and with the number that the table gave it behind the rest.
struct Kept<'r> {
    row: &'r Row,
    id: Option<i64>,
}

impl Serialize for Kept<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> std::result::Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(None)?;
        for (name, value) in self.row.iter().filter(|(_, value)| !value.is_null()) {
            map.serialize_entry(name, value)?;
        }
        if let Some(id) = self.id {
            map.serialize_entry("id", &id)?;
        }
        map.end()
    }
}

/// A fresh identifier: UUIDv7, which sorts by the time it was made.
pub(super) fn fresh_uid() -> String {
    Uuid::now_v7().to_string()
}

/// Reads all columns of one row, blanks left out.
pub(super) fn row_by_id(db: &rusqlite::Connection, table: &str, id: i64) -> Result<Row> {
    row_if_any(db, table, id)?.ok_or_else(|| Fault::Refused(format!("row {id} of `{table}` is gone")))
}

/// The same, if it is there.
pub(super) fn row_if_any(db: &rusqlite::Connection, table: &str, id: i64) -> Result<Option<Row>> {
    Ok(rows(db, &format!("SELECT * FROM \"{table}\" WHERE id = ?"), [id])?.pop())
}

/// Reads all columns of the rows that a query gives, blanks left out.
pub(super) fn rows(db: &rusqlite::Connection, sql: &str, params: impl rusqlite::Params) -> Result<Vec<Row>> {
    let mut statement = db.prepare_cached(sql)?;
    let mut found = statement.query(params)?;
    let mut list = Vec::new();
    while let Some(row) = found.next()? {
        let mut columns = Row::new();
        for i in 0..row.as_ref().column_count() {
            let value = from_sql(row.get_ref(i)?)?;
            if !value.is_null() {
                columns.insert(row.as_ref().column_name(i)?.to_owned(), value);
            }
        }
        list.push(columns);
    }
    Ok(list)
}

/// Puts a row into a table, and nothing into the journal. A blank column is left out: it is blank of itself.
pub(super) fn put(db: &rusqlite::Connection, table: &str, row: &Row) -> Result<()> {
    let written = || row.iter().filter(|(_, value)| !value.is_null());
    let mut sql = String::with_capacity(40 + table.len() + written().map(|(name, _)| name.len() + 5).sum::<usize>());
    sql.extend(["INSERT INTO \"", table, "\" ("]);
    let mut marks = String::with_capacity(2 * row.len());
    for (name, _) in written() {
        let comma = if marks.is_empty() { "" } else { "," };
        sql.extend([comma, "\"", name, "\""]);
        marks.extend([comma, "?"]);
    }
    sql.extend([") VALUES (", &marks, ")"]);
    db.prepare_cached(&sql)?.execute(rusqlite::params_from_iter(written().map(|(_, value)| to_sql(value))))?;
    Ok(())
}

pub(super) fn to_sql(value: &Value) -> ToSqlOutput<'_> {
    ToSqlOutput::Borrowed(match value {
        Value::Null => ValueRef::Null,
        Value::Bool(b) => ValueRef::Integer((*b).into()),
        Value::Number(n) => n.as_i64().map_or(ValueRef::Real(n.as_f64().unwrap_or(f64::NAN)), ValueRef::Integer),
        Value::String(s) => ValueRef::Text(s.as_bytes()),
        Value::Array(_) | Value::Object(_) => return ToSqlOutput::Owned(Sql::Text(value.to_string())),
    })
}

pub(super) fn from_sql(value: ValueRef<'_>) -> rusqlite::Result<Value> {
    Ok(match value {
        ValueRef::Null | ValueRef::Blob(_) => Value::Null,
        ValueRef::Integer(i) => i.into(),
        ValueRef::Real(f) => f.into(),
        ValueRef::Text(_) => value.as_str()?.into(),
    })
}
