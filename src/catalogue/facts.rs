//! The lists of facts about a piece. Their lines are changed in place, and struck out; what stood there is in the journal.

use super::Result;
use super::change::Change;
use super::naming::{self, Named};

/// One of them.
#[derive(Debug, Clone, Copy)]
pub(super) struct Facts {
    /// What a sheet calls its lines.
    pub section: &'static str,
    /// Its table, whose rows point to the piece.
    pub table: &'static str,
}

const fn facts(section: &'static str, table: &'static str) -> Facts {
    Facts { section, table }
}

/// All of them.
pub(super) const FACTS: [Facts; 11] = [
    facts("component", "component"),
    facts("person", "person_role"),
    facts("event", "event"),
    facts("move", "move"),
    facts("housing", "housing"),
    facts("display", "display"),
    facts("care", "care"),
    facts("made_after", "made_after"),
    facts("departure", "departure"),
    facts("work", "work"),
    facts("treatment", "treatment"),
];

/// Lets a line of facts go that nothing which stands names, with the lists inside it. One that is named by what was observed and
/// does not stand any more is kept for it, withdrawn.
pub(super) fn let_go(change: &mut Change<'_>, table: &str, row: i64, named: &Named, reason: &str) -> Result<()> {
    if named.only_past {
        return change.withdraw(table, row, Some(reason)).map(drop);
    }
    for (inside, id) in naming::inside(change.db(), table, row)? {
        change.delete(&inside, id)?;
    }
    change.delete(table, row)
}

/// The list whose lines a sheet calls by this name.
pub(super) fn named(section: &str) -> Option<&'static Facts> {
    FACTS.iter().find(|facts| facts.section == section)
}
