//! The catalogue as it is handed on: all of it or chosen pieces, positions in it or not, and what is said to be left out.

use std::collections::BTreeSet;
use std::path::Path;

use serde_json::Value;

use super::out::{About, Source, positions};
use crate::catalogue::{Catalogue, Chosen, Fault, Row, SCHEMA_VERSION, Table, tables};

/// A catalogue's rows on their way out.
pub struct Handed<'c> {
    catalogue: &'c Catalogue,
    chosen: Chosen,
    with_gps: bool,
    /// SHA-256 of the photographs whose tags hold a position.
    placed: BTreeSet<String>,
}

impl<'c> Handed<'c> {
    /// Of these pieces, or of all there is.
    ///
    /// # Errors
    /// If there is no such piece, or the database refuses.
    pub fn of(catalogue: &'c Catalogue, numbers: Option<&[String]>, with_gps: bool) -> Result<Self, Fault> {
        let chosen = numbers.map_or(Ok(Chosen::all()), |numbers| catalogue.choose(numbers))?;
        let mut placed = BTreeSet::new();
        for table in tables()?.iter().filter(|table| table.name == "photograph") {
            catalogue.each_row(table, &chosen, &mut |mut row| {
                if positions::take_out(&table.name, &mut row) {
                    placed.insert(row.get("sha256").and_then(Value::as_str).unwrap_or_default().to_owned());
                }
                Ok::<(), Fault>(())
            })?;
        }
        Ok(Self { catalogue, chosen, with_gps, placed })
    }

    /// What the export says of itself.
    ///
    /// # Errors
    /// If the database refuses.
    pub fn about(&self, numbers: Option<&[String]>) -> Result<About, Fault> {
        let mut left_out = vec!["passwords of accounts".to_owned(), "drafts of examinations".to_owned()];
        if !self.chosen.is_all() {
            left_out = vec!["the journal, and what belongs to no chosen piece".into()];
        }
        if !self.with_gps && !self.placed.is_empty() {
            let those =
                if self.placed.len() == 1 { "1 photograph" } else { &format!("{} photographs", self.placed.len()) };
            left_out.push(format!("GPS positions of {those}, and the journal's rows that hold them (`--with-gps`)"));
        }
        Ok(About {
            schema: SCHEMA_VERSION,
            made_at: self.catalogue.last_changed()?,
            of: numbers.map(<[String]>::to_vec),
            complete: self.chosen.is_all() && (self.with_gps || self.placed.is_empty()),
            left_out,
        })
    }

    /// What was left out in the end: what is said in the export, and links to pieces that were not chosen.
    pub fn left_out(&self, about: &About) -> Vec<String> {
        let mut all = about.left_out.clone();
        match self.chosen.blanked() {
            0 => {}
            1 => all.push("1 link to what was not chosen".into()),
            n => all.push(format!("{n} links to what was not chosen")),
        }
        all
    }

    /// Whether the original stays here because a position stands in it: by the tags that were read when it came in, or by
    /// the words of a description inside the file.
    ///
    /// # Errors
    /// If the file cannot be read.
    pub fn keeps_back(&self, sha256: &str, original: &Path) -> std::io::Result<bool> {
        if self.with_gps {
            return Ok(false);
        }
        Ok(self.placed.contains(sha256) || memchr::memmem::find(&std::fs::read(original)?, b"GPSLatitude").is_some())
    }
}

impl Source for Handed<'_> {
    fn tables(&self) -> &[Table] {
        tables().unwrap_or_default()
    }

    fn rows(&self, table: &Table, visit: &mut dyn FnMut(Row) -> Result<(), String>) -> Result<(), String> {
        self.catalogue
            .each_row(table, &self.chosen, &mut |mut row| {
                if !self.with_gps {
                    positions::take_out(&table.name, &mut row);
                }
                visit(row).map_err(Stopped::Visitor)
            })
            .map_err(|stopped| match stopped {
                Stopped::Catalogue(fault) => fault.to_string(),
                Stopped::Visitor(why) => why,
            })
    }
}

/// Why rows came to an end before the last.
enum Stopped {
    Catalogue(Fault),
    Visitor(String),
}

impl From<Fault> for Stopped {
    fn from(fault: Fault) -> Self {
        Self::Catalogue(fault)
    }
}
