//! The sheet of a workbook, through `calamine`.

use std::io::Cursor;
use std::panic::{AssertUnwindSafe, catch_unwind};

use calamine::{Data, DataRef, ExcelDateTime, Ods, Reader, Xlsx};

use super::table::{Cell, Growing, Kind, Table, Type};
use super::{archive, limits};

/// So many cells at most are filled in for merged ones.
const MERGED: usize = 100_000;

/// Reads a sheet: the one named, else the first that holds something.
///
/// # Errors
/// A sentence, if the workbook is damaged, protected or too large, or has no such sheet.
pub fn read(bytes: &[u8], kind: Kind, sheet: Option<&str>) -> Result<Table, String> {
    archive::look_through(bytes)?;
    // A damaged workbook is told, whatever it does to the library.
    let read = catch_unwind(AssertUnwindSafe(|| match kind {
        Kind::Ods => ods(bytes, sheet),
        Kind::Xlsx | Kind::Csv => xlsx(bytes, sheet),
    }));
    read.unwrap_or_else(|_| Err("the workbook is damaged in a way that stops it from being read".into()))
}

/// What the library says, which may go on with much of the workbook: its beginning is enough.
fn unread(why: &dyn std::fmt::Display) -> String {
    let why: String = why.to_string().chars().take(200).collect();
    format!("the workbook cannot be read: {why}")
}

fn xlsx(bytes: &[u8], wanted: Option<&str>) -> Result<Table, String> {
    let damaged = |e: calamine::XlsxError| unread(&e);
    let mut book: Xlsx<_> = Xlsx::new(Cursor::new(bytes)).map_err(damaged)?;
    let names = book.sheet_names();
    choose(&names, wanted, |name, remarks| {
        let mut growing = Growing::default();
        let mut cells = book.worksheet_cells_reader(name).map_err(damaged)?;
        let mut read = 0usize;
        while let Some(cell) = cells.next_cell().map_err(damaged)? {
            read += 1;
            if read > limits::CELLS {
                return Err("the sheet has more cells than any list that can be read; import it in parts".into());
            }
            let (row, column) = cell.get_position();
            growing.put(row as usize, column as usize, of_ref(cell.get_value()))?;
        }
        drop(cells);
        let merged = book.merge_cells_by_sheet_name(name).unwrap_or_default();
        spread(&mut growing, &merged, remarks)?;
        Ok(growing)
    })
}

fn ods(bytes: &[u8], wanted: Option<&str>) -> Result<Table, String> {
    let mut book: Ods<_> = Ods::new(Cursor::new(bytes)).map_err(|e| match e {
        calamine::OdsError::Password => "the workbook is protected by a password; save a copy without one".to_owned(),
        other => unread(&other),
    })?;
    let names = book.sheet_names();
    choose(&names, wanted, |name, _| {
        let range = book.worksheet_range(name).map_err(|e| unread(&e))?;
        let (first_row, first_column) = range.start().unwrap_or_default();
        let mut growing = Growing::default();
        for (row, column, value) in range.used_cells() {
            growing.put(row + first_row as usize, column + first_column as usize, of_data(value))?;
        }
        Ok(growing)
    })
}

/// The sheet wanted, else the first that holds something; names of sheets are compared without case.
fn choose(
    names: &[String],
    wanted: Option<&str>,
    mut read: impl FnMut(&str, &mut Vec<String>) -> Result<Growing, String>,
) -> Result<Table, String> {
    let list = || names.iter().map(|n| format!("`{n}`")).collect::<Vec<_>>().join(", ");
    let others = |at: usize| names.iter().enumerate().filter(|(i, _)| *i != at).map(|(_, n)| n.clone()).collect();
    if let Some(wanted) = wanted {
        let at = names.iter().position(|n| n.to_lowercase() == wanted.to_lowercase());
        let at = at.ok_or_else(|| format!("there is no sheet `{wanted}`; the workbook has {}", list()))?;
        let mut table = Table { sheet: Some(names[at].clone()), other_sheets: others(at), ..Table::default() };
        table.rows = read(&names[at], &mut table.remarks)?.rows();
        return Ok(table);
    }
    for (at, name) in names.iter().enumerate() {
        let mut remarks = Vec::new();
        let rows = read(name, &mut remarks)?.rows();
        if !rows.is_empty() {
            return Ok(Table {
                rows,
                sheet: Some(name.clone()),
                other_sheets: others(at),
                remarks,
                ..Table::default()
            });
        }
    }
    Err("no sheet of the workbook holds anything".into())
}

