//! `dimity photo annotations`: regions for other programs.

use crate::cli::{Desk, Failure};
use crate::exchange::annotations;

/// The piece.
#[derive(Debug, clap::Args)]
pub struct Annotations {
    /// Accession number of the piece on whose photographs the regions are drawn
    number: String,
}

impl Annotations {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let file = desk.open()?.piece(&self.number)?;
        let collection = annotations::of_piece(&file);
        if desk.json {
            desk.out.json(&collection);
        } else {
            desk.out.line(serde_json::to_string_pretty(&collection).map_err(|e| e.to_string())?);
        }
        Ok(())
    }
}
