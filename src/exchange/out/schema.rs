//! The JSON Schema (2020-12) of the catalogue's document, from the tables' own columns.

use serde_json::{Map, Value, json};

use super::Why;
use super::json::{FORMAT, VERSION, WHOLE};
use crate::catalogue::{Column, Content, Table};

/// The schema of the document that [`super::json::write`] writes.
pub fn schema(tables: &[Table]) -> Value {
    let rows = |table: &Table| json!({ "type": "array", "items": { "$ref": format!("#/$defs/{}", table.name) } });
    let lists: Map<String, Value> = tables.iter().map(|table| (table.name.clone(), rows(table))).collect();
    let defs: Map<String, Value> = tables.iter().map(|table| (table.name.clone(), row(table))).collect();
    let names: Vec<&str> = tables.iter().map(|table| table.name.as_str()).collect();
    json!({
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "title": "A catalogue of garments, as `dimity export json` writes it",
        "description": "Every table as a list of rows; what is not recorded is left out of its row. The names of numbers end in \
                        their unit; `_u` is a standard uncertainty (GUM, JCGM 100). A link is the `id` of a row of the table \
                        that `pointsTo` names. `unit` and `pointsTo` are annotations.",
        "type": "object",
        "required": ["format", "version", "schema", "made_at", "of", "complete", "left_out", "held_back", "tables"],
        "additionalProperties": false,
        "properties": {
            "format": { "const": FORMAT },
            "version": { "const": VERSION, "description": "of the document's shape" },
            "schema": { "type": "integer", "minimum": 1, "description": "of the tables" },
            "made_at": { "type": "string", "description": "when the catalogue was last changed, in UTC; blank if it never was" },
            "of": {
                "description": "what it is of",
                "oneOf": [
                    { "const": WHOLE },
                    { "type": "array", "items": { "type": "string" }, "description": "accession numbers of chosen pieces" },
                ],
            },
            "complete": { "type": "boolean", "description": "whether it is of the whole, and nothing of it is held back" },
            "left_out": { "type": "array", "items": { "type": "string" }, "description": "what was left out, in words" },
            "held_back": held_back(),
            "tables": { "type": "object", "required": names, "additionalProperties": false, "properties": lists },
        },
        "$defs": defs,
    })
}

/// What of photographs and sealed pages does not go out.
fn held_back() -> Value {
    let sha256 = json!({ "type": "string", "pattern": "^[0-9a-f]{64}$" });
    json!({
        "type": "object",
        "required": ["positions", "files"],
        "additionalProperties": false,
        "properties": {
            "positions": {
                "type": "array", "items": sha256,
                "description": "photographs whose GPS positions were taken out of their record; what the journal held of \
                                them is known by its SHA-256 alone",
            },
            "files": {
                "description": "files that are not beside the document",
                "type": "array",
                "items": {
                    "type": "object", "required": ["table", "sha256", "why"], "additionalProperties": false,
                    "properties": {
                        "table": { "enum": ["photograph", "seal"], "description": "whose row tells of the file" },
                        "sha256": sha256,
                        "why": { "enum": [Why::Position, Why::Changed, Why::Unread, Why::Others] },
                    },
                },
            },
        },
    })
}

fn row(table: &Table) -> Value {
    let needed: Vec<&str> = table.columns.iter().filter(|c| c.needed).map(|c| c.name.as_str()).collect();
    let columns: Map<String, Value> = table.columns.iter().map(|c| (c.name.clone(), column(c))).collect();
    json!({
        "type": "object", "description": table.means, "required": needed, "additionalProperties": false,
        "properties": columns,
    })
}

fn column(column: &Column) -> Value {
    let mut said = match column.content {
        Content::Text if !column.words.is_empty() => json!({ "enum": column.words }),
        Content::Text | Content::Moment => json!({ "type": "string" }),
        Content::Integer => json!({ "type": "integer" }),
        Content::Number => json!({ "type": "number" }),
        Content::Boolean => json!({ "type": "boolean" }),
        Content::Day => json!({ "type": "string", "pattern": "^[0-9]{4}-[0-9]{2}-[0-9]{2}$" }),
        // A text only where it is no JSON as the program writes it.
        Content::Texts => json!({ "type": ["array", "string"], "items": { "type": "string" } }),
        Content::Json => json!({ "type": ["object", "array", "string"] }),
    };
    let mut put = |name: &str, value: Value| _ = said.as_object_mut().map(|said| said.insert(name.into(), value));
    if let Some(begins) = &column.begins {
        put("pattern", format!("^{begins}.").into());
    }
    if column.name == "uid" {
        put("minLength", 36.into());
        put("maxLength", 36.into());
    }
    if column.is_uncertainty() {
        put("minimum", 0.into());
    }
    put("description", column.means.clone().into());
    if let Some(unit) = column.unit {
        put("unit", unit.into());
    }
    if let Some(to) = &column.points_to {
        put("pointsTo", to.clone().into());
    }
    said
}
