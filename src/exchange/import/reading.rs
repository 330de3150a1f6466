//! A row of the list read into a record, with every doubt.

use std::collections::HashMap;

use jiff::civil::Date;
use serde::Serialize;

use super::draft::{Draft, KEPT, is_blank};
use super::fill::{self, Words};
use super::headings;
use super::mapping::{Column, Mapping};
use super::swallowed::Swallowed;
use super::table::{Cell, Headings, Row, plain};
use super::target::Target;
use crate::record::PieceFile;
use crate::record::source::{SourceCell, SourceRow};

/// Something about a cell that a person should look at.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Doubt {
    /// The heading of the column; blank where the row as a whole is meant.
    pub heading: String,
    /// What stands in the cell.
    pub text: String,
    /// What is doubtful.
    pub why: String,
    /// What to do.
    pub mend: String,
    /// Whether something was not read at all; else it was read and may be wrong.
    pub unread: bool,
}

/// The names of files that a cell of photographs holds.
pub fn file_names(text: &str) -> impl Iterator<Item = String> {
    text.split(['\n', ';', ',']).map(fill::clean).filter(|name| !name.is_empty())
}

/// A row as read.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// The row, from 1.
    pub row: u32,
    /// By what `[numbers]` of a mapping calls it.
    pub key: String,
    /// The record; its number is blank where the row has none.
    pub file: PieceFile,
    /// The cells as they stood, beside what was read.
    pub source: SourceRow,
    /// What to look at.
    pub doubts: Vec<Doubt>,
    /// Names of files of photographs that the row gives.
    pub photographs: Vec<String>,
    /// Why the row is no piece, if it is none.
    pub no_piece: Option<String>,
    /// Why it cannot be entered as it stands, and what to do: one of its cells holds further rows.
    pub swallowed: Option<(String, String)>,
}

/// By what `[numbers]` of a mapping calls a row that has no number.
pub(super) fn row_key(row: u32) -> String {
    format!("row {row}")
}

/// What a list is read by.
pub struct Reader<'a> {
    /// How.
    pub(super) mapping: &'a Mapping,
    /// The terms and conventions.
    pub(super) words: Words<'a>,
    /// The list.
    pub(super) list: Origin<'a>,
    /// The columns in their order, each with its heading; none where the mapping does not name it.
    columns: Vec<(&'a str, Option<&'a Column>)>,
    /// The rows of each number that the list has, as it stands there.
    numbered: HashMap<String, Vec<u32>>,
}

/// Where a list comes from, and who imports it.
#[derive(Debug, Clone, Copy)]
pub struct Origin<'a> {
    /// Name of the file.
    pub file: &'a str,
    /// SHA-256 of its bytes.
    pub sha256: &'a str,
    /// The sheet of a workbook.
    pub sheet: Option<&'a str>,
    /// The day to stand for that of the list where it is not known, and who imports.
    pub today: Date,
    /// See `today`.
    pub importer: &'a str,
}

/// Words that a row of sums begins with.
const SUMS: [&str; 9] = ["total", "totals", "sum", "grand total", "subtotal", "count", "summe", "gesamt", "totaal"];

impl<'a> Reader<'a> {
    /// Reads by a mapping the columns of these headings.
    pub fn new(mapping: &'a Mapping, headings: &'a Headings, words: Words<'a>, list: Origin<'a>) -> Self {
        let columns = headings.names.iter().map(|name| (name.as_str(), mapping.of(name))).collect();
        Self { mapping, words, list, columns, numbered: HashMap::new() }
    }

