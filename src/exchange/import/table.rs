//! A spreadsheet as rows of cells, whatever file it came from.

use std::collections::{BTreeMap, HashMap, HashSet};

use super::limits;
use super::swallowed::Swallowed;
use crate::words::letter;

/// What a file holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Kind {
    /// Text with a sign between cells.
    Csv,
    /// Office Open XML workbook.
    Xlsx,
    /// OpenDocument spreadsheet.
    Ods,
}

impl Kind {
    /// By the bytes a file begins with; names say nothing. Both kinds of workbook are archives.
    pub fn of(bytes: &[u8]) -> Kind {
        // What an archive begins with, or one in which nothing is (PKWARE APPNOTE 6.3.10, 4.3.7 and 4.3.16). A heading may
        // begin with the first two letters as well.
        if !bytes.starts_with(b"PK\x03\x04") && !bytes.starts_with(b"PK\x05\x06") {
            return Kind::Csv;
        }
        // ODF 1.2 part 3, 3.3: the first part is `mimetype`, stored as it is.
        let head = &bytes[..bytes.len().min(200)];
        let ods = memchr::memmem::find(head, b"opendocument.spreadsheet").is_some();
        if ods { Kind::Ods } else { Kind::Xlsx }
    }

    /// As it is written on the command line.
    pub fn word(self) -> &'static str {
        match self {
            Kind::Csv => "csv",
            Kind::Xlsx => "xlsx",
            Kind::Ods => "ods",
        }
    }
}

/// What a cell was in its file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Type {
    /// Words; every cell of a text file.
    #[default]
    Text,
    /// A number: what looks like an accession number may have lost a nought at its end.
    Number,
    /// A day that the spreadsheet program made, written as year-month-day.
    Day,
    /// An error of a formula, such as `#REF!`.
    Error,
}

/// One cell.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Cell {
    /// Its text, unaltered; of numbers and days, as they are written plainly.
    pub text: String,
    /// What it was.
    pub is: Type,
}

impl Cell {
    /// A cell of words.
    pub fn text(text: impl Into<String>) -> Self {
        Cell { text: text.into(), is: Type::Text }
    }

    /// Whether a formula failed here. A text file has the words for it alone.
    pub fn has_failed(&self) -> bool {
        self.is == Type::Error || is_error(&self.text)
    }
}

/// What spreadsheet programs write in place of a result (ECMA-376 part 1, 18.17.3; OpenFormula, constant errors). Those of newer
/// programs and of programs in other languages are written from memory.
const ERRORS: [&str; 13] = [
    "#NULL!",
    "#DIV/0!",
    "#VALUE!",
    "#REF!",
    "#NAME?",
    "#NUM!",
    "#N/A",
    "#GETTING_DATA",
    "#SPILL!",
    "#CALC!",
    "#NV",
    "#N/B",
    "#N/D",
];

/// Whether a text begins with such a word: one of these, `#WERT!` and the like in capitals, or `Err:502`.
fn is_error(text: &str) -> bool {
    let Some(word) = text.split_whitespace().next().filter(|word| word.starts_with(['#', 'E', 'F'])) else {
        return false;
    };
    if ERRORS.contains(&word) {
        return true;
    }
    if let Some(number) = ["Err:", "Error:", "Fehler:"].iter().find_map(|lead| word.strip_prefix(lead)) {
        return number.len() == 3 && number.bytes().all(|b| b.is_ascii_digit());
    }
    let inner = word.strip_prefix('#').and_then(|rest| rest.strip_suffix(['!', '?'])).unwrap_or_default();
    inner.chars().filter(|c| c.is_uppercase()).count() > 1
        && inner.chars().all(|c| c.is_uppercase() || c.is_ascii_digit() || matches!(c, '/' | '_' | '¡' | '¿'))
}

/// One row that holds something.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Row {
    /// Its number, from 1, as a spreadsheet program counts.
    pub number: u32,
    /// Its cells, from the first column; trailing blanks left out.
    pub cells: Vec<Cell>,
    /// Whether one of them seems to hold further rows of the list.
    pub swallowed: Option<Swallowed>,
}

impl Row {
    /// The text of a column; blank where nothing stands.
    pub fn text(&self, column: usize) -> &str {
        self.cells.get(column).map_or("", |c| c.text.as_str())
    }

    /// How many cells hold something.
    pub fn filled(&self) -> usize {
        self.cells.iter().filter(|c| !c.text.trim().is_empty()).count()
    }
}

/// A sheet.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Table {
    /// The rows that hold something, in order.
    pub rows: Vec<Row>,
    /// How a text file was written: its encoding and the sign between cells. None of a workbook.
    pub written: Option<Written>,
    /// The sheet that was read, and the others; none of a text file.
    pub sheet: Option<String>,
    /// The other sheets of the workbook, those that hold something.
    pub other_sheets: Vec<String>,
    /// What is said about the file as a whole.
    pub remarks: Vec<String>,
}

