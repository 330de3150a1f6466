//! The store as it lies on the disk, against what the catalogue knows of it.

use std::collections::HashSet;
use std::path::{Path, PathBuf};

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
        walk(&room, &mut |path| {
            if known.contains(path) {
                return;
            }
            let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
            let stem = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
            found.push(if name.starts_with(UNFINISHED) {
                Stranger::Unfinished(path.into())
            } else if is_sha256(&stem) {
                Stranger::Unlinked(path.into())
            } else {
                Stranger::Foreign(path.into())
            });
        });
        found
    }

    /// Derived pictures of originals that are none of `known`, and what an interruption left among them.
    pub fn orphaned_views(&self, known: &HashSet<String>) -> Vec<PathBuf> {
        let mut found = Vec::new();
        walk(&self.root.join("derived"), &mut |path| {
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

/// Visits the files below a folder, in the order of their paths; a link is not followed.
pub(crate) fn walk(folder: &Path, visit: &mut dyn FnMut(&Path)) {
    let Ok(entries) = std::fs::read_dir(folder) else { return };
    let mut paths: Vec<PathBuf> = entries.flatten().map(|entry| entry.path()).collect();
    paths.sort();
    for path in paths {
        let link = path.symlink_metadata().is_ok_and(|about| about.file_type().is_symlink());
        if path.is_dir() && !link { walk(&path, visit) } else { visit(&path) }
    }
}
