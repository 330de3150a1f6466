//! One table as Parquet: typed columns, for engines that query the tables of many collections as one.

use std::io::Write;
use std::sync::Arc;

use jiff::Timestamp;
use jiff::civil::Date;
use parquet::basic::Compression;
use parquet::data_type::{BoolType, ByteArray, ByteArrayType, DataType, DoubleType, Int32Type, Int64Type};
use parquet::errors::ParquetError;
use parquet::file::properties::WriterProperties;
use parquet::file::writer::{SerializedFileWriter, SerializedRowGroupWriter};
use parquet::schema::parser::parse_message_type;
use serde_json::Value;

use super::Source;
use crate::catalogue::{Column, Content, Row, Table};

/// Rows that are held in memory at once, and stand in one group of the file.
const GROUP: usize = 50_000;

/// Where a table's file lies, in folders that name the collection (Hive's way of partitions).
pub fn place(table: &str, collection: &str) -> String {
    format!("{table}/collection={}/part-0.parquet", escaped(collection))
}

/// A collection's name as a folder: everything but letters, digits, `.`, `-` and `_` as `%XX` (RFC 3986).
fn escaped(name: &str) -> String {
    let plain = |byte: u8| byte.is_ascii_alphanumeric() || b".-_".contains(&byte);
    let one = |byte: u8| if plain(byte) { char::from(byte).to_string() } else { format!("%{byte:02X}") };
    name.bytes().map(one).collect()
}

/// Writes one table.
///
/// # Errors
/// If a row cannot be read, or the writer refuses.
pub fn write(out: &mut dyn Write, table: &Table, source: &dyn Source) -> Result<(), String> {
    let wrong = |e: ParquetError| e.to_string();
    let schema = Arc::new(parse_message_type(&message(table)).map_err(wrong)?);
    let properties = WriterProperties::builder()
        .set_compression(Compression::SNAPPY)
        .set_created_by(concat!("dimity version ", env!("CARGO_PKG_VERSION")).to_owned())
        .build();
    let mut file = SerializedFileWriter::new(Vec::new(), schema, Arc::new(properties)).map_err(wrong)?;
    let mut rows: Vec<Row> = Vec::new();
    let mut put = |rows: &mut Vec<Row>| -> Result<(), ParquetError> {
        let mut group = file.next_row_group()?;
        table.columns.iter().try_for_each(|column| column_of(&mut group, column, rows))?;
        group.close()?;
        rows.clear();
        Ok(())
    };
    source.rows(table, &mut |row| {
        rows.push(row);
        if rows.len() == GROUP { put(&mut rows).map_err(wrong) } else { Ok(()) }
    })?;
    if !rows.is_empty() {
        put(&mut rows).map_err(wrong)?;
    }
    let bytes = file.into_inner().map_err(wrong)?;
    out.write_all(&bytes).map_err(|e| e.to_string())
}

/// The table's columns in the language of Parquet's schemas.
fn message(table: &Table) -> String {
    let line = |column: &Column| {
        let (stored, means) = match column.content {
            Content::Text | Content::Texts | Content::Json => ("binary", " (UTF8)"),
            Content::Integer => ("int64", ""),
            Content::Number => ("double", ""),
            Content::Boolean => ("boolean", ""),
            Content::Day => ("int32", " (DATE)"),
            Content::Moment => ("int64", " (TIMESTAMP(MICROS,true))"),
        };
        let repetition = if column.needed { "required" } else { "optional" };
        format!("{repetition} {stored} {}{means};\n", column.name)
    };
    format!("message {} {{\n{}}}", table.name, table.columns.iter().map(line).collect::<String>())
}

type Group<'a> = SerializedRowGroupWriter<'a, Vec<u8>>;

fn column_of(group: &mut Group<'_>, column: &Column, rows: &[Row]) -> Result<(), ParquetError> {
    let text = |value: &Value| value.as_str().map(ByteArray::from);
    match column.content {
        Content::Text | Content::Texts | Content::Json => values::<ByteArrayType>(group, column, rows, text),
        Content::Integer => values::<Int64Type>(group, column, rows, Value::as_i64),
        Content::Number => values::<DoubleType>(group, column, rows, Value::as_f64),
        Content::Boolean => values::<BoolType>(group, column, rows, |v| v.as_i64().map(|n| n == 1)),
        Content::Day => values::<Int32Type>(group, column, rows, day),
        Content::Moment => values::<Int64Type>(group, column, rows, moment),
    }
}

/// Writes one column of a group of rows.
fn values<T: DataType>(
    group: &mut Group<'_>,
    column: &Column,
    rows: &[Row],
    read: impl Fn(&Value) -> Option<T::T>,
) -> Result<(), ParquetError> {
    let mut values = Vec::with_capacity(rows.len());
    let mut there = Vec::with_capacity(rows.len());
    for row in rows {
        let value = row.get(&column.name).and_then(&read);
        there.push(i16::from(value.is_some()));
        values.extend(value);
    }
    if column.needed && values.len() < rows.len() {
        return Err(ParquetError::General(format!("`{}` holds what it cannot hold; run `dimity check`", column.name)));
    }
    let mut writer = group.next_column()?.ok_or_else(|| ParquetError::General("a column too many".into()))?;
    let levels = (!column.needed).then_some(there.as_slice());
    writer.typed::<T>().write_batch(&values, levels, None)?;
    writer.close()
}

/// Days since 1970-01-01.
fn day(value: &Value) -> Option<i32> {
    let day: Date = value.as_str()?.parse().ok()?;
    Some((day - Date::constant(1970, 1, 1)).get_days())
}

/// Microseconds since the same day.
fn moment(value: &Value) -> Option<i64> {
    let moment: Timestamp = value.as_str()?.parse().ok()?;
    Some(moment.as_microsecond())
}

#[cfg(test)]
mod tests {
    use serde_json::json;

    use super::*;

    #[test]
    fn days_and_moments_are_counted_from_1970() {
        assert_eq!(day(&json!("1970-01-01")), Some(0));
        assert_eq!(day(&json!("2000-03-01")), Some(11_017)); // `date -d 2000-03-01 +%s` over 86400
        assert_eq!(day(&json!("1815-06-18")), Some(-56_445)); // the same
        assert_eq!(moment(&json!("1970-01-01T00:00:01.5Z")), Some(1_500_000));
        assert_eq!(day(&json!("someday")), None);
    }

    #[test]
    fn a_collection_is_a_folder_whatever_its_name() {
        assert_eq!(place("piece", "Étude A/B = 1"), "piece/collection=%C3%89tude%20A%2FB%20%3D%201/part-0.parquet");
        assert_eq!(place("piece", ".."), "piece/collection=../part-0.parquet");
    }
}
