//! What a loan adds to a condition report: what is packed, how it travels, what to look at on arrival, who signs.

use serde::Serialize;

use super::advice::overall;
use super::identity::packed_in;
use super::letters::{Letters, standing};
use super::words::{Facts, amount, bracketed, capital, joined, place, term, text};
use crate::record::condition::Condition;
use crate::record::{Observed, PieceFile};

/// What the loan set adds.
#[derive(Debug, Serialize)]
pub(super) struct Loan {
    /// Each part that is packed, to be ticked off.
    pub parts: Vec<String>,
    pub packing: Facts,
    /// Each damage, with room to write beside it.
    pub damages: Vec<Arrival>,
    pub parties: Vec<Party>,
}

/// One damage as it left.
#[derive(Debug, Serialize)]
pub(super) struct Arrival {
    pub letter: String,
    pub damage: String,
    pub place: String,
    pub state: String,
}

/// Who signs, and when.
#[derive(Debug, Clone, Copy, Serialize)]
pub(super) struct Party {
    pub role: &'static str,
    pub when: &'static str,
}

/// Lender and borrower, when the piece leaves and when it comes in. At either end both may be there, or a courier for
/// one of them.
pub(super) const PARTIES: [Party; 4] = [
    Party { role: "For the lender", when: "outgoing" },
    Party { role: "For the borrower", when: "outgoing" },
    Party { role: "For the lender", when: "incoming" },
    Party { role: "For the borrower", when: "incoming" },
];

pub(super) fn loan(file: &PieceFile, at: usize, letters: &Letters) -> Loan {
    let exam = file.examinations.get(at);
    let notes = exam.map(|e| standing(e).collect::<Vec<_>>()).unwrap_or_default();
    let part = |c: &crate::record::piece::Component| {
        let count = c.count.filter(|n| *n != 1).map(|n| n.to_string()).unwrap_or_default();
        bracketed(&text(c.name.as_ref()), &count)
    };
    // Only what can come apart is packed by itself: the parts that belong to no other.
    let whole = file.components.iter().filter(|c| c.part_of.is_none()).map(part);
    let o = exam.and_then(overall).map(|o| o.what.clone()).unwrap_or_default();
    Loan {
        parts: whole.filter(|t| !t.is_empty()).map(|t| capital(&t)).collect(),
        packing: Facts::default()
            .say("Packed in", packed_in(file))
            .say("Handling", text(o.handling.as_ref()))
            .say("Storage", text(o.storage.as_ref()))
            .say("Light and display", text(o.display.as_ref())),
        damages: notes.iter().enumerate().map(|(n, o)| arrival(o, letters.nth(n))).collect(),
        parties: PARTIES.into(),
    }
}

fn arrival(o: &Observed<Condition>, letter: &str) -> Arrival {
    Arrival {
        letter: letter.to_owned(),
        damage: named(o),
        place: joined([place(o), text(o.what.place.as_ref())], ", "),
        state: state(o),
    }
}

/// The damage, or that it was not named.
pub(super) fn named(o: &Observed<Condition>) -> String {
    let name = capital(&term(o.what.damage.as_ref()));
    if name.is_empty() { "Damage not named".to_owned() } else { name }
}

/// Extent, severity, activity, treatment: `12 mm (u 0.3 mm); slight; inactive`.
pub(super) fn state(o: &Observed<Condition>) -> String {
    let c = &o.what;
    let treated = text(c.treated.as_ref());
    let treated = if treated.is_empty() { treated } else { format!("treated: {treated}") };
    let state = [amount(c.extent.as_ref()), term(c.severity.as_ref()), term(c.activity.as_ref()), treated];
    let state = joined(state, "; ");
    if state.is_empty() { "extent not recorded".to_owned() } else { state }
}
