//! A workbook is an archive, and an archive can be made to unpack without end. It is looked through, by what it declares
//! and by what it truly holds, before anything reads it.

use std::io::{Cursor, Read};

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};
use zip::ZipArchive;

use super::limits;

/// Looks through the archive of a workbook.
///
/// # Errors
/// A sentence, if it is none, is too large unpacked, or states numbers that could only be meant to fill the memory.
pub fn look_through(bytes: &[u8]) -> Result<(), String> {
    let mut archive = ZipArchive::new(Cursor::new(bytes)).map_err(|e| format!("the workbook is damaged: {e}"))?;
    if archive.len() > limits::PARTS {
        return Err(format!("the workbook has {} parts; no list has more than {}", archive.len(), limits::PARTS));
    }
    let mut unpacked = 0u64;
    for index in 0..archive.len() {
        let part = archive.by_index(index).map_err(|e| match e {
            zip::result::ZipError::UnsupportedArchive(why) if why.contains("assword") => {
                "the workbook is protected by a password; save a copy without one".to_owned()
            }
            other => format!("the workbook is damaged: {other}"),
        })?;
        let name = part.name().map(std::borrow::Cow::into_owned).unwrap_or_default();
        let too_large = |size: u64| {
            format!(
                "the workbook would unpack to more than {} MB (`{}` alone to {size} bytes); it was not opened",
                limits::UNPACKED >> 20,
                super::table::plain(&name)
            )
        };
        if part.size() > limits::UNPACKED - unpacked {
            return Err(too_large(part.size()));
        }
        // What it declares need not be what it holds.
        let left = limits::UNPACKED - unpacked;
        let mut counted = Counted { inner: part.take(left + 1), bytes: 0 };
        let looked = look_at(&name, &mut counted);
        std::io::copy(&mut counted, &mut std::io::sink()).map_err(|e| format!("the workbook is damaged: {e}"))?;
        unpacked += counted.bytes;
        if unpacked > limits::UNPACKED {
            return Err(too_large(counted.bytes));
        }
        looked?;
    }
    for index in 0..archive.len() {
        let Ok(part) = archive.by_index(index) else { continue };
        let name = part.name().map(std::borrow::Cow::into_owned).unwrap_or_default();
        let ending = name.rsplit_once('.').map_or(String::new(), |(_, ending)| ending.to_lowercase());
        if matches!(ending.as_str(), "xml" | "rels") {
            well_formed(part)
                .map_err(|why| format!("the workbook is damaged: `{}` {why}", super::table::plain(&name)))?;
        }
    }
    Ok(())
}

/// Whether a part ends all that it begins, and says what it is before (XML 1.0, 2.1 and 2.8). Of one that breaks off the library
/// might look for the end for ever.
fn well_formed(part: impl Read) -> Result<(), String> {
    let mut reader = Reader::from_reader(std::io::BufReader::new(part));
    let (mut buffer, mut depth) = (Vec::new(), 0usize);
    loop {
        buffer.clear();
        match reader.read_event_into(&mut buffer) {
            Ok(Event::Start(_)) => depth += 1,
            Ok(Event::End(_)) => depth = depth.saturating_sub(1),
            Ok(Event::Eof) if depth == 0 => return Ok(()),
            Ok(Event::Eof) => return Err("breaks off".into()),
            Ok(Event::DocType(_)) if depth > 0 => return Err("declares its type in its midst".into()),
            Ok(_) => {}
            Err(e) => return Err(format!("is not well-formed: {e}")),
        }
    }
}

/// Counts what is read.
struct Counted<R> {
    inner: R,
    bytes: u64,
}

impl<R: Read> Read for Counted<R> {
    fn read(&mut self, buffer: &mut [u8]) -> std::io::Result<usize> {
        let n = self.inner.read(buffer)?;
        self.bytes += n as u64;
        Ok(n)
    }
}

/// Looks for numbers in a part that would have a reader reserve or repeat without measure.
fn look_at(name: &str, part: &mut impl Read) -> Result<(), String> {
    let lower = name.to_lowercase();
    if lower.ends_with("sharedstrings.xml") {
        shared_strings(part)
    } else if lower == "content.xml" {
        open_document(part)
    } else {
        Ok(())
    }
}

/// An attribute by its local name, as a number.
fn number(element: &BytesStart<'_>, local: &str) -> Option<u64> {
    let text = element
        .attributes()
        .with_checks(false)
        .flatten()
        .find(|a| a.key.local_name().as_ref() == local)?
        .value
        .into_owned();
    // What is no number at all is left to the reader, which refuses it.
    let digits = text.trim().trim_start_matches('+');
    (!digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit())).then(|| digits.parse().unwrap_or(u64::MAX))
}

/// The table of texts states how many there are, and room is made for them.
fn shared_strings(part: &mut impl Read) -> Result<(), String> {
    let mut reader = Reader::from_reader(std::io::BufReader::new(part));
    let mut buffer = Vec::new();
    loop {
        buffer.clear();
        match reader.read_event_into(&mut buffer) {
            Ok(Event::Start(e) | Event::Empty(e)) if e.local_name().as_ref() == "sst" => {
                let stated = number(&e, "uniqueCount").unwrap_or(0);
                return if stated > limits::CELLS as u64 {
                    Err(format!("the workbook states that it holds {stated} texts; it was not opened"))
                } else {
                    Ok(())
                };
            }
            Ok(Event::Eof) | Err(_) => return Ok(()),
            Ok(_) => {}
        }
    }
}

