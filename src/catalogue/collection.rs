//! The collection itself: its name and its place, read, and changed under the journal.

use rusqlite::OptionalExtension;

use super::change::Row;
use super::{Catalogue, Result};
use crate::optics::Place;

/// What is known of the collection as a whole; a blank is *not recorded*.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Collection {
    /// What reports are headed with.
    pub name: Option<String>,
    /// Where it is kept.
    pub place: Option<Place>,
}

impl Catalogue {
    /// What is known of the collection.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn collection(&self) -> Result<Collection> {
        // An older catalogue on a medium that cannot be written has no such table.
        if !self.has_table("collection")? {
            return Ok(Collection::default());
        }
        let found = self
            .db
            .prepare_cached("SELECT name, latitude, longitude FROM collection")?
            .query_row([], |r| {
                let (latitude, longitude): (Option<f64>, Option<f64>) = (r.get(1)?, r.get(2)?);
                let place = latitude.zip(longitude).and_then(|(north, east)| Place::new(north, east));
                Ok(Collection { name: r.get(0)?, place })
            })
            .optional()?;
        Ok(found.unwrap_or_default())
    }

    /// Says what the collection is called and where it is. Returns whether anything changed.
    ///
    /// # Errors
    /// If the author is blank or the database refuses.
    pub fn set_collection(&mut self, author: &str, reason: &str, collection: &Collection) -> Result<bool> {
        if self.collection()? == *collection {
            return Ok(false);
        }
        let mut row = Row::new();
        row.insert("name".into(), collection.name.clone().into());
        row.insert("latitude".into(), collection.place.map(Place::latitude).into());
        row.insert("longitude".into(), collection.place.map(Place::longitude).into());
        self.write(author, reason, |change| change.keep_only("collection", row))
    }
}
