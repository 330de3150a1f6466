//! The catalogue's JSON document read back, row by row, so that a large one takes no more room than a small one.

use std::fmt;
use std::io::Read;

use serde::de::{DeserializeSeed, Deserializer, Error as _, IgnoredAny, MapAccess, SeqAccess, Visitor};
use serde_json::Value;

use super::out::HeldBack;
use super::out::json::{FORMAT, VERSION, WHOLE, stored};
use crate::catalogue::{Column, Content, Row, SCHEMA_VERSION, Table};
use crate::photograph::fixity::is_sha256;

/// What is done with a row; its refusal ends the reading.
pub type Take<'a> = dyn FnMut(&Table, Row) -> Result<(), String> + 'a;

/// Reads a document and hands its rows over, each looked at first; says what of photographs and sealed pages the document
/// names as held back. Nothing may be kept of it unless all of it could be read: what the document says of itself may stand
/// at its end.
///
/// # Errors
/// A sentence that names the place: no JSON, another document, of a newer program, of chosen pieces only, a row that does
/// not fit its table, or whatever `take` returns.
pub fn read(from: impl Read, tables: &[Table], take: &mut Take<'_>) -> Result<HeldBack, String> {
    let mut reader = serde_json::Deserializer::from_reader(from);
    let about = Document { tables, take }.deserialize(&mut reader).map_err(|e| said(&e))?;
    reader.end().map_err(|e| said(&e))?;
    about.check()?;
    Ok(about.held_back)
}

fn said(e: &serde_json::Error) -> String {
    match e.classify() {
        serde_json::error::Category::Io => format!("cannot be read: {e}"),
        serde_json::error::Category::Eof => "the document ends in the middle; it was not written whole".into(),
        _ => e.to_string(),
    }
}

/// What a document says of itself.
#[derive(Default)]
struct About {
    format: Option<Value>,
    version: Option<Value>,
    schema: Option<Value>,
    of: Option<Value>,
    complete: Option<Value>,
    left_out: Option<Value>,
    held_back: HeldBack,
    tables: bool,
}

impl About {
    fn check(&self) -> Result<(), String> {
        let number = |value: &Option<Value>| value.as_ref().and_then(Value::as_i64);
        if self.format.as_ref().and_then(Value::as_str) != Some(FORMAT) || !self.tables {
            return Err(format!("this is no `{FORMAT}`, as `dimity export json` writes it"));
        }
        let newer = number(&self.version).is_none_or(|v| v > VERSION)
            || number(&self.schema).is_none_or(|s| s > SCHEMA_VERSION);
        if newer {
            return Err("this document was written by a newer program; use a newer `dimity`".into());
        }
        let held = &self.held_back;
        let mut digests = held.positions.iter().chain(held.files.iter().map(|file| &file.sha256));
        if let Some(strange) = digests.find(|text| !is_sha256(text)) {
            return Err(format!("`{strange}`, said to be held back, is no SHA-256"));
        }
        // What is held back is named, and what is left makes a catalogue.
        let whole = self.of.as_ref().and_then(Value::as_str) == Some(WHOLE) && !self.held_back.is_empty();
        if self.complete != Some(Value::Bool(true)) && !whole {
            let left_out = self.left_out.as_ref().and_then(Value::as_array).into_iter().flatten();
            let left_out: Vec<_> = left_out.filter_map(Value::as_str).collect();
            return Err(format!(
                "this document is not complete, and no catalogue can be made from it; left out were: {}",
                left_out.join("; ")
            ));
        }
        Ok(())
    }
}

struct Document<'a, 't> {
    tables: &'a [Table],
    take: &'a mut Take<'t>,
}

impl<'de> DeserializeSeed<'de> for Document<'_, '_> {
    type Value = About;
    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<About, D::Error> {
        from.deserialize_map(self)
    }
}

