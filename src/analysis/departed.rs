//! Whether a recorded departure still shows when the piece is laid beside its model.

use serde::Serialize;

use super::comparison::{Accounted, Basis, compare};
use crate::record::PieceFile;
use crate::vocabulary::Vocabulary;

/// What a comparison with the model says of a departure.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Shown {
    /// A feature that it names differs.
    Differs,
    /// The features that it names agree: no longer true, or never so.
    Agrees,
    /// These records can neither show nor deny it.
    Untested,
}

/// The departures of a piece that no difference from its model bears out.
#[derive(Debug)]
pub struct Tested {
    without_difference: Vec<Accounted>,
    untested: Vec<Accounted>,
}

impl Tested {
    /// Lays the piece beside its model.
    pub fn of(piece: &PieceFile, model: &PieceFile, vocabulary: &Vocabulary) -> Self {
        let basis = Basis::default();
        let found = compare(piece, model, vocabulary, &basis);
        Self { without_difference: found.departures_without_difference, untested: found.departures_untested }
    }

    /// What the comparison says of one of them.
    pub fn shown(&self, component: &str, feature: &str) -> Shown {
        let among = |list: &[Accounted]| list.iter().any(|a| a.component == component && a.feature == feature);
        if among(&self.without_difference) {
            Shown::Agrees
        } else if among(&self.untested) {
            Shown::Untested
        } else {
            Shown::Differs
        }
    }
}

impl Shown {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Differs => "differs",
            Self::Agrees => "agrees now",
            Self::Untested => "cannot be tested",
        }
    }
}
