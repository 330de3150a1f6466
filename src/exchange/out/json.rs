//! The catalogue as one JSON document: tables of rows, each row an object on a line of its own, blanks left out. Numbers are
//! numbers, with the unit at the end of the name; lists and objects stand as such.

use std::io::Write;

use serde_json::Value;

use super::{About, Source};
use crate::catalogue::{Column, Content, Row, Table};

/// What the document calls itself.
pub const FORMAT: &str = "dimity catalogue";

/// What the document says that it is of, unless it is of chosen pieces.
pub const WHOLE: &str = "the whole catalogue";

/// The version of the document's shape; that of the tables in it is their schema's.
pub const VERSION: i64 = 1;

/// Writes the document.
///
/// # Errors
/// If a row cannot be read, or the writer refuses.
pub fn write(out: &mut dyn Write, about: &About, source: &dyn Source) -> Result<(), String> {
    let io = |e: std::io::Error| e.to_string();
    let text = |value: &dyn Fn() -> Value| value().to_string();
    let of = text(&|| about.of.as_ref().map_or(WHOLE.into(), |numbers| numbers.clone().into()));
    let left_out = text(&|| about.left_out.clone().into());
    let held_back = serde_json::to_string(&about.held_back).map_err(|e| e.to_string())?;
    writeln!(out, "{{\n\"format\": \"{FORMAT}\",\n\"version\": {VERSION},\n\"schema\": {},", about.schema)
        .map_err(io)?;
    writeln!(out, "\"made_at\": {},", text(&|| about.made_at.clone().into())).map_err(io)?;
    writeln!(out, "\"of\": {of},\n\"complete\": {},\n\"left_out\": {left_out},", about.complete).map_err(io)?;
    writeln!(out, "\"held_back\": {held_back},\n\"tables\": {{").map_err(io)?;
    for (i, table) in source.tables().iter().enumerate() {
        write!(out, "{}\"{}\": [", if i == 0 { "" } else { ",\n" }, table.name).map_err(io)?;
        let mut first = true;
        source.rows(table, &mut |row| {
            let between = if std::mem::take(&mut first) { "\n" } else { ",\n" };
            write!(out, "{between}{}", Value::Object(told(table, row))).map_err(io)
        })?;
        out.write_all(if first { b"]" } else { b"\n]" }).map_err(io)?;
    }
    out.write_all(b"\n}\n}\n").map_err(io)
}

/// A row as the document has it.
fn told(table: &Table, mut row: Row) -> Row {
    for column in &table.columns {
        if let Some(value) = row.get_mut(&column.name) {
            tell(column, value);
        }
    }
    row
}

/// What the tables keep as JSON text becomes what it says, if writing that gives the same text again; if not, it stays a
/// text, so that no byte is lost.
fn tell(column: &Column, value: &mut Value) {
    match (column.content, &*value) {
        (Content::Texts | Content::Json, Value::String(text)) => {
            let read = serde_json::from_str::<Value>(text).ok();
            let plain = |read: &Value| {
                let again = read.to_string();
                (read.is_array() || read.is_object()) && again == *text
            };
            if let Some(read) = read.filter(plain) {
                *value = read;
            }
        }
        (Content::Boolean, Value::Number(n)) if n.as_i64() == Some(0) => *value = false.into(),
        (Content::Boolean, Value::Number(n)) if n.as_i64() == Some(1) => *value = true.into(),
        _ => {}
    }
}

/// A row of the tables from one of the document: the way back of what is done to it on the way out.
pub fn stored(table: &Table, mut row: Row) -> Row {
    for column in &table.columns {
        match (column.content, row.get_mut(&column.name)) {
            (Content::Texts | Content::Json, Some(value @ (Value::Array(_) | Value::Object(_)))) => {
                *value = value.to_string().into();
            }
            (Content::Boolean, Some(value @ Value::Bool(_))) => *value = i64::from(*value == Value::Bool(true)).into(),
            _ => {}
        }
    }
    row
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalogue::tables;

    #[test]
    fn what_is_kept_as_json_stands_as_such_and_comes_back_byte_for_byte() {
        let table = tables().expect("the schema").iter().find(|t| t.name == "photograph").expect("there");
        for exif in
            ["{\"a\":[1,2.50]}", "{ \"a\": 1 }", "{\"a\":1,\"a\":2}", "\"text\"", "[]", "{", "1e400", "{\"b\":1.5}"]
        {
            let before = Row::from_iter([("exif".to_owned(), exif.into()), ("remarks".to_owned(), "[\"x\"]".into())]);
            let told = told(table, before.clone());
            assert!(told["remarks"].is_array());
            assert_eq!(stored(table, told), before, "{exif}");
        }
    }
}
