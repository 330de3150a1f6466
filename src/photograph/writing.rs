//! Putting files into the store so that a reader sees the whole file or none: written beside, then renamed.

use std::fs::{self, File};
use std::io::Write as _;
use std::path::Path;

use tempfile::{Builder, NamedTempFile};

use super::fault::IngestFault;

/// How unfinished files are named; they vanish on failure, and are harmless after a power cut.
pub(crate) const UNFINISHED: &str = ".incoming-";

/// Makes the folder and those above it.
pub(crate) fn folder(path: &Path) -> Result<(), IngestFault> {
    fs::create_dir_all(path).map_err(IngestFault::io("create the folder", path))
}

/// A nameless-to-be file in `folder`, removed when dropped.
pub(crate) fn temporary(folder: &Path) -> Result<NamedTempFile, IngestFault> {
    let mut builder = Builder::new();
    builder.prefix(UNFINISHED);
    #[cfg(unix)]
    {
        // As any other program would create it: read by all whom the umask admits, not by the owner alone.
        use std::os::unix::fs::PermissionsExt as _;
        builder.permissions(fs::Permissions::from_mode(0o666));
    }
    builder.tempfile_in(folder).map_err(IngestFault::io("write in", folder))
}

/// Gives a finished temporary file its name, in place of what was there.
pub(crate) fn name(file: NamedTempFile, path: &Path) -> Result<(), IngestFault> {
    file.persist(path).map(drop).map_err(|e| IngestFault::io("write", path)(e.error))
}

/// Writes bytes to a temporary file in `folder`, for [`name`].
pub(crate) fn beside(folder_: &Path, bytes: &[u8]) -> Result<NamedTempFile, IngestFault> {
    folder(folder_)?;
    let mut file = temporary(folder_)?;
    file.write_all(bytes).map_err(IngestFault::io("write in", folder_))?;
    Ok(file)
}

/// Puts bytes under a name for good: written beside, synced, named, and the name synced.
pub(crate) fn put(path: &Path, bytes: &[u8]) -> Result<(), IngestFault> {
    let folder = path.parent().unwrap_or(path);
    let file = beside(folder, bytes)?;
    file.as_file().sync_all().map_err(IngestFault::io("write", path))?;
    name(file, path)?;
    sync_folder(folder)
}

/// Asks the disk to remember the folder's entries. On systems where a folder cannot be opened as a file the
/// rename itself is all there is.
pub(crate) fn sync_folder(path: &Path) -> Result<(), IngestFault> {
    if cfg!(unix) {
        File::open(path).and_then(|f| f.sync_all()).map_err(IngestFault::io("sync the folder", path))?;
    }
    Ok(())
}
