//! `dimity photo region`: a point, line or outline on a photograph.

use crate::catalogue::NewRegion;
use crate::cli::{Desk, Failure};
use crate::record::photograph::Shape;

/// The region to draw.
#[derive(Debug, clap::Args)]
pub struct Region {
    /// The photograph: the beginning of its SHA-256, as `dimity show NUMBER` lists it
    photograph: String,
    /// `point x,y`, `line x,y x,y ...` or `outline x,y x,y x,y ...`, in pixels of the upright picture
    shape: String,
    /// Identifier of the observation that it shows, as `dimity show NUMBER` lists it
    #[arg(long, value_name = "ID")]
    shows: Option<String>,
    /// The letter beside it; the next one free if not given
    #[arg(long)]
    label: Option<String>,
    /// What it shows, in words
    #[arg(long)]
    note: Option<String>,
}

impl Region {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let region =
            NewRegion { label: self.label, shape: Shape::parse(&self.shape)?, shows: self.shows, note: self.note };
        let author = desk.author();
        let label = desk.open()?.add_region(&author, &self.photograph, &region)?;
        desk.out.line(format!("drew region {label}"));
        Ok(())
    }
}
