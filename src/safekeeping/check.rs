//! The whole check: database, journal, sealed pages, every photograph, and files that belong to nothing.

use std::collections::HashSet;
use std::hash::{BuildHasher as _, BuildHasherDefault, DefaultHasher};
use std::path::{Path, PathBuf};

use jiff::civil::Date;

use rayon::prelude::*;

use super::{Watch, backup};
use crate::catalogue::{Catalogue, Finding, Original, Result, UNFINISHED_ENDING};
use crate::draft::{self, Drafts, Lists};
use crate::photograph::writing::UNFINISHED;
use crate::photograph::{Fixity, Store, Stranger, View};

/// How much is looked at.
pub struct Asked<'a> {
    /// Which originals are read.
    pub original: &'a (dyn Fn(&Original) -> bool + Sync),
    /// Every view is made anew as well, and compared.
    pub views: bool,
}

impl Default for Asked<'_> {
    fn default() -> Self {
        Self { original: &|_| true, views: false }
    }
}

/// Which originals have their turn today, where a large collection is checked little by little.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Turn {
    /// Only this share of them, another one each day; more than 0, at most 1.
    pub share: Option<f64>,
    /// Only what was added on or after this day.
    pub since: Option<Date>,
}

impl Turn {
    /// Whether this original's turn has come.
    pub fn takes(&self, original: &Original, today: Date) -> bool {
        let added = original.added.parse::<jiff::Timestamp>();
        let day = added.map(|at| at.to_zoned_datetime(jiff::tz::TimeZone::system()).date());
        // What has no known day is rather read once too often.
        let late = self.since.is_none_or(|since| day.as_ref().map_or(true, |day| *day >= since));
        late && self.share.is_none_or(|share| {
            // A fixed hash of file and day: every day another share, and the same one when it is run again.
            let hash = BuildHasherDefault::<DefaultHasher>::default().hash_one((&original.sha256, today));
            (hash as f64) < share * (u64::MAX as f64)
        })
    }
}

/// `5%` or `5 %`, more than nothing and at most all.
///
/// # Errors
/// A sentence that says how a share is written.
pub fn share(text: &str) -> std::result::Result<f64, String> {
    let number = text.trim().strip_suffix('%').map(str::trim).and_then(|n| n.parse::<f64>().ok());
    let share = number.filter(|n| *n > 0.0 && *n <= 100.0);
    share.map(|n| n / 100.0).ok_or_else(|| "a share is written as a percentage, such as 5%".into())
}

/// What the check found.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Whole {
    /// What is wrong, each with its mend.
    pub findings: Vec<Finding>,
    /// Originals read, and how many there are.
    pub read: (usize, usize),
    /// Originals whose views were made again.
    pub rebuilt: usize,
    /// Files left behind by an interruption, and views of photographs that are gone: of no use.
    pub of_no_use: Vec<PathBuf>,
    /// What is no fault, and should be known.
    pub remarks: Vec<String>,
}

/// Checks a catalogue and its folder. Does not stop at the first finding.
///
/// # Errors
/// If the database cannot be read at all, or if whoever watches wants no more.
pub fn check(catalogue: &Catalogue, asked: &Asked<'_>, watch: &dyn Watch) -> Result<Whole> {
    let mut whole = Whole { findings: catalogue.check()?, ..Whole::default() };
    watch.go_on()?;
    let store = Store::at(catalogue.folder());
    let originals = catalogue.originals()?;
    let chosen: Vec<&Original> = originals.iter().filter(|original| (asked.original)(original)).collect();
    whole.read = (chosen.len(), originals.len());
    watch.begin("photographs", chosen.len() as u64);
    let pictures: Vec<_> = chosen
        .par_iter()
        .map(|original| {
            if !watch.is_wanted() {
                return Found::Sound;
            }
            let found = original_found(&store, original, asked.views);
            watch.more(1);
            found
        })
        .collect();
    watch.go_on()?;
    for found in pictures {
        match found {
            Found::Sound => {}
            Found::Rebuilt => whole.rebuilt += 1,
            Found::Finding(finding) => whole.findings.push(finding),
        }
    }
    let known = originals.iter().map(|o| (o.sha256.clone(), o.extension.clone())).collect();
    for found in store.strangers(&known) {
        match stranger(&found) {
            Ok(finding) => whole.findings.push(finding),
            Err(of_no_use) => whole.of_no_use.push(of_no_use),
        }
    }
    whole.of_no_use.extend(store.orphaned_views(&known.into_iter().map(|(sha, _)| sha).collect::<HashSet<_>>()));
    whole.findings.extend(drafts_found(catalogue));
    for stray in draft::strays(catalogue.folder()) {
        match stray_draft(stray) {
            Ok(finding) => whole.findings.push(finding),
            Err(of_no_use) => whole.of_no_use.push(of_no_use),
        }
    }
    whole.of_no_use.extend(unfinished(catalogue.folder()));
    match catalogue.see_to_page() {
        Ok(true) => {
            whole.remarks.push("the page READ-ME-FIRST.txt was missing or altered, and was written again".into());
        }
        Ok(false) => {}
        Err(fault) => whole.findings.push(Finding::new(
            format!("the page READ-ME-FIRST.txt is missing or altered: {fault}"),
            "see that the folder can be written, then check again",
        )),
    }
    for photo in catalogue.untied_photographs()? {
        whole.remarks.push(format!("the photograph `{}` {}", photo.original_name, photo.kept_how()));
    }
    for (row, before, at) in catalogue.backward_times()? {
        whole.remarks.push(format!(
            "the clock of the machine ran backwards: row {row} of the journal says {at}, the row before it {before}; \
             the order of the rows is what counts"
        ));
    }
    Ok(whole)
}

