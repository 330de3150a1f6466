//! What an old list said of a piece: the cells of its row as they stood, beside what was read from them.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

/// A row of a spreadsheet that a piece was imported from.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct SourceRow {
    /// Stable identifier.
    pub id: Option<String>,
    /// Name of the file, without its folder.
    pub file: String,
    /// SHA-256 of its bytes, 64 hexadecimal digits.
    pub file_sha256: String,
    /// The sheet of a workbook; none of a text file.
    pub sheet: Option<String>,
    /// The row, from 1, as a spreadsheet program counts.
    pub row: u32,
    /// Every column, in order.
    pub cells: Vec<SourceCell>,
}

/// One cell.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct SourceCell {
    /// The heading of its column.
    pub heading: String,
    /// What stood in it, unaltered; blank where nothing did.
    pub text: String,
    /// What the column was taken for: `piece.date`, `dimensions`, `nothing`.
    pub taken_for: String,
    /// What was read from it, in words; blank where nothing was.
    pub read: String,
}

impl SourceRow {
    /// Whether another row says the same under the same headings; blank cells do not matter.
    pub fn says_the_same(&self, other: &SourceRow) -> bool {
        fn said(row: &SourceRow) -> Vec<(&str, &str)> {
            let mut said: Vec<_> = row.cells.iter().map(|c| (c.heading.as_str(), c.text.as_str())).collect();
            said.retain(|(_, text)| !text.is_empty());
            said.sort_unstable();
            said
        }
        said(self) == said(other)
    }

    /// The headings under which another row says something else.
    pub fn differs_in(&self, other: &SourceRow) -> Vec<String> {
        let text = |row: &SourceRow, heading: &str| {
            row.cells.iter().find(|c| c.heading == heading).map(|c| c.text.clone()).unwrap_or_default()
        };
        let headings: BTreeSet<&String> = self.cells.iter().chain(&other.cells).map(|c| &c.heading).collect();
        headings.into_iter().filter(|h| text(self, h) != text(other, h)).cloned().collect()
    }
}
