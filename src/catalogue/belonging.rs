//! Which rows belong to a piece: told by the tables' own links, so that a new table needs no word here.

use std::collections::{BTreeMap, BTreeSet};

use rusqlite::Connection;
use serde_json::Value;

use super::change::Row;
use super::{JournalRow, Result};

/// Rows, by table and `id`.
pub(super) type Key = BTreeSet<(String, i64)>;

/// In the words of [`links`]: links that may not be blank.
pub(super) const OWNED: &str = "(c.\"notnull\" OR c.pk)";

/// The links by which a row belongs to another: those that may not be blank, to anything but a person or a term.
pub(super) struct Owners(BTreeMap<String, Vec<(String, String)>>);

impl Owners {
    /// Without what it belongs to, a row cannot be.
    pub fn all(db: &Connection) -> Result<Self> {
        // A password has no number of its own, is not journalled, and goes nowhere.
        let fitting = format!(
            "{OWNED} AND f.\"table\" NOT IN ('person', 'term')
             AND EXISTS (SELECT 1 FROM pragma_table_info(m.name) WHERE name = 'id')"
        );
        let mut owners: BTreeMap<String, Vec<(String, String)>> = BTreeMap::new();
        for (table, column, to) in links(db, &fitting)? {
            owners.entry(table).or_default().push((column, to));
        }
        Ok(Self(owners))
    }

    /// Whose story a row is told in: a row that names a piece belongs to that piece alone.
    pub fn of(db: &Connection) -> Result<Self> {
        let Self(mut owners) = Self::all(db)?;
        for links in owners.values_mut() {
            if links.iter().any(|(_, to)| to == "piece") {
                links.retain(|(_, to)| to == "piece");
            }
        }
        Ok(Self(owners))
    }

    /// Each table with its links: column, and the table that it points to.
    pub fn iter(&self) -> impl Iterator<Item = (&str, &[(String, String)])> {
        self.0.iter().map(|(table, links)| (table.as_str(), links.as_slice()))
    }

    /// Whether what a row of the journal holds belongs to one of `ours`. A row number that became free may have been another
    /// piece's before.
    pub fn tells_of(&self, row: &JournalRow, ours: &Key) -> bool {
        let known = !row.is_digest() && ours.contains(&(row.in_table.clone(), row.row_id));
        known
            && (self.0.get(&row.in_table).is_none_or(Vec::is_empty) || self.within(&row.in_table, &row.content(), ours))
    }

    /// Whether a row with this content belongs to one of `ours`.
    fn within(&self, table: &str, content: &Row, ours: &Key) -> bool {
        self.0.get(table).is_some_and(|links| {
            links.iter().any(|(column, to)| {
                let id = content.get(column).and_then(Value::as_i64);
                id.is_some_and(|id| ours.contains(&(to.clone(), id)))
            })
        })
    }
}

/// Links from column to table, of those columns that fit.
pub(super) fn links(db: &Connection, fitting: &str) -> Result<Vec<(String, String, String)>> {
    let sql = format!(
        "SELECT m.name, f.\"from\", f.\"table\" FROM sqlite_master m
           JOIN pragma_foreign_key_list(m.name) f JOIN pragma_table_info(m.name) c ON c.name = f.\"from\"
          WHERE m.type = 'table' AND {fitting}"
    );
    let mut statement = db.prepare_cached(&sql)?;
    Ok(statement.query_map([], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?)))?.collect::<std::result::Result<_, _>>()?)
}

/// What the journal tells of some rows.
pub(super) struct Told {
    /// The journal's rows, by number, in order.
    pub rows: Vec<i64>,
    /// The rows of the tables that were there in the end.
    pub there: Key,
}

/// What the journal tells of the rows in `start` and all that belongs to them; with `shown`, also of the photographs that
/// show a piece among them, which may show other pieces as well.
pub(super) fn belonging(journal: &[JournalRow], owners: &Owners, start: &Key, shown: bool) -> Told {
    let mut there = start.clone();
    // A photograph is stored before it is tied to what it shows.
    if shown {
        for row in journal.iter().filter(|r| r.in_table == "photograph_of" && r.act == "insert") {
            let content = row.content();
            if owners.within("photograph_of", &content, start)
                && let Some(id) = content.get("photograph_id").and_then(Value::as_i64)
            {
                there.insert(("photograph".to_owned(), id));
            }
        }
    }
    let named = there.clone();
    let mut rows = Vec::new();
    for row in journal.iter().filter(|row| !row.is_digest()) {
        let key = (row.in_table.clone(), row.row_id);
        // A number that became free is given again: whose a new row is, its content says.
        let ours = if row.act == "insert" && !named.contains(&key) {
            let ours = owners.within(&row.in_table, &row.content(), &there);
            if ours {
                there.insert(key.clone());
            }
            ours
        } else {
            there.contains(&key)
        };
        if ours {
            rows.push(row.id);
            if row.act == "delete" {
                there.remove(&key);
            }
        }
    }
    Told { rows, there }
}
