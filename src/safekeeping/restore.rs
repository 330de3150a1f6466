//! Back from a backup: every file checked on the way, the whole catalogue at the end.

use std::fs;
use std::path::{Path, PathBuf};

use super::below::clear_unfinished;
use super::manifest::{self, Manifest};
use super::transfer::{Miscarried, Told, Wanted, copy, copy_all, read_back};
use super::{Asked, Watch, backup, check};
use crate::catalogue::{Catalogue, Clock, FILE, Fault, Finding, Result, clear_beside, io};

/// Lies in a folder that is not restored whole yet.
const MARK: &str = "RESTORE-UNFINISHED.txt";

/// What a restore did.
#[derive(Debug, Clone, Default, PartialEq, Eq, serde::Serialize)]
pub struct Restored {
    /// Pieces in the catalogue.
    pub pieces: usize,
    /// Files restored.
    pub files: usize,
    /// The last row of its journal.
    pub revision: i64,
    /// What is wrong with it, each with its mend.
    pub findings: Vec<Finding>,
}

/// The list of a backup's files; none if there is no list, or none that can be read.
pub(super) fn manifest_of(folder: &Path) -> Option<Manifest> {
    manifest::read(&fs::read_to_string(folder.join(manifest::FILE)).ok()?).ok()
}

/// Makes a catalogue from a backup in a new or empty folder, and checks it whole. What has changed in the backup is named
/// and left out; a database that has changed is refused. An interrupted restore goes on when it is run again.
///
/// # Errors
/// If there is no backup, if its database is not what it was, if the folder holds anything, if the disk refuses, or if whoever
/// watches wants no more.
pub fn restore(from: &Path, to: &Path, clock: Clock, watch: &dyn Watch) -> Result<Restored> {
    let list = from.join(manifest::FILE);
    let text = fs::read_to_string(&list).map_err(|e| {
        Fault::Refused(format!(
            "`{}` is no finished backup: `{}` cannot be read: {e}; make it again with `dimity backup`",
            from.display(),
            list.display()
        ))
    })?;
    let mut manifest = manifest::read(&text).map_err(|line| {
        Fault::Refused(format!(
            "`{}` was changed: line {line} names no file with its SHA-256; use another backup",
            list.display()
        ))
    })?;
    let expected = manifest
        .remove(FILE)
        .ok_or_else(|| Fault::Refused(format!("`{}` names no `{FILE}`; use another backup", list.display())))?;
    let database = database(from, &expected)?;
    let begun = to.join(MARK).exists();
    let taken = to.is_file() || fs::read_dir(to).is_ok_and(|mut entries| entries.next().is_some());
    if taken && !begun {
        return Err(Fault::NotEmpty(to.into()));
    }
    fs::create_dir_all(to).map_err(io("make the folder", to))?;
    let mark = to.join(MARK);
    let words = "A catalogue is being restored here and is not whole yet. Run `dimity restore` again to finish it.\n";
    fs::write(&mark, words).map_err(io("write", &mark))?;
    clear_unfinished(to)?;

    let mut done = Restored { files: 1, ..Restored::default() };
    manifest.remove(super::backup::PAGE);
    watch.begin("files", manifest.len() as u64 + 1);
    let placed = |(name, sha256): (String, String)| (manifest::place(from, &name), manifest::place(to, &name), sha256);
    let wanted: Vec<Wanted> = manifest.into_iter().map(placed).collect();
    let told = Told {
        place: " in the backup",
        mend: &|_| "put the file from another backup in its place".into(),
        stopped: &stopped,
    };
    let (files, findings) = copy_all(&wanted, begun, &told, watch)?;
    done.files += files;
    done.findings = findings;
    // Last of all: until then the folder is no catalogue. The final check of an interrupted restore may have left a log.
    let place = to.join(FILE);
    clear_beside(&place)?;
    match copy(&database, &place, Some(&expected)) {
        Ok(_) => watch.more(1),
        Err(Miscarried::Unwritten(cause)) => return Err(stopped(&place, &cause)),
        Err(_) => return Err(changed(&database)),
    }
    let catalogue = Catalogue::open(to, clock)?;
    let whole = check(&catalogue, &Asked::default(), watch)?;
    done.findings.extend(whole.findings);
    (done.pieces, done.revision) = (catalogue.numbers()?.len(), catalogue.revision()?.row);
    fs::remove_file(&mark).map_err(io("remove", &mark))?;
    Ok(done)
}

/// The file that holds the database of the list: under its name, or still waiting for it.
fn database(from: &Path, expected: &str) -> Result<PathBuf> {
    let places = [FILE, backup::INCOMING].map(|name| from.join(name));
    let found = places.iter().find(|place| read_back(place).is_ok_and(|sha256| sha256 == expected));
    found.cloned().ok_or_else(|| changed(&places[0]))
}

fn changed(database: &Path) -> Fault {
    Fault::Refused(format!(
        "`{}` is missing or is not the database that was backed up: its SHA-256 differs from the list; nothing was \
         restored; use another backup",
        database.display()
    ))
}

fn stopped(place: &Path, cause: &str) -> Fault {
    Fault::Refused(format!(
        "the catalogue could not be restored, at `{}`: {cause}; run it again to go on",
        place.display()
    ))
}
