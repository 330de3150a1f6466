//! The store as it lies on the disk, against what the catalogue knows of it.

use std::collections::HashSet;
use std::path::{Path, PathBuf};

use super::fault::io_words;
use super::fixity::is_sha256;
use super::writing::UNFINISHED;
use super::{IngestFault, Store};

/// A file in the store that the catalogue does not know.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Stranger {
    /// Left behind by an interruption; nothing is lost with it.
    Unfinished(PathBuf),
    /// Named as the store names its files, but in no record.
    Unlinked(PathBuf),
    /// Nothing of the store's.
    Foreign(PathBuf),
    /// A folder that cannot be read, and why: nothing is known of what lies in it.
    Unread(PathBuf, String),
}

/// The state of a derived picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum View {
    /// It is there; with `exactly`, and has the bytes that the original gives.
    Sound,
    /// It was missing or other than the original gives, and was made again.
    Rebuilt,
}

impl Store {
    /// The files of the store that are none of `known`, which holds the SHA-256 of every original with its extension.
    /// Sorted by path. Derived pictures are not looked at: they can be made again.
    pub fn strangers(&self, known: &HashSet<(String, String)>) -> Vec<Stranger> {
        let mut found = Vec::new();
        let room = self.root.join("photographs");
        let known: HashSet<PathBuf> = known.iter().map(|(sha, ext)| self.original(sha, ext)).collect();
        let unread = walk(&room, &mut |path| {
            if known.contains(path) {
                return;
            }
            // A file that was coming in lies in an unfinished folder, under its own name.
            let mut parts = path.strip_prefix(&room).unwrap_or(path).iter();
            let unfinished = parts.any(|part| part.to_string_lossy().starts_with(UNFINISHED));
            let stem = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
            found.push(if unfinished {
                Stranger::Unfinished(path.into())
            } else if is_sha256(&stem) {
                Stranger::Unlinked(path.into())
            } else {
                Stranger::Foreign(path.into())
            });
        });
        found.extend(unread.into_iter().map(|(folder, why)| Stranger::Unread(folder, why)));
        found
    }

    /// Derived pictures of originals that are none of `known`, and what an interruption left among them.
    pub fn orphaned_views(&self, known: &HashSet<String>) -> Vec<PathBuf> {
        let mut found = Vec::new();
        // What cannot be read there can be made again.
        let _ = walk(&self.root.join("derived"), &mut |path| {
            let name = path.file_name().unwrap_or_default().to_string_lossy();
            let of = name.split_once('-').map_or(&*name, |(sha, _)| sha);
            if name.starts_with(UNFINISHED) || (is_sha256(of) && !known.contains(of)) {
                found.push(path.into());
            }
        });
        found
    }

    /// Sees to the view and thumbnail of an original: makes them again where they are missing or, if `exactly`, where
    /// they differ from what the original gives. Call it for an original that is sound.
    ///
    /// # Errors
    /// If they cannot be made or written.
    pub fn see_to_views(&self, sha: &str, ext: &str, exactly: bool) -> Result<View, IngestFault> {
        let places = [self.view(sha), self.thumbnail(sha)];
        let there = || places.each_ref().map(|place| std::fs::read(place).unwrap_or_default());
        let before = if exactly { there() } else { [Vec::new(), Vec::new()] };
        let present = places.iter().all(|place| std::fs::metadata(place).is_ok_and(|about| about.len() > 0));
        if present && !exactly {
            return Ok(View::Sound);
        }
        if !self.rebuild(sha, ext)? {
            return Ok(View::Sound); // a file that holds nothing to show has no views
        }
        Ok(if present && there() == before { View::Sound } else { View::Rebuilt })
    }
}

/// Visits the files below a folder, in the order of their paths; a link is not followed. Gives the folders that could not be
/// read, each with the cause; one that is not there is none of them.
pub(crate) fn walk(folder: &Path, visit: &mut dyn FnMut(&Path)) -> Vec<(PathBuf, String)> {
    let entry = |entry: std::io::Result<std::fs::DirEntry>| {
        let entry = entry?;
        Ok((entry.path(), entry.file_type()?.is_dir()))
    };
    let entries: std::io::Result<Vec<_>> = std::fs::read_dir(folder).and_then(|entries| entries.map(entry).collect());
    let mut entries = match entries {
        Ok(entries) => entries,
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => return Vec::new(),
        Err(e) => return vec![(folder.into(), io_words(&e))],
    };
    entries.sort();
    let mut unread = Vec::new();
    for (path, is_folder) in entries {
        if is_folder { unread.extend(walk(&path, visit)) } else { visit(&path) }
    }
    unread
}