impl<'de> Visitor<'de> for Document<'_, '_> {
    type Value = About;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("the catalogue as an object")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<About, A::Error> {
        let mut about = About::default();
        while let Some(name) = map.next_key::<String>()? {
            match name.as_str() {
                "format" => about.format = Some(map.next_value()?),
                "version" => about.version = Some(map.next_value()?),
                "schema" => about.schema = Some(map.next_value()?),
                "complete" => about.complete = Some(map.next_value()?),
                "left_out" => about.left_out = Some(map.next_value()?),
                "of" => about.of = Some(map.next_value()?),
                "held_back" => about.held_back = map.next_value()?,
                "made_at" => drop(map.next_value::<IgnoredAny>()?),
                "tables" if !about.tables => {
                    about.tables = true;
                    map.next_value_seed(Tables { tables: self.tables, take: &mut *self.take })?;
                }
                other => return Err(A::Error::custom(format!("`{other}` does not belong into the document"))),
            }
        }
        Ok(about)
    }
}

struct Tables<'a, 't> {
    tables: &'a [Table],
    take: &'a mut Take<'t>,
}

impl<'de> DeserializeSeed<'de> for Tables<'_, '_> {
    type Value = ();
    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<(), D::Error> {
        from.deserialize_map(self)
    }
}

impl<'de> Visitor<'de> for Tables<'_, '_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("tables by their names")
    }

    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<(), A::Error> {
        while let Some(name) = map.next_key::<String>()? {
            let table = self.tables.iter().find(|table| table.name == name);
            let table = table.ok_or_else(|| A::Error::custom(format!("there is no table `{name}`")))?;
            map.next_value_seed(Rows { table, take: &mut *self.take })?;
        }
        Ok(())
    }
}

struct Rows<'a, 't> {
    table: &'a Table,
    take: &'a mut Take<'t>,
}

impl<'de> DeserializeSeed<'de> for Rows<'_, '_> {
    type Value = ();
    fn deserialize<D: Deserializer<'de>>(self, from: D) -> Result<(), D::Error> {
        from.deserialize_seq(self)
    }
}

impl<'de> Visitor<'de> for Rows<'_, '_> {
    type Value = ();

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the rows of `{}` as a list", self.table.name)
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut rows: A) -> Result<(), A::Error> {
        while let Some(row) = rows.next_element::<Row>()? {
            look(self.table, &row).map_err(A::Error::custom)?;
            (self.take)(self.table, stored(self.table, row)).map_err(A::Error::custom)?;
        }
        Ok(())
    }
}

/// Whether a row has the columns of its table, each with what may stand in it.
fn look(table: &Table, row: &Row) -> Result<(), String> {
    let which = || row.get("id").map_or_else(|| "a row".to_owned(), |id| format!("row {id}"));
    let wrong = |name: &str, what: &str| Err(format!("{} of `{}`: `{name}` {what}", which(), table.name));
    for (name, value) in row {
        let Some(column) = table.columns.iter().find(|column| column.name == *name) else {
            return wrong(name, "is no column of it");
        };
        if !fits(column, value) {
            return wrong(name, &format!("must be {}", kind(column.content)));
        }
    }
    match table.columns.iter().find(|column| column.needed && !row.contains_key(&column.name)) {
        Some(column) => wrong(&column.name, "is missing"),
        None => Ok(()),
    }
}

fn fits(column: &Column, value: &Value) -> bool {
    match column.content {
        Content::Text | Content::Day | Content::Moment => value.is_string(),
        Content::Integer => value.is_i64(),
        Content::Number => value.is_number(),
        Content::Boolean => value.is_boolean(),
        Content::Texts => value.is_array() || value.is_string(),
        Content::Json => value.is_object() || value.is_array() || value.is_string(),
    }
}

fn kind(content: Content) -> &'static str {
    match content {
        Content::Text => "a text",
        Content::Day => "a day as a text, 2024-03-12",
        Content::Moment => "a moment as a text",
        Content::Integer => "a whole number",
        Content::Number => "a number",
        Content::Boolean => "true or false",
        Content::Texts => "a list of texts",
        Content::Json => "an object or a list",
    }
}