/// A cell that was merged over several rows holds for each of them.
fn spread(growing: &mut Growing, merged: &[calamine::Dimensions], remarks: &mut Vec<String>) -> Result<(), String> {
    let mut filled = 0;
    for region in merged.iter().filter(|m| m.end.0 > m.start.0 && m.start.1 == m.end.1) {
        let column = region.start.1 as usize;
        let Some(cell) = growing.at(region.start.0 as usize, column).filter(|c| !c.text.is_empty()).cloned() else {
            continue;
        };
        let rows = growing.numbers(region.start.0.saturating_add(2), region.end.0.saturating_add(1));
        filled += rows.len();
        if filled > MERGED {
            return Err("the sheet merges more cells than any list; it was not read".into());
        }
        for row in &rows {
            growing.put(*row as usize - 1, column, cell.clone())?;
        }
        if !rows.is_empty() {
            remarks.push(format!(
                "column {}: one cell is merged over the rows {} to {}; its text was taken for each of them",
                crate::words::letter(column),
                region.start.0 + 1,
                region.end.0 + 1
            ));
        }
    }
    Ok(())
}

fn of_ref(value: &DataRef<'_>) -> Cell {
    match value {
        DataRef::String(text) => Cell::text(text.as_str()),
        DataRef::SharedString(text) => Cell::text(*text),
        DataRef::Int(n) => of_data(&Data::Int(*n)),
        DataRef::Float(n) => of_data(&Data::Float(*n)),
        DataRef::Bool(b) => of_data(&Data::Bool(*b)),
        DataRef::DateTime(moment) => day(*moment),
        DataRef::DateTimeIso(text) | DataRef::DurationIso(text) => iso(text),
        DataRef::Error(e) => Cell { text: e.to_string(), is: Type::Error },
        DataRef::Empty => Cell::default(),
    }
}

fn of_data(value: &Data) -> Cell {
    match value {
        Data::String(text) => Cell::text(text.as_str()),
        Data::Int(n) => Cell { text: n.to_string(), is: Type::Number },
        Data::Float(n) => Cell { text: figure(*n), is: Type::Number },
        Data::Bool(b) => Cell::text(if *b { "TRUE" } else { "FALSE" }),
        Data::DateTime(moment) => day(*moment),
        Data::DateTimeIso(text) | Data::DurationIso(text) => iso(text),
        Data::Error(e) => Cell { text: e.to_string(), is: Type::Error },
        Data::Empty => Cell::default(),
    }
}

/// A number as people write it: 1881, not 1881.0; a sum of tenths without its last binary digits.
fn figure(n: f64) -> String {
    let short = format!("{n}");
    let rounded = format!("{n:.12}");
    let rounded = rounded.trim_end_matches('0').trim_end_matches('.');
    if short.len() > 15 && n.abs() < 1e12 && rounded.len() < short.len() { rounded.to_owned() } else { short }
}

/// A day, with its time only where there is one.
fn day(moment: ExcelDateTime) -> Cell {
    if moment.is_duration() || moment.as_f64() < 1.0 {
        return Cell { text: figure(moment.as_f64()), is: Type::Number };
    }
    let (year, month, day, hour, minute, ..) = moment.to_ymd_hms_milli();
    let time = if (hour, minute) == (0, 0) { String::new() } else { format!(" {hour:02}:{minute:02}") };
    Cell { text: format!("{year:04}-{month:02}-{day:02}{time}"), is: Type::Day }
}

fn iso(text: &str) -> Cell {
    let midnight = text.strip_suffix("T00:00:00").unwrap_or(text);
    Cell { text: midnight.into(), is: if text.starts_with('P') { Type::Text } else { Type::Day } }
}
