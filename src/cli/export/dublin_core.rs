//! `dimity export dublin-core`.

use super::public::{Base, ForThePublic, text};
use crate::cli::{Desk, Failure};
use crate::exchange::out::dublin_core;

/// For library catalogues and search engines: the fifteen elements of Dublin Core, one RDF/XML file
///
/// Locations, values, people, provenance, condition, treatments and notes are left out by default; the list of what was
/// left out lies beside the folder.
#[derive(Debug, clap::Args)]
pub struct DublinCore {
    #[command(flatten)]
    public: ForThePublic,
    #[command(flatten)]
    base: Base,
}

const PAGE: &str = "\
dublin-core.rdf   Dublin Core (ISO 15836-1:2017, fifteen elements) as RDF/XML, a description a piece.
";

impl DublinCore {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let catalogue = desk.open()?;
        let public = self.public.gather(&catalogue)?;
        let (place, mut parcel) = self.public.begin("dublin-core", desk)?;
        let written = dublin_core::write(&public.publication(&catalogue, self.base.base.as_deref()));
        text(&mut parcel, "dublin-core.rdf", &written)?;
        public.finish(parcel, &place, ("dublin-core", PAGE), &[], catalogue.vocabulary(), desk)
    }
}
