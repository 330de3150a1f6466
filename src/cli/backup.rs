//! `dimity backup` and `dimity restore`: copies that prove themselves.

use std::path::PathBuf;

use super::say::{Bar, all_well};
use super::{Desk, Failure};
use crate::safekeeping;

/// Copy the catalogue into a folder and prove the copy
///
/// The catalogue may be in use meanwhile. Photographs and sealed pages are copied once; a second run into the same folder
/// copies only what is new. Then everything is read back from there: each file is hashed, the database checked, the
/// journal told from its first row to its last. The folder is a catalogue like any other, with a list of its files
/// that `sha256sum -c SHA256SUMS` checks without this program. An interrupted backup goes on when it is run again, and
/// until it is finished the one made before stands. One copy is no copy: keep another elsewhere.
#[derive(Debug, clap::Args)]
pub struct Backup {
    /// The folder for it, best on another disk
    dir: PathBuf,
    /// Read back only what is copied now; look at the rest by name and length alone
    #[arg(long)]
    quick: bool,
}

/// Make a catalogue from a backup, in a new folder, and check all of it
///
/// Every file is held against the backup's list on the way. What has changed in the backup is named and left out. The
/// backup itself is left as it is.
#[derive(Debug, clap::Args)]
pub struct Restore {
    /// The backup
    backup: PathBuf,
    /// The folder to make
    dir: PathBuf,
}

impl Backup {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let catalogue = desk.open()?;
        let bar = Bar::default();
        let done = safekeeping::backup(&catalogue, &self.dir, self.quick, desk.clock, &bar);
        bar.finish();
        let done = done?;
        if desk.json {
            desk.out.json(&done);
            return all_well(&done.findings);
        }
        done.told_of_its_disk().iter().for_each(|line| desk.out.line(line));
        desk.out.findings(&done.findings);
        done.told(&desk.folder, &self.dir).iter().for_each(|line| desk.out.line(line));
        all_well(&done.findings)?;
        desk.out.line(safekeeping::Backup::PROVED);
        Ok(())
    }
}

impl Restore {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let bar = Bar::default();
        let done = safekeeping::restore(&self.backup, &self.dir, desk.clock, &bar);
        bar.finish();
        let done = done?;
        if desk.json {
            desk.out.json(&done);
            return all_well(&done.findings);
        }
        desk.out.findings(&done.findings);
        desk.out.line(done.told(&self.dir));
        all_well(&done.findings)?;
        desk.out.line(safekeeping::Restored::WELL);
        Ok(())
    }
}
