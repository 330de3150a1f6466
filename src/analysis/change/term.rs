//! Two damage terms of one damage, compared by the vocabulary: a note may continue another under another name.

use crate::vocabulary::{Relation, TermId, Vocabulary};

/// How the later term stands to the earlier one, where the two differ.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Renamed {
    /// The later term is a kind of the earlier: staining, then tideline.
    Narrower,
    /// The later term is wider.
    Broader,
    /// The vocabulary says that the two are easily taken for one another: split, then tear.
    Confusable,
    /// Both are kinds of one wider term: tideline, then foxing.
    Akin,
    /// Nothing joins them: the damage has become another.
    Another,
}

impl Renamed {
    /// In a word: `narrower`.
    pub fn word(self) -> &'static str {
        match self {
            Renamed::Narrower => "narrower",
            Renamed::Broader => "broader",
            Renamed::Confusable => "easily confused",
            Renamed::Akin => "akin",
            Renamed::Another => "another",
        }
    }
}

/// How `now` stands to `then`, and a sentence about it; none where the term is the same or one is not recorded.
pub(super) fn renamed(
    then: Option<&TermId>,
    now: Option<&TermId>,
    vocabulary: &Vocabulary,
) -> Option<(Renamed, String)> {
    let (then, now) = (then?, now?);
    let easily = |a: &TermId, b: &TermId| {
        vocabulary.get(a).is_some_and(|term| term.confused_with.iter().any(|name| name == b.name()))
    };
    Some(match vocabulary.relation(now, then) {
        Relation::Same => return None,
        Relation::Narrower => (Renamed::Narrower, format!("recorded as {then} then, more closely as {now} now")),
        Relation::Broader => (Renamed::Broader, format!("recorded as {then} then, more widely as {now} now")),
        _ if easily(then, now) || easily(now, then) => (
            Renamed::Confusable,
            format!("recorded as {then} then, which is easily taken for {now}: ask whether more than the name changed"),
        ),
        Relation::Related { common } => {
            (Renamed::Akin, format!("recorded as {then} then, as {now} now; both are kinds of {common}"))
        }
        Relation::Different => {
            (Renamed::Another, format!("recorded as {then} then, as {now} now: another damage term"))
        }
    })
}