/// A cell, a row or a space of an OpenDocument sheet states how often it is repeated.
fn open_document(part: &mut impl Read) -> Result<(), String> {
    let refused = || "the sheet repeats cells or spaces beyond every measure; it was not opened".to_owned();
    let mut reader = Reader::from_reader(std::io::BufReader::new(part));
    reader.config_mut().check_end_names = false;
    let mut buffer = Vec::new();
    let mut sheet = Sheet::default();
    loop {
        buffer.clear();
        let (event, empty) = match reader.read_event_into(&mut buffer) {
            Ok(Event::Start(e)) => (Some(e), false),
            Ok(Event::Empty(e)) => (Some(e), true),
            Ok(Event::Text(t)) => {
                sheet.text(t.len() as u64);
                (None, false)
            }
            Ok(Event::End(e)) => {
                if e.local_name().as_ref() == "table-row" {
                    sheet.end_row();
                }
                (None, false)
            }
            Ok(Event::Eof) | Err(_) => break,
            Ok(_) => (None, false),
        };
        if let Some(e) = event {
            match e.local_name().as_ref() {
                "table" => sheet = Sheet { total: sheet.total, ..Sheet::default() },
                "table-row" => {
                    sheet.begin_row(number(&e, "number-rows-repeated").unwrap_or(1));
                    if empty {
                        sheet.end_row();
                    }
                }
                "table-cell" | "covered-table-cell" => {
                    let filled = e.attributes().with_checks(false).flatten().any(|a| {
                        matches!(
                            a.key.local_name().as_ref(),
                            "value-type"
                                | "value"
                                | "formula"
                                | "string-value"
                                | "date-value"
                                | "time-value"
                                | "boolean-value"
                        )
                    });
                    let own: usize = e.attributes().with_checks(false).flatten().map(|a| a.value.len()).sum();
                    sheet.cell(number(&e, "number-columns-repeated").unwrap_or(1), filled, own as u64);
                }
                "s" => sheet.text(number(&e, "c").unwrap_or(1)),
                _ => {}
            }
        }
        if sheet.is_too_large() {
            return Err(refused());
        }
    }
    if sheet.is_too_large() { Err(refused()) } else { Ok(()) }
}

/// How much a sheet takes once every repetition is written out.
#[derive(Debug, Default)]
struct Sheet {
    /// Cells of the rows so far, each row once; and of all sheets before.
    total: u64,
    /// Rows so far up to the last that holds something, written out.
    rows: u64,
    /// Rows of blanks since.
    blank_rows: u64,
    /// The widest row that holds something.
    width: u64,
    /// Bytes of all texts, written out.
    bytes: u64,
    row: Line,
}

/// The row that is being read.
#[derive(Debug, Default)]
struct Line {
    repeated: u64,
    /// Cells up to the last that holds something.
    cells: u64,
    blank: u64,
    /// How often the text of the present cell is repeated, in this row.
    times: u64,
    bytes: u64,
    filled: bool,
}

impl Sheet {
    fn begin_row(&mut self, repeated: u64) {
        self.row = Line { repeated, ..Line::default() };
    }

    fn cell(&mut self, repeated: u64, filled: bool, bytes: u64) {
        self.row.times = repeated;
        if filled {
            self.row.cells = self.row.cells.saturating_add(self.row.blank).saturating_add(repeated);
            self.row.blank = 0;
            self.row.filled = true;
            self.text(bytes);
        } else {
            self.row.blank = self.row.blank.saturating_add(repeated);
        }
    }

    fn text(&mut self, bytes: u64) {
        self.row.bytes = self.row.bytes.saturating_add(bytes.saturating_mul(self.row.times.max(1)));
    }

    fn end_row(&mut self) {
        let row = std::mem::take(&mut self.row);
        self.total = self.total.saturating_add(row.cells);
        self.bytes = self.bytes.saturating_add(row.bytes.saturating_mul(row.repeated.max(1)));
        if row.filled {
            self.rows = self.rows.saturating_add(self.blank_rows).saturating_add(row.repeated);
            self.blank_rows = 0;
            self.width = self.width.max(row.cells);
        } else {
            self.blank_rows = self.blank_rows.saturating_add(row.repeated);
        }
    }

    fn is_too_large(&self) -> bool {
        let (cells, bytes) = (limits::CELLS as u64, limits::TEXT as u64);
        let written_out = self.rows.saturating_mul(self.width.max(self.row.cells));
        written_out > cells
            || self.total.saturating_add(self.row.cells) > cells
            || self.bytes.saturating_add(self.row.bytes) > bytes
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_ends_all_that_it_begins() {
        let rows = [
            ("<a><b/>x</a>", true),
            ("<?xml version=\"1.0\"?><a>&amp;</a>", true),
            ("<a><b>x</b>", false),
            ("<a><b>x</a></b>", false),
            ("<a>x</a", false),
            ("<a>x<!-- </a>", false),
            ("<!DOCTYPE a><a>x</a>", true),
            ("<a>x<!DOCTYPE a>y</a>", false),
        ];
        for (part, wanted) in rows {
            assert_eq!(well_formed(part.as_bytes()).is_ok(), wanted, "{part}: {:?}", well_formed(part.as_bytes()));
        }
    }
}
