//! Linked Art 1.0, JSON-LD over CIDOC CRM: a record of the object and, where a statement of rights has a URI, one of the
//! work that it shows, since a right is one to the work and not to the cloth (<https://linked.art/model/object/rights/>).
//!
//! Names of makers stay words: whether two pieces by "a mantua-maker" are by one person is not recorded, and an
//! identifier would say so. AAT is cited for the kinds of names and statements alone, as in the tables "Required" and
//! "Recommended vocabulary terms" of <https://linked.art/model/vocab/> and in cromulent 1.0.1; garments, fibres and
//! dimensions keep the vocabulary's own identifiers.

use serde_json::{Map, Value, json};

use super::subject::{Measured, Publication, Subject};
use crate::dating::Dated;
use crate::record::PieceFile;
use crate::record::photograph::Photograph;
use crate::record::rights::Rights;
use crate::vocabulary::TermId;

const CONTEXT: &str = "https://linked.art/ns/v1/linked-art.json";

/// A concept of the AAT, by its number, with its label.
type Aat = (u32, &'static str);
const PRIMARY_NAME: Aat = (300_404_670, "Primary Name");
const DISPLAY_NAME: Aat = (300_404_669, "Display Name");
const ACCESSION_NUMBER: Aat = (300_312_355, "Accession Number");
const BRIEF_TEXT: Aat = (300_418_049, "Brief Text");
const TYPE_OF_WORK: Aat = (300_435_443, "Type of Work");
const CLOTHING: Aat = (300_266_639, "Clothing");
const DESCRIPTION: Aat = (300_435_416, "Description");
const MATERIALS: Aat = (300_435_429, "Materials Statement");
const DIMENSIONS: Aat = (300_435_430, "Dimensions Statement");
const INSCRIPTION: Aat = (300_435_414, "Inscription Statement");
const PRODUCTION: Aat = (300_435_436, "Production Statement");
const PROVENANCE: Aat = (300_435_438, "Provenance Statement");
const CREDIT: Aat = (300_026_687, "Credit Line");
const RIGHTS: Aat = (300_435_434, "Copyright/License Statement");
const DIGITAL_IMAGE: Aat = (300_215_302, "Digital Image");
const MILLIMETRES: Aat = (300_379_097, "millimeters");

/// The object, already as the public may see it.
pub fn object(file: &PieceFile, publication: &Publication<'_>) -> Value {
    let (p, of) = (&file.piece, Subject(file));
    let mut names = vec![json!({
        "type": "Name", "content": of.title(), "classified_as": [concept(PRIMARY_NAME)],
    })];
    names.push(json!({
        "type": "Identifier", "content": file.number(), "classified_as": [concept(ACCESSION_NUMBER)],
    }));
    let mut kinds = Vec::new();
    if let Some(garment) = &p.garment {
        kinds.push(json!({
            "id": concept(CLOTHING)["id"], "type": "Type", "_label": CLOTHING.1, "classified_as": [concept(TYPE_OF_WORK)],
        }));
        kinds.push(typed(publication, garment, Some(TYPE_OF_WORK)));
    }
    kinds.extend(p.nature.iter().map(|nature| typed(publication, nature, None)));
    let mut one = Map::new();
    let mut put = |name: &str, value: Value| {
        let empty = value.as_array().is_some_and(Vec::is_empty) || value.as_object().is_some_and(Map::is_empty);
        if !empty && !value.is_null() {
            one.insert(name.into(), value);
        }
    };
    put("@context", CONTEXT.into());
    put("id", publication.piece(file).into());
    put("type", "HumanMadeObject".into());
    put("_label", of.title().into());
    put("identified_by", names.into());
    put("classified_as", kinds.into());
    put("referred_to_by", statements(file, publication).into());
    put("dimension", of.dimensions().iter().map(|d| dimension(d, publication)).collect());
    let mut materials: Vec<&TermId> = of.fibres().iter().map(|m| m.term).collect();
    materials.sort();
    materials.dedup();
    put("made_of", materials.iter().map(|t| reference(publication, t, "Material")).collect());
    put("produced_by", production(file, publication));
    put("shows", work_reference(file, publication).into_iter().collect());
    put("representation", file.photographs.iter().filter_map(|photo| shown(photo, publication)).collect());
    if let Some(base) = publication.base.filter(|_| !file.photographs.is_empty()) {
        let manifest = super::iiif::manifest_id(base, file.number());
        put(
            "subject_of",
            json!([{ "type": "LinguisticObject", "digitally_carried_by": [{
            "type": "DigitalObject",
            "access_point": [{ "id": manifest, "type": "DigitalObject" }],
            "conforms_to": [{ "id": "http://iiif.io/api/presentation/3/context.json", "type": "InformationObject" }],
            "format": "application/ld+json;profile=\"http://iiif.io/api/presentation/3/context.json\"",
        }] }]),
        );
    }
    Value::Object(one)
}

/// The work that the object shows, with the right that it is subject to; none where no statement with a URI is recorded.
pub fn work(file: &PieceFile, publication: &Publication<'_>) -> Option<Value> {
    let right = right(&Subject(file).rights(), publication)?;
    let reference = work_reference(file, publication)?;
    let label = format!("What {} shows", Subject(file).title());
    Some(json!({
        "@context": CONTEXT,
        "id": reference["id"],
        "type": "VisualItem",
        "_label": label,
        "identified_by": [{ "type": "Name", "content": label, "classified_as": [concept(PRIMARY_NAME)] }],
        "subject_to": [right],
    }))
}

/// A right, classified by the URI of its statement; none where no statement with a URI is recorded.
fn right(rights: &Rights, publication: &Publication<'_>) -> Option<Value> {
    let term = rights.stated(publication.vocabulary)?;
    let uri = term.uri.as_ref()?;
    let mut right = json!({
        "type": "Right",
        "_label": term.name(),
        "identified_by": [{ "type": "Name", "content": term.name() }],
        "classified_as": [{ "id": uri, "type": "Type", "_label": term.identifier.as_deref().unwrap_or(term.name()) }],
    });
    if let Some(name) = &rights.holder {
        right["referred_to_by"] = json!([statement(&format!("Rights held by {name}"), RIGHTS)]);
    }
    Some(right)
}

fn work_reference(file: &PieceFile, publication: &Publication<'_>) -> Option<Value> {
    let rights = Subject(file).rights();
    rights.stated(publication.vocabulary)?.uri.as_ref()?;
    let id = publication.name("works", file.piece.id.as_deref().unwrap_or(file.number()));
    Some(json!({ "id": id, "type": "VisualItem" }))
}

fn concept((number, label): Aat) -> Value {
    json!({ "id": format!("http://vocab.getty.edu/aat/{number}"), "type": "Type", "_label": label })
}

/// A reference to a term.
fn reference(publication: &Publication<'_>, term: &TermId, class: &str) -> Value {
    json!({ "id": publication.term(term), "type": class, "_label": term.name() })
}

/// A term that classifies, itself classified where Linked Art asks for it.
fn typed(publication: &Publication<'_>, term: &TermId, kind: Option<Aat>) -> Value {
    let mut one = reference(publication, term, "Type");
    if let Some(kind) = kind {
        one["classified_as"] = json!([concept(kind)]);
    }
    one
}

fn statement(content: &str, kind: Aat) -> Value {
    let mut of = concept(kind);
    of["classified_as"] = json!([concept(BRIEF_TEXT)]);
    json!({ "type": "LinguisticObject", "content": content, "classified_as": [of] })
}

fn statements(file: &PieceFile, publication: &Publication<'_>) -> Vec<Value> {
    let (p, of) = (&file.piece, Subject(file));
    let dimensions = of.dimensions().iter().map(Measured::line).collect::<Vec<_>>().join("; ");
    let events: Vec<String> = file.events.iter().map(told).collect();
    let rights = of.rights();
    let mut list: Vec<Value> = Vec::new();
    let mut say = |content: Option<&str>, kind: Aat| {
        list.extend(content.map(str::trim).filter(|c| !c.is_empty()).map(|c| statement(c, kind)));
    };
    say(p.description.as_deref(), DESCRIPTION);
    say(Some(&of.medium()), MATERIALS);
    say(Some(&dimensions), DIMENSIONS);
    p.inscriptions.iter().for_each(|words| say(Some(words), INSCRIPTION));
    events.iter().for_each(|words| say(Some(words), PROVENANCE));
    say(rights.credit_line.as_deref(), CREDIT);
    say(Some(&rights.without_credit(publication.vocabulary)), RIGHTS);
    list
}

/// An event of acquisition or provenance in a line, where it is included.
fn told(event: &crate::record::piece::Event) -> String {
    let what = event.event.as_ref().map(|t| t.name().to_owned());
    let parts = [what, event.date.as_ref().map(|d| d.as_written.clone()), event.person.clone(), event.place.clone()];
    parts.into_iter().flatten().collect::<Vec<_>>().join(", ")
}

/// The mean in millimetres, with the limits of its expanded uncertainty for about 95 %.
fn dimension(d: &Measured<'_>, publication: &Publication<'_>) -> Value {
    let hundredth = |mm: f64| (mm * 100.0).round() / 100.0;
    let (wide, _) = d.estimate.expanded();
    let mut one = json!({
        "type": "Dimension",
        "_label": d.name(),
        "identified_by": [{ "type": "Name", "content": d.line(), "classified_as": [concept(DISPLAY_NAME)] }],
        "classified_as": [reference(publication, d.dimension, "Type")],
        "value": hundredth(d.estimate.value),
        "unit": { "id": concept(MILLIMETRES)["id"], "type": "MeasurementUnit", "_label": MILLIMETRES.1 },
    });
    if wide > 0.0 {
        one["lower_value_limit"] = hundredth(d.estimate.value - wide).into();
        one["upper_value_limit"] = hundredth(d.estimate.value + wide).into();
    }
    one
}

/// Null if nothing is recorded of its making.
fn production(file: &PieceFile, publication: &Publication<'_>) -> Value {
    let (p, of) = (&file.piece, Subject(file));
    let mut one = Map::new();
    if let Some(date) = &p.date {
        one.insert("timespan".into(), timespan(date));
    }
    if let Some(place) = &p.place {
        let id = publication.name("places", place);
        one.insert("took_place_at".into(), json!([{ "id": id, "type": "Place", "_label": place }]));
    }
    let maker = p.maker.as_ref().map(|m| statement(&format!("Made by {m}"), PRODUCTION));
    let culture = p.culture.as_ref().map(|c| statement(&format!("Culture: {c}"), PRODUCTION));
    let sources = of.models().map(|(_, words)| statement(&format!("Made after {words}"), PRODUCTION));
    let told: Vec<Value> = maker.into_iter().chain(culture).chain(sources).collect();
    if !told.is_empty() {
        one.insert("referred_to_by".into(), told.into());
    }
    let mut structures: Vec<&TermId> = of.structures().iter().map(|m| m.term).collect();
    structures.sort();
    structures.dedup();
    if !structures.is_empty() {
        one.insert("technique".into(), structures.iter().map(|t| reference(publication, t, "Type")).collect());
    }
    let models: Vec<Value> = of
        .models()
        .filter_map(|(model, words)| {
            let id = publication.model(model?);
            Some(json!({ "id": id, "type": "HumanMadeObject", "_label": words }))
        })
        .collect();
    if !models.is_empty() {
        one.insert("influenced_by".into(), models.into());
    }
    if one.is_empty() {
        return Value::Null;
    }
    one.insert("type".into(), "Production".into());
    Value::Object(one)
}

/// The years that it may be, from the first second to the last. An end that is not known, and a year that xsd:dateTime of
/// JSON Schema cannot write, are left out; the words are always there.
fn timespan(date: &Dated) -> Value {
    let mut one = json!({
        "type": "TimeSpan",
        "identified_by": [{ "type": "Name", "content": date.as_written, "classified_as": [concept(DISPLAY_NAME)] }],
    });
    let writable = |year: &i32| (1..=9999).contains(year);
    if let Some(year) = date.earliest.filter(writable) {
        one["begin_of_the_begin"] = format!("{year:04}-01-01T00:00:00Z").into();
    }
    if let Some(year) = date.latest.filter(writable) {
        one["end_of_the_end"] = format!("{year:04}-12-31T23:59:59Z").into();
    }
    one
}

/// A photograph, where it is known at which address it will lie.
fn shown(photo: &Photograph, publication: &Publication<'_>) -> Option<Value> {
    let base = publication.base?;
    let mut image = json!({
        "type": "DigitalObject",
        "classified_as": [concept(DIGITAL_IMAGE)],
        "format": "image/jpeg",
        "access_point": [{ "id": super::iiif::whole_picture(base, &photo.id), "type": "DigitalObject" }],
    });
    let said = photo.rights.line(publication.vocabulary);
    if !said.is_empty() {
        image["referred_to_by"] = json!([statement(&said, RIGHTS)]);
    }
    if let Some(right) = right(&photo.rights, publication) {
        image["subject_to"] = json!([right]);
    }
    Some(json!({ "type": "VisualItem", "digitally_shown_by": [image] }))
}
