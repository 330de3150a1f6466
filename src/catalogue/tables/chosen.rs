//! Chosen pieces: which rows of which tables are theirs.

use std::cell::Cell;
use std::collections::{HashMap, HashSet};

use rusqlite::Connection;
use rusqlite::types::Value as Sql;
use serde_json::Value;

use super::Table;
use crate::catalogue::belonging::{Owners, links};
use crate::catalogue::change::Row;
use crate::catalogue::{Catalogue, Result};

/// Which rows are handed on: all, or those that belong to chosen pieces, with the people and terms that they name.
#[derive(Debug, Default)]
pub struct Chosen {
    /// By table: the keys of the rows. None: all rows of all tables.
    keys: Option<HashMap<String, HashSet<Key>>>,
    /// Links to rows that were not chosen.
    blanked: Cell<usize>,
    /// Rows that tell of a piece that was not chosen as well.
    shared: usize,
}

/// What tells a row of a table apart: a number, or of a term its text.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
enum Key {
    Number(i64),
    Text(String),
}

impl Key {
    fn of(value: &Value) -> Option<Self> {
        value.as_i64().map(Self::Number).or_else(|| value.as_str().map(|text| Self::Text(text.to_owned())))
    }
}

/// What belongs to the collection as a whole and goes with any choice of its pieces.
const WITH_ALL: [&str; 2] = ["collection", "dating_convention"];

/// Rows that tell of a further piece beside those that they belong to, each with that piece.
const TELL_OF: [(&str, &str); 3] = [
    ("region", "SELECT r.id, c.piece_id FROM region r JOIN component c ON c.id = r.outlines_id"),
    (
        "region",
        "SELECT r.id, e.piece_id FROM region r JOIN observation o ON o.id = r.observation_id
           JOIN examination e ON e.id = o.examination_id",
    ),
    ("comparison", "SELECT comparison_id, piece_id FROM comparison_other"),
];

impl Chosen {
    /// Everything.
    pub fn all() -> Self {
        Self::default()
    }

    /// Whether it is everything.
    pub fn is_all(&self) -> bool {
        self.keys.is_none()
    }

    /// How many links to rows that were not chosen have been left blank so far.
    pub fn blanked(&self) -> usize {
        self.blanked.get()
    }

    /// How many rows stay because they tell of a piece that was not chosen as well.
    pub fn shared(&self) -> usize {
        self.shared
    }

    /// The row as it is handed on; none if it was not chosen. A link to what was not chosen is left blank.
    pub(super) fn of(&self, table: &Table, mut row: Row) -> Option<Row> {
        let Some(keys) = &self.keys else { return Some(row) };
        let holds = |table: &str, value: &Value| {
            Key::of(value).is_some_and(|key| keys.get(table).is_some_and(|keys| keys.contains(&key)))
        };
        if !holds(&table.name, row.get("id")?) {
            return None;
        }
        for column in &table.columns {
            if let (Some(to), Some(value)) = (&column.points_to, row.get(&column.name))
                && !holds(to, value)
            {
                row.shift_remove(&column.name);
                self.blanked.set(self.blanked.get() + 1);
            }
        }
        Some(row)
    }
}

impl Catalogue {
    /// The rows that belong to pieces, by their numbers.
    ///
    /// # Errors
    /// If there is no such piece.
    pub fn choose(&self, numbers: &[String]) -> Result<Chosen> {
        let mut keys: HashMap<String, HashSet<Key>> = HashMap::new();
        let pieces = numbers.iter().map(|number| self.piece_id(number)).collect::<Result<HashSet<i64>>>()?;
        let mut strange: HashMap<&str, HashSet<Key>> = HashMap::new();
        for (table, sql) in TELL_OF {
            let others = pairs(&self.db, sql)?.into_iter().filter(|(_, piece)| !pieces.contains(piece));
            strange.entry(table).or_default().extend(others.map(|(row, _)| Key::Number(row)));
        }
        let shown = pairs(&self.db, "SELECT photograph_id, piece_id FROM photograph_of")?;
        let shown = shown.into_iter().filter(|(_, piece)| pieces.contains(piece)).map(|(photo, _)| Key::Number(photo));
        keys.insert("photograph".into(), shown.collect());
        keys.insert("piece".into(), pieces.into_iter().map(Key::Number).collect());
        let shared = self.add_details(&mut keys, &strange)?;
        for table in WITH_ALL {
            keys.insert(table.into(), HashSet::from([Key::Number(1)]));
        }
        self.add_named(&mut keys)?;
        Ok(Chosen { keys: Some(keys), blanked: Cell::new(0), shared })
    }

