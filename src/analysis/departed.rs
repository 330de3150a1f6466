//! Whether a recorded departure still shows when the piece is laid beside its model.

use serde::Serialize;

use super::comparison::{Accounted, Comparison};

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

impl Shown {
    /// By the lists that the comparison keeps of departures that no difference bears out.
    pub fn of(found: &Comparison, component: &str, feature: &str) -> Self {
        let among = |list: &[Accounted]| list.iter().any(|a| a.component == component && a.feature == feature);
        if among(&found.departures_without_difference) {
            Self::Agrees
        } else if among(&found.departures_untested) {
            Self::Untested
        } else {
            Self::Differs
        }
    }

    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Differs => "differs",
            Self::Agrees => "agrees now",
            Self::Untested => "cannot be tested",
        }
    }
}
