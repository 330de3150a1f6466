//! `dimity compare`: two pieces side by side, in the terminal or as JSON.

use super::{Desk, Failure};
use crate::analysis::comparison::{self, Tolerances};

/// Compare a piece with others, feature by feature
#[derive(Debug, clap::Args)]
pub struct Compare {
    /// Accession number of the piece
    number: String,
    /// What to compare it with
    #[arg(long = "with", value_name = "NUMBER", required = true, num_args = 1..)]
    others: Vec<String>,
}

impl Compare {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let catalogue = desk.open()?;
        let subject = catalogue.piece(&self.number)?;
        let tolerances = Tolerances::default();
        for other in &self.others {
            let other = catalogue.piece(other)?;
            let result = comparison::compare(&subject, &other, catalogue.vocabulary(), &tolerances);
            if desk.json {
                desk.out.json(&result);
            } else {
                desk.out.line(comparison::as_text(&result).trim_end());
            }
        }
        Ok(())
    }
}
