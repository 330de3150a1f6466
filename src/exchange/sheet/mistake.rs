//! A mistake in a sheet: where it stands, what stands there, what is wrong, what to do.

use std::fmt;
use std::ops::Range;

/// So many characters of a line are shown before a mistake, and so many from it on.
const NEAR: usize = 120;

/// One mistake, ready to show.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct Mistake {
    /// Line, from 1.
    pub line: usize,
    /// Column in characters, from 1.
    pub column: usize,
    /// The text of the line; of a very long one, what stands near the mistake.
    pub text: String,
    /// Column of the first character of `text`: 1, unless the line is very long.
    pub from: usize,
    /// How many characters of it are meant.
    pub length: usize,
    /// What is wrong, and the mend.
    pub what: String,
}

impl Mistake {
    /// Finds line and column of a place in a text.
    pub(super) fn at(source: &str, span: Range<usize>, what: String) -> Self {
        let start = floor(source, span.start);
        let before = &source[..start];
        let line_start = before.rfind('\n').map_or(0, |i| i + 1);
        let column = source[line_start..start].chars().count() + 1;
        let from = column.saturating_sub(NEAR).max(1);
        let whole = source[line_start..].lines().next().unwrap_or_default().trim_end_matches('\r');
        let text = whole.chars().skip(from - 1).take(2 * NEAR).collect();
        let end = floor(source, span.end.max(start));
        let meant = source[start..end].lines().next().unwrap_or_default().chars().take(NEAR).count();
        Self { line: before.matches('\n').count() + 1, column, text, from, length: meant.max(1), what }
    }
}

/// The nearest place at or before `at` where a character begins.
fn floor(source: &str, at: usize) -> usize {
    let mut at = at.min(source.len());
    while !source.is_char_boundary(at) {
        at -= 1;
    }
    at
}

impl fmt::Display for Mistake {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let number = self.line.to_string();
        let margin = " ".repeat(number.len());
        let before = self.column.saturating_sub(self.from);
        let indent: String = self.text.chars().take(before).map(|c| if c == '\t' { '\t' } else { ' ' }).collect();
        writeln!(f, "{}:{}: {}", self.line, self.column, visible(&self.what))?;
        writeln!(f, "  {number} | {}", visible(&self.text))?;
        write!(f, "  {margin} | {indent}{}", "^".repeat(self.length))
    }
}

/// What a terminal would obey rather than show becomes a sign.
fn visible(text: &str) -> String {
    text.chars().map(|c| if c.is_control() && c != '\t' { '\u{fffd}' } else { c }).collect()
}

/// The text of a sheet's bytes: UTF-8, with or without a byte order mark.
///
/// # Errors
/// Names line and column of the first byte that is no UTF-8.
pub fn text_of(bytes: &[u8]) -> Result<&str, Mistake> {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    std::str::from_utf8(bytes).map_err(|e| {
        let good = String::from_utf8_lossy(&bytes[..e.valid_up_to()]).into_owned();
        let at = good.len();
        Mistake::at(
            &good,
            at..at,
            format!(
                "the byte 0x{:02X} here is no UTF-8; save the sheet as UTF-8 (plain text, Unicode) and enter it again",
                bytes[e.valid_up_to()]
            ),
        )
    })
}
