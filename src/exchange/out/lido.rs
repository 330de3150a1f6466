//! LIDO 1.1 (ICOM/CIDOC, schema of 20 December 2021): all pieces in one `lidoWrap`, in English. The order of elements is
//! the schema's. Terms carry the vocabulary's own ids as `local`, and a URI where the vocabulary has one.

use super::subject::{Publication, Subject, year};
use super::xml::{Attributes, Xml};
use crate::dating::Dated;
use crate::record::PieceFile;
use crate::record::photograph::Photograph;
use crate::record::piece::Event;
use crate::record::rights::Rights;
use crate::vocabulary::TermId;

const LOCAL: (&str, &str) = ("lido:type", "local");
const URI: (&str, &str) = ("lido:type", "URI");
const ENGLISH: (&str, &str) = ("xml:lang", "en");
/// What every piece is to CIDOC CRM 7.
const HUMAN_MADE_OBJECT: &str = "http://www.cidoc-crm.org/cidoc-crm/E22_Human-Made_Object";

/// All pieces, already as the public may see them.
pub fn write(publication: &Publication<'_>) -> String {
    let root = [
        ("xmlns:lido", "http://www.lido-schema.org"),
        ("xmlns:xsi", "http://www.w3.org/2001/XMLSchema-instance"),
        ("xsi:schemaLocation", "http://www.lido-schema.org http://www.lido-schema.org/schema/v1.1/lido-v1.1.xsd"),
    ];
    Xml::document("lido:lidoWrap", &root, |x| {
        for file in publication.pieces {
            x.element("lido:lido", &[], |x| Lido { x, p: publication }.record(file));
        }
    })
}

struct Lido<'x, 'p> {
    x: &'x mut Xml,
    p: &'p Publication<'p>,
}

impl Lido<'_, '_> {
    fn element(&mut self, name: &str, attributes: Attributes<'_>, inside: impl FnOnce(&mut Lido<'_, '_>)) {
        let p = self.p;
        self.x.element(&format!("lido:{name}"), attributes, |x| inside(&mut Lido { x, p }));
    }

    fn text(&mut self, name: &str, attributes: Attributes<'_>, text: &str) {
        self.x.text(&format!("lido:{name}"), attributes, text);
    }

    fn may(&mut self, name: &str, attributes: Attributes<'_>, text: Option<&str>) {
        self.x.may(&format!("lido:{name}"), attributes, text);
    }

    /// A term of the vocabulary under an element.
    fn term(&mut self, name: &str, attributes: Attributes<'_>, term: &TermId) {
        self.element(name, attributes, |l| l.concept(term));
    }

    fn concept(&mut self, term: &TermId) {
        let uri = self.p.vocabulary.get(term).and_then(|t| t.uri.clone());
        self.may("conceptID", &[URI], uri.as_deref());
        self.text("conceptID", &[LOCAL, ("lido:source", "Dimity vocabulary")], term.as_str());
        self.text("term", &[ENGLISH], term.name());
    }

    /// Words of no vocabulary under an element.
    fn word(&mut self, name: &str, attributes: Attributes<'_>, word: &str) {
        self.element(name, attributes, |l| l.text("term", &[ENGLISH], word));
    }

    /// The name of a person, a place, a body.
    fn name(&mut self, element: &str, name: &str) {
        self.element(element, &[], |l| l.text("appellationValue", &[], name));
    }

    fn record(&mut self, file: &PieceFile) {
        let id = file.piece.id.as_deref().unwrap_or(file.number());
        self.text("lidoRecID", &[LOCAL, ("lido:source", self.p.collection())], id);
        if self.p.base.is_some() {
            let published = self.p.piece(file);
            self.text("objectPublishedID", &[URI], &published);
        }
        self.element("category", &[], |l| {
            l.text("conceptID", &[URI], HUMAN_MADE_OBJECT);
            l.text("term", &[ENGLISH], "Human-Made Object");
        });
        self.element("descriptiveMetadata", &[ENGLISH], |l| l.description(file));
        self.element("administrativeMetadata", &[ENGLISH], |l| l.administration(file));
    }

