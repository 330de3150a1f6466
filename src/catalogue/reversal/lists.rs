//! Lines of facts that were struck out, and the lists inside them, put back row by row.

use std::collections::BTreeMap;

use rusqlite::{Connection, OptionalExtension};
use serde_json::Value;

use super::{OfLine, Reversal, fields};
use crate::catalogue::belonging::links;
use crate::catalogue::change::{Row, row_if_any, rows};
use crate::catalogue::{JournalRow, Result};

impl Reversal<'_, '_> {
    /// A line that the entry struck out, with the lists inside it.
    pub(super) fn struck(&mut self, line: &OfLine<'_>, struck: &JournalRow) -> Result<()> {
        let table = line.facts.table;
        let section = line.facts.section.replace('_', " ");
        let mut content = struck.row_before();
        let uid = content.get("uid").and_then(Value::as_str).unwrap_or_default().to_owned();
        let db = self.change.db();
        if content.is_empty() || db.prepare(&format!("SELECT 1 FROM \"{table}\" WHERE uid = ?"))?.exists([uid])? {
            return Ok(());
        }
        if let Some(missing) = missing(db, table, &content)? {
            self.stays(format!("a line of {section}: the {missing} that it names is gone"));
            return Ok(());
        }
        if table == "component" {
            let taken = "SELECT 1 FROM component WHERE piece_id = ? AND name = ?";
            let text = |name: &str| content.get(name).cloned().unwrap_or_default();
            let (piece, name) = (text("piece_id").as_i64(), text("name").as_str().unwrap_or_default().to_owned());
            if db.prepare(taken)?.exists((piece, &name))? {
                self.stays(format!("the component `{name}`: another has its name by now"));
                return Ok(());
            }
        }
        // A number that became free may have been given again.
        if row_if_any(db, table, line.id)?.is_some() {
            content.shift_remove("id");
        }
        let id = self.change.insert(table, &content)?;
        for row in line.rows.iter().filter(|row| row.in_table != table && row.act == "delete") {
            self.put_in(row, Some(id))?;
        }
        self.done.lines += 1;
        Ok(())
    }

    /// The lists inside a line that stands: each is what it was, unless it was changed since.
    pub(super) fn inside(&mut self, line: &OfLine<'_>) -> Result<()> {
        let mut lists: BTreeMap<&str, Vec<&JournalRow>> = BTreeMap::new();
        for row in line.rows.iter().copied().filter(|row| row.in_table != line.facts.table) {
            lists.entry(&row.in_table).or_default().push(row);
        }
        for (table, changes) in lists {
            if !self.is_as_left(table, line.id, &changes)? {
                let what = table.strip_prefix(line.facts.table).unwrap_or(table).trim_start_matches('_');
                self.stays(format!("{} of a {}: changed since", what.replace('_', " "), line.facts.section));
                continue;
            }
            for row in changes {
                match row.act.as_str() {
                    "insert" => self.change.delete(table, row.row_id)?,
                    "delete" => self.put_in(row, None)?,
                    _ => drop(self.change.update(table, row.row_id, &row.row_before())?),
                }
                self.done.lines += 1;
            }
        }
        Ok(())
    }

    /// Whether a list is as the entry left it: from the first place that it touched on, no row is another.
    fn is_as_left(&self, table: &str, owner: i64, changes: &[&JournalRow]) -> Result<bool> {
        let place = |row: &Row| row.get("position").and_then(Value::as_i64).unwrap_or_default();
        let mut left: BTreeMap<i64, Row> = BTreeMap::new();
        let mut first = i64::MAX;
        for row in changes {
            // Newest first: the first that is met is how the row was left.
            left.entry(row.row_id).or_insert_with(|| row.row_after());
            first = first.min(place(&row.content()));
        }
        left.retain(|_, row| !row.is_empty());
        let sql = format!("SELECT * FROM \"{table}\" WHERE owner_id = ?1 AND position >= ?2");
        let now = rows(self.change.db(), &sql, (owner, first))?;
        let is_left = |row: &Row| {
            let id = row.get("id").and_then(Value::as_i64).unwrap_or_default();
            left.get(&id).is_some_and(|left| fields::are_same(left, row))
        };
        Ok(now.len() == left.len() && now.iter().all(is_left))
    }

    /// A row that was removed, of a line that may have another number by now.
    fn put_in(&mut self, row: &JournalRow, owner: Option<i64>) -> Result<()> {
        let mut content = row.row_before();
        if let Some(owner) = owner {
            content.insert("owner_id".into(), owner.into());
        }
        if row_if_any(self.change.db(), &row.in_table, row.row_id)?.is_some() {
            content.shift_remove("id");
        }
        self.change.insert(&row.in_table, &content).map(drop)
    }
}

/// What a row would name that is there no more, in a word.
fn missing(db: &Connection, table: &str, row: &Row) -> Result<Option<String>> {
    for (_, column, to) in links(db, &format!("m.name = '{table}' AND f.\"table\" <> 'term'"))? {
        let Some(id) = row.get(&column).and_then(Value::as_i64) else { continue };
        let there: Option<i64> =
            db.query_row(&format!("SELECT id FROM \"{to}\" WHERE id = ?"), [id], |r| r.get(0)).optional()?;
        if there.is_none() {
            return Ok(Some(to.replace('_', " ")));
        }
    }
    Ok(None)
}
