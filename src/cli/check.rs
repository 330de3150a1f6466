//! `dimity check`: is every bit still as it was?

use std::hash::{BuildHasher as _, BuildHasherDefault, DefaultHasher};

use super::say::{Bar, all_well, count};
use super::{Desk, Failure};
use crate::catalogue::Original;
use crate::safekeeping::{self, Asked};

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
        let today = desk.today();
        let original = |original: &Original| self.takes(original, today);
        let bar = Bar::default();
        let whole = safekeeping::check(&catalogue, &Asked { original: &original, views: self.views }, &bar);
        bar.finish();
        let whole = whole?;
        if desk.json {
            whole.findings.iter().for_each(|finding| desk.out.json(finding));
        } else {
            desk.out.findings(&whole.findings);
            if let Some(path) = whole.of_no_use.first() {
                let files = count(whole.of_no_use.len(), "file");
                desk.out.line(format!(
                    "left behind by an interruption and of no use, may be deleted: {files}, such as `{}`",
                    path.display()
                ));
            }
            if whole.rebuilt > 0 {
                desk.out.line(format!("views made again: {}", count(whole.rebuilt, "photograph")));
            }
            whole.remarks.iter().for_each(|remark| desk.out.line(remark));
        }
        all_well(&whole.findings)?;
        if !desk.json {
            let (read, all) = whole.read;
            let of = if read < all { format!(" of {all}") } else { String::new() };
            desk.out.line(format!("all well: database, journal and {}{of}", count(read, "photograph")));
        }
        Ok(())
    }

    /// Whether this original's turn has come.
    fn takes(&self, original: &Original, today: jiff::civil::Date) -> bool {
        let added = original.added.parse::<jiff::Timestamp>();
        let day = added.map(|at| at.to_zoned_datetime(jiff::tz::TimeZone::system()).date());
        // What has no known day is rather read once too often.
        let late = self.since.is_none_or(|since| day.as_ref().map_or(true, |day| *day >= since));
        late && self.sample.is_none_or(|share| {
            // A fixed hash of file and day: every day another share, and the same one when it is run again.
            let hash = BuildHasherDefault::<DefaultHasher>::default().hash_one((&original.sha256, today));
            (hash as f64) < share * (u64::MAX as f64)
        })
    }
}
