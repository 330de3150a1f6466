//! The lists of facts about a piece. Their lines are changed in place; what stood there is in the journal.

/// One of them.
pub(super) struct Facts {
    /// What a sheet calls its lines.
    pub section: &'static str,
    /// Its table, whose rows point to the piece.
    pub table: &'static str,
    /// Whether a line can be struck out. A component cannot: other lines name it.
    pub can_strike: bool,
}

const fn facts(section: &'static str, table: &'static str, can_strike: bool) -> Facts {
    Facts { section, table, can_strike }
}

/// All of them. A treatment is none: it has its seal.
pub(super) const FACTS: [Facts; 10] = [
    facts("component", "component", false),
    facts("person", "person_role", true),
    facts("event", "event", true),
    facts("move", "move", true),
    facts("housing", "housing", true),
    facts("display", "display", true),
    facts("care", "care", true),
    facts("made_after", "made_after", true),
    facts("departure", "departure", true),
    facts("work", "work", true),
];

/// The list whose lines can be struck out under this name.
pub(super) fn to_strike(section: &str) -> Option<&'static Facts> {
    FACTS.iter().find(|facts| facts.can_strike && facts.section == section)
}

/// Whether lines of this section can be struck out.
pub fn can_strike(section: &str) -> bool {
    to_strike(section).is_some()
}
