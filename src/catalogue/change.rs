//! The one way in for every write: an author, a reason, one immediate transaction, and a journal row for each change.

use std::collections::BTreeSet;

use rusqlite::types::Value as Sql;
use rusqlite::{Transaction, TransactionBehavior};
use serde_json::{Map, Value};
use uuid::Uuid;

use super::finding::index;
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
    /// Pieces of whose record something was written.
    touched: BTreeSet<i64>,
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
        if author.trim().is_empty() {
            return Err(Fault::Refused("say who is writing: `--by NAME`, or set DIMITY_BY".into()));
        }
        if reason.trim().is_empty() {
            return Err(Fault::Refused("say why: `--reason TEXT`".into()));
        }
        // The journal's hash runs over lines: a name is one of them.
        let author = author.trim().replace(char::is_control, " ");
        let at = self.clock.now().to_string();
        let transaction = self.db.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let mut change =
            Change { transaction, author, reason: reason.trim().into(), at, last_hash: None, touched: BTreeSet::new() };
        let done = work(&mut change)?;
        change.index()?;
        change.transaction.commit()?;
        Ok(done)
    }
}

impl Change<'_> {
    /// The connection, for reading inside the transaction.
    pub(super) fn db(&self) -> &rusqlite::Connection {
        &self.transaction
    }

    /// Inserts a row and returns its `id`. A table with a `uid` gets one if the row brings none.
    pub(super) fn insert(&mut self, table: &str, row: &Row) -> Result<i64> {
        let names: Vec<_> = row.keys().map(|k| format!("\"{k}\"")).collect();
        let marks = vec!["?"; row.len()].join(", ");
        let sql = format!("INSERT INTO \"{table}\" ({}) VALUES ({marks})", names.join(", "));
        self.transaction.prepare_cached(&sql)?.execute(rusqlite::params_from_iter(row.values().map(to_sql)))?;
        let id = self.transaction.last_insert_rowid();
        let mut after = row.clone();
        after.entry("id").or_insert_with(|| id.into());
        after.retain(|_, v| !v.is_null());
        self.journal("insert", table, id, None, Some(&after))?;
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
        let values = set.values().map(to_sql).chain([Sql::Integer(id)]);
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

    /// Keeps the one row of a table that holds a choice of the whole catalogue. Returns whether anything changed.
    pub(super) fn keep_only(&mut self, table: &str, mut row: Row) -> Result<bool> {
        let there: i64 = self.db().query_row(&format!("SELECT count(*) FROM \"{table}\""), [], |r| r.get(0))?;
        if there > 0 {
            return self.update(table, 1, &row);
        }
        row.insert("id".into(), 1.into());
        self.insert(table, &row).map(|_| true)
    }

    /// Removes a row that only lists a detail of another (a material, a fibre); the journal keeps it.
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
        let text = |row: Option<&Row>| row.map(|r| Value::Object(r.clone()).to_string());
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
        if let Some(row) = after.or(before) {
            self.touched.extend(index::pieces_of(&self.transaction, table, row_id, row)?);
        }
        Ok(())
    }

    /// Brings what the touched pieces are found by into step with their records.
    fn index(&self) -> Result<()> {
        let day = index::day_of(&self.at);
        self.touched.iter().try_for_each(|piece| index::refresh(&self.transaction, *piece, day))
    }
}

/// A fresh identifier: UUIDv7, which sorts by the time it was made.
pub(super) fn fresh_uid() -> String {
    Uuid::now_v7().to_string()
}

/// Reads all columns of one row, blanks left out.
pub(super) fn row_by_id(db: &rusqlite::Connection, table: &str, id: i64) -> Result<Row> {
    rows(db, &format!("SELECT * FROM \"{table}\" WHERE id = ?"), [id])?
        .pop()
        .ok_or_else(|| Fault::Refused(format!("row {id} of `{table}` is gone")))
}

/// Reads all columns of the rows that a query gives, blanks left out.
pub(super) fn rows(db: &rusqlite::Connection, sql: &str, params: impl rusqlite::Params) -> Result<Vec<Row>> {
    let mut statement = db.prepare_cached(sql)?;
    let names: Vec<String> = statement.column_names().map(String::from).collect();
    let mut found = statement.query(params)?;
    let mut list = Vec::new();
    while let Some(row) = found.next()? {
        let mut columns = Row::new();
        for (i, name) in names.iter().enumerate() {
            let value = from_sql(row.get(i)?);
            if !value.is_null() {
                columns.insert(name.clone(), value);
            }
        }
        list.push(columns);
    }
    Ok(list)
}

pub(super) fn to_sql(value: &Value) -> Sql {
    match value {
        Value::Null => Sql::Null,
        Value::Bool(b) => Sql::Integer((*b).into()),
        Value::Number(n) => n.as_i64().map_or_else(|| Sql::Real(n.as_f64().unwrap_or(f64::NAN)), Sql::Integer),
        Value::String(s) => Sql::Text(s.clone()),
        Value::Array(_) | Value::Object(_) => Sql::Text(value.to_string()),
    }
}

pub(super) fn from_sql(value: Sql) -> Value {
    match value {
        Sql::Null | Sql::Blob(_) => Value::Null,
        Sql::Integer(i) => i.into(),
        Sql::Real(f) => f.into(),
        Sql::Text(s) => s.into(),
    }
}
