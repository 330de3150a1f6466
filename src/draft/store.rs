//! Drafts on disk: read, changed one at a time, written whole or not at all.

use std::fs::{self, File};
use std::path::{Path, PathBuf};

use uuid::Uuid;

use super::{Draft, names, sum};
use crate::photograph::{IngestFault, writing};

/// The folder in that of the catalogue.
pub(super) const ROOM: &str = "drafts";
/// Held by the one who writes, here and in the folder of the lists.
pub(super) const TURN: &str = ".turn";
/// What is entered can be taken back for so long; then its draft goes.
const KEPT: std::time::Duration = std::time::Duration::from_secs(24 * 60 * 60);

/// The drafts of one catalogue folder. Nothing is touched until one is begun.
#[derive(Debug, Clone)]
pub struct Drafts {
    folder: PathBuf,
}

/// Why a draft was not changed. It is as it was.
#[derive(Debug, thiserror::Error)]
pub enum DraftFault {
    /// There is none of this name.
    #[error("there is no such draft; it was entered or discarded, perhaps in another window")]
    Gone,
    /// Another window changed it.
    #[error("this draft was changed in another window meanwhile")]
    Meanwhile(Box<Draft>),
    /// The file is no draft.
    #[error("the draft `{}` cannot be read: {why}; it was left alone", path.display())]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// What the reader says.
        why: String,
    },
    /// The disk refuses.
    #[error("{0}; the draft is as it was before")]
    Disk(#[from] IngestFault),
    /// The disk refuses.
    #[error("cannot use `{}`: {cause}; the draft is as it was before", path.display())]
    Io {
        /// The file.
        path: PathBuf,
        /// The cause.
        cause: std::io::Error,
    },
}

/// Waits until nobody else writes in this folder, and holds it for as long as the file is open.
pub(super) fn turn(folder: &Path) -> std::io::Result<File> {
    let file = File::options().create(true).truncate(false).write(true).open(folder.join(TURN))?;
    file.lock()?;
    Ok(file)
}

/// The identifier of the draft that a file of this name holds.
pub(super) fn id_in(file: &str) -> Option<Uuid> {
    let id = Uuid::try_parse(file.strip_suffix(".json")?).ok()?;
    (file == file_of(id)).then_some(id)
}

fn file_of(id: Uuid) -> String {
    format!("{id}.json")
}

fn io(path: &Path) -> impl FnOnce(std::io::Error) -> DraftFault {
    let path = path.to_owned();
    move |cause| DraftFault::Io { path, cause }
}

fn read(path: &Path) -> Result<Draft, DraftFault> {
    let bytes = fs::read(path).map_err(|e| match e.kind() {
        std::io::ErrorKind::NotFound => DraftFault::Gone,
        _ => io(path)(e),
    })?;
    sum::read(&bytes).map_err(|why| DraftFault::Unreadable { path: path.to_owned(), why })
}

impl Drafts {
    /// The drafts below `root`, the catalogue folder.
    pub fn at(root: &Path) -> Self {
        Self { folder: root.join(ROOM) }
    }

    /// Where a draft lies. A name that is no identifier of ours leads nowhere.
    fn place(&self, id: &str) -> Result<PathBuf, DraftFault> {
        let id = Uuid::try_parse(id).map_err(|_| DraftFault::Gone)?;
        Ok(self.folder.join(file_of(id)))
    }

    /// Keeps a new draft; gives it with its identifier.
    ///
    /// # Errors
    /// If the disk refuses.
    pub fn begin(&self, draft: Draft) -> Result<Draft, DraftFault> {
        let draft = Draft { id: Uuid::now_v7().to_string(), version: 1, ..draft };
        self.write(&draft)?;
        Ok(draft)
    }

    /// A draft as it stands.
    ///
    /// # Errors
    /// If there is none, or it cannot be read.
    pub fn read(&self, id: &str) -> Result<Draft, DraftFault> {
        read(&self.place(id)?)
    }

    /// Changes a draft, if it still is of the version that was seen. What `work` refuses changes nothing.
    ///
    /// # Errors
    /// If it was changed meanwhile, if `work` refuses, or if the disk does.
    pub fn change<T, E: From<DraftFault>>(
        &self,
        id: &str,
        seen: u64,
        work: impl FnOnce(&mut Draft) -> Result<T, E>,
    ) -> Result<(Draft, T), E> {
        let _turn = self.turn()?;
        let draft = self.read(id)?;
        self.changed(draft, seen, work)
    }

    /// The same for a message of a window, which is done once: the answer to it may be lost with the program or on its way,
    /// and then the window sends it again. Nothing is done then, and none is given for what `work` gives.
    ///
    /// # Errors
    /// As for [`Drafts::change`].
    pub fn change_once<T, E: From<DraftFault>>(
        &self,
        id: &str,
        seen: u64,
        message: &str,
        work: impl FnOnce(&mut Draft) -> Result<T, E>,
    ) -> Result<(Draft, Option<T>), E> {
        let _turn = self.turn()?;
        let draft = self.read(id)?;
        if !message.is_empty() && draft.window == message {
            return Ok((draft, None));
        }
        let work = |draft: &mut Draft| {
            message.clone_into(&mut draft.window);
            work(draft)
        };
        self.changed(draft, seen, work).map(|(draft, answer)| (draft, Some(answer)))
    }

    fn changed<T, E: From<DraftFault>>(
        &self,
        mut draft: Draft,
        seen: u64,
        work: impl FnOnce(&mut Draft) -> Result<T, E>,
    ) -> Result<(Draft, T), E> {
        if draft.version != seen {
            return Err(DraftFault::Meanwhile(Box::new(draft)).into());
        }
        let answer = work(&mut draft)?;
        draft.version += 1;
        self.write(&draft)?;
        Ok((draft, answer))
    }

