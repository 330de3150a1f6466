//! A backup: the database by SQLite's online backup, every other file copied once, all of it read back and proved.

use std::fs::{self, File};
use std::path::Path;

use rayon::prelude::*;

use super::below::{Below, below, clear_unfinished};
use super::manifest::{self, Manifest};
use super::one_file::{Seen, one};
use super::staying::{named_stay, unread_stay};
use super::transfer::{Miscarried, read_back};
use super::{Watch, restore};
use crate::catalogue::{Catalogue, Clock, FILE, Fault, Finding, Last, Result, clear_beside, io};
use crate::photograph::writing::{put, sync_folder};

/// The page that explains a backup.
pub(super) const PAGE: &str = "BACKUP.txt";

/// The database until all of the backup is proved.
pub(super) const INCOMING: &str = "catalogue.sqlite.incoming";

/// Held by the one program that writes to a backup.
pub(super) const LOCK: &str = ".incoming-lock";

/// What a backup did.
#[derive(Debug, Clone, Default, PartialEq, Eq, serde::Serialize)]
pub struct Backup {
    /// The last row of the journal that it holds, and its hash.
    pub revision: i64,
    /// Hash of that row.
    pub revision_hash: String,
    /// Pieces in it.
    pub pieces: usize,
    /// Files in it, the database among them.
    pub files: usize,
    /// Of these, copied now.
    pub copied: usize,
    /// Bytes copied now.
    pub bytes: u64,
    /// Files read back from the disk and hashed.
    pub read_back: usize,
    /// Files of the backup that had changed or gone since they were copied, and were copied anew.
    pub mended: Vec<String>,
    /// Files of the backup that the catalogue no longer has. They were left there.
    pub left: Vec<String>,
    /// What is wrong with the catalogue or the backup, each with its mend.
    pub findings: Vec<Finding>,
}

/// Copies a catalogue, in use or not, into a folder of its own, and proves the copy. A second time only what is new is
/// copied; with `quick`, only that is read back, and the rest held against the list by its length alone.
///
/// An interruption leaves the backup that was there before; run again, it goes on where it stopped. A file that has
/// changed in the catalogue never takes the place of a sound one in the backup, and one that is lost there stays in it.
///
/// # Errors
/// If the folder holds something else or lies inside the catalogue, if another backup is being written there, if the
/// database does not prove sound, if the disk refuses, or if whoever watches wants no more. The backup made before stays then.
pub fn backup(catalogue: &Catalogue, to: &Path, quick: bool, clock: Clock, watch: &dyn Watch) -> Result<Backup> {
    let from = catalogue.folder();
    ours_to_write(from, to)?;
    fs::create_dir_all(to).map_err(io("make the folder", to))?;
    let _lock = lock(to)?;
    clear_unfinished(to)?;
    let before = restore::manifest_of(to).unwrap_or_default();
    let mut done = Backup::default();

    // Read before the database is copied: another program may be writing both.
    let last = Last::noted_in(from);
    let incoming = to.join(INCOMING);
    let mut told = 0;
    catalogue.copy_database(&incoming, &mut |pages, of| {
        if told == 0 {
            watch.begin("pages of the database", of);
        }
        watch.more(pages.saturating_sub(told));
        told = pages;
    })?;
    watch.go_on()?;
    let database = read_back(&incoming).map_err(io("read back", &incoming))?;
    let copied = Catalogue::open_copy(&incoming, clock)?;
    let mut unsound = copied.check_database()?;
    unsound.extend(copied.lost_since(last.as_ref())?);
    if let Some(first) = unsound.first() {
        let _ = fs::remove_file(&incoming);
        return Err(Fault::Refused(format!(
            "the database does not prove sound, and was not put in place of the one in the backup: {}{}; run `dimity check`",
            first.what,
            if unsound.len() > 1 { format!(", and {} more", unsound.len() - 1) } else { String::new() }
        )));
    }
    let revision = copied.revision()?;
    (done.revision, done.revision_hash, done.pieces) = (revision.row, revision.hash, copied.numbers()?.len());

    let Below { names, mut unread } = below(from).map_err(io("read the folder", from))?;
    // A file that stands where the backup has a folder says nothing of what lay in the catalogue's folder of that name.
    let (in_the_way, names): (Vec<_>, Vec<_>) = names.into_iter().partition(|name| manifest::place(to, name).is_dir());
    unread.extend(in_the_way.iter().map(|name| {
        (manifest::place(from, name), "a file stands where a folder is needed; move that file away".into())
    }));
    let mut manifest = files(from, to, &names, quick, &before, &mut done, watch)?;
    unread_stay(from, to, &unread, &before, &mut manifest, &mut done);
    named_stay(&copied, from, to, &unread, &mut manifest, &mut done)?;
    drop(copied);
    let page = page(&done, clock);
    write(to, PAGE, page.as_bytes())?;
    manifest.insert(PAGE.into(), read_back(&to.join(PAGE)).map_err(io("read back", to.join(PAGE)))?);
    manifest.insert(FILE.into(), database);
    done.files = manifest.len();
    done.copied += 2;
    done.read_back += 2;
    let lie_there = below(to).unwrap_or_default().names;
    done.left = lie_there.into_iter().filter(|name| !manifest.contains_key(name)).collect();

    // The list first: between the two steps it names the database that waits, and whoever reads the backup finds it.
    write(to, manifest::FILE, manifest::written(&manifest).as_bytes())?;
    let place = to.join(FILE);
    clear_beside(&place)?;
    fs::rename(&incoming, &place).map_err(io("name", &place))?;
    sync_folder(to).map_err(|e| Fault::Refused(e.to_string()))?;
    Ok(done)
}