    /// Adds the rows that cannot be without rows that are there, until there are no more; but none of the strange ones. How
    /// many those are comes back.
    fn add_details(
        &self,
        keys: &mut HashMap<String, HashSet<Key>>,
        strange: &HashMap<&str, HashSet<Key>>,
    ) -> Result<usize> {
        let mut left = 0;
        let owners = Owners::all(&self.db)?;
        let mut waiting: Vec<(&str, &[(String, String)])> = owners.iter().collect();
        waiting.retain(|(table, _)| !keys.contains_key(*table));
        // A table is looked at once all that its rows belong to is settled.
        while !waiting.is_empty() {
            let open: HashSet<&str> = waiting.iter().map(|(table, _)| *table).collect();
            let (now, later): (Vec<_>, Vec<_>) =
                waiting.into_iter().partition(|(_, links)| !links.iter().any(|(_, to)| open.contains(to.as_str())));
            if now.is_empty() {
                break;
            }
            for (table, links) in now {
                let columns: Vec<_> = links.iter().map(|(column, _)| format!("\"{column}\"")).collect();
                let sql = format!("SELECT id, {} FROM \"{table}\"", columns.join(", "));
                let mut statement = self.db.prepare_cached(&sql)?;
                let mut found = statement.query([])?;
                let mut ours = HashSet::new();
                while let Some(row) = found.next()? {
                    let mut all = true;
                    for (i, (_, to)) in links.iter().enumerate() {
                        let key = Key::Number(row.get(i + 1)?);
                        all &= keys.get(to).is_some_and(|keys| keys.contains(&key));
                    }
                    if all {
                        ours.insert(Key::Number(row.get(0)?));
                    }
                }
                if let Some(strange) = strange.get(table) {
                    left += ours.extract_if(|key| strange.contains(key)).count();
                }
                keys.insert(table.to_owned(), ours);
            }
            waiting = later;
        }
        Ok(left)
    }

    /// Adds the people and terms that those rows name, and the wider terms of these.
    fn add_named(&self, keys: &mut HashMap<String, HashSet<Key>>) -> Result<()> {
        for (table, column, to) in links(&self.db, "f.\"table\" IN ('person', 'term') AND m.name <> 'term'")? {
            let sql = format!("SELECT id, \"{column}\" FROM \"{table}\" WHERE \"{column}\" IS NOT NULL");
            let mut statement = self.db.prepare_cached(&sql)?;
            let mut found = statement.query([])?;
            while let Some(row) = found.next()? {
                let ours =
                    keys.get(&table).is_some_and(|keys| row.get(0).is_ok_and(|id| keys.contains(&Key::Number(id))));
                let named = match row.get(1)? {
                    Sql::Integer(id) => Key::Number(id),
                    Sql::Text(id) => Key::Text(id),
                    _ => continue,
                };
                if ours {
                    keys.entry(to.clone()).or_default().insert(named);
                }
            }
        }
        let terms = keys.entry("term".into()).or_default();
        let named: Vec<_> = terms.iter().cloned().collect();
        for key in named {
            let Key::Text(id) = key else { continue };
            let Some(id) = crate::vocabulary::TermId::parse(&id) else { continue };
            terms.extend(self.vocabulary().wider(&id).into_iter().map(|wider| Key::Text(wider.as_str().to_owned())));
        }
        Ok(())
    }
}

fn pairs(db: &Connection, sql: &str) -> Result<Vec<(i64, i64)>> {
    let mut statement = db.prepare_cached(sql)?;
    Ok(statement.query_map([], |r| Ok((r.get(0)?, r.get(1)?)))?.collect::<std::result::Result<_, _>>()?)
}
