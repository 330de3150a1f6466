//! `dimity photo`: photographs in, capture data out, regions drawn. One file a command.

mod add;
mod count;
mod read;
mod region;

use super::{Desk, Failure};

/// Add photographs, read their capture data, draw regions on them
#[derive(Debug, clap::Subcommand)]
pub enum Photo {
    /// Add photographs of a piece; the originals are copied whole and never altered
    Add(add::Add),
    /// Count the threads in a square of a macro photograph
    Count(count::Count),
    /// Read capture data without storing anything
    Read(read::Read),
    /// Draw a region on a photograph, tied to what it shows
    Region(region::Region),
}

impl Photo {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        match self {
            Self::Add(add) => add.run(desk),
            Self::Count(count) => count.run(desk),
            Self::Read(read) => read.run(desk),
            Self::Region(region) => region.run(desk),
        }
    }
}