/// Refuses a folder that is the catalogue's own, lies in it, or holds something else than a backup.
fn ours_to_write(from: &Path, to: &Path) -> Result<()> {
    let whole = |path: &Path| {
        let path = std::path::absolute(path).unwrap_or_else(|_| path.into());
        let there =
            path.ancestors().find_map(|a| Some((a.canonicalize().ok()?, path.strip_prefix(a).ok()?.to_owned())));
        there.map_or(path.clone(), |(start, rest)| start.join(rest))
    };
    if whole(to).starts_with(whole(from)) {
        return Err(Fault::Refused(format!(
            "`{}` lies in the catalogue's own folder and would be lost with it; name a folder elsewhere, best on another disk",
            to.display()
        )));
    }
    let mut entries = fs::read_dir(to).map(|entries| entries.flatten().peekable()).ok();
    let empty = entries.as_mut().is_none_or(|entries| entries.peek().is_none());
    let begun = [manifest::FILE, INCOMING, LOCK].iter().any(|name| to.join(name).exists());
    if to.is_file() || !(empty || begun) {
        return Err(Fault::Refused(format!(
            "`{}` holds something else than a backup of a catalogue; name a new or empty folder",
            to.display()
        )));
    }
    Ok(())
}

fn lock(to: &Path) -> Result<File> {
    let path = to.join(LOCK);
    let file = File::create(&path).map_err(io("write", &path))?;
    match file.try_lock() {
        Err(fs::TryLockError::WouldBlock) => Err(Fault::Refused(format!(
            "another program is writing a backup to `{}`; wait until it has finished",
            to.display()
        ))),
        // A file system without locks keeps nobody from making a backup.
        _ => Ok(file),
    }
}