    fn description(&mut self, file: &PieceFile) {
        let p = &file.piece;
        self.element("objectClassificationWrap", &[], |l| {
            l.element("objectWorkTypeWrap", &[], |l| match &p.garment {
                Some(garment) => l.term("objectWorkType", &[], garment),
                None => l.word("objectWorkType", &[], Subject(file).kind()),
            });
            if p.nature.is_some() || !p.keywords.is_empty() {
                l.element("classificationWrap", &[], |l| {
                    if let Some(nature) = &p.nature {
                        l.term("classification", &[("lido:type", "nature of the piece")], nature);
                    }
                    for word in &p.keywords {
                        l.word("classification", &[("lido:type", "keyword")], word);
                    }
                });
            }
        });
        self.element("objectIdentificationWrap", &[], |l| l.identification(file));
        self.element("eventWrap", &[], |l| {
            l.element("eventSet", &[], |l| l.element("event", &[], |l| l.production(file)));
            for event in &file.events {
                l.element("eventSet", &[], |l| l.element("event", &[], |l| l.event(event)));
            }
        });
        if Subject(file).models().next().is_some() {
            self.element("objectRelationWrap", &[], |l| {
                l.element("relatedWorksWrap", &[], |l| {
                    Subject(file).models().for_each(|(model, words)| l.model(model, words));
                });
            });
        }
    }

    fn identification(&mut self, file: &PieceFile) {
        let (p, of) = (&file.piece, Subject(file));
        self.element("titleWrap", &[], |l| {
            l.element("titleSet", &[], |l| l.text("appellationValue", &[("lido:pref", "preferred")], of.title()));
        });
        if !p.inscriptions.is_empty() {
            self.element("inscriptionsWrap", &[], |l| {
                for words in &p.inscriptions {
                    l.element("inscriptions", &[], |l| l.text("inscriptionTranscription", &[], words));
                }
            });
        }
        self.element("repositoryWrap", &[], |l| {
            l.element("repositorySet", &[("lido:type", "current")], |l| {
                let name = l.p.collection();
                l.element("repositoryName", &[], |l| l.name("legalBodyName", name));
                l.text("workID", &[("lido:type", "accession number")], file.number());
            });
        });
        if let Some(words) = &p.description {
            self.element("objectDescriptionWrap", &[], |l| {
                l.element("objectDescriptionSet", &[("lido:type", "description")], |l| {
                    l.text("descriptiveNoteValue", &[], words);
                });
            });
        }
        let dimensions = of.dimensions();
        if !dimensions.is_empty() {
            self.element("objectMeasurementsWrap", &[], |l| {
                for d in &dimensions {
                    l.element("objectMeasurementsSet", &[], |l| {
                        l.text("displayObjectMeasurements", &[], &d.line());
                        l.element("objectMeasurements", &[], |l| {
                            l.element("measurementsSet", &[], |l| {
                                l.term("measurementType", &[], d.dimension);
                                l.text("measurementUnit", &[], "mm");
                                l.text("measurementValue", &[], &d.mm());
                            });
                            l.may("extentMeasurements", &[], d.component);
                        });
                    });
                }
            });
        }
        let (fibres, structures) = (of.fibres(), of.structures());
        if !fibres.is_empty() || !structures.is_empty() {
            self.element("objectMaterialsTechWrap", &[], |l| {
                l.element("objectMaterialsTechSet", &[], |l| {
                    l.may("displayMaterialsTech", &[], Some(&of.medium()));
                    for (kind, list) in [("material", fibres), ("technique", structures)] {
                        for made in list {
                            l.element("materialsTech", &[], |l| {
                                l.term("termMaterialsTech", &[("lido:type", kind)], made.term);
                                l.may("extentMaterialsTech", &[], Some(&made.role));
                            });
                        }
                    }
                });
            });
        }
    }

    fn production(&mut self, file: &PieceFile) {
        let p = &file.piece;
        self.word("eventType", &[], "Production");
        self.actor(p.maker.as_deref(), "maker");
        if let Some(culture) = p.culture.as_deref() {
            self.word("culture", &[], culture);
        }
        self.date(p.date.as_ref());
        self.place(p.place.as_deref());
    }

