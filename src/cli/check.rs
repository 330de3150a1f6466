//! `dimity check`: is every bit still as it was?

use std::collections::HashSet;
use std::hash::{BuildHasher as _, BuildHasherDefault, DefaultHasher};

use rayon::prelude::*;

use super::say::{count, progress};
use super::{Desk, Failure};
use crate::catalogue::{Finding, Original};
use crate::photograph::{Fixity, Store, Stranger, View};

/// Check the database, the journal and every photograph; each finding names its mend
///
/// Every original is read whole and hashed again, on all cores. Views that are missing are made again. A large
/// collection can be checked in turns: `--sample 5%` takes another twentieth each day, `--since DAY` what was added
/// from that day on.
#[derive(Debug, clap::Args)]
pub struct Check {
    /// Read only a share of the originals, another one each day
    #[arg(long, value_name = "SHARE", value_parser = share)]
    sample: Option<f64>,
    /// Read only the originals added on or after this day
    #[arg(long, value_name = "DAY")]
    since: Option<jiff::civil::Date>,
    /// Make every view anew as well, and compare
    #[arg(long)]
    views: bool,
    /// First make anew what pieces are found by, from the records
    #[arg(long)]
    index: bool,
}

/// `5%` or `5 %`, more than nothing and at most all.
fn share(text: &str) -> Result<f64, String> {
    let number = text.trim().strip_suffix('%').map(str::trim).and_then(|n| n.parse::<f64>().ok());
    let share = number.filter(|n| *n > 0.0 && *n <= 100.0);
    share.map(|n| n / 100.0).ok_or_else(|| "a share is written as a percentage, such as 5%".into())
}

impl Check {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let mut catalogue = desk.open()?;
        if self.index {
            catalogue.make_index()?;
        }
        let mut findings = catalogue.check()?;
        let store = Store::at(&desk.folder);
        let originals = catalogue.originals()?;
        let chosen: Vec<&Original> = originals.iter().filter(|o| self.takes(o, desk)).collect();
        let bar = progress(chosen.len(), "photographs");
        let pictures: Vec<_> = chosen
            .par_iter()
            .map(|original| {
                let found = original_found(&store, original, self.views);
                bar.inc(1);
                found
            })
            .collect();
        bar.finish_and_clear();
        let rebuilt = pictures.iter().filter(|found| matches!(found, Found::Rebuilt)).count();
        findings.extend(pictures.into_iter().filter_map(|found| match found {
            Found::Finding(finding) => Some(finding),
            Found::Sound | Found::Rebuilt => None,
        }));
        let known: HashSet<(String, String)> =
            originals.iter().map(|o| (o.sha256.clone(), o.extension.clone())).collect();
        let mut unfinished = Vec::new();
        for found in store.strangers(&known) {
            match stranger(&found) {
                Some(finding) => findings.push(finding),
                None => unfinished.push(found),
            }
        }
        for finding in &findings {
            if desk.json {
                desk.out.json(finding);
            } else {
                desk.out.line(format!("{}\n    mend: {}", finding.what, finding.mend));
            }
        }
        if let Some(Stranger::Unfinished(path)) = unfinished.first().filter(|_| !desk.json) {
            let files = count(unfinished.len(), "file");
            desk.out.line(format!(
                "left behind by an interruption and of no use, may be deleted: {files}, such as `{}`",
                path.display()
            ));
        }
        if rebuilt > 0 && !desk.json {
            desk.out.line(format!("views made again: {}", count(rebuilt, "photograph")));
        }
        if !findings.is_empty() {
            return Err(format!("{} above", count(findings.len(), "finding")).into());
        }
        if !desk.json {
            let read = count(chosen.len(), "photograph");
            let of = if chosen.len() < originals.len() { format!(" of {}", originals.len()) } else { String::new() };
            desk.out.line(format!("all well: database, journal and {read}{of}"));
        }
        Ok(())
    }

    /// Whether this original's turn has come.
    fn takes(&self, original: &Original, desk: &Desk) -> bool {
        let added = original.added.parse::<jiff::Timestamp>();
        let day = added.map(|at| at.to_zoned_datetime(jiff::tz::TimeZone::system()).date());
        // What has no known day is rather read once too often.
        let late = self.since.is_none_or(|since| day.as_ref().map_or(true, |day| *day >= since));
        late && self.sample.is_none_or(|share| {
            // A fixed hash of file and day: every day another share, and the same one when it is run again.
            let hash = BuildHasherDefault::<DefaultHasher>::default().hash_one((&original.sha256, desk.today()));
            (hash as f64) < share * (u64::MAX as f64)
        })
    }
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

/// What is wrong with a file that the catalogue does not know; nothing, if it is only unfinished.
fn stranger(found: &Stranger) -> Option<Finding> {
    match found {
        Stranger::Unfinished(_) => None,
        Stranger::Unlinked(path) => Some(Finding::new(
            format!("`{}` lies in the store, but no record names it", path.display()),
            "add it to its piece with `dimity photo add`, or move it away",
        )),
        Stranger::Foreign(path) => Some(Finding::new(
            format!("`{}` is no file of the store", path.display()),
            "move it to where it belongs; the store keeps photographs alone",
        )),
    }
}
