//! The collection's own wordings of terms: read, and added under the journal. None is ever changed or removed.

use serde_json::Value;

use super::change::{Row, fresh_uid, rows};
use super::{Catalogue, Fault, Result};
use crate::vocabulary::{TermId, WORDED, Wording};

impl Catalogue {
    /// All wordings, in the order in which they were entered.
    pub(super) fn stored_wordings(&self) -> Result<Vec<Wording>> {
        // An older catalogue on a medium that cannot be written has no such table.
        if !self.has_table("wording")? {
            return Ok(Vec::new());
        }
        Ok(rows(&self.db, "SELECT * FROM wording ORDER BY id", [])?.iter().filter_map(stored).collect())
    }

    /// Defines a term in the collection's own words, from a day on; without a definition the shipped one holds again from
    /// that day. What was entered before stays. Says whether anything changed.
    ///
    /// # Errors
    /// If the term is unknown or not one of [`WORDED`], the definition or its source is blank, or the database refuses.
    pub fn word_term(&mut self, author: &str, wording: &Wording) -> Result<bool> {
        let scheme = wording.term.scheme();
        if !WORDED.contains(&scheme) {
            let all: Vec<&str> = WORDED.iter().map(|s| s.key()).collect();
            return Err(Fault::Refused(format!(
                "the definitions of the list `{}` stay as shipped, so that records of two collections mean the same; \
                 own wordings are for {}",
                scheme.key(),
                all.join(", ")
            )));
        }
        let id =
            self.vocabulary.find(scheme, wording.term.name()).map_err(|e| Fault::Refused(e.to_string()))?.id.clone();
        for (name, text) in [("definition", wording.definition.as_deref().unwrap_or("-")), ("source", &wording.source)]
        {
            if text.trim().is_empty() {
                return Err(Fault::Refused(format!("a wording needs a {name}")));
            }
        }
        let definition = wording.definition.as_deref().map(str::trim);
        let before = self.vocabulary.wording_on(&id, wording.since);
        let same = match (before, definition) {
            (None, None) => true,
            (Some(b), Some(d)) => b.definition.as_deref() == Some(d) && b.source == wording.source.trim(),
            _ => false,
        };
        if same {
            return Ok(false);
        }
        let row = Row::from_iter([
            ("uid".to_owned(), fresh_uid().into()),
            ("term".to_owned(), id.as_str().into()),
            ("since".to_owned(), wording.since.to_string().into()),
            ("entered".to_owned(), wording.entered.to_string().into()),
            ("definition".to_owned(), definition.into()),
            ("source".to_owned(), wording.source.trim().into()),
        ]);
        self.write(author, "definition of our own", |change| change.insert("wording", &row).map(|_| ()))?;
        self.load_terms()?;
        Ok(true)
    }
}

fn stored(row: &Row) -> Option<Wording> {
    let text = |name: &str| row.get(name).and_then(Value::as_str);
    Some(Wording {
        term: TermId::parse(text("term")?)?,
        since: text("since")?.parse().ok()?,
        entered: text("entered")?.parse().ok()?,
        definition: text("definition").map(Into::into),
        source: text("source")?.into(),
    })
}
