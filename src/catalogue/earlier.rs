//! What stood before: observations that were corrected or withdrawn, and facts that were changed in place.

use serde::Serialize;
use serde_json::Value;

use super::change::{Row, rows};
use super::facts::{FACTS, Facts};
use super::read::{Standing, observations};
use super::tables::scheme;
use super::{Catalogue, Result};
use crate::record::Examination;
use crate::vocabulary::TermId;

/// A change of a fact of a piece.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct FactChange {
    /// Its row of the journal.
    pub row: i64,
    /// The line that was changed, by its identifier; none for the piece itself.
    pub line: Option<String>,
    /// When, in UTC.
    pub at: String,
    /// Who.
    pub by: String,
    /// Why.
    pub why: String,
    /// What a sheet calls it: `piece`, `component`, `move` ...
    pub section: &'static str,
    /// What stood in each column that changed, and what stands there since; a blank is an empty text.
    pub columns: Vec<(String, String, String)>,
}

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
        let of_piece = (
            Facts { section: "piece", table: "piece" },
            "SELECT id, at, author, reason, before, after FROM journal
            WHERE in_table = 'piece' AND act = 'update' AND row_id = ?1 AND before IS NOT NULL"
                .to_owned(),
        );
        // The number of a row that is gone may be given again, to a line of another piece: what a change tells says whose it is.
        let of_list = |facts: Facts| {
            let table = facts.table;
            let sql = format!(
                "WITH of AS (SELECT id FROM \"{table}\" WHERE piece_id = ?1
                    UNION SELECT row_id FROM journal WHERE act = 'delete' AND in_table = '{table}'
                      AND json_extract(before, '$.piece_id') = ?1)
                 SELECT id, at, author, reason, before, after FROM journal
                  WHERE in_table = '{table}' AND row_id IN (SELECT id FROM of) AND act IN ('update', 'delete')
                    AND json_extract(before, '$.piece_id') = ?1"
            );
            (facts, sql)
        };
        for (facts, sql) in [of_piece].into_iter().chain(FACTS.map(of_list)) {
            for row in rows(&self.db, &sql, [piece])? {
                let text = |name: &str| row.get(name).and_then(Value::as_str).unwrap_or_default().to_owned();
                let content = |name: &str| serde_json::from_str::<Row>(&text(name)).unwrap_or_default();
                let row_number = row.get("id").and_then(Value::as_i64).unwrap_or_default();
                let before = content("before");
                let change = FactChange {
                    row: row_number,
                    line: before
                        .get("uid")
                        .and_then(Value::as_str)
                        .filter(|_| facts.section != "piece")
                        .map(String::from),
                    at: text("at"),
                    by: text("author"),
                    why: text("reason"),
                    section: facts.section,
                    columns: differing(facts.table, &before, &content("after")),
                };
                found.push((row_number, change));
            }
        }
        found.sort_by_key(|(id, _)| *id);
        Ok(found.into_iter().map(|(_, change)| change).collect())
    }
}

/// The columns in which two states of a row differ, without those that are worked out from others or only say where the
/// row is. A term is told without its list: `made`, which is kept as `event/made`.
fn differing(table: &str, before: &Row, after: &Row) -> Vec<(String, String, String)> {
    let term = |name: &str, text: &str| {
        scheme(table, name).and_then(|_| TermId::parse(text)).map(|term| term.name().to_owned())
    };
    let words = |row: &Row, name: &str| match row.get(name) {
        Some(Value::String(text)) => term(name, text).unwrap_or_else(|| text.clone()),
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
