//! What names a line of facts, so that it cannot go: told by the tables' own links.

use std::collections::BTreeMap;

use rusqlite::Connection;
use serde_json::Value;

use super::belonging::{OWNED, links};
use super::change::{Row, rows};
use super::{Result, consents};
use crate::analysis::comparison::ByHand;

/// What keeps a line of facts from being struck out.
#[derive(Debug, Default)]
pub(super) struct Named {
    /// What names it, each in words.
    pub by: Vec<String>,
    /// Whether that stays so: what was observed and what was sealed is never changed.
    pub for_good: bool,
    /// Whether it is a component that is named by nothing but observations which were corrected or withdrawn: it can stand no
    /// more, and is kept for them.
    pub only_past: bool,
}

/// What names a row of `table`; nothing if it can go. What was observed names its component for good: an observation that
/// was corrected or withdrawn stays as it was.
pub(super) fn of(db: &Connection, table: &str, row: i64) -> Result<Named> {
    let (mut said, mut for_good) = (Vec::new(), false);
    if table == "treatment" && consents::has_seal(db, row)? {
        said.push("its consent is sealed".to_owned());
        for_good = true;
    }
    let mut counts: BTreeMap<String, usize> = BTreeMap::new();
    let mut past = 0;
    for (from, column, _) in links(db, &format!("NOT {OWNED} AND f.\"table\" = '{table}'"))? {
        let kind = match from.as_str() {
            "observation" => {
                "replace(kind, '_', ' ') || iif(withdrawn IS NULL AND replaced_by IS NULL, '', ' that was corrected or withdrawn')"
            }
            "component" => "iif(withdrawn IS NULL, 'part of it', 'part of it that was taken back')",
            "photograph_of" => "'photograph'",
            "region" => "'outline on a photograph'",
            "treatment_planned" => "'planned step of a treatment'",
            "treatment" => "'later version'",
            other => &format!("'{}'", other.replace('_', " ")),
        };
        let is_past = match from.as_str() {
            "observation" => "withdrawn IS NOT NULL OR replaced_by IS NOT NULL",
            "component" => "withdrawn IS NOT NULL",
            _ => "0",
        };
        let sql = format!("SELECT {kind} AS kind, {is_past} AS is_past FROM \"{from}\" WHERE \"{column}\" = ?");
        for found in rows(db, &sql, [row])? {
            for_good |= from == "observation";
            past += usize::from(found.get("is_past").and_then(Value::as_i64) == Some(1));
            let kind = found.get("kind").and_then(Value::as_str).unwrap_or_default();
            *counts.entry(kind.to_owned()).or_default() += 1;
        }
    }
    let named = counts.values().sum::<usize>();
    if !counts.is_empty() {
        let list: Vec<String> = counts.iter().map(|(kind, n)| format!("{kind} ({n})")).collect();
        said.push(format!("it is named by {}", list.join(", ")));
    }
    if table == "component" {
        let paired = paired(db, row)?;
        if !paired.is_empty() {
            said.push(format!("it is paired by hand in the kept comparison `{}`", paired.join("`, `")));
        }
    }
    let only_past = table == "component" && past > 0 && past == named && said.len() == 1;
    Ok(Named { by: said, for_good, only_past })
}

/// The kept comparisons that stand and pair a component by hand.
fn paired(db: &Connection, component: i64) -> Result<Vec<String>> {
    let sql = "SELECT k.name, k.pairs, c.name AS component, k.piece_id = c.piece_id AS is_subject,
                 EXISTS (SELECT 1 FROM comparison_other o WHERE o.comparison_id = k.id AND o.piece_id = c.piece_id) AS is_other
               FROM comparison k JOIN component c ON c.id = ?
              WHERE k.replaced_by IS NULL AND k.pairs IS NOT NULL ORDER BY k.id";
    let text = |row: &Row, name: &str| row.get(name).and_then(Value::as_str).unwrap_or_default().to_owned();
    let mut names = Vec::new();
    for row in rows(db, sql, [component])? {
        let component = text(&row, "component");
        let is = |name: &str| row.get(name).and_then(Value::as_i64) == Some(1);
        let pairs = text(&row, "pairs");
        let mut pairs = pairs.lines().filter_map(|line| ByHand::read(line).ok());
        if pairs.any(|p| is("is_subject") && p.subject == component || is("is_other") && p.other == component) {
            names.push(text(&row, "name"));
        }
    }
    Ok(names)
}

/// A number for a new row of a table that no row of it ever had, where rows of other tables point to it: what the journal
/// keeps of those that pointed to a row that is gone must never mean another.
pub(super) fn fresh_number(db: &Connection, table: &str) -> Result<Option<i64>> {
    // A table that others point to without belonging to it stands here.
    if !matches!(table, "component" | "treatment") {
        return Ok(None);
    }
    let sql = format!(
        "SELECT 1 + max(ifnull((SELECT max(id) FROM \"{table}\"), 0),
           ifnull((SELECT max(row_id) FROM journal WHERE act = 'delete' AND in_table = '{table}'), 0))"
    );
    Ok(Some(db.prepare_cached(&sql)?.query_row([], |r| r.get(0))?))
}

/// The rows of the lists inside a row of `table`, by table and number.
pub(super) fn inside(db: &Connection, table: &str, row: i64) -> Result<Vec<(String, i64)>> {
    let mut found = Vec::new();
    for (from, column, _) in links(db, &format!("{OWNED} AND f.\"table\" = '{table}'"))? {
        let sql = format!("SELECT id FROM \"{from}\" WHERE \"{column}\" = ? ORDER BY id");
        let mut statement = db.prepare_cached(&sql)?;
        for id in statement.query_map([row], |r| r.get(0))? {
            found.push((from.clone(), id?));
        }
    }
    Ok(found)
}
