//! From the catalogue to the page: what is read for each report, and worked out of it, for every door.

mod among;
mod cloths;
mod condition;
mod departures;
mod effort;
mod index;
mod seals;

pub use among::{Among, among};
pub use cloths::{CLOTH_HEADINGS, cloth_rows, cloths};
pub use condition::{Asked, Printed, condition};
pub use departures::{DEPARTURE_HEADINGS, WhichDepartures, departure_row, departures, some_departures};
pub use effort::effort;
pub use index::index;
pub use seals::{NO_COPY_OF_A_PDF, SealedCopy, held_against_seals};

use crate::catalogue::Fault;
use crate::report::ReportFault;

/// Why there is no page.
#[derive(Debug, thiserror::Error)]
pub enum NotPrinted {
    /// The catalogue refuses.
    #[error(transparent)]
    Fault(#[from] Fault),
    /// The page cannot be made.
    #[error(transparent)]
    Report(#[from] ReportFault),
    /// What was asked for does not fit together.
    #[error("{0}")]
    Refused(String),
}
