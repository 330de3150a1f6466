//! What could not be read, as a list to work down: a line for each cell, with what is wrong and what to do.

use serde::Serialize;

use super::reading::Doubt;
use crate::words::as_text;

/// One line of the list.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Line {
    /// Where: the row, from 1; none for a photograph.
    pub row: Option<u32>,
    /// The piece, where it is known.
    pub number: String,
    /// The doubt.
    #[serde(flatten)]
    pub doubt: Doubt,
}

/// What the list begins with, so that it is known again.
pub const HEADINGS: [&str; 7] =
    ["row", "accession number", "column", "what stands there", "what is doubtful", "what to do", "was it read"];

/// What was not read at all first, then what may be wrong.
pub fn in_order(lines: &[Line]) -> impl Iterator<Item = &Line> {
    let (unread, doubtful): (Vec<&Line>, Vec<&Line>) = lines.iter().partition(|l| l.doubt.unread);
    unread.into_iter().chain(doubtful)
}

/// The list as CSV, in that order. Ends in a line break.
///
/// # Errors
/// If a line cannot be written, which memory alone could be the cause of.
pub fn csv(lines: &[Line]) -> Result<Vec<u8>, csv::Error> {
    let mut writer = csv::Writer::from_writer(Vec::new());
    writer.write_record(HEADINGS)?;
    for line in in_order(lines) {
        let row = line.row.map(|r| r.to_string()).unwrap_or_default();
        let read = if line.doubt.unread { "no" } else { "yes" };
        let doubt = &line.doubt;
        let fields = [row.as_str(), &line.number, &doubt.heading, &doubt.text, &doubt.why, &doubt.mend, read];
        writer.write_record(fields.map(shown))?;
    }
    writer.into_inner().map_err(|e| e.into_error().into())
}

/// A cell without the signs that a terminal or a spreadsheet program would obey.
fn shown(text: &str) -> String {
    let text: String = text.chars().filter(|c| matches!(c, '\n' | '\t') || !c.is_control()).collect();
    as_text(&text).into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formulas_are_made_harmless_and_the_unread_stand_first() {
        let line = |text: &str, unread| Line {
            row: Some(4),
            number: "2031.4".into(),
            doubt: Doubt { heading: "Date".into(), text: text.into(), why: "why".into(), mend: "mend".into(), unread },
        };
        let bytes = csv(&[line("c. 1810?", false), line("=cmd()\u{7}", true)]).expect("written");
        let text = String::from_utf8(bytes).expect("text");
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines[1], "4,2031.4,Date,'=cmd(),why,mend,no");
        assert_eq!(lines[2], "4,2031.4,Date,c. 1810?,why,mend,yes");
    }
}
