//! `dimity export lido`.

use super::public::{Base, ForThePublic, text};
use crate::cli::{Desk, Failure};
use crate::exchange::out::lido;

/// For museums and portals: LIDO 1.1, one XML file
///
/// Locations, values, people, provenance, condition, treatments and notes are left out by default; the list of what was
/// left out lies beside the folder.
#[derive(Debug, clap::Args)]
pub struct Lido {
    #[command(flatten)]
    public: ForThePublic,
    #[command(flatten)]
    base: Base,
}

const PAGE: &str = "\
lido.xml   LIDO 1.1 (schema of 20 December 2021, http://www.lido-schema.org), a record a piece. Terms of type `local` are of
           Dimity's vocabulary.
";

impl Lido {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let catalogue = desk.open()?;
        let public = self.public.gather(&catalogue)?;
        let (place, mut parcel) = self.public.begin("lido", desk)?;
        text(&mut parcel, "lido.xml", &lido::write(&public.publication(&catalogue, self.base.base.as_deref())))?;
        public.finish(parcel, &place, ("lido", PAGE), &[], catalogue.vocabulary(), desk)
    }
}
