//! Striking out: a fact that was never so becomes blank, a line of facts that was never so goes. What stood is in the journal,
//! and the page of the piece shows it.

use rusqlite::OptionalExtension;

use super::Entry;
use crate::catalogue::{Fault, Result};

/// The sections whose lines can be struck out, and their tables. A component is named by other lines, a treatment has its
/// seal, and an observation is withdrawn.
const LINES: [(&str, &str); 9] = [
    ("person", "person_role"),
    ("event", "event"),
    ("move", "move"),
    ("housing", "housing"),
    ("display", "display"),
    ("care", "care"),
    ("made_after", "made_after"),
    ("departure", "departure"),
    ("work", "work"),
];

/// Whether lines of this section can be struck out.
pub fn can_strike(section: &str) -> bool {
    LINES.iter().any(|(known, _)| *known == section)
}

/// What is to be struck out.
#[derive(Debug, Clone, Default)]
pub(in crate::catalogue) struct Strike {
    /// Fields of the piece.
    pub piece: Vec<String>,
    /// Fields of the circumstances of the sheet's examination.
    pub examination: Vec<String>,
    /// Lines, by table and identifier.
    lines: Vec<(&'static str, String)>,
}

impl Strike {
    /// Reads `piece.maker`, `examination.light`, `departure.ID`.
    pub fn read(list: &[String]) -> Result<Self> {
        let mut strike = Self::default();
        for text in list {
            let (section, what) = text.split_once('.').unwrap_or((text, ""));
            let what = what.trim().to_owned();
            let lines = LINES.iter().find(|(known, _)| *known == section.trim());
            match (section.trim(), lines) {
                (_, _) if what.is_empty() => return Err(unknown(text)),
                ("piece", _) => strike.piece.push(what),
                ("examination", _) => strike.examination.push(what),
                (_, Some((_, table))) => strike.lines.push((table, what)),
                _ => return Err(unknown(text)),
            }
        }
        Ok(strike)
    }
}

fn unknown(text: &str) -> Fault {
    let lines = LINES.map(|(section, _)| section).join(", ");
    Fault::Refused(format!(
        "`{text}` cannot be struck out; write a field of the piece or of the circumstances (`piece.maker`, \
         `examination.light`), or a line with its id (`departure.ID`): {lines}"
    ))
}

impl Entry<'_, '_> {
    /// Removes the lines that are struck out, with the lists inside them.
    pub(super) fn strike_lines(&mut self) -> Result<()> {
        for (table, uid) in std::mem::take(&mut self.strike.lines) {
            let sql = format!("SELECT id FROM \"{table}\" WHERE uid = ? AND piece_id = ?");
            let row: Option<i64> = self.change.db().query_row(&sql, (&uid, self.piece), |r| r.get(0)).optional()?;
            let Some(row) = row else {
                return Err(Fault::Refused(format!(
                    "`{}` has no line `{uid}` to strike out; it may have been struck out meanwhile",
                    self.done.number
                )));
            };
            let inner = "SELECT m.name FROM sqlite_master m JOIN pragma_foreign_key_list(m.name) f
                          WHERE m.type = 'table' AND f.\"table\" = ? AND f.\"from\" = 'owner_id' ORDER BY m.name";
            let inner: Vec<String> = {
                let mut statement = self.change.db().prepare(inner)?;
                statement.query_map([table], |r| r.get(0))?.collect::<std::result::Result<_, _>>()?
            };
            inner.iter().try_for_each(|list| self.clear_from(list, row, 0))?;
            self.change.delete(table, row)?;
            self.done.corrected += 1;
        }
        Ok(())
    }
}