/// Copies what is new, and looks at what is there already.
fn files(
    from: &Path,
    to: &Path,
    names: &[String],
    quick: bool,
    before: &Manifest,
    done: &mut Backup,
    watch: &dyn Watch,
) -> Result<Manifest> {
    watch.begin("files", names.len() as u64);
    let seen: Vec<_> = names
        .par_iter()
        .map(|name| {
            watch.go_on()?;
            let seen = one(from, to, name, quick, before.get(name));
            watch.more(1);
            Ok((name, seen))
        })
        .collect::<Result<_>>()?;
    let mut manifest = Manifest::new();
    for (name, seen) in seen {
        let (place, source) = (manifest::place(to, name), manifest::place(from, name));
        match seen {
            Ok(Seen::Kept { sha256, read }) => {
                done.read_back += usize::from(read);
                manifest.insert(name.clone(), sha256);
            }
            Ok(Seen::Copied { sha256, bytes, mended }) => {
                done.copied += 1;
                done.read_back += 1;
                done.bytes += bytes;
                if mended {
                    done.mended.push(name.clone());
                }
                manifest.insert(name.clone(), sha256);
            }
            Ok(Seen::Gone) => {}
            // The copy of before is sound, and stays in the list.
            Err((Miscarried::Changed(now), held)) => {
                let kept = if let Some(sha256) = held {
                    manifest.insert(name.clone(), sha256);
                    format!("put the sound copy of the backup in its place: `{}`", place.display())
                } else {
                    "put it back from another backup; this one has none".to_owned()
                };
                done.findings.push(Finding::new(
                    format!("`{}` has changed: its SHA-256 is now {now}; it was not copied", source.display()),
                    kept,
                ));
            }
            Err((Miscarried::Spoilt(why), held)) => {
                let kept = if let Some(sha256) = held {
                    manifest.insert(name.clone(), sha256);
                    format!(
                        "put the sound copy of the backup in its place: `{}`; what was written since it was made is not in it",
                        place.display()
                    )
                } else {
                    "put it back from another backup, this one has none; or move it away, and write again what stands in it"
                        .to_owned()
                };
                done.findings.push(Finding::new(
                    format!("`{}` is not as it was written: {why}; it was not copied", source.display()),
                    kept,
                ));
            }
            Err((Miscarried::Unread(cause), held)) => {
                manifest.extend(held.map(|sha256| (name.clone(), sha256)));
                done.findings.push(Finding::new(
                    format!("`{}` cannot be read: {cause}", source.display()),
                    "see to the disk, then make the backup again",
                ));
            }
            Err((Miscarried::Unwritten(cause), _)) => {
                return Err(Fault::Refused(format!(
                    "the backup could not be finished, at `{}`: {cause}; the one made before stands; run it again to go on",
                    place.display()
                )));
            }
        }
    }
    Ok(manifest)
}

fn write(folder: &Path, file: &str, bytes: &[u8]) -> Result<()> {
    put(&folder.join(file), bytes).map_err(|e| Fault::Refused(e.to_string()))
}

fn page(done: &Backup, clock: Clock) -> String {
    format!(
        "THIS FOLDER IS A BACKUP\n=======================\n\n\
         It is the whole of a catalogue of garments, copied by a program called Dimity on {at} (UTC), and can be used like\n\
         the catalogue itself: READ-ME-FIRST.txt explains it. Smaller copies of the photographs and printed reports are left\n\
         out; they can be made again.\n\n\
         Pieces: {pieces}. Last row of the journal: {row}, with the hash\n{hash}\n\n\
         How to see that not a bit has changed, without that program: SHA256SUMS lists the SHA-256 of every file in the form\n\
         that the common tools read. In this folder, on Linux:\n\n    sha256sum -c SHA256SUMS\n\n\
         on macOS:\n\n    shasum -a 256 -c SHA256SUMS\n\n\
         Every line must say OK. With the program: dimity restore THIS-FOLDER NEW-FOLDER checks every file on the way and the\n\
         whole catalogue at the end, and leaves this folder alone.\n\n\
         One copy is no copy. Keep another on another disk, and one in another place.\n",
        at = clock.now().strftime("%Y-%m-%d %H:%M"),
        pieces = done.pieces,
        row = done.revision,
        hash = done.revision_hash,
    )
}
