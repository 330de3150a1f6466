//! The vocabulary in the catalogue: shipped terms kept up to date, the collection's own beside them.

use std::collections::HashMap;

use rusqlite::Connection;
use serde_json::Value;

use super::change::{Row, rows};
use super::{Catalogue, Fault, Result};
use crate::vocabulary::{Scheme, Term, TermId, Vocabulary};

impl Catalogue {
    /// Brings the shipped terms up to date, and loads the collection's own. A shipped term is never removed: a record
    /// may use it. Shipped terms belong to the program, so they are not journalled; local ones are.
    pub(super) fn load_terms(&mut self) -> Result<()> {
        let shipped = Vocabulary::shipped();
        let stored: Option<String> =
            self.db.query_row("SELECT value FROM setting WHERE name = 'vocabulary'", [], |r| r.get(0)).ok();
        if stored.as_deref() != Some(shipped.version().as_str()) && !self.is_read_only() {
            let transaction = self.db.transaction()?;
            ship(&transaction)?;
            transaction.commit()?;
        }
        let local = rows(&self.db, "SELECT * FROM term WHERE local = 1 ORDER BY rowid", [])?;
        let own = local.iter().filter_map(stored_term).collect();
        self.vocabulary = shipped.with_local(own).with_wordings(self.stored_wordings()?);
        Ok(())
    }

    /// A number that changes when another connection has written to the catalogue.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn seen(&self) -> Result<i64> {
        Ok(self.db.pragma_query_value(None, "data_version", |r| r.get(0))?)
    }

    /// Reads the collection's own terms and wordings anew, for whoever keeps a catalogue open while others write.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn refresh_terms(&mut self) -> Result<()> {
        self.load_terms()
    }

    /// Shipped terms that do not stand in the tables as they were shipped.
    pub(super) fn altered_terms(&self) -> Result<Vec<String>> {
        let shipped = Vocabulary::shipped();
        let current: Option<String> =
            self.db.query_row("SELECT value FROM setting WHERE name = 'vocabulary'", [], |r| r.get(0)).ok();
        if current.as_deref() != Some(shipped.version().as_str()) {
            return Ok(Vec::new());
        }
        let stored: HashMap<String, Term> = rows(&self.db, "SELECT * FROM term", [])?
            .iter()
            .filter_map(stored_term)
            .map(|t| (t.id.as_str().to_owned(), t))
            .collect();
        let as_shipped = |term: &&Term| {
            stored.get(term.id.as_str()).is_some_and(|s| {
                let same = s.also == term.also
                    && s.broader == term.broader
                    && s.identifier == term.identifier
                    && s.uri == term.uri;
                // A term of the collection's own that a later release ships too stays as it was written.
                s.local || (same && s.definition == term.definition && s.source == term.source)
            })
        };
        let altered = Scheme::ALL.iter().flat_map(|s| shipped.terms(*s)).filter(|t| !as_shipped(t));
        Ok(altered.map(|t| t.id.as_str().to_owned()).collect())
    }

    fn is_read_only(&self) -> bool {
        self.db.is_readonly(rusqlite::MAIN_DB).unwrap_or(true)
    }

    /// Adds a term of the collection's own.
    ///
    /// # Errors
    /// If the term exists, if definition or source is blank, or if the broader term is unknown.
    pub fn add_term(
        &mut self,
        author: &str,
        id: &TermId,
        broader: Option<&str>,
        definition: &str,
        source: &str,
    ) -> Result<()> {
        if self.vocabulary.terms(id.scheme()).any(|term| term.id == *id) {
            return Err(Fault::Refused(format!("`{}` is in the list `{}` already", id.name(), id.scheme().key())));
        }
        for (name, text) in [("name", id.name()), ("definition", definition), ("source", source)] {
            if text.trim().is_empty() {
                return Err(Fault::Refused(format!("a term needs a {name}")));
            }
        }
        let broader = broader
            .map(|b| self.vocabulary.find(id.scheme(), b).map(|t| t.id.as_str().to_owned()))
            .transpose()
            .map_err(|e| Fault::Refused(e.to_string()))?;
        let mut row = Row::new();
        row.insert("id".into(), id.as_str().into());
        row.insert("scheme".into(), id.scheme().key().into());
        row.insert("name".into(), id.name().into());
        row.insert("also".into(), "[]".into());
        row.insert("broader".into(), broader.into());
        row.insert("definition".into(), definition.trim().into());
        row.insert("source".into(), source.trim().into());
        row.insert("local".into(), 1.into());
        self.write(author, "term of our own", |change| change.insert("term", &row).map(|_| ()))?;
        self.load_terms()
    }

    /// Removes a term of the collection's own that no record uses.
    ///
    /// # Errors
    /// If it is in use, shipped, or unknown.
    pub fn remove_term(&mut self, author: &str, id: &TermId) -> Result<()> {
        let known: Option<(i64, bool)> = self
            .db
            .query_row("SELECT rowid, local FROM term WHERE id = ?", [id.as_str()], |r| Ok((r.get(0)?, r.get(1)?)))
            .ok();
        match known {
            None => Err(Fault::Refused(format!("there is no term `{}`", id.as_str()))),
            Some((_, false)) => Err(Fault::Refused(format!("`{}` is shipped with the program and stays", id.as_str()))),
            Some((row, true)) => {
                self.write(author, "term of our own removed", |change| change.delete_term(row)).map_err(
                    |e| match e {
                        Fault::Database(_) => {
                            Fault::Refused(format!("`{}` is in use by a record; a term in use stays", id.as_str()))
                        }
                        other => other,
                    },
                )?;
                self.load_terms()
            }
        }
    }
}

/// Puts the shipped terms into the tables, and says of which version they are.
pub(super) fn ship(db: &Connection) -> Result<()> {
    let shipped = Vocabulary::shipped();
    for term in Scheme::ALL.iter().flat_map(|scheme| shipped.terms(*scheme)) {
        db.prepare_cached(
            "INSERT INTO term (id, scheme, name, also, broader, definition, source, identifier, uri, local)
             VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, 0)
             ON CONFLICT (id) DO UPDATE SET also = excluded.also, broader = excluded.broader,
               definition = excluded.definition, source = excluded.source,
               identifier = excluded.identifier, uri = excluded.uri WHERE local = 0",
        )?
        .execute((
            term.id.as_str(),
            term.id.scheme().key(),
            term.id.name(),
            serde_json::to_string(&term.also).unwrap_or_default(),
            term.broader.as_ref().map(TermId::as_str),
            &term.definition,
            &term.source,
            &term.identifier,
            &term.uri,
        ))?;
    }
    db.execute("INSERT OR REPLACE INTO setting (name, value) VALUES ('vocabulary', ?)", [shipped.version()])?;
    Ok(())
}

fn stored_term(row: &Row) -> Option<Term> {
    let text = |name: &str| row.get(name).and_then(Value::as_str).map(String::from);
    Some(Term {
        id: TermId::parse(&text("id")?)?,
        also: serde_json::from_str(&text("also")?).unwrap_or_default(),
        identifier: text("identifier"),
        uri: text("uri"),
        broader: text("broader").as_deref().and_then(TermId::parse),
        definition: text("definition")?,
        source: text("source")?,
        local: row.get("local").and_then(Value::as_i64) == Some(1),
        ..Term::default()
    })
}
