//! A change in words: field by field, before and after.

use std::fmt::Write as _;

use serde_json::{Map, Value};

use super::JournalRow;

impl JournalRow {
    /// One change: what kind and of which row (`changed piece 3`), and field by field, a line each.
    pub fn in_words(&self) -> (String, Vec<String>) {
        let what = match self.act.as_str() {
            "insert" => "new",
            "update" => "changed",
            _ => "removed",
        };
        (format!("{what} {} {}", self.in_table.replace('_', " "), self.row_id), self.fields_in_words())
    }

    fn fields_in_words(&self) -> Vec<String> {
        if self.is_digest() {
            return vec!["what it held is not here any more, only its SHA-256".into()];
        }
        let mut lines = Vec::new();
        let (before, after) = (fields(self.before.as_ref()), fields(self.after.as_ref()));
        let mut names: Vec<&String> = before.keys().collect();
        names.extend(after.keys().filter(|name| !before.contains_key(*name)));
        for name in names {
            let (was, is) = (before.get(name), after.get(name));
            match (was, is) {
                (Some(was), Some(is)) if was == is => {}
                (Some(was), Some(is)) => lines.push(format!("{}: {} → {}", plain(name), shown(was), shown(is))),
                (Some(was), None) if self.act == "update" => {
                    lines.push(format!("{}: {} → not recorded", plain(name), shown(was)));
                }
                (None, Some(is)) if self.act == "update" => {
                    lines.push(format!("{}: not recorded → {}", plain(name), shown(is)));
                }
                // What ties the row to its place says nothing to a reader.
                (one, other) if !is_tie(name) => {
                    lines.extend(one.or(other).map(|value| format!("{}: {}", plain(name), shown(value))));
                }
                _ => {}
            }
        }
        lines
    }
}

/// The fields of a row. Of what a camera wrote, the position stays unsaid, as everywhere.
fn fields(text: Option<&String>) -> Map<String, Value> {
    let mut fields: Map<String, Value> = text.and_then(|text| serde_json::from_str(text).ok()).unwrap_or_default();
    if let Some(Value::String(exif)) = fields.get_mut("exif") {
        let tags: Map<String, Value> = serde_json::from_str(exif).unwrap_or_default();
        let told: Map<String, Value> = tags.into_iter().filter(|(tag, _)| !tag.starts_with("GPS")).collect();
        *exif = Value::Object(told).to_string();
    }
    fields
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
