//! `dimity backup` and `dimity restore`: copies that prove themselves.

use std::path::{Path, PathBuf};

use super::say::{Bar, all_well, count};
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
        let dir = self.dir.display();
        for name in &done.mended {
            desk.out.line(format!("`{name}` had changed or gone in the backup, and was copied anew; see to that disk"));
        }
        desk.out.findings(&done.findings);
        if let Some(first) = done.left.first() {
            let files = count(done.left.len(), "file");
            desk.out
                .line(format!("in the backup and no longer in the catalogue, left there: {files}, such as `{first}`"));
        }
        if same_disk(&desk.folder, &self.dir) {
            desk.out.line("the backup lies on the same disk as the catalogue; keep one on another disk as well");
        }
        desk.out.line(format!(
            "{dir}: {} in {}, {} copied now ({}), {} read back; journal to row {}",
            count(done.pieces, "piece"),
            count(done.files, "file"),
            done.copied,
            size(done.bytes),
            done.read_back,
            done.revision
        ));
        all_well(&done.findings)?;
        desk.out.line("proved: files, database, and the journal from its first row to its last");
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
        desk.out.line(format!(
            "{}: {} and {} restored; journal to row {}",
            self.dir.display(),
            count(done.pieces, "piece"),
            count(done.files, "file"),
            done.revision
        ));
        all_well(&done.findings)?;
        desk.out.line("all well: every file is as it was backed up, and the catalogue checks whole");
        Ok(())
    }
}

pub(super) fn size(bytes: u64) -> String {
    match bytes {
        0..1_000_000 => format!("{} kB", bytes.div_ceil(1000)),
        1_000_000..1_000_000_000 => format!("{:.1} MB", bytes as f64 / 1e6),
        _ => format!("{:.1} GB", bytes as f64 / 1e9),
    }
}

/// Whether two folders are known to lie on one disk.
fn same_disk(one: &Path, other: &Path) -> bool {
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt as _;
        let disk = |path: &Path| path.metadata().map(|about| about.dev()).ok();
        disk(one).is_some() && disk(one) == disk(other)
    }
    #[cfg(not(unix))]
    {
        let _ = (one, other);
        false
    }
}