    /// Acquisition and provenance, where it is included.
    fn event(&mut self, event: &Event) {
        match &event.event {
            Some(kind) => self.term("eventType", &[], kind),
            None => self.word("eventType", &[], "event"),
        }
        self.actor(event.person.as_deref(), "party");
        self.date(event.date.as_ref());
        self.place(event.place.as_deref());
    }

    fn actor(&mut self, name: Option<&str>, role: &str) {
        let Some(name) = name else { return };
        self.element("eventActor", &[], |l| {
            l.text("displayActorInRole", &[], name);
            l.element("actorInRole", &[], |l| {
                l.element("actor", &[], |l| l.name("nameActorSet", name));
                l.word("roleActor", &[], role);
            });
        });
    }

    /// As written, and as the first and last year that it may be; an end that is not known is left out.
    fn date(&mut self, date: Option<&Dated>) {
        let Some(date) = date else { return };
        self.element("eventDate", &[], |l| {
            l.text("displayDate", &[], &date.as_written);
            if date.earliest.is_some() || date.latest.is_some() {
                l.element("date", &[], |l| {
                    l.may("earliestDate", &[], date.earliest.map(year).as_deref());
                    l.may("latestDate", &[], date.latest.map(year).as_deref());
                });
            }
        });
    }

    fn place(&mut self, place: Option<&str>) {
        let Some(place) = place else { return };
        self.element("eventPlace", &[], |l| {
            l.text("displayPlace", &[], place);
            l.element("place", &[], |l| l.name("namePlaceSet", place));
        });
    }

    fn model(&mut self, model: Option<&str>, words: &str) {
        self.element("relatedWorkSet", &[], |l| {
            l.element("relatedWork", &[], |l| {
                l.text("displayObject", &[], words);
                if let Some(number) = model {
                    l.element("object", &[], |l| l.text("objectID", &[LOCAL], number));
                }
            });
            l.word("relatedWorkRelType", &[], "made after");
        });
    }

    fn administration(&mut self, file: &PieceFile) {
        let rights = Subject(file).rights();
        if !rights.is_blank() {
            self.element("rightsWorkWrap", &[], |l| l.element("rightsWorkSet", &[], |l| l.rights(&rights)));
        }
        self.element("recordWrap", &[], |l| {
            l.text("recordID", &[LOCAL], file.number());
            l.word("recordType", &[], "item");
            let name = l.p.collection();
            l.element("recordSource", &[], |l| l.name("legalBodyName", name));
        });
        if !file.photographs.is_empty() {
            self.element("resourceWrap", &[], |l| {
                for photo in &file.photographs {
                    l.element("resourceSet", &[], |l| l.photograph(photo));
                }
            });
        }
    }

    fn photograph(&mut self, photo: &Photograph) {
        self.text("resourceID", &[LOCAL], &photo.id);
        if let Some(base) = self.p.base {
            let link = super::iiif::whole_picture(base, &photo.id);
            self.element("resourceRepresentation", &[], |l| {
                l.text("linkResource", &[("lido:formatResource", "image/jpeg")], &link);
            });
        }
        self.word("resourceType", &[], "photograph");
        if let Some(view) = &photo.view {
            self.term("resourcePerspective", &[], view);
        }
        self.may("resourceDescription", &[], photo.caption.as_deref());
        if !photo.rights.is_blank() {
            self.element("rightsResource", &[], |l| l.rights(&photo.rights));
        }
    }

    fn rights(&mut self, rights: &Rights) {
        if let Some(statement) = rights.stated(self.p.vocabulary) {
            self.element("rightsType", &[], |l| {
                // As the list has it that the statement is of, which is SPDX for the licences of Creative Commons.
                l.may("conceptID", &[LOCAL], statement.identifier.as_deref());
                l.concept(&statement.id);
            });
        } else if let Some(words) = rights.statement.as_ref().map(TermId::name) {
            self.word("rightsType", &[], words);
        }
        if let Some(words) = rights.further(self.p.vocabulary) {
            self.word("rightsType", &[], words);
        }
        if let Some(holder) = &rights.holder {
            self.element("rightsHolder", &[], |l| l.name("legalBodyName", holder));
        }
        self.may("creditLine", &[], rights.credit_line.as_deref());
    }
}
