//! What stood before: observations that were corrected or withdrawn, and facts that were changed in place.

use std::sync::OnceLock;

use serde::Serialize;
use serde_json::Value;

use super::belonging::{OWNED, links};
use super::change::{Row, rows};
use super::facts::{FACTS, Facts};
use super::flat::{Fill, field_of};
use super::read::{FromTable, Standing, observations};
use super::reversal::Stems;
use super::tables::scheme;
use super::{Catalogue, Clock, Result, once, open};
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
    /// Whether it can be put back: the line says something else by now than before the change.
    pub is_open: bool,
}

impl Catalogue {
    /// The observations of a piece that do not stand any more, in the examinations to which they belong. What became of
    /// each, [`Catalogue::fates`] says.
    ///
    /// # Errors
    /// If there is no such piece.
    pub fn earlier(&self, number: &str) -> Result<Vec<Examination>> {
        let piece = self.piece_id(number)?;
        let sql = "SELECT DISTINCT e.* FROM examination e JOIN observation o ON o.examination_id = e.id
                    WHERE e.piece_id = ? AND (o.replaced_by IS NOT NULL OR o.withdrawn IS NOT NULL) ORDER BY e.date, e.id";
        let mut found = Vec::new();
        for row in rows(&self.db, sql, [piece])? {
            let id = row.get("id").and_then(Value::as_i64).unwrap_or_default();
            let mut exam = observations(&self.db, id, Standing::Earlier)?;
            Fill::record(&row, &FromTable::of(&self.db, "examination"), &mut exam.about);
            found.push(exam);
        }
        Ok(found)
    }

    /// The changes to facts of a piece, oldest first: to the piece itself, and to what is listed of it or was before it was
    /// struck out, with the lists inside a line.
    ///
    /// # Errors
    /// If there is no such piece.
    pub fn fact_changes(&self, number: &str) -> Result<Vec<FactChange>> {
        let piece = self.piece_id(number)?;
        let of_piece = "SELECT * FROM journal WHERE in_table = 'piece' AND act = 'update' AND row_id = ?1
            AND before IS NOT NULL";
        let mut found = self.changes_of(Facts { section: "piece", table: "piece" }, of_piece, piece)?;
        for facts in FACTS {
            let table = facts.table;
            // The number of a row that is gone may be given again, to a line of another piece: what a change tells says whose it
            // is.
            let lines = format!(
                "SELECT id FROM \"{table}\" WHERE piece_id = ?1
                    UNION SELECT row_id FROM journal WHERE act = 'delete' AND in_table = '{table}'
                      AND json_extract(before, '$.piece_id') = ?1"
            );
            let of_list = format!(
                "WITH of AS ({lines}) SELECT * FROM journal
                  WHERE in_table = '{table}' AND row_id IN (SELECT id FROM of) AND act IN ('update', 'delete')
                    AND json_extract(before, '$.piece_id') = ?1"
            );
            found.extend(self.changes_of(facts, &of_list, piece)?);
        }
        for (facts, inside, column) in lists_in_lines()? {
            let of = format!("SELECT 1 FROM \"{}\" WHERE piece_id = ? LIMIT 1", facts.table);
            if self.db.prepare_cached(&of)?.exists([piece])? && self.has_table(inside)? {
                found.extend(self.lists_of(*facts, (inside, column), piece)?);
            }
        }
        found.sort_by_key(|change| change.row);
        Ok(found)
    }

    /// The changes of lines, as the rows of the journal tell them.
    fn changes_of(&self, facts: Facts, sql: &str, piece: i64) -> Result<Vec<FactChange>> {
        let mut found = Vec::new();
        for row in rows(&self.db, sql, [piece])? {
            let (before, after) = (content(&row, "before"), content(&row, "after"));
            let uid = text(&before, "uid");
            let now = rows(&self.db, &format!("SELECT * FROM \"{}\" WHERE uid = ?", facts.table), [&uid])?.pop();
            let is_open = match (&now, after.is_empty()) {
                (None, struck) => struck,
                (Some(_), true) => false,
                (Some(now), false) => {
                    Stems::of(&before, &after, now).changed().any(|(_, field)| !field.says_so_already())
                }
            };
            let line = Some(uid).filter(|_| facts.section != "piece");
            found.push(FactChange {
                columns: differing(facts.table, &before, &after),
                is_open,
                ..FactChange::of(&row, facts.section, line)
            });
        }
        Ok(found)
    }

