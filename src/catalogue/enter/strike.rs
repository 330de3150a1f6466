//! Striking out: a fact that was never so becomes blank, a line of facts that was never so goes. What stood is in the journal,
//! and the page of the piece shows it.

use rusqlite::OptionalExtension;

use super::Entry;
use crate::catalogue::facts::{self, FACTS, Facts, named};
use crate::catalogue::naming;
use crate::catalogue::{Fault, Result};

/// What is to be struck out.
#[derive(Debug, Clone, Default)]
pub(in crate::catalogue) struct Strike {
    /// Fields of the piece.
    pub piece: Vec<String>,
    /// Fields of the circumstances of the sheet's examination.
    pub examination: Vec<String>,
    /// Lines, by list and identifier.
    lines: Vec<(&'static Facts, String)>,
}

impl Strike {
    /// Reads `piece.maker`, `examination.light`, `departure.ID`.
    pub fn read(list: &[String]) -> Result<Self> {
        let mut strike = Self::default();
        for text in list {
            let (section, what) = text.split_once('.').unwrap_or((text, ""));
            let what = what.trim().to_owned();
            match (section.trim(), named(section.trim())) {
                (_, _) if what.is_empty() => return Err(unknown(text)),
                ("piece", _) => strike.piece.push(what),
                ("examination", _) => strike.examination.push(what),
                (_, Some(facts)) => strike.lines.push((facts, what)),
                _ => return Err(unknown(text)),
            }
        }
        Ok(strike)
    }
}

fn unknown(text: &str) -> Fault {
    let lines = FACTS.map(|facts| facts.section).join(", ");
    Fault::Refused(format!(
        "`{text}` cannot be struck out; write a field of the piece or of the circumstances (`piece.maker`, \
         `examination.light`), or a line with its id (`departure.ID`): {lines}"
    ))
}

impl Entry<'_, '_> {
    /// Removes the lines that are struck out, each with the lists inside it. One that others name stays.
    pub(super) fn strike_lines(&mut self) -> Result<()> {
        for (facts, uid) in std::mem::take(&mut self.strike.lines) {
            let (section, table) = (facts.section, facts.table);
            let sql = format!("SELECT id FROM \"{table}\" WHERE uid = ?1 AND piece_id = ?2");
            let row: Option<i64> = self.change.db().query_row(&sql, (&uid, self.piece), |r| r.get(0)).optional()?;
            let Some(row) = row else {
                return Err(Fault::Refused(format!(
                    "`{}` has no line `{uid}` to strike out; it may have been struck out meanwhile",
                    self.done.number
                )));
            };
            let named = naming::of(self.change.db(), table, row)?;
            if !named.by.is_empty() && !named.only_past {
                let mend = if named.for_good { "" } else { "correct what stands there first, or " };
                return Err(Fault::Refused(format!(
                    "this {section} cannot be struck out: {}; {mend}correct the {section} instead",
                    named.by.join(", ")
                )));
            }
            let reason = self.change.reason().to_owned();
            facts::let_go(self.change, table, row, &named, &reason)?;
            self.done.corrected += 1;
        }
        Ok(())
    }
}
