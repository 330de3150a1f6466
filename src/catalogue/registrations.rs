//! Photographs laid over each other: stored with both, replaced by later ones, never lost.

use rusqlite::{Connection, OptionalExtension};
use serde_json::Value;

use super::change::{Row, fresh_uid, rows};
use super::{Catalogue, Fault, Result};
use crate::geometry::Point;
use crate::record::registration::{Registration, marks, written};

impl Catalogue {
    /// Lays the second photograph over the first by marks that both show, each named by its SHA-256 or the beginning of
    /// it. A registration of the two that stood before is kept and points to the new one; says whether there was one.
    ///
    /// # Errors
    /// If a photograph is unknown or both are the same, or if the marks give no map or leave the pictures.
    pub fn register(&mut self, author: &str, first: &str, second: &str, by: &[(Point, Point)]) -> Result<bool> {
        let (one, one_wide, one_high) = self.photograph_like(first)?;
        let (two, two_wide, two_high) = self.photograph_like(second)?;
        if one == two {
            return Err(Fault::Refused("a photograph is not laid over itself; name two".into()));
        }
        let made = Registration { marks: by.to_vec(), ..Registration::default() };
        made.check((one_wide, one_high), (two_wide, two_high)).map_err(Fault::Refused)?;
        let before = "SELECT id FROM registration WHERE first_id = ? AND second_id = ? AND replaced_by IS NULL";
        self.write(author, "photographs registered", |change| {
            let before: Option<i64> = change.db().query_row(before, [one, two], |r| r.get(0)).optional()?;
            let mut row = Row::new();
            row.insert("uid".into(), fresh_uid().into());
            row.insert("first_id".into(), one.into());
            row.insert("second_id".into(), two.into());
            row.insert("pairs".into(), written(by).into());
            change.insert_instead("registration", row, before)?;
            Ok(before.is_some())
        })
    }

    /// Takes back the marks by which the second photograph lies over the first: those set before hold again, if there were
    /// any; says whether there were. `seen` is the identifier of the registration that is meant, where somebody saw one. It
    /// stays in the catalogue.
    ///
    /// # Errors
    /// If the two are not laid over each other, or by other marks than were seen, or if the reason is blank.
    pub fn take_back_registration(
        &mut self,
        author: &str,
        reason: &str,
        (first, second): (&str, &str),
        seen: Option<&str>,
    ) -> Result<bool> {
        let ((one, ..), (two, ..)) = (self.photograph_like(first)?, self.photograph_like(second)?);
        self.write(author, reason, |change| {
            let stands =
                "SELECT id, uid FROM registration WHERE first_id = ? AND second_id = ? AND replaced_by IS NULL";
            let stands: Option<(i64, String)> =
                change.db().query_row(stands, [one, two], |r| Ok((r.get(0)?, r.get(1)?))).optional()?;
            match stands {
                Some((id, uid)) if seen.is_none_or(|seen| seen == uid) => change.take_back("registration", id),
                Some(_) => Err(Fault::Refused("other marks were set meanwhile; look at those first".into())),
                None => Err(Fault::Refused(
                    "these two photographs are not laid over each other; the marks may have been taken back meanwhile"
                        .into(),
                )),
            }
        })
    }
}

/// What is laid over a photograph, in the order in which it was.
pub(super) fn of_photograph(db: &Connection, photograph: i64) -> Result<Vec<Registration>> {
    let sql = "SELECT r.uid, f.sha256 AS other, r.pairs FROM registration r JOIN photograph f ON f.id = r.second_id
                WHERE r.first_id = ? AND r.replaced_by IS NULL ORDER BY r.id";
    let registration = |row: &Row| {
        let text = |name: &str| row.get(name).and_then(Value::as_str).unwrap_or_default();
        Ok(Registration {
            id: text("uid").into(),
            other: text("other").into(),
            marks: marks(text("pairs")).map_err(Fault::Unreadable)?,
        })
    };
    rows(db, sql, [photograph])?.iter().map(registration).collect()
}
