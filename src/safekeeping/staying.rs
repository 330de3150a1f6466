//! What stays in a backup though the catalogue does not give it any more: files that were lost there, or cannot be reached.

use std::path::{Path, PathBuf};

use super::Backup;
use super::below::lies_in;
use super::manifest::{self, Manifest};
use super::one_file::named_for;
use super::transfer::read_back;
use crate::catalogue::{Catalogue, Finding, Result};
use crate::draft::Lists;
use crate::photograph::Store;
use crate::sealed::Pages;

/// Keeps the copy that the backup has of a file which is not to be had from the catalogue, if it is sound; says whether.
fn stays(to: &Path, name: &str, sha256: &str, manifest: &mut Manifest, done: &mut Backup) -> bool {
    let sound = read_back(&manifest::place(to, name)).is_ok_and(|there| there == sha256);
    if sound {
        manifest.insert(name.to_owned(), sha256.to_owned());
        done.read_back += 1;
    }
    sound
}

/// What lies in folders that cannot be read is not known to be gone: what the backup has of it stays there.
pub(super) fn unread_stay(
    from: &Path,
    to: &Path,
    unread: &[(PathBuf, String)],
    before: &Manifest,
    manifest: &mut Manifest,
    done: &mut Backup,
) {
    for (folder, why) in unread {
        done.findings.push(Finding::unread_folder(folder, why));
        let Some(room) = folder.strip_prefix(from).ok().and_then(manifest::name) else { continue };
        for (name, sha256) in before.iter().filter(|(name, _)| lies_in(name, &room)) {
            if !manifest.contains_key(name) && !stays(to, name, sha256, manifest, done) {
                let place = manifest::place(to, name);
                done.findings.push(Finding::new(
                    format!(
                        "`{}` has changed or gone in the backup, and the catalogue's own cannot be read",
                        place.display()
                    ),
                    "put it back from another backup",
                ));
            }
        }
    }
}

/// What is named by the database, or by what is kept of an old list, and is not to be had from the catalogue: what the backup
/// has of it stays there, and what it lacks is told.
pub(super) fn named_stay(
    copied: &Catalogue,
    from: &Path,
    to: &Path,
    unread: &[(PathBuf, String)],
    manifest: &mut Manifest,
    done: &mut Backup,
) -> Result<()> {
    let (store, pages) = (Store::at(from), Pages::at(from));
    let photographs = copied.originals()?.into_iter().map(|o| store.original(&o.sha256, &o.extension));
    let sealed = copied.seals(None)?.into_iter().map(|seal| pages.place(&seal.sha256));
    // A list that came in while others were copied is whole; the next backup brings it.
    let lists = Lists::at(from).places().unwrap_or_default().into_iter().filter(|place| !place.exists());
    for place in photographs.chain(sealed).chain(lists) {
        let name = place.strip_prefix(from).ok().and_then(manifest::name).unwrap_or_default();
        if manifest.contains_key(&name) || done.findings.iter().any(|finding| finding.what.contains(&name)) {
            continue;
        }
        let kept = named_for(&name).is_some_and(|sha256| stays(to, &name, &sha256, manifest, done));
        let hidden = unread.iter().any(|(folder, _)| place.starts_with(folder));
        let (how, mend) = match (kept, hidden) {
            // Told with its folder.
            (true, true) => continue,
            (true, false) => (
                "is missing; the backup has a sound copy, which stays",
                format!("put the sound copy of the backup back: `{}`", manifest::place(to, &name).display()),
            ),
            (false, true) => (
                "lies in a folder that cannot be read, and the backup has no copy",
                "see that the folder can be read, then make the backup again".to_owned(),
            ),
            (false, false) => (
                "is missing, and the backup has no copy",
                "put it back from another backup, then make this one again".to_owned(),
            ),
        };
        done.findings.push(Finding::new(format!("`{}` {how}", place.display()), mend));
    }
    Ok(())
}
