//! Every table as CSV (RFC 4180), and what the files and their columns are as CSV on the Web (W3C Recommendation, 2015).

use std::io::Write;

use serde_json::{Map, Value, json};

use super::{About, Source};
use crate::catalogue::{Column, Content, Row, Table};
use crate::words::as_text;

/// The name under which the description of the files lies beside them.
pub const METADATA: &str = "csv-metadata.json";

/// The file of a table.
pub fn file(table: &str) -> String {
    format!("{table}.csv")
}

/// Writes one table. Texts stand as they were recorded; with `for_spreadsheets`, a text that a spreadsheet would take for a
/// formula (it begins with = + - @, a tab or a return) gets an apostrophe before it, and is then no longer what was recorded.
///
/// # Errors
/// If a row cannot be read, or the writer refuses.
pub fn write(out: &mut dyn Write, table: &Table, source: &dyn Source, for_spreadsheets: bool) -> Result<(), String> {
    let mut writer = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(out);
    let headings = table.columns.iter().map(|column| column.name.as_str());
    writer.write_record(headings).map_err(|e| e.to_string())?;
    source.rows(table, &mut |row| {
        let cells = table.columns.iter().map(|column| cell(column, &row, for_spreadsheets));
        writer.write_record(cells).map_err(|e| e.to_string())
    })?;
    writer.flush().map_err(|e| e.to_string())
}

fn cell(column: &Column, row: &Row, for_spreadsheets: bool) -> String {
    match (row.get(&column.name), column.content) {
        (None | Some(Value::Null), _) => String::new(),
        (Some(Value::Number(n)), Content::Boolean) => (n.as_i64() == Some(1)).to_string(),
        (Some(Value::String(text)), _) if for_spreadsheets => as_text(text).into_owned(),
        (Some(Value::String(text)), _) => text.clone(),
        (Some(other), _) => other.to_string(),
    }
}

/// The description of the files: columns with names, meanings and datatypes, keys, and links between the files.
pub fn metadata(tables: &[Table], about: &About) -> Value {
    let of = match &about.of {
        None => "the whole catalogue".to_owned(),
        Some(numbers) => format!("the pieces {}", numbers.join(", ")),
    };
    let left_out =
        if about.left_out.is_empty() { String::new() } else { format!("; left out: {}", about.left_out.join("; ")) };
    json!({
        "@context": ["http://www.w3.org/ns/csvw", { "@language": "en" }],
        "dc:title": "A catalogue of garments",
        "dc:description": format!("{of}, as it was last changed {}{left_out}", about.made_at),
        "tables": tables.iter().map(described).collect::<Vec<_>>(),
    })
}

fn described(table: &Table) -> Value {
    let links = table.columns.iter().filter_map(|column| {
        let resource = file(column.points_to.as_ref()?);
        Some(json!({
            "columnReference": column.name, "reference": { "resource": resource, "columnReference": "id" },
        }))
    });
    json!({
        "url": file(&table.name),
        "dc:description": table.means,
        "tableSchema": {
            "columns": table.columns.iter().map(column).collect::<Vec<_>>(),
            "primaryKey": "id",
            "foreignKeys": links.collect::<Vec<_>>(),
        },
    })
}

fn column(column: &Column) -> Value {
    let means = match column.unit {
        Some(unit) => format!("{} ({unit})", column.means),
        None => column.means.clone(),
    };
    let mut said = Map::new();
    said.insert("name".into(), column.name.clone().into());
    said.insert("titles".into(), column.name.clone().into());
    said.insert("dc:description".into(), means.into());
    said.insert("datatype".into(), datatype(column));
    said.insert("required".into(), (column.needed && !may_be_blank(column)).into());
    Value::Object(said)
}

/// Whether a text may have no letter in it, as the label of a region may: in CSV such a cell looks like one that is missing.
fn may_be_blank(column: &Column) -> bool {
    column.content == Content::Text && column.words.is_empty() && column.begins.is_none() && column.points_to.is_none()
}

fn datatype(column: &Column) -> Value {
    match column.content {
        Content::Text if !column.words.is_empty() => json!({ "base": "string", "format": column.words.join("|") }),
        Content::Text => match &column.begins {
            Some(begins) => json!({ "base": "string", "format": format!("{begins}.+") }),
            None => "string".into(),
        },
        Content::Integer => "integer".into(),
        Content::Number if column.is_uncertainty() => json!({ "base": "double", "minimum": 0 }),
        Content::Number => "double".into(),
        Content::Boolean => "boolean".into(),
        Content::Day => "date".into(),
        Content::Moment => "dateTime".into(),
        Content::Texts | Content::Json => "json".into(),
    }
}
