//! The files below a catalogue's folder that a backup holds beside the database.

use std::fs;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

use super::backup::{LOCK, PAGE};
use super::manifest;
use crate::catalogue::{self, io as refused};
use crate::photograph::writing::UNFINISHED;
use crate::photograph::{io_words, walk};

/// What lies there.
#[derive(Debug, Default)]
pub(super) struct Below {
    /// The files, by their path below the folder: all but what can be made again, and what an interruption left behind.
    pub names: Vec<String>,
    /// The folders that could not be read, each with the cause: what lies in them is not known.
    pub unread: Vec<(PathBuf, String)>,
}

/// Looks below a folder.
///
/// # Errors
/// If the folder itself cannot be read.
pub(super) fn below(folder: &Path) -> io::Result<Below> {
    let (mut names, mut unread) = (Vec::new(), Vec::new());
    for entry in fs::read_dir(folder)? {
        let entry = entry?;
        let (path, top) = (entry.path(), entry.file_name().to_string_lossy().into_owned());
        let made_again = matches!(top.as_str(), "derived" | "reports" | "exports" | PAGE | manifest::FILE);
        if made_again || top.starts_with("catalogue.") {
            continue;
        }
        let mut take = |path: &Path| {
            let name = path.strip_prefix(folder).ok().and_then(manifest::name);
            let unfinished = |name: &String| name.split('/').any(|part| part.starts_with(UNFINISHED));
            names.extend(name.filter(|name| !unfinished(name) && may_be_file(path)));
        };
        match fs::metadata(&path) {
            Ok(about) if about.is_dir() => unread.extend(walk(&path, &mut take)),
            Ok(_) => take(&path),
            Err(_) if path.symlink_metadata().is_err() => {} // it is gone again
            Err(e) => unread.push((path, io_words(&e))),
        }
    }
    names.sort();
    Ok(Below { names, unread })
}

/// Removes what an interruption left below a folder in which nobody else writes now: files that were to be copied there, and
/// have no name yet.
///
/// # Errors
/// If one cannot be removed.
pub(super) fn clear_unfinished(folder: &Path) -> catalogue::Result<()> {
    let mut left = Vec::new();
    // What cannot be read here is told when something is to be copied there.
    let _ = walk(folder, &mut |path| {
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        left.extend((name.starts_with(UNFINISHED) && name != LOCK).then(|| path.to_owned()));
    });
    left.iter().try_for_each(|path| fs::remove_file(path).map_err(refused("remove", path)))
}

/// Whether this is a file, or would be one if it could be looked at.
fn may_be_file(path: &Path) -> bool {
    match fs::metadata(path) {
        Ok(about) => about.is_file(),
        Err(e) => e.kind() != ErrorKind::NotFound,
    }
}

/// Whether a file is in this folder, both by their path below the same one.
pub(super) fn lies_in(name: &str, folder: &str) -> bool {
    name.strip_prefix(folder).is_some_and(|rest| rest.starts_with('/'))
}
