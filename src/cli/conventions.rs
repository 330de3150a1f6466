//! `dimity conventions`: how this catalogue understands written dates.

use clap::builder::PossibleValuesParser;

use super::{Desk, Failure};
use crate::dating::{CIRCA_MOST, Conventions};

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
    #[arg(long, value_name = "CUT", value_parser = answers("early-late"))]
    early_late: Option<String>,
    /// Whether `before 1800` leaves 1800 out, holds it, or means up to a hundred years
    #[arg(long, value_name = "RULE", value_parser = answers("before-after"))]
    before_after: Option<String>,
    /// What `1800s` means: refused with a question, the century, or the decade
    #[arg(long, value_name = "RULE", value_parser = answers("hundreds"))]
    hundreds: Option<String>,
}

impl Choices {
    /// These choices, and where none is made those of `standing`.
    pub(super) fn over(&self, standing: &Conventions) -> Result<Conventions, String> {
        let mut chosen = standing.clone();
        for choice in &Conventions::CHOICES {
            if let Some(answer) = self.answer(choice.word) {
                chosen.choose(choice, &answer)?;
            }
        }
        Ok(chosen)
    }

    fn answer(&self, choice: &str) -> Option<String> {
        match choice {
            "circa" => self.circa.map(|years| years.to_string()),
            "century-from" => self.century_from.map(|year| year.to_string()),
            "early-late" => self.early_late.clone(),
            "before-after" => self.before_after.clone(),
            _ => self.hundreds.clone(),
        }
    }

    fn any(&self) -> bool {
        Conventions::CHOICES.iter().any(|choice| self.answer(choice.word).is_some())
    }
}

/// The answers to a choice, by their words.
fn answers(choice: &str) -> PossibleValuesParser {
    let of = Conventions::CHOICES.into_iter().filter(|one| one.word == choice);
    PossibleValuesParser::new(of.flat_map(|one| one.answers).map(|(word, _)| *word))
}

impl Show {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let author = desk.author();
        let mut catalogue = desk.open()?;
        let standing = catalogue.conventions()?;
        let chosen = self.choices.over(&standing)?;
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
