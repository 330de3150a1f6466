//! Readings of colour targets: stored with their photograph, replaced by later ones, never lost.

use rusqlite::{Connection, OptionalExtension};
use serde_json::Value;

use super::change::{Row, fresh_uid, rows};
use super::{Catalogue, Fault, Result};
use crate::geometry::written;
use crate::record::target::{TargetReading, corners};

/// A photograph as the store knows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Named {
    /// SHA-256 of its bytes.
    pub sha256: String,
    /// Extension of the stored file.
    pub extension: String,
    /// Accession numbers of the pieces that it shows, with commas.
    pub shows: String,
}

impl Catalogue {
    /// The photograph whose SHA-256 begins so.
    ///
    /// # Errors
    /// If no photograph or more than one begins so.
    pub fn photograph_named(&self, beginning: &str) -> Result<Named> {
        let (id, _, _) = self.photograph_like(beginning)?;
        let sql = "SELECT f.sha256, f.extension, (SELECT group_concat(p.number, ', ') FROM photograph_of o
                     JOIN piece p ON p.id = o.piece_id WHERE o.photograph_id = f.id)
                     FROM photograph f WHERE f.id = ?";
        Ok(self.db.query_row(sql, [id], |r| {
            let shows: Option<String> = r.get(2)?;
            Ok(Named { sha256: r.get(0)?, extension: r.get(1)?, shows: shows.unwrap_or_default() })
        })?)
    }

    /// Stores a reading of the target in a photograph; the one that stood before points to it. Says whether there was
    /// one.
    ///
    /// # Errors
    /// If no photograph or more than one begins so, or the database refuses.
    pub fn add_target_reading(&mut self, author: &str, photograph: &str, reading: &TargetReading) -> Result<bool> {
        let (id, _, _) = self.photograph_like(photograph)?;
        let json = |value: serde_json::Result<String>| value.map_err(|e| Fault::Refused(format!("the reading: {e}")));
        let results = json(serde_json::to_string(&reading.results))?;
        let correction = reading.correction.as_ref().map(serde_json::to_string).transpose();
        let correction = correction.map_err(|e| Fault::Refused(format!("the correction: {e}")))?;
        self.write(author, "colour target read", |change| {
            let before: Option<i64> = change
                .db()
                .query_row("SELECT id FROM target_reading WHERE photograph_id = ? AND replaced_by IS NULL", [id], |r| {
                    r.get(0)
                })
                .optional()?;
            let mut row = Row::new();
            row.insert("uid".into(), fresh_uid().into());
            row.insert("photograph_id".into(), id.into());
            row.insert("corners".into(), written(&reading.corners).into());
            row.insert("reference".into(), reading.reference.clone().into());
            row.insert("reference_sha256".into(), reading.reference_sha256.clone().into());
            row.insert("results".into(), results.into());
            row.insert("mean_de00".into(), reading.results.mean.into());
            row.insert("max_de00".into(), reading.results.max.into());
            row.insert("correction".into(), correction.into());
            let after = change.insert("target_reading", &row)?;
            if let Some(before) = before {
                change.update("target_reading", before, &Row::from_iter([("replaced_by".to_owned(), after.into())]))?;
            }
            Ok(before.is_some())
        })
    }

    /// The reading that stands of the target in a photograph.
    ///
    /// # Errors
    /// If no photograph or more than one begins so, or a stored reading cannot be read.
    pub fn target_reading(&self, photograph: &str) -> Result<Option<TargetReading>> {
        of_photograph(&self.db, self.photograph_like(photograph)?.0)
    }
}

/// The reading that stands of a photograph's target.
pub(super) fn of_photograph(db: &Connection, photograph: i64) -> Result<Option<TargetReading>> {
    let sql = "SELECT * FROM target_reading WHERE photograph_id = ? AND replaced_by IS NULL";
    rows(db, sql, [photograph])?.first().map(reading).transpose()
}

fn reading(row: &Row) -> Result<TargetReading> {
    let text = |name: &str| row.get(name).and_then(Value::as_str).unwrap_or_default();
    let unreadable = |e: serde_json::Error| Fault::Unreadable(format!("a target reading: {e}"));
    Ok(TargetReading {
        id: text("uid").into(),
        corners: corners(text("corners").split_whitespace()).map_err(Fault::Unreadable)?,
        reference: text("reference").into(),
        reference_sha256: text("reference_sha256").into(),
        results: serde_json::from_str(text("results")).map_err(unreadable)?,
        correction: row
            .get("correction")
            .and_then(Value::as_str)
            .map(serde_json::from_str)
            .transpose()
            .map_err(unreadable)?,
    })
}
