//! What a check finds, and the list of all checks: the words that pages, scripts and tests share.

use serde::Deserialize;

/// Every check. `crash` is none: it says that a script did not get to its end.
pub const CHECKS: [&str; 16] = [
    "nu",       // valid HTML and CSS, without warnings (Nu HTML checker)
    "axe",      // accessible (axe-core; WCAG 2.2 AA among its rules)
    "overflow", // no wider than the window
    "network",  // complete in itself: fetches nothing, and every picture shows
    "script",   // no script fails
    "planted",  // markup in a record stays text
    "search",   // the search box is reached by keyboard, filters, and counts
    "size",     // the sheet has the size asked for, and margins
    "count",    // a sane number of sheets, none empty
    "numbers",  // each sheet says `page X of Y`, and bears the number of the piece
    "text",     // all text of the page is on paper, in the same order
    "beyond",   // nothing outside the margins, and nothing so wide that the page is shrunk
    "row",      // no table row is cut
    "head",     // a table that goes on repeats its head
    "heading",  // no heading is the last line of a sheet
    "figure",   // no picture is cut, or parted from its caption
];

/// One thing wrong with one page.
#[derive(Debug, Clone, Deserialize)]
pub struct Fault {
    /// Name of the page.
    pub page: String,
    /// The check that found it, one of [`CHECKS`].
    pub check: String,
    /// What is wrong, and where.
    pub says: String,
}

/// Faults to read, one a line, alike ones once.
pub fn told<'a>(faults: impl IntoIterator<Item = &'a Fault>) -> String {
    let mut lines: Vec<String> = faults.into_iter().map(|f| format!("  {}: {}: {}", f.page, f.check, f.says)).collect();
    lines.dedup();
    let all = lines.len();
    lines.truncate(200);
    format!("{all} faults\n{}", lines.join("\n"))
}
