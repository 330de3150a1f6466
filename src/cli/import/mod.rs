//! `dimity import`: from the old spreadsheet, or a catalogue made again from its export.

mod json;
mod list;

use super::{Desk, Failure};
use crate::exchange::import::Kind;

/// Take in an old spreadsheet, or a catalogue from its export
#[derive(Debug, clap::Subcommand)]
pub enum Import {
    #[command(about = "Pieces from a text file with commas, semicolons or tabs between its cells")]
    Csv(list::List),
    #[command(about = "Pieces from a workbook in Office Open XML (.xlsx)")]
    Xlsx(list::List),
    #[command(about = "Pieces from a workbook in OpenDocument (.ods)")]
    Ods(list::List),
    Json(json::Json),
}

impl Import {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        match self {
            Self::Csv(list) => list.run(Kind::Csv, desk),
            Self::Xlsx(list) => list.run(Kind::Xlsx, desk),
            Self::Ods(list) => list.run(Kind::Ods, desk),
            Self::Json(json) => json.run(desk),
        }
    }
}
