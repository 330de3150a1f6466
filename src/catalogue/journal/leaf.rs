//! The journal of one piece, leaf by leaf, newest first, without reading that of all the others.

use std::collections::{BTreeSet, HashMap};

use rusqlite::Connection;

use super::{JournalRow, from_sql};
use crate::catalogue::belonging::{Key, Owners};
use crate::catalogue::{Catalogue, Result};

/// Some acts of the journal.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Leaf {
    /// The rows, newest first. An act is divided only where it has more rows than one reads: the import of a whole list.
    pub rows: Vec<JournalRow>,
    /// Where the next leaf begins; none where this is the last.
    pub older: Option<i64>,
}

/// So many rows are asked for at once.
const AT_ONCE: i64 = 256;
/// With so many rows a leaf ends, also within an act.
const MOST_ROWS: usize = 5000;

impl Catalogue {
    /// The changes to everything, newest first, in the same portions as [`Self::journal_leaf`].
    ///
    /// # Errors
    /// If the database refuses.
    pub fn journal_of_all(&self, before: Option<i64>, acts: usize) -> Result<Leaf> {
        let sql = format!("SELECT {} FROM journal WHERE id < ? ORDER BY id DESC LIMIT ?", self.journal_columns()?);
        let mut statement = self.db.prepare_cached(&sql)?;
        let ask = |from: i64| Ok(statement.query_map((from, AT_ONCE), from_sql)?.collect::<rusqlite::Result<_>>()?);
        portion(before, acts, ask, |_| true)
    }

    /// The changes to a piece and whatever belongs to it, newest first: so many acts, a moment, person and reason each, from
    /// before a row of the journal.
    ///
    /// # Errors
    /// If there is no such piece.
    pub fn journal_leaf(&self, number: &str, before: Option<i64>, acts: usize) -> Result<Leaf> {
        let piece = self.piece_id(number)?;
        let owners = Owners::of(&self.db)?;
        let keys = keys(&self.db, &owners, piece)?;
        let list: Vec<(&String, i64)> = keys.iter().map(|(table, id)| (table, *id)).collect();
        let list = serde_json::to_string(&list).unwrap_or_default();
        let columns = self.journal_columns()?;
        let sql = format!(
            "WITH ours AS MATERIALIZED (SELECT value->>0 AS in_table, value->>1 AS row_id FROM json_each(?1))
             SELECT {columns} FROM journal WHERE id IN
               (SELECT j.id FROM ours CROSS JOIN journal j INDEXED BY journal_row
                 WHERE j.in_table = ours.in_table AND j.row_id = ours.row_id AND j.id < ?2 ORDER BY j.id DESC LIMIT ?3)
             ORDER BY id DESC"
        );
        let mut statement = self.db.prepare_cached(&sql)?;
        let ask =
            |from: i64| Ok(statement.query_map((&list, from, AT_ONCE), from_sql)?.collect::<rusqlite::Result<_>>()?);
        portion(before, acts, ask, |row| owners.tells_of(row, &keys))
    }
}

/// So many acts from before a row, of the rows that `ask` gives and that are meant.
fn portion(
    before: Option<i64>,
    acts: usize,
    mut ask: impl FnMut(i64) -> Result<Vec<JournalRow>>,
    is_meant: impl Fn(&JournalRow) -> bool,
) -> Result<Leaf> {
    let (mut leaf, mut begun, mut from) = (Leaf::default(), 0, before.unwrap_or(i64::MAX));
    loop {
        let found = ask(from)?;
        let Some(oldest) = found.last() else { return Ok(leaf) };
        from = oldest.id;
        for row in found.into_iter().filter(&is_meant) {
            if leaf.rows.last().is_none_or(|last| !last.same_act(&row)) {
                if begun == acts {
                    leaf.older = leaf.rows.last().map(|last| last.id);
                    return Ok(leaf);
                }
                begun += 1;
            }
            leaf.rows.push(row);
        }
        if leaf.rows.len() >= MOST_ROWS {
            leaf.older = Some(from);
            return Ok(leaf);
        }
    }
}

/// The rows of all tables that belong to a piece, or did before they were removed; the photographs that show it with them.
fn keys(db: &Connection, owners: &Owners, piece: i64) -> Result<Key> {
    let mut found: HashMap<String, BTreeSet<i64>> = HashMap::from([("piece".to_owned(), BTreeSet::from([piece]))]);
    let shown = "SELECT photograph_id FROM photograph_of WHERE piece_id = ?1 UNION
        SELECT json_extract(before, '$.photograph_id') FROM journal
         WHERE act = 'delete' AND in_table = 'photograph_of' AND json_extract(before, '$.piece_id') = ?1";
    found.insert("photograph".to_owned(), ids(db, shown, [piece])?.into_iter().collect());
    // Each round goes one link further from the piece.
    let mut fresh = found.clone();
    while !fresh.is_empty() {
        let mut next: HashMap<String, BTreeSet<i64>> = HashMap::new();
        for (table, column, owner) in owners.iter().flat_map(|(table, to)| to.iter().map(move |(c, o)| (table, c, o))) {
            let Some(of) = fresh.get(owner).filter(|of| !of.is_empty()) else { continue };
            let of = serde_json::to_string(of).unwrap_or_default();
            let there = format!(
                "SELECT id FROM \"{table}\" WHERE \"{column}\" IN (SELECT value FROM json_each(?)) ORDER BY id"
            );
            let gone = format!(
                "SELECT row_id FROM journal WHERE act = 'delete' AND in_table = '{table}'
                    AND json_extract(before, '$.{column}') IN (SELECT value FROM json_each(?))"
            );
            for sql in [there, gone] {
                next.entry(table.to_owned()).or_default().extend(ids(db, &sql, [&of])?);
            }
        }
        for (table, ids) in &mut next {
            let known = found.entry(table.clone()).or_default();
            ids.retain(|id| known.insert(*id));
        }
        next.retain(|_, ids| !ids.is_empty());
        fresh = next;
    }
    Ok(found.into_iter().flat_map(|(table, ids)| ids.into_iter().map(move |id| (table.clone(), id))).collect())
}

fn ids(db: &Connection, sql: &str, of: impl rusqlite::Params) -> Result<Vec<i64>> {
    let mut statement = db.prepare_cached(sql)?;
    Ok(statement.query_map(of, |r| r.get(0))?.collect::<std::result::Result<_, _>>()?)
}
