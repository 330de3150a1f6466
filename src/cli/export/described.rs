//! `dimity export lido` and `dimity export dublin-core`: all pieces for the public in one file.

use super::public::{Base, ForThePublic, text};
use crate::cli::{Desk, Failure};
use crate::exchange::out::subject::Publication;
use crate::exchange::out::{dublin_core, lido};

/// For museums and portals: LIDO 1.1, one XML file
///
/// Locations, values, people, provenance, condition, treatments and notes are left out by default; the list of what was
/// left out lies beside the folder. Of what `--with` includes, this has a place for provenance, people, other-pieces and the
/// photographs of treatments.
#[derive(Debug, clap::Args)]
pub struct Lido {
    #[command(flatten)]
    one: OneFile,
}

/// For library catalogues and search engines: the fifteen elements of Dublin Core, one RDF/XML file
///
/// Locations, values, people, provenance, condition, treatments and notes are left out by default; the list of what was
/// left out lies beside the folder. Of what `--with` includes, the fifteen elements have a place for people and other-pieces.
#[derive(Debug, clap::Args)]
pub struct DublinCore {
    #[command(flatten)]
    one: OneFile,
}

/// What a format in one file is asked for.
#[derive(Debug, clap::Args)]
struct OneFile {
    #[command(flatten)]
    public: ForThePublic,
    #[command(flatten)]
    base: Base,
}

impl Lido {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let page = "\
lido.xml   LIDO 1.1 (schema of 20 December 2021, http://www.lido-schema.org), a record a piece. Terms of type `local` are of
           Dimity's vocabulary.
";
        self.one.export(("lido", page), "lido.xml", lido::write, desk)
    }
}

impl DublinCore {
    pub(super) fn run(self, desk: &mut Desk) -> Result<(), Failure> {
        let page = "\
dublin-core.rdf   Dublin Core (ISO 15836-1:2017, fifteen elements) as RDF/XML, a description a piece.
";
        self.one.export(("dublin-core", page), "dublin-core.rdf", dublin_core::write, desk)
    }
}

impl OneFile {
    fn export(
        &self,
        format: (&str, &str),
        file: &str,
        write: fn(&Publication<'_>) -> String,
        desk: &mut Desk,
    ) -> Result<(), Failure> {
        let catalogue = desk.open()?;
        let public = self.public.gather(&catalogue)?;
        let (place, mut parcel) = self.public.begin(format.0, desk)?;
        text(&mut parcel, file, &write(&public.publication(&catalogue, self.base.base.as_deref())))?;
        public.finish(parcel, &place, format, &[], catalogue.vocabulary(), desk)
    }
}
