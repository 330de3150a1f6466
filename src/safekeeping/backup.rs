//! A backup: the database by SQLite's online backup, every other file copied once, all of it read back and proved.

use std::fs::{self, File};
use std::path::Path;

use rayon::prelude::*;

use super::manifest::{self, Manifest};
use super::transfer::{Miscarried, copy, read_back};
use super::{Watch, restore};
use crate::catalogue::{Catalogue, Clock, FILE, Fault, Finding, Result, io};
use crate::photograph::fixity::is_sha256;
use crate::photograph::writing::{UNFINISHED, put, sync_folder};
use crate::photograph::{Store, walk};
use crate::sealed::Pages;

/// The page that explains a backup.
pub(super) const PAGE: &str = "BACKUP.txt";

/// The database until all of the backup is proved.
pub(super) const INCOMING: &str = "catalogue.sqlite.incoming";

/// Held by the one program that writes to a backup.
const LOCK: &str = ".incoming-lock";

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
/// changed in the catalogue never takes the place of a sound one in the backup.
///
/// # Errors
/// If the folder holds something else or lies inside the catalogue, if another backup is being written there, if the
/// database does not prove sound, if the disk refuses, or if whoever watches wants no more. The backup made before stays then.
pub fn backup(catalogue: &Catalogue, to: &Path, quick: bool, clock: Clock, watch: &dyn Watch) -> Result<Backup> {
    let from = catalogue.folder();
    ours_to_write(from, to)?;
    fs::create_dir_all(to).map_err(io("make the folder", to))?;
    let _lock = lock(to)?;
    let before = restore::manifest_of(to).unwrap_or_default();
    let mut done = Backup::default();

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
    let unsound = copied.check_database()?;
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

    let mut manifest = files(from, to, quick, &before, &mut done, watch)?;
    wanted(&copied, from, &manifest, &mut done)?;
    drop(copied);
    let page = page(&done, clock);
    write(to, PAGE, page.as_bytes())?;
    manifest.insert(PAGE.into(), read_back(&to.join(PAGE)).map_err(io("read back", to.join(PAGE)))?);
    manifest.insert(FILE.into(), database);
    done.files = manifest.len();
    done.copied += 2;
    done.read_back += 2;
    done.left = below(to).into_iter().filter(|name| !manifest.contains_key(name)).collect();

    // The list first: between the two steps it names the database that waits, and whoever reads the backup finds it.
    write(to, manifest::FILE, manifest::written(&manifest).as_bytes())?;
    let place = to.join(FILE);
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
    quick: bool,
    before: &Manifest,
    done: &mut Backup,
    watch: &dyn Watch,
) -> Result<Manifest> {
    let names = below(from);
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

enum Seen {
    Kept { sha256: String, read: bool },
    Copied { sha256: String, bytes: u64, mended: bool },
}

/// Sees to one file. With what miscarried comes the SHA-256 of a sound copy that the backup has already.
fn one(
    from: &Path,
    to: &Path,
    name: &str,
    quick: bool,
    before: Option<&String>,
) -> std::result::Result<Seen, (Miscarried, Option<String>)> {
    let (source, place) = (manifest::place(from, name), manifest::place(to, name));
    let expected = named_for(name);
    let length = |path: &Path| fs::metadata(path).map(|about| about.len()).ok();
    let same_length = length(&source).is_some_and(|length_of| length(&place) == Some(length_of));
    if let (true, true, Some(sha256)) = (quick, same_length, &expected)
        && before == Some(sha256)
    {
        return Ok(Seen::Kept { sha256: sha256.clone(), read: false });
    }
    let there = if expected.is_some() || same_length { read_back(&place).ok() } else { None };
    if let Some(sha256) = there.filter(|there| expected.as_ref().or(before).is_none_or(|should| should == there)) {
        if expected.is_some() && !same_length {
            // The copy is sound; what it was copied from cannot be.
            let now = read_back(&source).map_or_else(|e| Miscarried::Unread(e.to_string()), Miscarried::Changed);
            return Err((now, Some(sha256)));
        }
        // What is not named by its hash may have changed in the catalogue since.
        if expected.is_some() || read_back(&source).is_ok_and(|now| now == sha256) {
            return Ok(Seen::Kept { sha256, read: true });
        }
    }
    let mended = before.is_some() && expected.is_some();
    copy(&source, &place, expected.as_deref())
        .map(|(sha256, bytes)| Seen::Copied { sha256, bytes, mended })
        .map_err(|miscarried| (miscarried, None))
}

/// The SHA-256 for which a stored file is named.
fn named_for(name: &str) -> Option<String> {
    let room = name.split('/').next()?;
    let stem = Path::new(name).file_stem()?.to_str()?;
    (matches!(room, "photographs" | "sealed") && is_sha256(stem)).then(|| stem.to_owned())
}

/// The files below a catalogue's folder that a backup holds beside the database: all but what can be made again, and what
/// an interruption left behind.
fn below(folder: &Path) -> Vec<String> {
    let mut names = Vec::new();
    let Ok(entries) = fs::read_dir(folder) else { return names };
    for entry in entries.flatten() {
        let (path, top) = (entry.path(), entry.file_name().to_string_lossy().into_owned());
        let made_again = matches!(top.as_str(), "derived" | "reports" | "exports" | PAGE | manifest::FILE);
        if made_again || top.starts_with("catalogue.") {
            continue;
        }
        let mut take = |path: &Path| {
            let unfinished = path.file_name().is_some_and(|name| name.to_string_lossy().starts_with(UNFINISHED));
            let name = path.strip_prefix(folder).ok().and_then(manifest::name);
            names.extend(name.filter(|_| !unfinished && path.is_file()));
        };
        if path.is_dir() { walk(&path, &mut take) } else { take(&path) }
    }
    names.sort();
    names
}

/// What the database names and the backup lacks.
fn wanted(copied: &Catalogue, from: &Path, manifest: &Manifest, done: &mut Backup) -> Result<()> {
    let (store, pages) = (Store::at(from), Pages::at(from));
    let photographs = copied.originals()?.into_iter().map(|o| store.original(&o.sha256, &o.extension));
    let sealed = copied.seals(None)?.into_iter().map(|seal| pages.place(&seal.sha256));
    for place in photographs.chain(sealed) {
        let name = place.strip_prefix(from).ok().and_then(manifest::name).unwrap_or_default();
        let told = done.findings.iter().any(|finding| finding.what.contains(&name));
        if !manifest.contains_key(&name) && !told {
            done.findings.push(Finding::new(
                format!("`{}` is missing, and the backup has no copy", place.display()),
                "put it back from another backup, then make this one again",
            ));
        }
    }
    Ok(())
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
