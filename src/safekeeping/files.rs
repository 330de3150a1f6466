//! The files of a catalogue that was made from an export: photographs and sealed pages, each held against the SHA-256 that
//! it is known by.

use std::collections::BTreeSet;
use std::path::Path;

use super::Watch;
use super::transfer::{Told, Wanted, copy_all};
use crate::catalogue::{Catalogue, Fault, Finding, Result};
use crate::photograph::Store;
use crate::sealed::Pages;

/// Copies the photographs and sealed pages that the catalogue names from a folder where they lie as in a catalogue's. What is
/// missing there or has changed is named and left out; what is missing and `held_back`, by its SHA-256, was never to be
/// there. Gives how many were copied.
///
/// # Errors
/// If the catalogue cannot be read, or the disk refuses.
pub fn files(
    catalogue: &Catalogue,
    from: &Path,
    held_back: &BTreeSet<String>,
    watch: &dyn Watch,
) -> Result<(usize, Vec<Finding>)> {
    let (store, here) = (Store::at(from), Store::at(catalogue.folder()));
    let (pages, pages_here) = (Pages::at(from), Pages::at(catalogue.folder()));
    let mut wanted: Vec<Wanted> = Vec::new();
    for original in catalogue.originals()? {
        let place = |store: &Store| store.original(&original.sha256, &original.extension);
        wanted.push((place(&store), place(&here), original.sha256.clone()));
    }
    for seal in catalogue.seals(None)? {
        wanted.push((pages.place(&seal.sha256), pages_here.place(&seal.sha256), seal.sha256));
    }
    wanted.retain(|(from, _, sha256)| !held_back.contains(sha256) || from.exists());
    watch.begin("files", wanted.len() as u64);
    let told = Told {
        place: "",
        mend: &|to| format!("put the file as it was at `{}`", to.display()),
        stopped: &|to, cause| Fault::Refused(format!("cannot write `{}`: {cause}", to.display())),
    };
    copy_all(&wanted, false, &told, watch)
}
