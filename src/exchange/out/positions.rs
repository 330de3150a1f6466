//! Where photographs were taken stays here, unless it is asked for.

use serde_json::Value;

use crate::catalogue::Row;
use crate::digest::sha256;

/// Takes GPS positions out of a row that is handed on; says whether there was one. In a row of the journal that tells of
/// one, the contents give way to their SHA-256, so that its chain of hashes can still be followed.
pub fn take_out(table: &str, row: &mut Row) -> bool {
    match table {
        "photograph" => strip(row, "exif"),
        "journal" if row.get("in_table").and_then(Value::as_str) == Some("photograph") => {
            let tells = ["before", "after"].iter().any(|side| {
                let text = row.get(*side).and_then(Value::as_str);
                let mut content: Row = text.and_then(|text| serde_json::from_str(text).ok()).unwrap_or_default();
                strip(&mut content, "exif")
            });
            if tells {
                for (side, digest) in [("before", "before_sha256"), ("after", "after_sha256")] {
                    if let Some(Value::String(text)) = row.shift_remove(side) {
                        row.insert(digest.into(), sha256(text.as_bytes()).into());
                    }
                }
            }
            tells
        }
        _ => false,
    }
}

fn strip(row: &mut Row, column: &str) -> bool {
    let text = row.get(column).and_then(Value::as_str);
    let Some(mut value) = text.and_then(|text| serde_json::from_str::<Value>(text).ok()) else { return false };
    let found = without(&mut value);
    if found {
        row.insert(column.into(), value.to_string().into());
    }
    found
}

/// Removes every key that speaks of GPS, at any depth.
fn without(value: &mut Value) -> bool {
    match value {
        Value::Object(tags) => {
            let before = tags.len();
            tags.retain(|name, _| !name.contains("GPS"));
            let mut found = tags.len() < before;
            for inner in tags.values_mut() {
                found |= without(inner);
            }
            found
        }
        Value::Array(list) => list.iter_mut().fold(false, |found, inner| without(inner) | found),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    fn row(value: Value) -> Row {
        value.as_object().cloned().expect("an object")
    }

    #[test]
    fn a_position_goes_from_the_photograph_and_its_journal_keeps_only_the_digest() {
        let exif =
            json!({ "Model": "X", "GPSLatitude": [1, 2, 3], "more": [{ "GPSAltitude": 3, "kept": 1 }] }).to_string();
        let mut photograph = row(json!({ "id": 1, "exif": exif }));
        assert!(take_out("photograph", &mut photograph));
        assert_eq!(photograph["exif"], json!({ "Model": "X", "more": [{ "kept": 1 }] }).to_string());
        assert!(!take_out("photograph", &mut photograph), "nothing is left to take out");

        let after = json!({ "id": 1, "exif": exif }).to_string();
        let mut told = row(json!({ "id": 7, "in_table": "photograph", "after": after }));
        assert!(take_out("journal", &mut told));
        assert_eq!(told.get("after"), None);
        assert_eq!(told["after_sha256"], sha256(after.as_bytes()));
        assert!(!told.contains_key("before_sha256"), "there was nothing before");

        let mut other = row(json!({ "id": 8, "in_table": "piece", "after": "{\"title\":\"GPS\"}" }));
        assert!(!take_out("journal", &mut other));
    }
}
