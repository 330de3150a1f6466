//! `dimity conventions`: how this catalogue understands written dates.

use super::{Desk, Failure};
use crate::dating::{Beyond, CIRCA_MOST, Conventions, Cut, Hundreds};

/// Show how written dates are understood here, or choose otherwise
///
/// Published guides disagree: `circa` is 5 years either side in one and 10 in another, and a century begins with 00 or
/// with 01. `dimity conventions` says what this catalogue does; `dimity conventions --circa 10` changes it for the dates
/// entered from then on. Dates entered before keep the years they were given, each with the convention that gave them.
#[derive(Debug, clap::Args)]
pub struct Show {
    #[command(flatten)]
    choices: Choices,
    /// Why it is changed; the journal keeps it
    #[arg(long, value_name = "TEXT", default_value = "dating convention chosen")]
    reason: String,
}

/// The choices, each left as it is unless named.
#[derive(Debug, Clone, clap::Args)]
pub struct Choices {
    /// Years either side of a single `circa` year
    #[arg(long, value_name = "YEARS", value_parser = clap::value_parser!(i32).range(0..=i64::from(CIRCA_MOST)))]
    circa: Option<i32>,
    /// Last digit of a century's first year: 0 for 1800-1899, 1 for 1801-1900
    #[arg(long, value_name = "0|1", value_parser = clap::value_parser!(i32).range(0..=1))]
    century_from: Option<i32>,
    /// How early, mid and late cut a century: thirds, or its first and last quarter with 30 years in the middle
    #[arg(long, value_name = "CUT", value_parser = ["thirds", "quarters"])]
    early_late: Option<String>,
    /// Whether `before 1800` leaves 1800 out, holds it, or means up to a hundred years
    #[arg(long, value_name = "RULE", value_parser = ["strict", "inclusive", "hundred"])]
    before_after: Option<String>,
    /// What `1800s` means: refused with a question, the century, or the decade
    #[arg(long, value_name = "RULE", value_parser = ["ask", "century", "decade"])]
    hundreds: Option<String>,
}

impl Choices {
    /// These choices, and where none is made those of `standing`.
    pub(super) fn over(&self, standing: &Conventions) -> Conventions {
        Conventions {
            circa_years: self.circa.unwrap_or(standing.circa_years),
            century_from: self.century_from.unwrap_or(standing.century_from),
            cut: self.early_late.as_deref().and_then(Cut::from_word).unwrap_or(standing.cut),
            beyond: self.before_after.as_deref().and_then(Beyond::from_word).unwrap_or(standing.beyond),
            hundreds: self.hundreds.as_deref().and_then(Hundreds::from_word).unwrap_or(standing.hundreds),
        }
    }

    fn any(&self) -> bool {
        self.circa.is_some()
            || self.century_from.is_some()
            || self.early_late.is_some()
            || self.before_after.is_some()
            || self.hundreds.is_some()
    }
}

impl Show {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let author = desk.author();
        let mut catalogue = desk.open()?;
        let standing = catalogue.conventions()?;
        let chosen = self.choices.over(&standing);
        let changed = self.choices.any() && catalogue.set_conventions(&author, &self.reason, &chosen)?;
        if desk.json {
            desk.out.json(&serde_json::json!({
                "circa_years": chosen.circa_years, "century_from": chosen.century_from,
                "early_late": chosen.cut.word(), "before_after": chosen.beyond.word(),
                "hundreds": chosen.hundreds.word(), "changed": changed,
            }));
            return Ok(());
        }
        if self.choices.any() {
            desk.out.line(if changed {
                "changed for the dates entered from now on; those entered before keep their years:"
            } else {
                "nothing to change:"
            });
        }
        chosen.sentences().iter().for_each(|sentence| desk.out.line(sentence));
        Ok(())
    }
}
