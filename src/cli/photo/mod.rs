//! `dimity photo`: photographs in, capture data out, scale set, regions drawn and handed on. One file a command.

mod add;
mod annotations;
mod read;
mod region;
mod scale;

use super::{Desk, Failure};
pub(super) use region::size;

/// Add photographs, read their capture data, give them a scale, draw regions on them
#[derive(Debug, clap::Subcommand)]
pub enum Photo {
    /// Add photographs of a piece; the originals are copied whole and never altered
    Add(add::Add),
    /// Read capture data without storing anything
    Read(read::Read),
    /// Draw a region on a photograph, tied to what it shows
    Region(region::Region),
    /// Set the scale of a photograph from a bar or a rectangle in it, or say what it is
    Scale(scale::Scale),
    /// Print the regions of a piece's photographs as W3C Web Annotations
    Annotations(annotations::Annotations),
}

impl Photo {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        match self {
            Self::Add(add) => add.run(desk),
            Self::Read(read) => read.run(desk),
            Self::Region(region) => region.run(desk),
            Self::Scale(scale) => scale.run(desk),
            Self::Annotations(annotations) => annotations.run(desk),
        }
    }
}
