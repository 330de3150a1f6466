//! `dimity changes`: what became of each damage and colour between two examinations, and each damage over time.

use super::{Desk, Failure};
use crate::exchange::changes::Changes as Found;
use crate::exchange::entry::examination_on;

/// What changed between two examinations of a piece, and how fast
#[derive(Debug, clap::Args)]
pub struct Changes {
    /// Accession number
    number: String,
    /// The later examination, by its day; the last if not given
    #[arg(long, value_name = "DAY")]
    examination: Option<jiff::civil::Date>,
    /// The earlier examination, by its day; the one before if not given
    #[arg(long, value_name = "DAY")]
    since: Option<jiff::civil::Date>,
}

impl Changes {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let catalogue = desk.open()?;
        let file = catalogue.piece(&self.number)?;
        let later = match self.examination {
            Some(day) => examination_on(&file, day)?,
            None => file.examinations.len().checked_sub(1).ok_or_else(|| {
                format!("`{0}` has not been examined; `dimity sheet {0}` prints a sheet to begin", self.number)
            })?,
        };
        let earlier = match self.since {
            Some(day) => Some(examination_on(&file, day)?),
            None => later.checked_sub(1),
        };
        if let (Some(since), true) = (self.since, earlier.is_some_and(|e| e >= later)) {
            return Err(format!("the examination of {since} is not before the one it is compared with").into());
        }
        let found = Found::of(&file, earlier, later, catalogue.vocabulary());
        if desk.json {
            desk.out.json(&found.json());
        } else {
            desk.out.line(found.text().trim_end());
        }
        Ok(())
    }
}
