//! `dimity photo correct`: what is said of a photograph of a piece, put right.

use super::said::Said;
use crate::catalogue::{Amend, Catalogue, PhotographCorrection};
use crate::cli::{Desk, Failure};

/// What can be struck out.
const SAID: [&str; 8] = ["component", "examination", "treatment", "view", "light", "stage", "photographer", "caption"];

/// The photograph, and what is true of it.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Only what is named changes; the journal keeps what stood before, and `dimity show NUMBER --as-of DAY` shows it.\nThe time is put right by `dimity photo clock`, the rights by `dimity photo rights`, the piece by `dimity photo untie`.\n\nExamples:\n  dimity photo correct 3fa9c1 --view back --reason \"front and back were mixed up\"\n  dimity photo correct 3fa9c1 --of 2024.1 --component \"left sleeve\" --strike caption --reason \"caption was of another\""
)]
pub struct Correct {
    /// The photograph: the beginning of its SHA-256, as `dimity show NUMBER` lists it
    photograph: String,
    /// The piece, where the photograph shows several: what is said of it as a photograph of this one
    #[arg(long, value_name = "NUMBER")]
    of: Option<String>,
    #[command(flatten)]
    said: Said,
    /// What was never so and is not recorded any more: view, light, caption ...; several with commas
    #[arg(long, value_name = "WHAT", value_delimiter = ',', value_parser = clap::builder::PossibleValuesParser::new(SAID))]
    strike: Vec<String>,
    /// Why; the journal keeps it
    #[arg(long, value_name = "TEXT")]
    reason: String,
}

impl Correct {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let author = desk.author();
        let mut catalogue = desk.open()?;
        let amended = self.amended(&catalogue)?;
        let done =
            catalogue.correct_photograph(&author, &self.reason, &self.photograph, self.of.as_deref(), &amended)?;
        if desk.json {
            let changed = done.changed.iter().map(|(what, before, after)| {
                let said = |text: &String| Some(text.clone()).filter(|text| !text.is_empty());
                serde_json::json!({ "what": what, "before": said(before), "after": said(after) })
            });
            let changed: Vec<_> = changed.collect();
            desk.out.json(&serde_json::json!({ "piece": done.number, "changed": changed }));
            return Ok(());
        }
        for (what, before, after) in &done.changed {
            let said = |text: &String| if text.is_empty() { "not recorded".to_owned() } else { format!("`{text}`") };
            desk.out.line(format!("{}: {what} was {}, is now {}", done.number, said(before), said(after)));
        }
        if done.changed.is_empty() {
            desk.out.line(format!("{}: nothing changed; it is recorded so already", done.number));
        }
        Ok(())
    }

    fn amended(&self, catalogue: &Catalogue) -> Result<PhotographCorrection, Failure> {
        let said = &self.said;
        let (view, light) = said.terms(catalogue)?;
        Ok(PhotographCorrection {
            component: self.amend("component", said.component.clone())?,
            examination: self.amend("examination", said.examination.map(|day| day.to_string()))?,
            treatment: self.amend("treatment", said.treatment.clone())?,
            view: self.amend("view", view)?,
            light: self.amend("light", light)?,
            stage: self.amend("stage", said.stage.clone())?,
            photographer: self.amend("photographer", said.photographer.clone())?,
            caption: self.amend("caption", said.caption.clone())?,
        })
    }

    fn amend<T>(&self, what: &str, given: Option<T>) -> Result<Amend<T>, Failure> {
        let struck = self.strike.iter().any(|struck| struck == what);
        match given {
            Some(_) if struck => {
                Err(format!("`--{what}` says what is true, and `--strike {what}` that nothing is; give one of them")
                    .into())
            }
            Some(given) => Ok(Amend::Is(given)),
            None if struck => Ok(Amend::Struck),
            None => Ok(Amend::Stays),
        }
    }
}
