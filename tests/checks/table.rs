//! Rows of a check table by the names of their columns.
#![allow(dead_code, reason = "the check files share it")]

use std::collections::HashMap;
use std::path::Path;

/// One row; a failure names it by file and line.
#[derive(Debug, Clone)]
pub struct Row {
    pub place: String,
    cells: HashMap<String, String>,
    order: Vec<String>,
}

impl Row {
    /// The cells in the order of their columns.
    pub fn fields(&self) -> Vec<String> {
        self.order.clone()
    }

    /// The text of a column; empty where nothing stands.
    pub fn text(&self, column: &str) -> &str {
        self.cells.get(column).unwrap_or_else(|| panic!("{}: there is no column `{column}`", self.place))
    }

    /// The number of a column; none where nothing stands.
    pub fn maybe(&self, column: &str) -> Option<f64> {
        let text = self.text(column).trim();
        if text.is_empty() {
            return None;
        }
        Some(text.parse().unwrap_or_else(|_| panic!("{}: `{text}` in `{column}` is no number", self.place)))
    }

    /// The number of a column that must hold one.
    pub fn number(&self, column: &str) -> f64 {
        self.maybe(column).unwrap_or_else(|| panic!("{}: `{column}` is empty", self.place))
    }

    /// Fails unless `found` lies within `tolerance` of `wanted`, naming the row and its source.
    pub fn near(&self, what: &str, found: f64, wanted: f64, tolerance: f64) {
        let source = self.cells.get("source").map_or("", String::as_str);
        assert!(
            (found - wanted).abs() <= tolerance,
            "{}: {what} is {found}, wanted {wanted} within {tolerance} ({source})",
            self.place
        );
    }
}

/// The rows of a file of `fixtures/checks`.
pub fn rows(name: &str) -> Vec<Row> {
    read(&Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/checks").join(name))
}

/// The rows of an open data set beside the checkout; none, said aloud, where it is not there.
pub fn open_data(name: &str) -> Option<Vec<Row>> {
    crate::machine::open_data(name, "accuracy on open data").map(|path| read(&path))
}

fn read(path: &Path) -> Vec<Row> {
    let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let text = std::fs::read_to_string(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    // A comment stands above the head only: further down a `#` begins a colour.
    let mut body = text.as_str();
    let mut above = 0;
    while body.starts_with('#') {
        body = body.split_once('\n').map_or("", |(_, rest)| rest);
        above += 1;
    }
    let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(body.as_bytes());
    let heads = reader.headers().unwrap_or_else(|e| panic!("{name}: {e}")).clone();
    reader
        .records()
        .map(|record| {
            let record = record.unwrap_or_else(|e| panic!("{name}: {e}"));
            let line = above + record.position().map_or(0, csv::Position::line);
            let cells =
                heads.iter().zip(record.iter()).map(|(head, cell)| (head.to_owned(), cell.to_owned())).collect();
            let order = record.iter().map(str::to_owned).collect();
            Row { place: format!("{name}, line {line}"), cells, order }
        })
        .collect()
}
