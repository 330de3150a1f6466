//! `dimity among`: a piece among others, feature by feature.

use super::{Desk, Failure};
use crate::analysis::comparison::Features;
use crate::analysis::corpus::{Asked, Corpus, as_text, corpus};
use crate::catalogue::Catalogue;

/// See how a feature is spread over a set of pieces, and where a piece stands in it
///
/// `dimity among 'garment:bodice date:1800..1820' --piece 2024.R1 --feature "stitch density"` says between which percentiles
/// of those bodices the reconstruction lies. Without --piece it shows the set alone. A piece counts once; what is not
/// recorded, a mere limit or in by an uncertain date is told.
#[derive(Debug, clap::Args)]
pub struct Among {
    /// The set: a search as `dimity find` takes it, `kept:"NAME"` for a saved one
    #[arg(required = true)]
    query: Vec<String>,
    /// Accession number of the piece to place; it is left out of the set
    #[arg(long, value_name = "NUMBER")]
    piece: Option<String>,
    /// Only features whose name holds these words: `waist girth`, `stitch density hem`, `back seam sleeve`
    #[arg(long, value_name = "WORDS", default_value = "")]
    feature: String,
    /// Take a feature together from whatever component it is recorded on; otherwise the back seam of a sleeve and that of
    /// a bodice are two
    #[arg(long)]
    any_component: bool,
}

impl Among {
    /// Works out the set, feature by feature, and hands it on with the search that gave it.
    pub(super) fn found<T>(
        &self,
        catalogue: &Catalogue,
        then: impl FnOnce(&Corpus<'_>, &str) -> Result<T, Failure>,
    ) -> Result<T, Failure> {
        let vocabulary = catalogue.vocabulary();
        let query = catalogue.query(&self.query.join(" "))?;
        let subject = self.piece.as_deref().map(|number| catalogue.piece(number)).transpose()?;
        let set = catalogue.members(&query)?.iter().map(|n| catalogue.piece(n)).collect::<Result<Vec<_>, _>>()?;
        let subject = subject.as_ref().map(|file| Features::of(file, vocabulary));
        let asked = Asked {
            subject: subject.as_ref(),
            years: query.years(),
            feature: &self.feature,
            any_component: self.any_component,
        };
        then(&corpus(&Features::all(&set, vocabulary), asked, vocabulary), &query.to_string())
    }

    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let catalogue = desk.open()?;
        self.found(&catalogue, |found, _| {
            if desk.json {
                desk.out.json(found);
            } else {
                desk.out.line(as_text(found));
            }
            Ok(())
        })
    }
}
