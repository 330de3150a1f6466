//! What is said of a photograph of a piece, as arguments give it.

use crate::catalogue::Catalogue;
use crate::cli::Failure;
use crate::record::photograph::STAGES;
use crate::vocabulary::{Scheme, TermId};

/// What a photograph shows of its piece.
#[derive(Debug, clap::Args)]
pub(super) struct Said {
    /// Front, back, interior, detail ... (`dimity terms view`)
    #[arg(long)]
    view: Option<String>,
    /// By what light (`dimity terms light`)
    #[arg(long)]
    light: Option<String>,
    /// Component shown
    #[arg(long)]
    pub component: Option<String>,
    /// Day of the examination that it belongs to
    #[arg(long, value_name = "DAY")]
    pub examination: Option<jiff::civil::Date>,
    /// Title or id of the treatment that it belongs to
    #[arg(long)]
    pub treatment: Option<String>,
    /// Before, during or after treatment
    #[arg(long, value_parser = clap::builder::PossibleValuesParser::new(STAGES))]
    pub stage: Option<String>,
    /// Who took it
    #[arg(long, value_name = "NAME")]
    pub photographer: Option<String>,
    /// What to print below it
    #[arg(long)]
    pub caption: Option<String>,
}

impl Said {
    /// View and light, as terms.
    pub fn terms(&self, catalogue: &Catalogue) -> Result<(Option<TermId>, Option<TermId>), Failure> {
        let term = |scheme, word: &Option<String>| -> Result<Option<TermId>, Failure> {
            let found = word.as_ref().map(|word| catalogue.vocabulary().find(scheme, word).map(|term| term.id.clone()));
            found.transpose().map_err(|e| e.to_string().into())
        };
        Ok((term(Scheme::View, &self.view)?, term(Scheme::Light, &self.light)?))
    }
}
