//! Old lists that are being brought in: the file as it came, and beside it how it is read, until somebody is done with it.
//!
//! Layout: `drafts/lists/<SHA-256>.list` holds the bytes, `<SHA-256>.json` what was decided about them. Each change is
//! written beside, synced and renamed before it is acknowledged.

use std::collections::BTreeMap;
use std::fs::{self, File};
use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};
use tempfile::NamedTempFile;

use super::{names, store, sum};
use crate::photograph::fixity::is_sha256;
use crate::photograph::{IngestFault, writing};

/// The folder in that of the drafts.
pub(super) const ROOM: &str = "lists";

/// The old lists that are kept in one catalogue folder. Nothing is touched until one comes.
#[derive(Debug, Clone)]
pub struct Lists {
    folder: PathBuf,
}

/// What was decided about a list.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct KeptList {
    /// SHA-256 of its bytes, which names it.
    pub sha256: String,
    /// Goes up with every change; who changes it says which version they saw.
    pub version: u64,
    /// Name of the file, without its folder.
    pub name: String,
    /// Who brought it.
    pub by: String,
    /// When, in UTC.
    pub began: String,
    /// The mapping by which it is read, as its file would stand.
    pub mapping: String,
    /// The mappings of other sheets of the same workbook, by their names.
    pub aside: BTreeMap<String, String>,
    /// A mapping that was typed and cannot be read as it stands.
    pub typed: Option<String>,
    /// What came of trying it.
    pub tried: Option<Trial>,
    /// What was entered from it, oldest first.
    pub entered: Vec<TakenIn>,
}

/// What came of trying a list.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Trial {
    /// The mapping that was tried.
    pub mapping: String,
    /// The last row of the journal then.
    pub revision: i64,
    /// Pieces that would enter.
    pub pieces: usize,
    /// Lines that would be recorded.
    pub lines: usize,
    /// Why it would not enter, if so.
    pub refused: Option<String>,
}

/// What was entered from a list.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct TakenIn {
    /// When, in UTC.
    pub at: String,
    /// Who entered it.
    pub by: String,
    /// Pieces.
    pub pieces: usize,
    /// Lines recorded for them.
    pub lines: usize,
    /// Rows whose new wording was kept.
    pub kept: usize,
}

/// Why a kept list was not changed. It is as it was.
#[derive(Debug, thiserror::Error)]
pub enum ListFault {
    /// There is none of this name.
    #[error("there is no such list here; it was removed, perhaps in another window")]
    Gone,
    /// Another window changed it.
    #[error("this list was changed in another window meanwhile; look at it as it is now, then repeat this")]
    Meanwhile,
    /// The file holds something else.
    #[error("what is kept of a list in `{}` cannot be read: {why}; it was left alone", path.display())]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// What the reader says.
        why: String,
    },
    /// The disk refuses.
    #[error("{0}; the list is as it was before")]
    Disk(#[from] IngestFault),
    /// The disk refuses.
    #[error("cannot use `{}`: {cause}; the list is as it was before", path.display())]
    Io {
        /// The file.
        path: PathBuf,
        /// The cause.
        cause: std::io::Error,
    },
}

/// The SHA-256 of the list of which a file of this name and ending holds something.
pub(super) fn sha256_in<'n>(file: &'n str, ending: &str) -> Option<&'n str> {
    let (sha256, there) = file.split_once('.')?;
    (there == ending && is_sha256(sha256)).then_some(sha256)
}

fn io(path: &Path) -> impl FnOnce(std::io::Error) -> ListFault {
    let path = path.to_owned();
    move |cause| {
        if cause.kind() == std::io::ErrorKind::NotFound { ListFault::Gone } else { ListFault::Io { path, cause } }
    }
}

/// A list on its way in. It vanishes with this value.
#[derive(Debug)]
pub struct ComingList(NamedTempFile);

impl ComingList {
    /// Where its bytes are to be written.
    pub fn path(&self) -> &Path {
        self.0.path()
    }
}

impl Lists {
    /// The lists below `root`, the catalogue folder.
    pub fn at(root: &Path) -> Self {
        Self { folder: root.join(store::ROOM).join(ROOM) }
    }

    /// Makes room for a list that comes piece by piece.
    ///
    /// # Errors
    /// If the disk refuses.
    pub fn coming(&self) -> Result<ComingList, ListFault> {
        writing::folder(&self.folder)?;
        Ok(ComingList(writing::temporary(&self.folder)?))
    }

