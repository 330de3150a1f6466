//! What stood before: observations that were corrected or withdrawn, and facts that were changed in place.

use serde::Serialize;
use serde_json::Value;

use super::change::{Row, rows};
use super::read::{Standing, observations};
use super::{Catalogue, Result};
use crate::record::Examination;

/// A change of a fact of a piece.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FactChange {
    /// When, in UTC.
    pub at: String,
    /// Who.
    pub by: String,
    /// Why.
    pub why: String,
    /// The table: `piece`, `component`, `move` ...
    pub table: String,
    /// What stood in each column that changed, and what stands there since; a blank is an empty text.
    pub columns: Vec<(String, String, String)>,
}

/// The tables of facts, which are changed in place. Their rows point to the piece.
const FACTS: [&str; 10] =
    ["component", "person_role", "event", "move", "housing", "display", "care", "made_after", "departure", "work"];

impl Catalogue {
    /// The observations of a piece that do not stand any more, in the examinations to which they belong. What became of
    /// each, [`Catalogue::fates`] says.
    ///
    /// # Errors
    /// If there is no such piece.
    pub fn earlier(&self, number: &str) -> Result<Vec<Examination>> {
        let piece = self.piece_id(number)?;
        let sql = "SELECT DISTINCT e.id, e.uid FROM examination e JOIN observation o ON o.examination_id = e.id
                    WHERE e.piece_id = ? AND (o.replaced_by IS NOT NULL OR o.withdrawn IS NOT NULL) ORDER BY e.date, e.id";
        let mut found = Vec::new();
        for row in rows(&self.db, sql, [piece])? {
            let id = row.get("id").and_then(Value::as_i64).unwrap_or_default();
            let mut exam = observations(&self.db, id, Standing::Earlier)?;
            exam.about.id = row.get("uid").and_then(Value::as_str).map(String::from);
            found.push(exam);
        }
        Ok(found)
    }

    /// The changes to facts of a piece, oldest first: to the piece itself, and to what is listed of it or was before it was
    /// struck out.
    ///
    /// # Errors
    /// If there is no such piece.
    pub fn fact_changes(&self, number: &str) -> Result<Vec<FactChange>> {
        let piece = self.piece_id(number)?;
        let mut found: Vec<(i64, FactChange)> = Vec::new();
        for table in ["piece"].into_iter().chain(FACTS) {
            let of = if table == "piece" {
                "SELECT ?1".to_owned()
            } else {
                format!("SELECT id FROM \"{table}\" WHERE piece_id = ?1")
            };
            let sql = format!(
                "SELECT id, at, author, reason, before, after FROM journal
                  WHERE in_table = '{table}' AND act = 'update' AND before IS NOT NULL AND row_id IN ({of})
                 UNION ALL
                 SELECT id, at, author, reason, before, after FROM journal
                  WHERE in_table = '{table}' AND act = 'delete' AND json_extract(before, '$.piece_id') = ?1 ORDER BY id"
            );
            // A number of a purged row may be given again: what the purge emptied is no change of the row that has it now.
            for row in rows(&self.db, &sql, [piece])? {
                let text = |name: &str| row.get(name).and_then(Value::as_str).unwrap_or_default().to_owned();
                let content = |name: &str| serde_json::from_str::<Row>(&text(name)).unwrap_or_default();
                let change = FactChange {
                    at: text("at"),
                    by: text("author"),
                    why: text("reason"),
                    table: table.to_owned(),
                    columns: differing(&content("before"), &content("after")),
                };
                found.push((row.get("id").and_then(Value::as_i64).unwrap_or_default(), change));
            }
        }
        found.sort_by_key(|(id, _)| *id);
        Ok(found.into_iter().map(|(_, change)| change).collect())
    }
}

/// The columns in which two states of a row differ, without those that are worked out from others or only say where the
/// row is.
fn differing(before: &Row, after: &Row) -> Vec<(String, String, String)> {
    let words = |row: &Row, name: &str| match row.get(name) {
        Some(Value::String(text)) => text.clone(),
        Some(other) => other.to_string(),
        None => String::new(),
    };
    let worked_out = |name: &str| {
        name.rsplit_once('_').is_some_and(|(stem, end)| {
            matches!(end, "u" | "mm" | "earliest" | "latest" | "edtf" | "remark" | "ratio" | "h" | "lx")
                && (before.contains_key(stem) || after.contains_key(stem))
        })
    };
    let is_place = |name: &str| matches!(name, "id" | "uid" | "piece_id" | "position");
    let told = |name: &&String| !worked_out(name) && !is_place(name);
    let mut names: Vec<&String> = before.keys().chain(after.keys()).filter(told).collect();
    names.sort();
    names.dedup();
    let changed = names.into_iter().filter(|name| before.get(*name) != after.get(*name));
    changed.map(|name| (name.clone(), words(before, name), words(after, name))).collect()
}
