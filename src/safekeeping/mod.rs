//! Safekeeping: is every bit still as it was; copies that prove themselves; and back from such a copy. Over the
//! catalogue, the photographs and the sealed pages. No SQL.
//!
//! A backup is a catalogue's folder like any other, with two files more: `SHA256SUMS`, a line a file in the form that
//! `sha256sum -c` reads, and `BACKUP.txt`, a page that says what it is and how to prove it.

mod backup;
mod below;
mod check;
mod files;
mod manifest;
mod one_file;
mod restore;
mod staying;
mod told;
mod transfer;

pub use backup::{Backup, backup};
pub use check::{Asked, Turn, Whole, check, share};
pub use files::files;
pub use restore::{Restored, restore};

use crate::catalogue::{Fault, Result};

/// Whoever wants to know how far long work has come.
pub trait Watch: Sync {
    /// A new part of the work: `of` of `what`.
    fn begin(&self, what: &str, of: u64);
    /// So many more are done.
    fn more(&self, n: u64);
    /// Whether the rest is still wanted. What was begun is asked between one step and the next.
    fn is_wanted(&self) -> bool {
        true
    }
    /// Goes on only if the rest is wanted.
    ///
    /// # Errors
    /// [`Fault::Stopped`] if it is not.
    fn go_on(&self) -> Result<()> {
        if self.is_wanted() { Ok(()) } else { Err(Fault::Stopped) }
    }
}

/// Nobody.
impl Watch for () {
    fn begin(&self, _: &str, _: u64) {}
    fn more(&self, _: u64) {}
}
