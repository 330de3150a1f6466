//! What was done, in lines, whichever door it was asked at. The findings stand beside them.

use std::path::Path;

use super::{Backup, Restored, Whole};
use crate::words::{count, size};

impl Whole {
    /// What is to be said beside the findings, a line each.
    pub fn told(&self) -> Vec<String> {
        let mut lines = Vec::new();
        if let Some(path) = self.of_no_use.first() {
            let files = count(self.of_no_use.len(), "file");
            lines.push(format!(
                "left behind by an interruption and of no use, may be deleted: {files}, such as `{}`",
                path.display()
            ));
        }
        if self.rebuilt > 0 {
            lines.push(format!("views made again: {}", count(self.rebuilt, "photograph")));
        }
        lines.extend(self.remarks.iter().cloned());
        lines
    }

    /// What was looked at: `database, journal and 12 photographs of 340`.
    pub fn looked_at(&self) -> String {
        let (read, all) = self.read;
        let of = if read < all { format!(" of {all}") } else { String::new() };
        format!("database, journal and {}{of}", count(read, "photograph"))
    }

    /// What is said if there is no finding.
    pub fn all_well(&self) -> String {
        format!("all well: {}", self.looked_at())
    }
}

impl Backup {
    /// What is said if there is no finding.
    pub const PROVED: &str = "proved: files, database, and the journal from its first row to its last";

    /// What had become of the backup itself since it was last made; said before the findings.
    pub fn told_of_its_disk(&self) -> Vec<String> {
        let told = |name| format!("`{name}` had changed or gone in the backup, and was copied anew; see to that disk");
        self.mended.iter().map(told).collect()
    }

    /// What else is to be said of a backup of the catalogue in `from`, made in `to`.
    pub fn told(&self, from: &Path, to: &Path) -> Vec<String> {
        let mut lines = Vec::new();
        if let Some(first) = self.left.first() {
            let files = count(self.left.len(), "file");
            lines.push(format!("in the backup and no longer in the catalogue, left there: {files}, such as `{first}`"));
        }
        if same_disk(from, to) {
            lines.push("the backup lies on the same disk as the catalogue; keep one on another disk as well".into());
        }
        lines.push(format!(
            "{}: {} in {}, {} copied now ({}), {} read back; journal to row {}",
            to.display(),
            count(self.pieces, "piece"),
            count(self.files, "file"),
            self.copied,
            size(self.bytes),
            self.read_back,
            self.revision
        ));
        lines
    }
}

impl Restored {
    /// What is said if there is no finding.
    pub const WELL: &str = "all well: every file is as it was backed up, and the catalogue checks whole";

    /// What is to be said of a catalogue restored in `to`.
    pub fn told(&self, to: &Path) -> String {
        format!(
            "{}: {} and {} restored; journal to row {}",
            to.display(),
            count(self.pieces, "piece"),
            count(self.files, "file"),
            self.revision
        )
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
