//! The database copied while it is in use.

use std::path::Path;

use rusqlite::Connection;
use rusqlite::backup::{Backup, StepResult};

use super::moment::hold;
use super::{Catalogue, Fault, Result, io, last};

/// Pages copied between two looks at the progress.
const PAGES: i32 = 1024;

impl Catalogue {
    /// Copies the database into a new file, as it stands at this moment, by SQLite's online backup; others may read and
    /// write meanwhile. `watch` is told the pages done and of how many. The copy is one file, synced to the disk.
    ///
    /// # Errors
    /// If it cannot be read or written.
    pub fn copy_database(&self, to: &Path, watch: &mut dyn FnMut(u64, u64)) -> Result<()> {
        database(&self.db, to, watch)
    }
}

/// Takes away what lies beside a database and belongs to it, before another takes its place: SQLite would take the old log
/// for that one's, and spoil it.
///
/// # Errors
/// If something cannot be removed.
pub fn clear_beside(database: &Path) -> Result<()> {
    for ending in ["-journal", "-wal", "-shm", last::ENDING] {
        let mut file = database.as_os_str().to_owned();
        file.push(ending);
        remove(Path::new(&file))?;
    }
    Ok(())
}

/// The same for the database as well.
pub(super) fn clear(database: &Path) -> Result<()> {
    remove(database)?;
    clear_beside(database)
}

fn remove(file: &Path) -> Result<()> {
    match std::fs::remove_file(file) {
        Err(e) if e.kind() != std::io::ErrorKind::NotFound => Err(io("replace", file)(e)),
        _ => Ok(()),
    }
}

pub(super) fn database(db: &Connection, to: &Path, watch: &mut dyn FnMut(u64, u64)) -> Result<()> {
    clear(to)?;
    // Inside one reading transaction the copy is of one moment, and no writer makes it begin again.
    let moment = hold(db)?;
    let mut copy = Connection::open(to)?;
    {
        let backup = Backup::new(&moment, &mut copy)?;
        loop {
            let step = backup.step(PAGES)?;
            let progress = backup.progress();
            let pages = |n: std::ffi::c_int| u64::try_from(n).unwrap_or_default();
            watch(pages(progress.pagecount - progress.remaining), pages(progress.pagecount));
            match step {
                StepResult::Done => break,
                StepResult::More => {}
                _ => std::thread::sleep(std::time::Duration::from_millis(20)),
            }
        }
    }
    // The pages say that the file is used with a log beside it; a copy is one file.
    copy.pragma_update(None, "journal_mode", "DELETE")?;
    copy.close().map_err(|(_, e)| Fault::from(e))?;
    std::fs::File::open(to).and_then(|file| file.sync_all()).map_err(io("sync", to))
}