/// How a text file was written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    /// `utf-8`, `utf-16le`, `utf-16be`, `windows-1252`.
    pub encoding: String,
    /// The sign between cells.
    pub delimiter: char,
}

/// Rows as they come in, in any order, held to the limits.
#[derive(Debug, Default)]
pub struct Growing {
    rows: BTreeMap<u32, Vec<Cell>>,
    cells: usize,
    bytes: usize,
}

impl Growing {
    /// Puts a cell in its place; rows and columns from 0.
    ///
    /// # Errors
    /// If a limit is passed; a sentence.
    pub fn put(&mut self, row: usize, column: usize, cell: Cell) -> Result<(), String> {
        if cell.text.is_empty() {
            return Ok(());
        }
        let place = || format!("row {}, column {}", row + 1, letter(column));
        if column >= limits::COLUMNS {
            let most = limits::COLUMNS;
            return Err(format!("{}: a list has at most {most} columns; delete those that are not needed", place()));
        }
        if cell.text.len() > limits::CELL {
            return Err(format!(
                "{}: the cell holds {} bytes; at most {} are read",
                place(),
                cell.text.len(),
                limits::CELL
            ));
        }
        let number = u32::try_from(row + 1).map_err(|_| format!("{}: there is no such row", place()))?;
        if self.rows.len() >= limits::ROWS && !self.rows.contains_key(&number) {
            return Err(format!("{}: a list has at most {} rows; import it in parts", place(), limits::ROWS));
        }
        let cells = self.rows.entry(number).or_default();
        if cells.len() <= column {
            self.cells += column + 1 - cells.len();
            cells.resize(column + 1, Cell::default());
        }
        self.bytes += cell.text.len();
        if self.cells > limits::CELLS || self.bytes > limits::TEXT {
            return Err(format!("{}: the list is larger than any that can be read; import it in parts", place()));
        }
        cells[column] = cell;
        Ok(())
    }

    /// The cell at a place, from 0.
    pub fn at(&self, row: usize, column: usize) -> Option<&Cell> {
        self.rows.get(&u32::try_from(row + 1).ok()?)?.get(column)
    }

    /// The numbers of the rows from `first` to `last`, counted from 1, that hold something.
    pub fn numbers(&self, first: u32, last: u32) -> Vec<u32> {
        if first > last { Vec::new() } else { self.rows.range(first..=last).map(|(n, _)| *n).collect() }
    }

    /// The rows, those of blanks alone left out.
    pub fn rows(self) -> Vec<Row> {
        let rows = self.rows.into_iter().map(|(number, cells)| Row { number, cells, swallowed: None });
        rows.filter(|row| row.filled() > 0).collect()
    }
}

/// Where a heading stands, and what the columns are called.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Headings {
    /// The row of the headings, from 1 as a spreadsheet program counts; the last one where there are two.
    pub row: u32,
    /// How many rows they take.
    pub rows: u32,
    /// The name of each column; no two are alike, none is blank.
    pub names: Vec<String>,
}

impl Table {
    /// The headings in `row` and the rows above it that belong to them. Columns without one are called after their letter;
    /// of headings that are repeated, the later ones are numbered.
    pub fn headings(&self, row: u32, rows: u32) -> Headings {
        let found: Vec<&Row> =
            self.rows.iter().filter(|r| r.number <= row && r.number.saturating_add(rows) > row).collect();
        let width = self.rows.iter().filter(|r| r.number > row.saturating_sub(rows)).map(|r| r.cells.len()).max();
        let mut names: Vec<String> = Vec::new();
        let mut taken: HashSet<String> = HashSet::new();
        let mut times: HashMap<String, usize> = HashMap::new();
        let mut upper = vec![String::new(); found.len()];
        for column in 0..width.unwrap_or_default() {
            let mut parts: Vec<String> = Vec::new();
            for (level, row) in found.iter().enumerate() {
                let text = plain(row.text(column));
                // An upper heading reaches over the blank cells at its right that have a lower one.
                let last = level + 1 == found.len();
                if !last && !text.is_empty() {
                    upper[level].clone_from(&text);
                }
                let own = if last || !text.is_empty() { text } else { upper[level].clone() };
                if !own.is_empty() && !parts.contains(&own) {
                    parts.push(own);
                }
            }
            let lower = found.last().is_some_and(|row| !row.text(column).trim().is_empty());
            let name = if parts.is_empty() || (!lower && found.iter().all(|r| r.text(column).trim().is_empty())) {
                format!("column {}", letter(column))
            } else {
                parts.join(" / ")
            };
            let again = times.entry(name.clone()).or_insert(1);
            let mut unique = name.clone();
            while !taken.insert(unique.clone()) {
                *again += 1;
                unique = format!("{name} ({again})");
            }
            names.push(unique);
        }
        Headings { row, rows, names }
    }