    /// Keeps a list that has come, with how it is read; of one that is here already, that stays as it is.
    ///
    /// # Errors
    /// If the disk refuses.
    pub fn keep(&self, coming: ComingList, list: KeptList) -> Result<KeptList, ListFault> {
        let _turn = self.turn()?;
        let bytes = self.place(&list.sha256, "list")?;
        match self.about(&list.sha256) {
            Ok(there) if bytes.is_file() => return Ok(there),
            Ok(_) | Err(ListFault::Gone) => {}
            Err(other) => return Err(other),
        }
        coming.0.as_file().sync_all().map_err(io(&bytes))?;
        // The bytes first: what says how they are read never stands without them.
        writing::name(coming.0, &bytes)?;
        let list = KeptList { version: 1, ..list };
        self.write(&list)?;
        Ok(list)
    }

    /// What was decided about a list.
    ///
    /// # Errors
    /// If there is none of this name, or it cannot be read.
    pub fn about(&self, sha256: &str) -> Result<KeptList, ListFault> {
        let path = self.place(sha256, "json")?;
        let bytes = fs::read(&path).map_err(io(&path))?;
        sum::read(&bytes).map_err(|why| ListFault::Unreadable { path, why })
    }

    /// The bytes of a list as they came.
    ///
    /// # Errors
    /// If there is none of this name, or it cannot be read.
    pub fn bytes(&self, sha256: &str) -> Result<Vec<u8>, ListFault> {
        let path = self.place(sha256, "list")?;
        let bytes = fs::read(&path).map_err(io(&path))?;
        if crate::digest::sha256(&bytes) == sha256 {
            return Ok(bytes);
        }
        Err(ListFault::Unreadable { path, why: "its bytes have changed; remove it and choose the list again".into() })
    }

    /// Changes what was decided, if it still is of the version that was seen; none changes it whatever it is.
    ///
    /// # Errors
    /// If it was changed meanwhile or removed, or if the disk refuses.
    pub fn change(
        &self,
        sha256: &str,
        seen: Option<u64>,
        work: impl FnOnce(&mut KeptList),
    ) -> Result<KeptList, ListFault> {
        let _turn = self.turn()?;
        let mut list = self.about(sha256)?;
        if seen.is_some_and(|seen| seen != list.version) {
            return Err(ListFault::Meanwhile);
        }
        work(&mut list);
        list.version += 1;
        self.write(&list)?;
        Ok(list)
    }

    /// Keeps how a trial went. Nothing is decided by that, so that whoever writes a correction meanwhile is not held up.
    ///
    /// # Errors
    /// If it was removed, or if the disk refuses.
    pub fn tried(&self, sha256: &str, trial: Trial) -> Result<(), ListFault> {
        let _turn = self.turn()?;
        self.write(&KeptList { tried: Some(trial), ..self.about(sha256)? })
    }

    /// All lists that can be read, the latest first; [`Lists::unreadable`] names the others.
    ///
    /// # Errors
    /// If the folder cannot be read.
    pub fn all(&self) -> Result<Vec<KeptList>, ListFault> {
        let mut lists: Vec<KeptList> = self.each()?.iter().filter_map(|sha256| self.about(sha256).ok()).collect();
        lists.sort_by(|a, b| (&b.began, &b.sha256).cmp(&(&a.began, &a.sha256)));
        Ok(lists)
    }

    /// What is wrong with files of lists: what was decided that cannot be read, and bytes that are missing or changed.
    ///
    /// # Errors
    /// If the folder cannot be read.
    pub fn unreadable(&self) -> Result<Vec<ListFault>, ListFault> {
        let faults = self.each()?.into_iter().flat_map(|sha256| {
            let missing = |fault| match (fault, self.place(&sha256, "list")) {
                (ListFault::Gone, Ok(path)) => ListFault::Unreadable { path, why: "it is missing".into() },
                (fault, _) => fault,
            };
            [self.about(&sha256).err(), self.bytes(&sha256).map_err(missing).err()]
        });
        // One that was removed meanwhile is no fault.
        Ok(faults.flatten().filter(|fault| !matches!(fault, ListFault::Gone)).collect())
    }

    /// Where the bytes of each list must lie.
    ///
    /// # Errors
    /// If the folder cannot be read.
    pub fn places(&self) -> Result<Vec<PathBuf>, ListFault> {
        self.each()?.iter().map(|sha256| self.place(sha256, "list")).collect()
    }

    /// The names of all lists. Other files are passed over, and left alone.
    fn each(&self) -> Result<Vec<String>, ListFault> {
        let mut names = names(&self.folder).map_err(io(&self.folder))?;
        names.retain(|name| is_sha256(name));
        Ok(names)
    }

