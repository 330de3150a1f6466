//! LIDO and Dublin Core: all pieces for the public in one file.

use super::public::{ForThePublic, text};
use super::{Made, NotMade, To};
use crate::exchange::out::subject::Publication;
use crate::exchange::out::{dublin_core, lido};
use crate::exchange::parcel::Parcel;

pub(super) fn lido(to: To<'_>, asked: &ForThePublic, base: Option<&str>) -> Result<Made, NotMade> {
    let page = "\
lido.xml   LIDO 1.1 (schema of 20 December 2021, http://www.lido-schema.org), a record a piece. Terms of type `local` are of
           Dimity's vocabulary.
";
    one_file(to, asked, base, ("lido", page), ("lido.xml", lido::write))
}

pub(super) fn dublin_core(to: To<'_>, asked: &ForThePublic, base: Option<&str>) -> Result<Made, NotMade> {
    let page = "\
dublin-core.rdf   Dublin Core (ISO 15836-1:2017, fifteen elements) as RDF/XML: a description a piece, and one for each of its
                  photographs.
";
    one_file(to, asked, base, ("dublin-core", page), ("dublin-core.rdf", dublin_core::write))
}

fn one_file(
    to: To<'_>,
    asked: &ForThePublic,
    base: Option<&str>,
    format: (&str, &str),
    (file, write): (&str, fn(&Publication<'_>) -> String),
) -> Result<Made, NotMade> {
    let public = asked.gather(to)?;
    let mut parcel = Parcel::begin(to.place)?;
    text(&mut parcel, file, &write(&public.publication(to.catalogue, base)))?;
    public.finish(to, parcel, format, &[])
}
