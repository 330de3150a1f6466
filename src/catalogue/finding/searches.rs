//! Searches kept under a name: read, kept, removed; each a change under the journal.

use rusqlite::OptionalExtension;

use super::super::change::{Row, fresh_uid};
use super::super::{Catalogue, Fault, Result};
use crate::query::{Query, Reading};

/// A search kept under a name. It is asked anew each time: a piece entered later is in it if it fits.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct KeptSearch {
    /// Its name.
    pub name: String,
    /// The query.
    pub query: String,
    /// What it is for.
    pub note: Option<String>,
}

impl Catalogue {
    /// The kept searches, by name.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn kept_searches(&self) -> Result<Vec<KeptSearch>> {
        // An older catalogue on a medium that cannot be written has no such table.
        if !self.has_table("kept_search")? {
            return Ok(Vec::new());
        }
        let mut statement = self.db.prepare_cached("SELECT name, query, note FROM kept_search ORDER BY name, id")?;
        let sets =
            statement.query_map([], |r| Ok(KeptSearch { name: r.get(0)?, query: r.get(1)?, note: r.get(2)? }))?;
        Ok(sets.collect::<std::result::Result<_, _>>()?)
    }

    /// Keeps a search under a name, in place of the one that had the name. Returns whether anything changed.
    ///
    /// # Errors
    /// If the name cannot be one, the query cannot be read, or it would name itself in a circle.
    pub fn keep_search(&mut self, author: &str, reason: &str, set: &KeptSearch) -> Result<bool> {
        let name = set.name.trim().to_owned();
        let length = name.chars().count();
        if !(1..=80).contains(&length) || name.chars().any(|c| c.is_control() || matches!(c, '"' | '“' | '”' | '„'))
        {
            return Err(Fault::Refused(format!(
                "`{name}` cannot name a search: a name has 1 to 80 characters, none of them a quotation mark"
            )));
        }
        let known = self.kept_searches()?.into_iter().find(|s| s.name.to_lowercase() == name.to_lowercase());
        let name = known.as_ref().map_or(name, |k| k.name.clone());
        let mut reading = self.reading()?;
        // First by itself, so that the mistake points into the text; then as a part of itself.
        let read = |reading: &Reading<'_>, text: &str| Query::parse(text, reading);
        let query = read(&reading, &set.query)?;
        reading.sets.insert(name.clone(), set.query.clone());
        read(&reading, &set.query)?;
        let kept = KeptSearch {
            name,
            query: query.to_string(),
            note: set.note.clone().or(known.as_ref().and_then(|k| k.note.clone())),
        };
        if known.as_ref() == Some(&kept) {
            return Ok(false);
        }
        let mut row = Row::new();
        row.insert("name".into(), kept.name.clone().into());
        row.insert("query".into(), kept.query.into());
        row.insert("note".into(), kept.note.into());
        self.write(author, reason, |change| {
            let there = "SELECT id FROM kept_search WHERE name = ?";
            match change.db().query_row(there, [&kept.name], |r| r.get::<_, i64>(0)).optional()? {
                Some(id) => change.update("kept_search", id, &row),
                None => {
                    row.insert("uid".into(), fresh_uid().into());
                    change.insert("kept_search", &row).map(|_| true)
                }
            }
        })
    }

    /// Removes a kept search; the journal keeps what it was.
    ///
    /// # Errors
    /// If there is none, or another set names it.
    pub fn remove_search(&mut self, author: &str, reason: &str, name: &str) -> Result<()> {
        let sets = self.kept_searches()?;
        let wanted = name.trim().to_lowercase();
        let Some(set) = sets.iter().find(|s| s.name.to_lowercase() == wanted) else {
            return Err(Fault::Refused(format!("there is no kept search `{name}`; `dimity searches` lists them")));
        };
        let mut without = self.reading()?;
        without.sets.remove(&set.name);
        let reading = self.reading()?;
        let needs = |other: &&crate::catalogue::KeptSearch| {
            other.name != set.name
                && Query::parse(&other.query, &reading).is_ok()
                && Query::parse(&other.query, &without).is_err()
        };
        if let Some(other) = sets.iter().find(needs) {
            return Err(Fault::Refused(format!(
                "the search `{}` names `{}`; change or remove that one first",
                other.name, set.name
            )));
        }
        let name = set.name.clone();
        drop((without, reading));
        self.write(author, reason, |change| {
            let id =
                change.db().query_row("SELECT id FROM kept_search WHERE name = ?", [&name], |r| r.get::<_, i64>(0))?;
            change.delete("kept_search", id)
        })
    }
}
