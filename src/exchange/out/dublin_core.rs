//! Dublin Core: the fifteen elements of ISO 15836-1:2017 as RDF/XML (DCMI, *Expressing Dublin Core metadata using RDF*),
//! all pieces in one file, each followed by its photographs, which are things of their own with rights of their own. What has an
//! address or an identifier of its own is linked (`rdf:resource`), all else is words. `language` is left out: a garment has none.

use super::subject::{Publication, Subject};
use super::xml::Xml;
use crate::record::PieceFile;
use crate::record::photograph::Photograph;
use crate::record::rights::Rights;
use crate::vocabulary::{TermId, Vocabulary};

/// What a thing of cloth and a photograph are in the DCMI Type Vocabulary.
const PHYSICAL_OBJECT: &str = "http://purl.org/dc/dcmitype/PhysicalObject";
const STILL_IMAGE: &str = "http://purl.org/dc/dcmitype/StillImage";

/// All pieces, already as the public may see them.
pub fn write(publication: &Publication<'_>) -> String {
    let root = [
        ("xmlns:rdf", "http://www.w3.org/1999/02/22-rdf-syntax-ns#"),
        ("xmlns:dc", "http://purl.org/dc/elements/1.1/"),
    ];
    Xml::document("rdf:RDF", &root, |x| {
        for file in publication.pieces {
            let about = publication.piece(file);
            x.element("rdf:Description", &[("rdf:about", &about)], |x| piece(&mut Elements(x), file, publication));
            for (n, photo) in file.photographs.iter().enumerate() {
                let about = publication.photograph(photo);
                let title = format!("Photograph {} of {}", n + 1, Subject(file).title());
                x.element("rdf:Description", &[("rdf:about", &about)], |x| {
                    photograph(&mut Elements(x), photo, (&title, &publication.piece(file)), publication);
                });
            }
        }
    })
}

/// The elements of one description.
struct Elements<'x>(&'x mut Xml);

impl Elements<'_> {
    fn say(&mut self, element: &str, words: Option<&str>) {
        self.0.may(&format!("dc:{element}"), &[], words);
    }

    fn link(&mut self, element: &str, to: Option<&str>) {
        if let Some(to) = to {
            self.0.empty(&format!("dc:{element}"), &[("rdf:resource", to)]);
        }
    }

    fn rights(&mut self, rights: &Rights, vocabulary: &Vocabulary) {
        self.link("rights", rights.stated(vocabulary).and_then(|term| term.uri.as_deref()));
        self.say("rights", Some(&rights.line(vocabulary)));
    }
}

fn piece(x: &mut Elements<'_>, file: &PieceFile, publication: &Publication<'_>) {
    let (p, of) = (&file.piece, Subject(file));
    let dimensions = of.dimensions().iter().map(super::subject::Measured::line).collect::<Vec<_>>().join("; ");
    x.say("title", Some(of.title()));
    x.say("creator", p.maker.as_deref());
    x.say("subject", Some(of.kind()));
    p.keywords.iter().for_each(|word| x.say("subject", Some(word)));
    x.say("description", p.description.as_deref());
    p.inscriptions.iter().for_each(|words| x.say("description", Some(&format!("inscribed: {words}"))));
    x.say("publisher", Some(publication.collection()));
    for role in &file.people {
        x.say("contributor", role.person.as_deref());
    }
    // EDTF is a profile of ISO 8601, as the element asks for.
    x.say("date", p.date.as_ref().map(|d| d.edtf.as_deref().unwrap_or(&d.as_written)));
    x.link("type", Some(PHYSICAL_OBJECT));
    x.say("type", p.nature.as_ref().map(TermId::name));
    x.say("format", Some(&of.medium()));
    x.say("format", Some(&dimensions));
    x.say("identifier", Some(file.number()));
    x.say("identifier", Some(&publication.piece(file)));
    for (model, words) in of.models() {
        match model {
            Some(number) => x.link("relation", Some(&publication.model(number))),
            None => x.say("source", Some(words)),
        }
    }
    x.say("coverage", p.place.as_deref());
    x.say("coverage", p.culture.as_deref());
    x.rights(&of.rights(), publication.vocabulary);
}

fn photograph(x: &mut Elements<'_>, photo: &Photograph, (title, of): (&str, &str), publication: &Publication<'_>) {
    x.say("title", Some(title));
    x.say("creator", photo.photographer.as_deref());
    x.say("subject", photo.view.as_ref().map(TermId::name));
    x.say("description", photo.caption.as_deref());
    x.say("publisher", Some(publication.collection()));
    x.link("type", Some(STILL_IMAGE));
    x.say("format", Some("image/jpeg"));
    x.say("identifier", Some(&publication.photograph(photo)));
    x.link("relation", Some(of));
    x.rights(&photo.rights, publication.vocabulary);
}
