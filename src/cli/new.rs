//! `dimity new`: an empty catalogue.

use std::path::PathBuf;

use super::{Desk, Failure};
use crate::catalogue::Catalogue;

/// Make an empty catalogue in a new folder
#[derive(Debug, clap::Args)]
pub struct New {
    /// The folder to make
    dir: PathBuf,
}

impl New {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        Catalogue::create(&self.dir, desk.clock)?;
        desk.out.line(format!("made an empty catalogue in {}", self.dir.display()));
        desk.out.line(format!("next: cd {} && dimity sheet 2024.1 --for spencer > 2024.1.toml", self.dir.display()));
        Ok(())
    }
}