    /// The changes of one list inside the lines that stand. A list that came in with its line, or went with it, is told there.
    fn lists_of(&self, facts: Facts, (inside, column): (&str, &str), piece: i64) -> Result<Vec<FactChange>> {
        let table = facts.table;
        let sql = format!(
            "WITH l AS MATERIALIZED (SELECT id, uid FROM \"{table}\" WHERE piece_id = ?1),
             ours AS MATERIALIZED (SELECT i.id, l.id AS owner, l.uid AS line FROM l JOIN \"{inside}\" i ON i.\"{column}\" = l.id
               UNION SELECT g.row_id, l.id, l.uid FROM l JOIN journal g ON g.act = 'delete' AND g.in_table = '{inside}'
                 AND json_extract(g.before, '$.{column}') = l.id)
             SELECT j.*, owner, line FROM ours CROSS JOIN journal j ON j.in_table = '{inside}' AND j.row_id = ours.id
                AND json_extract(coalesce(j.after, j.before), '$.{column}') = owner
              WHERE NOT EXISTS (SELECT 1 FROM journal own WHERE own.in_table = '{table}' AND own.row_id = owner
                AND own.act = 'insert' AND own.at = j.at AND own.author = j.author AND own.reason = j.reason)
              ORDER BY owner, j.id"
        );
        let of_lists = rows(&self.db, &sql, [piece])?;
        let same =
            |a: &Row, b: &Row| ["owner", "at", "author", "reason"].iter().all(|name| a.get(*name) == b.get(*name));
        let groups: Vec<&[Row]> = of_lists.chunk_by(same).collect();
        let told = |group: &&[Row], side: &str| {
            let rows = group.iter().map(|row| content(row, side)).filter(|row| !row.is_empty());
            let words = |row: Row| {
                let columns = differing(inside, &row, &Row::new()).into_iter().filter(|(name, ..)| name != column);
                columns.map(|(_, was, _)| was).filter(|was| !was.is_empty()).collect::<Vec<_>>().join(", ")
            };
            rows.map(words).collect::<Vec<_>>().join("; ")
        };
        let name = inside.strip_prefix(table).unwrap_or(inside).trim_start_matches('_');
        let change = |(i, group): (usize, &&[Row])| {
            let first = group.first()?;
            let is_newest =
                groups.get(i + 1).and_then(|next| next.first()).is_none_or(|n| n.get("owner") != first.get("owner"));
            let was = FactChange::of(first, facts.section, Some(text(first, "line")));
            let columns = vec![(name.to_owned(), told(group, "before"), told(group, "after"))];
            Some(FactChange { columns, is_open: is_newest, ..was })
        };
        Ok(groups.iter().enumerate().filter_map(change).collect())
    }
}

/// The lists inside lines of facts: the list of the line, the table, and its column that names the line. Asked of the schema
/// once: that takes as long as a fifth of a page.
fn lists_in_lines() -> Result<&'static [(Facts, String, String)]> {
    static ASKED: OnceLock<Vec<(Facts, String, String)>> = OnceLock::new();
    let lists = once(&ASKED, || {
        // A seal is set once and never changed.
        let owned = links(&open::in_memory(Clock::System)?, &format!("{OWNED} AND m.name <> 'treatment_seal'"))?;
        let list = |(inside, column, table): (String, String, String)| {
            Some((*FACTS.iter().find(|facts| facts.table == table)?, inside, column))
        };
        Ok(owned.into_iter().filter_map(list).collect())
    });
    lists.map(Vec::as_slice)
}

impl FactChange {
    /// What a row of the journal tells of every change.
    fn of(row: &Row, section: &'static str, line: Option<String>) -> Self {
        Self {
            row: row.get("id").and_then(Value::as_i64).unwrap_or_default(),
            line,
            at: text(row, "at"),
            by: text(row, "author"),
            why: text(row, "reason"),
            section,
            columns: Vec::new(),
            is_open: false,
        }
    }
}

fn text(row: &Row, name: &str) -> String {
    row.get(name).and_then(Value::as_str).unwrap_or_default().to_owned()
}

/// What a row of the journal holds, before or after; nothing where it holds none.
fn content(row: &Row, side: &str) -> Row {
    serde_json::from_str(&text(row, side)).unwrap_or_default()
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
    let worked_out =
        |name: &str| field_of(name, |field| before.contains_key(field) || after.contains_key(field)) != name;
    let is_place = |name: &str| matches!(name, "id" | "uid" | "piece_id" | "position");
    let told = |name: &&String| !worked_out(name) && !is_place(name);
    let mut names: Vec<&String> = before.keys().chain(after.keys()).filter(told).collect();
    names.sort();
    names.dedup();
    let changed = names.into_iter().filter(|name| before.get(*name) != after.get(*name));
    changed.map(|name| (name.clone(), words(before, name), words(after, name))).collect()
}
