//! The collection itself: its name and its place, read, and changed under the journal.

use rusqlite::OptionalExtension;

use super::change::Row;
use super::{Catalogue, Result};
use crate::measure::System;
use crate::optics::Place;

/// What is known of the collection as a whole; a blank is *not recorded*.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Collection {
    /// What reports are headed with.
    pub name: Option<String>,
    /// Where it is kept.
    pub place: Option<Place>,
    /// In which system lengths are shown first; metric where nothing is said.
    pub units: Option<System>,
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
        let units = "SELECT 1 FROM pragma_table_info('collection') WHERE name = 'units'";
        let has_units = self.db.prepare_cached(units)?.exists([])?;
        let units = if has_units { "units" } else { "NULL" };
        let found = self
            .db
            .prepare_cached(&format!("SELECT name, latitude, longitude, {units} FROM collection"))?
            .query_row([], |r| {
                let (latitude, longitude): (Option<f64>, Option<f64>) = (r.get(1)?, r.get(2)?);
                let place = latitude.zip(longitude).and_then(|(north, east)| Place::new(north, east));
                let units = r.get::<_, Option<String>>(3)?.and_then(|word| System::named(&word));
                Ok(Collection { name: r.get(0)?, place, units })
            })
            .optional()?;
        Ok(found.unwrap_or_default())
    }

    /// Says what the collection is called, where it is and how it reads its lengths. Returns whether anything changed.
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
        row.insert("units".into(), collection.units.map(System::word).into());
        self.write(author, reason, |change| change.keep_only("collection", row))
    }
}