    /// Removes a list and what was decided about it.
    ///
    /// # Errors
    /// If there is none of this name, or the disk refuses.
    pub fn remove(&self, sha256: &str) -> Result<(), ListFault> {
        let _turn = self.turn()?;
        let (about, bytes) = (self.place(sha256, "json")?, self.place(sha256, "list")?);
        fs::remove_file(&about).map_err(io(&about))?;
        match fs::remove_file(&bytes) {
            Err(e) if e.kind() != std::io::ErrorKind::NotFound => Err(io(&bytes)(e)),
            _ => Ok(()),
        }
    }

    /// Where a list lies, if it is here.
    pub fn of(&self, sha256: &str) -> Vec<PathBuf> {
        let places = ["json", "list"].into_iter().filter_map(|ending| self.place(sha256, ending).ok());
        places.filter(|place| place.is_file()).collect()
    }

    /// Where something of a list lies. A name that is no SHA-256 leads nowhere.
    fn place(&self, sha256: &str, ending: &str) -> Result<PathBuf, ListFault> {
        if is_sha256(sha256) { Ok(self.folder.join(format!("{sha256}.{ending}"))) } else { Err(ListFault::Gone) }
    }

    /// One writer at a time, of all programs that use this folder.
    fn turn(&self) -> Result<File, ListFault> {
        writing::folder(&self.folder)?;
        store::turn(&self.folder).map_err(io(&self.folder.join(store::TURN)))
    }

    fn write(&self, list: &KeptList) -> Result<(), ListFault> {
        let path = self.place(&list.sha256, "json")?;
        let bytes = sum::with_sum(list).map_err(|why| ListFault::Unreadable { path: path.clone(), why })?;
        Ok(writing::put(&path, &bytes)?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_list_is_kept_changed_by_whoever_saw_it_last_and_removed() {
        let room = tempfile::tempdir().expect("a folder");
        let lists = Lists::at(room.path());
        assert!(lists.all().expect("none yet").is_empty() && !room.path().join("drafts").exists());
        let sha256 = crate::digest::sha256(b"No;Object\n");
        let bring = |mapping: &str| {
            let coming = lists.coming().expect("room for it");
            fs::write(coming.path(), b"No;Object\n").expect("written");
            let list = KeptList { sha256: sha256.clone(), mapping: mapping.into(), ..KeptList::default() };
            lists.keep(coming, list).expect("kept")
        };
        assert_eq!(bring("first").version, 1);
        assert_eq!(bring("second").mapping, "first", "how a list is read stays when it comes again");
        let now = lists.change(&sha256, Some(1), |list| list.mapping = "third".into()).expect("changed");
        assert_eq!((now.version, now.mapping.as_str()), (2, "third"));
        let late = lists.change(&sha256, Some(1), |list| list.mapping.clear());
        assert!(matches!(late, Err(ListFault::Meanwhile)));
        assert_eq!(lists.about(&sha256).expect("there").mapping, "third", "what is refused changes nothing");
        for strange in ["", "../catalogue", &sha256.to_uppercase(), &format!("{sha256}/..")] {
            assert!(matches!(lists.about(strange), Err(ListFault::Gone)), "{strange}");
            assert!(matches!(lists.remove(strange), Err(ListFault::Gone)), "{strange}");
        }
        drop(lists.coming().expect("room for one that never comes"));
        fs::write(room.path().join("drafts/lists/notes.json"), "mine").expect("written");
        assert_eq!(lists.all().expect("all").len(), 1);
        fs::write(room.path().join(format!("drafts/lists/{sha256}.list")), b"other").expect("written");
        assert!(matches!(lists.bytes(&sha256), Err(ListFault::Unreadable { .. })), "bytes that changed are told");
        assert!(lists.unreadable().expect("looked at")[0].to_string().contains("bytes have changed"));
        let about = room.path().join(format!("drafts/lists/{sha256}.json"));
        let text = fs::read_to_string(&about).expect("reads");
        fs::write(&about, text.replace("third", "thyrd")).expect("written");
        let told: Vec<String> = lists.unreadable().expect("looked at").iter().map(ToString::to_string).collect();
        assert!(told.len() == 2 && told[0].contains(&format!("{sha256}.json")), "{told:?}");
        assert!(lists.all().expect("all").is_empty());
        lists.remove(&sha256).expect("removed");
        assert!(lists.unreadable().expect("looked at").is_empty());
        let mut left: Vec<_> = fs::read_dir(room.path().join("drafts/lists"))
            .expect("the folder")
            .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
            .collect();
        left.sort();
        assert_eq!(left, [".turn", "notes.json"]);
    }
}