    /// Lets it know the rows that it will read: of those with the same number each has a name of its own.
    #[must_use]
    pub fn among<'r>(mut self, rows: impl Iterator<Item = &'r Row>) -> Self {
        let is_number = |column: &Column| column.target.is("piece.number");
        if let Some(at) = self.columns.iter().position(|(_, column)| column.is_some_and(is_number)) {
            for row in rows {
                self.numbered.entry(plain(row.text(at))).or_default().push(row.number);
            }
        }
        self
    }

    /// By what `[numbers]` calls a row: by what stands there for its number, and which of several it is; so that a name never
    /// takes hold of another row when some are put in above. Only a row without a number is called by its place.
    pub(super) fn key(&self, row: u32, written: &str) -> String {
        if written.is_empty() {
            return row_key(row);
        }
        match self.numbered.get(written).map(Vec::as_slice) {
            Some(rows @ [_, _, ..]) => {
                format!("{written} [{}]", rows.iter().position(|other| *other == row).map_or(1, |at| at + 1))
            }
            _ => written.to_owned(),
        }
    }

    /// Reads a row.
    pub fn read(&self, row: &Row) -> Reading {
        let mut draft = Draft::new(self);
        let mut cells = Vec::with_capacity(self.columns.len());
        let blank = Cell::default();
        for (at, (heading, column)) in self.columns.iter().enumerate() {
            let cell = row.cells.get(at).unwrap_or(&blank);
            let read = match column {
                Some(column) if !is_blank(&cell.text) => draft.cell(column, cell, row.number),
                _ => String::new(),
            };
            cells.push(SourceCell {
                heading: (*heading).to_owned(),
                text: cell.text.clone(),
                taken_for: column.map_or(&Target::Nothing, |column| &column.target).word(),
                read,
            });
        }
        let no_piece = self.no_piece(row, &draft);
        if draft.file.piece.number.is_none() && no_piece.is_none() {
            let by_row = self.mapping.numbers.get(&row_key(row.number));
            draft.file.piece.number = by_row.cloned();
        }
        draft.finish();
        for cell in cells.iter_mut().filter(|cell| draft.taken_back.contains(&cell.heading)) {
            cell.read = KEPT.into();
        }
        let source = SourceRow {
            id: None,
            file: self.list.file.to_owned(),
            file_sha256: self.list.sha256.to_owned(),
            sheet: self.list.sheet.map(String::from),
            row: row.number,
            cells,
        };
        let Draft { file, doubts, photographs, .. } = draft;
        let swallowed = row.swallowed.as_ref().map(|found| (found.why(), Swallowed::mend(row.number)));
        let number = |cell: &&SourceCell| cell.taken_for == "piece.number";
        let written = source.cells.iter().find(number).map(|cell| plain(&cell.text)).unwrap_or_default();
        Reading {
            row: row.number,
            key: self.key(row.number, &written),
            file,
            source,
            doubts,
            photographs,
            no_piece,
            swallowed,
        }
    }

    /// Why a row without a number is no piece of the list: headings again, sums, a title between rows.
    fn no_piece(&self, row: &Row, draft: &Draft<'_, '_>) -> Option<String> {
        let filled = |at: usize| plain(row.text(at));
        let same = self.columns.iter().enumerate().filter(|(at, (name, _))| {
            let text = filled(*at);
            let again = name.strip_prefix(text.as_str()).is_some_and(|rest| rest.starts_with(" ("));
            !text.is_empty() && (text == *name || again || name.ends_with(&format!(" / {text}")))
        });
        if row.filled() > 1 && same.count() == row.filled() {
            return Some("the headings again".into());
        }
        let first = row.cells.iter().map(|c| headings::bare(&c.text)).find(|t| !t.is_empty()).unwrap_or_default();
        let others_are_figures = row
            .cells
            .iter()
            .filter(|c| !c.text.trim().is_empty())
            .skip(1)
            .all(|c| c.text.trim().chars().all(|c| c.is_ascii_digit() || " .,€£$%".contains(c)));
        if SUMS.iter().any(|word| first == *word) && others_are_figures {
            return Some("a row of sums".into());
        }
        let number =
            draft.file.piece.number.as_ref().filter(|n| row.filled() > 1 || n.contains(|c: char| c.is_ascii_digit()));
        let numbered = number.is_some() || self.mapping.numbers.contains_key(&row_key(row.number));
        (!numbered && row.filled() == 1 && self.columns.len() > 2)
            .then(|| "a title between the rows, or a line that was broken".into())
    }
}
