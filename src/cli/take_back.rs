//! `dimity take-back`: what an entry did to a piece, undone.

use super::{Desk, Failure};
use crate::catalogue::{Extent, Intent};

/// Take back what an entry did to a piece
///
/// The last entry, or another one. Observations that it brought are withdrawn, and those that
/// it corrected stand again; facts say what they said before; lines that it added go, lines that it struck out are there
/// again; a piece that it brought is withdrawn. What was changed again since, and what other lines name, stays and is told. The
/// journal keeps both, and taking back can be taken back. Photographs, what is drawn on them, comparisons and kept searches are
/// taken back by their own commands; a seal never is.
#[derive(Debug, clap::Args)]
pub struct TakeBack {
    /// Accession number
    number: String,
    /// The entry, by the number that `dimity journal NUMBER` shows with it; the last one if left out
    #[arg(long, value_name = "ENTRY")]
    entry: Option<i64>,
    /// Why
    #[arg(long)]
    reason: String,
    /// Say what would be taken back, and change nothing
    #[arg(long)]
    dry_run: bool,
}

impl TakeBack {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let author = desk.author();
        let mut catalogue = desk.open()?;
        let row = match self.entry {
            Some(row) => row,
            None => catalogue.journal_leaf(&self.number, None, 1)?.rows.first().map_or(0, |row| row.id),
        };
        let intent = Intent { author, reason: Some(self.reason), dry_run: self.dry_run, ..Intent::default() };
        let done = catalogue.take_back(&self.number, row, Extent::Entry, &intent)?;
        if desk.json {
            desk.out.json(&done);
        } else {
            done.in_words(self.dry_run).iter().for_each(|line| desk.out.line(line));
        }
        Ok(())
    }
}
