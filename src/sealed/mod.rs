//! Sealed pages: printed reports kept byte for byte under their SHA-256. Works on files alone and knows nothing of the
//! database.
//!
//! Layout below the catalogue folder, `ab` being the first two digits of the SHA-256:
//! ```text
//! sealed/ab/<sha256>.html
//! ```

mod code;

pub use code::{check_code, read_code};

use std::collections::HashSet;
use std::path::{Path, PathBuf};

use crate::digest::sha256;
use crate::photograph::{Fixity, IngestFault, fixity, writing};

/// The folder in that of the catalogue.
const ROOM: &str = "sealed";

/// The sealed pages of one catalogue folder. Nothing is touched until a page is kept.
#[derive(Debug, Clone)]
pub struct Pages {
    root: PathBuf,
}

/// A file among the sealed pages that no seal names.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Stray {
    /// Left behind by an interruption while it was written; nothing is lost with it.
    Unfinished(PathBuf),
    /// A whole page under its own SHA-256: sealing stopped before the catalogue knew of it, or the catalogue is an older
    /// copy than the folder.
    Unnamed(PathBuf),
    /// Anything else.
    Foreign(PathBuf),
    /// A folder that cannot be read, and why.
    Unread(PathBuf, String),
}

impl Pages {
    /// The sealed pages below `root`, the catalogue folder.
    pub fn at(root: &Path) -> Self {
        Self { root: root.to_path_buf() }
    }

    /// Where the page of this SHA-256 lies. What is no SHA-256 leads to a name that never exists.
    pub fn place(&self, sha256: &str) -> PathBuf {
        let folder = self.root.join(ROOM);
        match sha256.get(..2) {
            Some(two) if fixity::is_sha256(sha256) => folder.join(two).join(format!("{sha256}.html")),
            _ => folder.join("not-a-sha256"),
        }
    }

    /// The SHA-256 of a page.
    pub fn sha256(page: &[u8]) -> String {
        sha256(page)
    }

    /// Keeps a page: written beside, synced to the disk, renamed. Says under which SHA-256, and whether it is new.
    ///
    /// # Errors
    /// If it cannot be written; nothing of it is left then.
    pub fn keep(&self, page: &[u8]) -> Result<(String, bool), IngestFault> {
        let sha256 = sha256(page);
        let place = self.place(&sha256);
        if fixity::verify(&place, &sha256) == Fixity::Sound {
            return Ok((sha256, false));
        }
        writing::put(&place, page)?;
        writing::sync_folder(&self.root.join(ROOM))?;
        writing::sync_folder(&self.root)?;
        Ok((sha256, true))
    }

    /// Takes back a page that was kept a moment ago and that the catalogue then refused.
    pub fn take_back(&self, sha256: &str) {
        let _ = std::fs::remove_file(self.place(sha256));
    }

    /// The page, if its bytes are still those that were sealed.
    ///
    /// # Errors
    /// A sentence that says what became of it.
    pub fn read(&self, sha256: &str) -> Result<Vec<u8>, String> {
        let place = self.place(sha256);
        let page = std::fs::read(&place).map_err(|e| {
            format!("the sealed page `{}` cannot be read: {e}; put it back from a backup", place.display())
        })?;
        let now = crate::digest::sha256(&page);
        if now == sha256 {
            return Ok(page);
        }
        Err(format!(
            "the sealed page `{}` has changed: its SHA-256 is now {now}; put it back from a backup",
            place.display()
        ))
    }

    /// Whether the page still holds the bytes that were sealed.
    pub fn verify(&self, sha256: &str) -> Fixity {
        fixity::verify(&self.place(sha256), sha256)
    }

    /// The files that are none of `known`, sorted by path.
    pub fn strays(&self, known: &HashSet<String>) -> Vec<Stray> {
        let known: HashSet<PathBuf> = known.iter().map(|sha| self.place(sha)).collect();
        let mut found = Vec::new();
        let unread = crate::photograph::walk(&self.root.join(ROOM), &mut |path| {
            if known.contains(path) {
                return;
            }
            let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
            let stem = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
            let whole = path == self.place(&stem) && fixity::verify(path, &stem) == Fixity::Sound;
            found.push(if name.starts_with(writing::UNFINISHED) {
                Stray::Unfinished(path.into())
            } else if whole {
                Stray::Unnamed(path.into())
            } else {
                Stray::Foreign(path.into())
            });
        });
        found.extend(unread.into_iter().map(|(folder, why)| Stray::Unread(folder, why)));
        found
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_is_kept_once_read_whole_and_its_neighbours_are_told_apart() {
        let folder = tempfile::tempdir().expect("a temporary folder");
        let pages = Pages::at(folder.path());
        let (sha, new) = pages.keep(b"<p>as it was").expect("kept");
        assert!(new && pages.place(&sha).is_file());
        assert_eq!(pages.keep(b"<p>as it was").expect("kept"), (sha.clone(), false));
        assert_eq!(pages.read(&sha).expect("read"), b"<p>as it was");

        let known = HashSet::from([sha.clone()]);
        assert_eq!(pages.strays(&known), []);
        let (other, _) = pages.keep(b"unnamed").expect("kept");
        let foreign = folder.path().join("sealed/notes.txt");
        let unfinished = folder.path().join("sealed/.incoming-x");
        std::fs::write(&foreign, "x").expect("written");
        std::fs::write(&unfinished, "x").expect("written");
        let found = pages.strays(&known);
        assert_eq!(found.len(), 3);
        for stray in [Stray::Unnamed(pages.place(&other)), Stray::Foreign(foreign), Stray::Unfinished(unfinished)] {
            assert!(found.contains(&stray), "{stray:?} in {found:?}");
        }

        std::fs::write(pages.place(&sha), "<p>as it is").expect("written");
        assert!(pages.read(&sha).expect_err("changed").contains("has changed"));
        // A page that was spoilt is written anew when it is sealed again.
        assert_eq!(pages.keep(b"<p>as it was").expect("kept"), (sha.clone(), true));
        pages.take_back(&sha);
        assert_eq!(pages.verify(&sha), Fixity::Missing);
        assert!(pages.read(&sha).expect_err("gone").contains("cannot be read"));
        assert!(pages.place("../../x").ends_with("sealed/not-a-sha256"));
    }
}
