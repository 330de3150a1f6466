//! What was drawn on photographs and taken back: a region removed and put back, a scale that is no longer to hold.

use rusqlite::OptionalExtension;
use serde::Serialize;
use serde_json::Value;

use super::change::{Row, rows};
use super::{Catalogue, Fault, Result};

/// A region that was removed from a photograph.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Removed {
    /// Its identifier.
    pub id: String,
    /// The letter it had.
    pub label: String,
    /// Its shape, as it was drawn.
    pub shape: String,
    /// What it showed, in words.
    pub note: String,
    /// When it was removed, in UTC.
    pub at: String,
    /// By whom.
    pub by: String,
    /// Why.
    pub why: String,
}

/// Whether a region shows an observation, or outlines a component, of a piece that its photograph does not show.
const OF_ANOTHER: &str = "SELECT 1 FROM region r WHERE r.id = ?1 AND (
    r.outlines_id IS NOT NULL AND NOT EXISTS (
        SELECT 1 FROM component c JOIN photograph_of p ON p.piece_id = c.piece_id
         WHERE c.id = r.outlines_id AND p.photograph_id = r.photograph_id)
    OR r.observation_id IS NOT NULL AND NOT EXISTS (
        SELECT 1 FROM observation o JOIN examination e ON e.id = o.examination_id
          JOIN photograph_of p ON p.piece_id = e.piece_id
         WHERE o.id = r.observation_id AND p.photograph_id = r.photograph_id))";

impl Catalogue {
    /// Removes a region from a photograph; the journal keeps it, and [`Catalogue::put_back_region`] draws it again. Gives its
    /// letter.
    ///
    /// # Errors
    /// If the photograph has no such region, or the reason is blank.
    pub fn remove_region(&mut self, author: &str, reason: &str, photograph: &str, region: &str) -> Result<String> {
        let (id, ..) = self.photograph_like(photograph)?;
        self.write(author, reason, |change| {
            let found: Option<(i64, String)> = change
                .db()
                .query_row(
                    "SELECT id, label FROM region WHERE photograph_id = ?1 AND (uid = ?2 OR label = ?2) ORDER BY uid = ?2 DESC",
                    (id, region),
                    |r| Ok((r.get(0)?, r.get(1)?)),
                )
                .optional()?;
            let Some((row, label)) = found else {
                return Err(Fault::Refused(format!(
                    "no region `{region}` is drawn on this photograph; it may have been removed meanwhile"
                )));
            };
            change.delete("region", row)?;
            Ok(label)
        })
    }

    /// Draws a removed region again, as it was, under the letter that it had. Gives its letter.
    ///
    /// # Errors
    /// If no such region was removed, or it is there again.
    pub fn put_back_region(&mut self, author: &str, reason: &str, photograph: &str, region: &str) -> Result<String> {
        let (id, ..) = self.photograph_like(photograph)?;
        self.write(author, reason, |change| {
            let there = change.db().query_row("SELECT 1 FROM region WHERE uid = ?", [region], |_| Ok(())).optional()?;
            let gone = removed_rows(change.db(), id)?.into_iter().rev();
            let mut gone = gone.filter(|(row, _)| row.get("uid").and_then(Value::as_str) == Some(region));
            let (Some((mut row, _)), None) = (gone.next(), there) else {
                return Err(Fault::Refused("there is no such region to be put back; it may be there already".into()));
            };
            if let Some(component) = row.get("outlines_id").and_then(Value::as_i64)
                && !change.db().prepare_cached("SELECT 1 FROM component WHERE id = ?")?.exists([component])?
            {
                return Err(Fault::Refused("the component that it outlines was struck out; draw it again".into()));
            }
            // Its number may have been given to another.
            row.remove("id");
            let region = change.insert("region", &row)?;
            if change.db().prepare_cached(OF_ANOTHER)?.exists([region])? {
                return Err(Fault::Refused(
                    "it shows a piece from which this photograph was taken off since; tie the photograph to that piece, or \
                     draw the region again without what it shows"
                        .into(),
                ));
            }
            Ok(row.get("label").and_then(Value::as_str).unwrap_or_default().to_owned())
        })
    }

    /// The regions that were removed from a photograph and not put back, in the order of their removal.
    ///
    /// # Errors
    /// If no photograph or more than one begins so.
    pub fn removed_regions(&self, photograph: &str) -> Result<Vec<Removed>> {
        let (id, ..) = self.photograph_like(photograph)?;
        let there = rows(&self.db, "SELECT uid FROM region WHERE photograph_id = ?", [id])?;
        let is_there = |uid: &str| there.iter().any(|r| r.get("uid").and_then(Value::as_str) == Some(uid));
        let mut list: Vec<Removed> = Vec::new();
        for (row, act) in removed_rows(&self.db, id)? {
            let text = |row: &Row, name: &str| row.get(name).and_then(Value::as_str).unwrap_or_default().to_owned();
            let uid = text(&row, "uid");
            if is_there(&uid) {
                continue;
            }
            // Of one that was removed, put back and removed again, the last time counts.
            list.retain(|known| known.id != uid);
            list.push(Removed {
                id: uid,
                label: text(&row, "label"),
                shape: text(&row, "shape"),
                note: text(&row, "note"),
                at: text(&act, "at"),
                by: text(&act, "author"),
                why: text(&act, "reason"),
            });
        }
        Ok(list)
    }

    /// Takes back the scale of a photograph: the one before it holds again, or none. It stays in the catalogue.
    ///
    /// # Errors
    /// If it is not the scale that stands, or the reason is blank.
    pub fn take_back_scale(&mut self, author: &str, reason: &str, photograph: &str, scale: &str) -> Result<()> {
        let (id, ..) = self.photograph_like(photograph)?;
        self.write(author, reason, |change| {
            let stands = "SELECT id FROM scale WHERE photograph_id = ? AND uid = ? AND replaced_by IS NULL";
            let stands: Option<i64> = change.db().query_row(stands, (id, scale), |r| r.get(0)).optional()?;
            let Some(stands) = stands else {
                return Err(Fault::Refused(
                    "this scale does not hold any more: another was set, or it was taken back meanwhile".into(),
                ));
            };
            change.take_back("scale", stands).map(|_| ())
        })
    }
}

/// The regions that were ever removed from a photograph, oldest first: each as it was, and the row of the journal.
pub(super) fn removed_rows(db: &rusqlite::Connection, photograph: i64) -> Result<Vec<(Row, Row)>> {
    let sql = "SELECT at, author, reason, before FROM journal
                WHERE act = 'delete' AND in_table = 'region' AND json_extract(before, '$.photograph_id') = ? ORDER BY id";
    let found = rows(db, sql, [photograph])?;
    let content = |act: &Row| serde_json::from_str(act.get("before").and_then(Value::as_str)?).ok();
    Ok(found.into_iter().filter_map(|act| Some((content(&act)?, act))).collect())
}