    /// The rows of which a cell seems to hold further rows of the list, each with what is told of it.
    pub fn swallowed(&self) -> impl Iterator<Item = (&Row, &Swallowed)> {
        self.rows.iter().filter_map(|row| Some((row, row.swallowed.as_ref()?)))
    }

    /// Says of the file as a whole that a quotation mark was left open, and where first.
    pub(super) fn tell_swallowed(&mut self) {
        let Some((row, first)) = self.swallowed().next() else { return };
        let further = match self.swallowed().count() - 1 {
            0 => String::new(),
            n => format!(", and of {} more", crate::words::count(n, "row")),
        };
        self.remarks.push(format!("row {}{further}: {}", row.number, first.why()));
    }

    /// The rows below the headings.
    pub fn body<'a>(&'a self, headings: &Headings) -> impl Iterator<Item = &'a Row> + use<'a> {
        let row = headings.row;
        self.rows.iter().filter(move |r| r.number > row)
    }
}

/// A heading on one line.
pub fn plain(text: &str) -> String {
    let mut out = String::new();
    for word in text.split(|c: char| c.is_whitespace() || c.is_control() || c == '\u{feff}').filter(|w| !w.is_empty()) {
        if !out.is_empty() {
            out.push(' ');
        }
        out.push_str(word);
    }
    out
}

/// A text on one line, no longer than so many letters.
pub fn short(text: &str, most: usize) -> String {
    let text = plain(text);
    if text.chars().count() <= most { text } else { format!("{} ...", text.chars().take(most).collect::<String>()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    pub(super) fn table(rows: &[&[&str]]) -> Table {
        let mut growing = Growing::default();
        for (r, row) in rows.iter().enumerate() {
            for (c, text) in row.iter().enumerate() {
                growing.put(r, c, Cell::text(*text)).expect("within the limits");
            }
        }
        Table { rows: growing.rows(), ..Table::default() }
    }

    #[test]
    fn headings_of_two_rows_are_joined_and_repeated_ones_told_apart() {
        let table = table(&[
            &["No.", "Size", "", "Note", "Note", ""],
            &["", "H", "W", "", "", ""],
            &["1", "2", "3", "4", "5", "6"],
        ]);
        let names = table.headings(2, 2).names;
        assert_eq!(names, ["No.", "Size / H", "Size / W", "Note", "Note (2)", "column F"]);
        assert_eq!(table.headings(1, 1).names[5], "column F");
    }

    #[test]
    fn a_failed_formula_is_known_by_its_words_and_nothing_else_is_one() {
        let failed = [
            "#NULL!",
            "#DIV/0!",
            "#VALUE!",
            "#REF!",
            "#NAME?",
            "#NUM!",
            "#N/A",
            "#GETTING_DATA",
            "#SPILL!",
            "#CALC!",
            " #REF! ",
            "Err:502",
            "#WERT!",
            "#BEZUG!",
            "#NV",
            "#¡VALOR!",
            "#¿NOMBRE?",
            "#N/A (no such row)",
        ];
        let words = [
            "",
            "#",
            "#7",
            "# 7!",
            "#red!",
            "No. #REF",
            "#REF 12",
            "Err: 502 buttons",
            "Err:50",
            "Erring",
            "FALSE",
            "#1?",
            "#A!",
        ];
        for (texts, wanted) in [(&failed[..], true), (&words, false)] {
            for text in texts {
                assert_eq!(Cell::text(*text).has_failed(), wanted, "{text}");
            }
        }
        assert!(Cell { text: "?".into(), is: Type::Error }.has_failed());
    }

    #[test]
    fn the_kind_of_a_file_is_told_by_its_bytes() {
        for (bytes, wanted) in [
            (&b"PK\x03\x04..."[..], Kind::Xlsx),
            (b"PK\x05\x06...", Kind::Xlsx),
            (b"PK\x03\x04mimetypeapplication/vnd.oasis.opendocument.spreadsheet", Kind::Ods),
            (b"PK Nr.;Object\n1;cap\n", Kind::Csv),
            (b"PK", Kind::Csv),
        ] {
            assert_eq!(Kind::of(bytes), wanted, "{}", String::from_utf8_lossy(bytes));
        }
    }

    #[test]
    fn what_is_too_large_is_refused_with_its_place() {
        let mut growing = Growing::default();
        let wide = growing.put(3, 100_000, Cell::text("x")).expect_err("too wide");
        assert!(wide.contains("row 4, column EQXE") && wide.contains("1000 columns"), "{wide}");
        let long = growing.put(0, 0, Cell::text("x".repeat(limits::CELL + 1))).expect_err("too long");
        assert!(long.contains("row 1, column A"), "{long}");
    }
}
