//! `dimity among`: a piece among others, feature by feature.

use super::{Desk, Failure};
use crate::analysis::corpus::as_text;
use crate::printing;

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
    /// The search, in one line.
    pub(super) fn set(&self) -> String {
        self.query.join(" ")
    }

    /// What is asked for, of that set.
    pub(super) fn asked<'a>(&'a self, set: &'a str) -> printing::Among<'a> {
        let (piece, feature) = (self.piece.as_deref(), self.feature.as_str());
        printing::Among { set, piece, feature, any_component: self.any_component }
    }

    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let catalogue = desk.open()?;
        printing::among(&catalogue, &self.asked(&self.set()), |found, _| {
            if desk.json {
                desk.out.json(found);
            } else {
                desk.out.line(as_text(found));
            }
            Ok(())
        })
    }
}
