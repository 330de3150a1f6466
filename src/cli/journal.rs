//! `dimity journal`: who changed what, when and why.

use std::fmt::Write as _;

use serde_json::{Map, Value};

use super::{Desk, Failure};
use crate::catalogue::JournalRow;

/// Show who changed what, when and why, oldest first
///
/// Changes made together stand under one line with their time (UTC), author and reason. A new row shows what was filled
/// in; a changed one, each field before and after. `dimity show NUMBER --as-of DAY` shows a piece as it stood.
#[derive(Debug, clap::Args)]
pub struct Journal {
    /// Only the changes to this piece
    number: Option<String>,
}

impl Journal {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let rows = desk.open()?.journal(self.number.as_deref())?;
        let mut occasion = String::new();
        for row in &rows {
            if desk.json {
                desk.out.json(row);
                continue;
            }
            let now = format!("{}  {}: {}", row.at, row.author, row.reason);
            if now != occasion {
                desk.out.line(&now);
                occasion = now;
            }
            in_words(row).iter().for_each(|line| desk.out.line(line));
        }
        Ok(())
    }
}

/// One change: what kind, of which row, and field by field.
fn in_words(row: &JournalRow) -> Vec<String> {
    let what = match row.act.as_str() {
        "insert" => "new",
        "update" => "changed",
        _ => "removed",
    };
    let mut lines = vec![format!("  {what} {} {}", row.in_table.replace('_', " "), row.row_id)];
    if row.is_digest() {
        lines.push("    what it held is not here any more, only its SHA-256".into());
        return lines;
    }
    let (before, after) = (fields(row.before.as_ref()), fields(row.after.as_ref()));
    let mut names: Vec<&String> = before.keys().collect();
    names.extend(after.keys().filter(|name| !before.contains_key(*name)));
    for name in names {
        let (was, is) = (before.get(name), after.get(name));
        match (was, is) {
            (Some(was), Some(is)) if was == is => {}
            (Some(was), Some(is)) => lines.push(format!("    {}: {} → {}", plain(name), shown(was), shown(is))),
            (Some(was), None) if row.act == "update" => {
                lines.push(format!("    {}: {} → not recorded", plain(name), shown(was)));
            }
            (None, Some(is)) if row.act == "update" => {
                lines.push(format!("    {}: not recorded → {}", plain(name), shown(is)));
            }
            // What ties the row to its place says nothing to a reader.
            (one, other) if !is_tie(name) => {
                lines.extend(one.or(other).map(|value| format!("    {}: {}", plain(name), shown(value))));
            }
            _ => {}
        }
    }
    lines
}

fn fields(text: Option<&String>) -> Map<String, Value> {
    text.and_then(|text| serde_json::from_str(text).ok()).unwrap_or_default()
}

fn is_tie(name: &str) -> bool {
    matches!(name, "id" | "uid" | "position" | "number_order") || name.ends_with("_id")
}

fn plain(name: &str) -> String {
    name.replace('_', " ")
}

/// A value on one line, cut where it is long.
fn shown(value: &Value) -> String {
    const MOST: usize = 100;
    let text = value.as_str().map_or_else(|| value.to_string(), |text| text.escape_debug().to_string());
    let text = if value.is_string() { text.replace("\\\"", "\"").replace("\\'", "'") } else { text };
    let length = text.chars().count();
    if length <= MOST {
        return text;
    }
    let mut cut: String = text.chars().take(MOST).collect();
    let _ = write!(cut, " … ({length} characters)");
    cut
}