    /// All drafts that can be read, the latest begun first; [`Drafts::unreadable`] names the others.
    ///
    /// # Errors
    /// If the folder cannot be read.
    pub fn all(&self) -> Result<Vec<Draft>, DraftFault> {
        self.sorted_out().map(|(drafts, _)| drafts)
    }

    /// The same, and why the others cannot be read.
    ///
    /// # Errors
    /// If the folder cannot be read.
    pub fn sorted_out(&self) -> Result<(Vec<Draft>, Vec<DraftFault>), DraftFault> {
        let (mut drafts, mut faults) = (Vec::new(), Vec::new());
        for path in self.each()? {
            let draft = match read(&path) {
                Ok(draft) => draft,
                // One that was entered or discarded meanwhile is no fault.
                Err(DraftFault::Gone) => continue,
                Err(fault) => {
                    faults.push(fault);
                    continue;
                }
            };
            let old = || fs::metadata(&path).ok()?.modified().ok()?.elapsed().ok();
            if draft.entered.is_some() && old().is_some_and(|age| age > KEPT) {
                let _ = fs::remove_file(path);
            } else {
                drafts.push(draft);
            }
        }
        drafts.sort_by(|a, b| b.id.cmp(&a.id));
        Ok((drafts, faults))
    }

    /// Why drafts cannot be read, of each that cannot.
    ///
    /// # Errors
    /// If the folder cannot be read.
    pub fn unreadable(&self) -> Result<Vec<DraftFault>, DraftFault> {
        let faults = self.each()?.into_iter().filter_map(|path| read(&path).err());
        // One that was entered or discarded meanwhile is no fault.
        Ok(faults.filter(|fault| !matches!(fault, DraftFault::Gone)).collect())
    }

    /// The files of all drafts, by name. Files with other names are passed over, and left alone.
    fn each(&self) -> Result<Vec<PathBuf>, DraftFault> {
        let names = names(&self.folder).map_err(io(&self.folder))?;
        Ok(names.iter().filter_map(|name| self.place(name).ok()).collect())
    }

    /// Where the drafts of a piece lie; and why others cannot be read, which may be of it too.
    ///
    /// # Errors
    /// If the folder cannot be read.
    pub fn of(&self, number: &str) -> Result<(Vec<PathBuf>, Vec<DraftFault>), DraftFault> {
        let (drafts, faults) = self.sorted_out()?;
        let theirs = drafts.iter().filter(|draft| draft.number == number).map(|draft| self.place(&draft.id));
        Ok((theirs.collect::<Result<_, _>>()?, faults))
    }

    /// One writer at a time, of all programs that use this folder.
    fn turn(&self) -> Result<File, DraftFault> {
        fs::create_dir_all(&self.folder).map_err(io(&self.folder))?;
        turn(&self.folder).map_err(io(&self.folder.join(TURN)))
    }

    fn write(&self, draft: &Draft) -> Result<(), DraftFault> {
        let path = self.place(&draft.id)?;
        let bytes = sum::with_sum(draft).map_err(|why| DraftFault::Unreadable { path: path.clone(), why })?;
        Ok(writing::put(&path, &bytes)?)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_draft_is_changed_by_whoever_saw_it_last_and_no_other_file_is_touched() {
        let folder = tempfile::tempdir().expect("a folder");
        let drafts = Drafts::at(folder.path());
        assert!(drafts.all().expect("none yet").is_empty());
        let draft = drafts.begin(Draft { number: "1".into(), ..Draft::default() }).expect("begun");
        let typed = |text: &'static str| {
            move |d: &mut Draft| -> Result<(), DraftFault> {
                d.typed = text.into();
                Ok(())
            }
        };
        let (now, ()) = drafts.change(&draft.id, 1, typed("tear")).expect("changed");
        assert_eq!((now.version, now.typed.as_str()), (2, "tear"));
        let refused = drafts.change(&draft.id, 1, typed("other")).expect_err("another window was faster");
        assert!(matches!(refused, DraftFault::Meanwhile(now) if now.typed == "tear"));
        let refused = drafts.change(&draft.id, 2, |d: &mut Draft| {
            d.typed.clear();
            Err::<(), _>(DraftFault::Gone)
        });
        assert!(
            refused.is_err() && drafts.read(&draft.id).expect("read").typed == "tear",
            "what is refused changes nothing"
        );
        for strange in ["../catalogue", "", "x", &format!("{}/..", draft.id)] {
            assert!(matches!(drafts.read(strange), Err(DraftFault::Gone)), "{strange}");
        }
        let place = folder.path().join(format!("drafts/{}.json", draft.id));
        assert_eq!(drafts.of("1").expect("those of the piece").0, [place]);
        assert!(drafts.of("11").expect("none").0.is_empty());
        fs::write(folder.path().join("drafts/notes.json"), "mine").expect("written");
        assert_eq!(drafts.all().expect("all").len(), 1);
        assert!(drafts.unreadable().expect("looked at").is_empty(), "a file that is no draft of ours is let be");
        let place = folder.path().join(format!("drafts/{}.json", draft.id));
        let text = fs::read_to_string(&place).expect("reads");
        fs::write(&place, text.replace("tear", "teas")).expect("written");
        let told = drafts.unreadable().expect("looked at")[0].to_string();
        assert!(told.contains(&draft.id) && told.contains("have changed"), "{told}");
        assert!(drafts.all().expect("all").is_empty() && drafts.read(&draft.id).is_err());
        fs::write(&place, text).expect("written");
        assert_eq!(drafts.all().expect("all").len(), 1);
    }
}
