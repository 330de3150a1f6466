//! `dimity check`: is every bit still as it was?

use rayon::prelude::*;

use super::say::count;
use super::{Desk, Failure};
use crate::catalogue::Finding;
use crate::photograph::{Fixity, Store};

/// Check the database, the journal and every photograph; each finding names its mend
#[derive(Debug, clap::Args)]
pub struct Check {}

impl Check {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let catalogue = desk.open()?;
        let mut findings = catalogue.check()?;
        let store = Store::at(&desk.folder);
        let originals = catalogue.originals()?;
        let pictures: Vec<_> = originals.par_iter().filter_map(|(sha, ext)| original(&store, sha, ext)).collect();
        findings.extend(pictures);
        for finding in &findings {
            if desk.json {
                desk.out.json(finding);
            } else {
                desk.out.line(format!("{}\n    mend: {}", finding.what, finding.mend));
            }
        }
        if findings.is_empty() {
            if !desk.json {
                desk.out.line(format!("all well: database, journal and {}", count(originals.len(), "photograph")));
            }
            return Ok(());
        }
        Err(format!("{} above", count(findings.len(), "finding")).into())
    }
}

fn original(store: &Store, sha: &str, ext: &str) -> Option<Finding> {
    const BACKUP: &str = "put the original back from a backup";
    let place = store.original(sha, ext);
    let place = place.display();
    match store.verify(sha, ext) {
        Fixity::Sound => None,
        Fixity::Missing => Some(Finding::new(format!("the photograph `{place}` is missing"), BACKUP)),
        Fixity::Changed { now } => {
            Some(Finding::new(format!("the photograph `{place}` has changed: its SHA-256 is now {now}"), BACKUP))
        }
        Fixity::Unreadable { cause } => Some(Finding::new(
            format!("the photograph `{place}` cannot be read: {cause}"),
            "see to the disk, then check again",
        )),
    }
}