/// Drafts and old lists on their way in that are not as they were written. They are no part of the record, which is why
/// a loss there ends nothing else.
fn drafts_found(catalogue: &Catalogue) -> Vec<Finding> {
    const DRAFT: &str =
        "put this file back from a backup; or move it away, and write its lines again as they stand in it";
    const LIST: &str = "put this file back from a backup; or move it away, and bring the old list again";
    let (drafts, lists) = (Drafts::at(catalogue.folder()), Lists::at(catalogue.folder()));
    let drafts = drafts.unreadable().unwrap_or_else(|fault| vec![fault]);
    let lists = lists.unreadable().unwrap_or_else(|fault| vec![fault]);
    let drafts = drafts.iter().map(|fault| Finding::new(fault.to_string(), DRAFT));
    drafts.chain(lists.iter().map(|fault| Finding::new(fault.to_string(), LIST))).collect()
}

enum Found {
    Sound,
    Rebuilt,
    Finding(Finding),
}

fn original_found(store: &Store, original: &Original, views: bool) -> Found {
    const BACKUP: &str = "put the original back from a backup";
    let Original { sha256, extension, .. } = original;
    let place = store.original(sha256, extension);
    let place = place.display();
    Found::Finding(match store.verify(sha256, extension) {
        Fixity::Sound => match store.see_to_views(sha256, extension, views) {
            Ok(View::Sound) => return Found::Sound,
            Ok(View::Rebuilt) => return Found::Rebuilt,
            Err(fault) => Finding::new(
                format!("the views of `{place}` cannot be made again: {fault}"),
                "the original is sound; see that the folder can be written, then check again",
            ),
        },
        Fixity::Missing => Finding::new(format!("the photograph `{place}` is missing"), BACKUP),
        Fixity::Changed { now } => {
            Finding::new(format!("the photograph `{place}` has changed: its SHA-256 is now {now}"), BACKUP)
        }
        Fixity::Unreadable { cause } => Finding::new(
            format!("the photograph `{place}` cannot be read: {cause}"),
            "see to the disk, then check again",
        ),
    })
}

/// What is wrong with a file that the catalogue does not know; its place alone, if it is only of no use.
fn stranger(found: &Stranger) -> std::result::Result<Finding, PathBuf> {
    match found {
        Stranger::Unfinished(path) => Err(path.clone()),
        Stranger::Unlinked(path) => Ok(Finding::new(
            format!("`{}` lies in the store, but no record names it", path.display()),
            "add it to its piece with `dimity photo add`, or move it away",
        )),
        Stranger::Foreign(path) => Ok(Finding::new(
            format!("`{}` is no file of the store", path.display()),
            "move it to where it belongs; the store keeps photographs alone",
        )),
        Stranger::Unread(folder, why) => Ok(Finding::unread_folder(folder, why)),
    }
}

/// What is wrong with a file among the drafts that is none; its place alone, if it is only of no use.
fn stray_draft(stray: draft::Stray) -> std::result::Result<Finding, PathBuf> {
    use draft::Stray;
    match stray {
        Stray::Unfinished(path) => Err(path),
        Stray::Alone(path) => Ok(Finding::new(
            format!("`{}` is an old list, but nothing says how it is read", path.display()),
            "put the file of the same name that ends in `.json` back from a backup; or bring the old list again, or move \
             this file away",
        )),
        Stray::Foreign(path) => Ok(Finding::new(
            format!("`{}` is no draft", path.display()),
            "move it to where it belongs; the folder keeps examinations in progress and old lists alone",
        )),
        Stray::Unread(folder, why) => Ok(Finding::unread_folder(&folder, &why)),
    }
}

/// What the program itself left at the root of a catalogue's folder when it was interrupted. All else there is the owner's.
fn unfinished(folder: &Path) -> Vec<PathBuf> {
    let left = |name: &str| {
        let begun = name.strip_suffix("-journal").unwrap_or(name);
        begun.ends_with(UNFINISHED_ENDING) || (name.starts_with(UNFINISHED) && name != backup::LOCK)
    };
    let entries = std::fs::read_dir(folder).into_iter().flatten().flatten();
    let mut found: Vec<PathBuf> =
        entries.filter(|entry| left(&entry.file_name().to_string_lossy())).map(|entry| entry.path()).collect();
    found.sort();
    found
}
