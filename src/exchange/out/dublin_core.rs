//! Dublin Core: the fifteen elements of ISO 15836-1:2017 as RDF/XML (DCMI, *Expressing Dublin Core metadata using RDF*),
//! all pieces in one file. `language` is left out: a garment has none.

use super::subject::{Publication, Subject};
use super::xml::Xml;
use crate::record::PieceFile;
use crate::vocabulary::TermId;

/// What a thing of cloth is in the DCMI Type Vocabulary.
const PHYSICAL_OBJECT: &str = "PhysicalObject";

/// All pieces, already as the public may see them.
pub fn write(publication: &Publication<'_>) -> String {
    let root = [
        ("xmlns:rdf", "http://www.w3.org/1999/02/22-rdf-syntax-ns#"),
        ("xmlns:dc", "http://purl.org/dc/elements/1.1/"),
    ];
    Xml::document("rdf:RDF", &root, |x| {
        for file in publication.pieces {
            let about = publication.piece(file);
            x.element("rdf:Description", &[("rdf:about", &about)], |x| piece(x, file, publication));
        }
    })
}

fn piece(x: &mut Xml, file: &PieceFile, publication: &Publication<'_>) {
    let (p, of) = (&file.piece, Subject(file));
    let rights = of.rights();
    let dimensions = of.dimensions().iter().map(super::subject::Measured::line).collect::<Vec<_>>().join("; ");
    let statement = rights.stated(publication.vocabulary);
    let mut say = |element: &str, text: Option<&str>| x.may(&format!("dc:{element}"), &[], text);
    say("title", Some(of.title()));
    say("creator", p.maker.as_deref());
    say("subject", Some(of.kind()));
    p.keywords.iter().for_each(|word| say("subject", Some(word)));
    say("description", p.description.as_deref());
    p.inscriptions.iter().for_each(|words| say("description", Some(&format!("inscribed: {words}"))));
    say("publisher", Some(publication.collection()));
    for role in &file.people {
        say("contributor", role.person.as_deref());
    }
    // EDTF is a profile of ISO 8601, as the element asks for.
    say("date", p.date.as_ref().map(|d| d.edtf.as_deref().unwrap_or(&d.as_written)));
    say("type", Some(PHYSICAL_OBJECT));
    say("type", p.nature.as_ref().map(TermId::name));
    say("format", Some(&of.medium()));
    say("format", Some(&dimensions));
    say("identifier", Some(file.number()));
    say("identifier", Some(&publication.piece(file)));
    for (model, words) in of.models() {
        match model {
            Some(number) => say("relation", Some(&publication.model(number))),
            None => say("source", Some(words)),
        }
    }
    say("coverage", p.place.as_deref());
    say("coverage", p.culture.as_deref());
    say("rights", statement.and_then(|t| t.uri.as_deref()));
    say("rights", Some(&rights.line(publication.vocabulary)));
}
