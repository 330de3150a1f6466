//! `dimity check`: is every bit still as it was?

use super::say::{Bar, all_well};
use super::{Desk, Failure};
use crate::catalogue::Original;
use crate::safekeeping::{self, Asked, Turn, share};

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

impl Check {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let mut catalogue = desk.open()?;
        if self.index {
            catalogue.make_index()?;
        }
        let today = desk.today();
        let turn = Turn { share: self.sample, since: self.since };
        let original = |original: &Original| turn.takes(original, today);
        let bar = Bar::default();
        let whole = safekeeping::check(&catalogue, &Asked { original: &original, views: self.views }, &bar);
        bar.finish();
        let whole = whole?;
        if desk.json {
            whole.findings.iter().for_each(|finding| desk.out.json(finding));
        } else {
            desk.out.findings(&whole.findings);
            whole.told().iter().for_each(|line| desk.out.line(line));
        }
        all_well(&whole.findings)?;
        if !desk.json {
            desk.out.line(whole.all_well());
        }
        Ok(())
    }
}
