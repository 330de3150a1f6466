//! The public's pages: an index of chosen pieces and a page a piece, as a catalogue in print would have them. The records
//! come as the public may see them: what is blank here may be recorded at home, so a blank fact is passed over, never
//! called "not recorded". Links are relative, there is no script, and nothing names the day, so that the same records
//! always give the same pages.

use serde::Serialize;
use tera::Context;

use super::advice::{Danger, dangers};
use super::engine::{Engine, Template};
use super::followed::{DepartureRow, Model, departures, models};
use super::identity::{self, Passage};
use super::letters::Letters;
use super::made::Made;
use super::making::{self, Group, Line};
use super::plates::{Plate, Subject, names, plates};
use super::words::{Facts, amount, bracketed, capital, dated, day, joined, term, text};
use super::{Pictures, ReportFault, Settings, entry};
use crate::measure::System;
use crate::record::accession::file_stem;
use crate::record::care::Overrule;
use crate::record::condition::{Condition, Overall};
use crate::record::photograph::Photograph;
use crate::record::{Observed, PieceFile};
use crate::vocabulary::{TermId, Vocabulary};

const TEMPLATES: &[Template] = &[
    ("partials/way.html", include_str!("../../templates/partials/way.html")),
    ("site/base.html", include_str!("../../templates/site/base.html")),
    ("site/index.html", include_str!("../../templates/site/index.html")),
    ("site/piece.html", include_str!("../../templates/site/piece.html")),
];

static ENGINE: Engine = Engine::new(TEMPLATES, |_| ());

/// The style of all pages, to lie beside the index as `style.css`.
pub const STYLE: &str = concat!(
    include_str!("../../templates/style/base.css"),
    include_str!("../../templates/style/page.css"),
    include_str!("../../templates/style/print.css"),
    include_str!("../../templates/style/site.css")
);

/// What the pages need beside the records.
pub struct Site<'a> {
    /// The terms and their definitions.
    pub vocabulary: &'a Vocabulary,
    /// Name of the collection, or blank.
    pub collection: &'a str,
    /// In which system lengths are shown first.
    pub units: System,
    /// The `src` of pictures, as a page of a piece links them; the index lies one folder above.
    pub pictures: &'a dyn Pictures,
    /// The address of a piece's IIIF manifest, where one is published.
    pub manifest: &'a dyn Fn(&PieceFile) -> Option<String>,
}

/// The path of a piece's page, from the index.
pub fn page_of(number: &str) -> String {
    format!("pieces/{}.html", file_stem(number))
}

/// A link to another page.
#[derive(Debug, Serialize)]
struct Link {
    href: String,
    words: String,
}

/// One piece in the index.
#[derive(Debug, Serialize)]
struct Entry {
    href: String,
    number: String,
    heading: String,
    line: String,
    src: String,
    wide: bool,
}

/// Pieces of one nature.
#[derive(Debug, Serialize)]
struct Section {
    title: String,
    entries: Vec<Entry>,
}

#[derive(Debug, Serialize)]
struct IndexPage {
    title: String,
    pieces: usize,
    sections: Vec<Section>,
}

/// The rights of a piece or a photograph.
#[derive(Debug, Serialize)]
struct Credit {
    line: String,
    holder: String,
    statement: String,
    uri: String,
    further: String,
}

/// A statement that photographs are under.
#[derive(Debug, PartialEq, Eq, Serialize)]
struct Licence {
    name: String,
    identifier: String,
    uri: String,
}

#[derive(Debug, Serialize)]
struct PiecePage {
    title: String,
    heading: String,
    number: String,
    line: String,
    collection: String,
    before: Option<Link>,
    after: Option<Link>,
    manifest: String,
    large: Vec<Plate>,
    small: Vec<Plate>,
    description: String,
    facts: Facts,
    inscriptions: Vec<String>,
    #[serde(flatten)]
    made: Made,
    made_after: Vec<Model>,
    departures: Vec<DepartureRow>,
    provenance: Vec<Passage>,
    people: Vec<String>,
    conditions: Vec<Group<Line>>,
    /// The state of the whole.
    overall: Vec<Group<Line>>,
    dangers: Vec<Danger>,
    /// What was decided about its care.
    decisions: Vec<String>,
    credit: Option<Credit>,
    /// The statements that its photographs are under; each caption names its own.
    licences: Vec<Licence>,
}

/// The index of the pieces: a section for each nature, in the order of the pieces.
///
/// # Errors
/// Only if a template is at fault.
pub fn index(pieces: &[PieceFile], site: &Site<'_>) -> Result<String, ReportFault> {
    let mut sections: Vec<Section> = Vec::new();
    for file in pieces {
        let title = heading_of(file.piece.nature.as_ref());
        let at = sections.iter().position(|s| s.title == title).unwrap_or_else(|| {
            sections.push(Section { title, entries: Vec::new() });
            sections.len() - 1
        });
        sections[at].entries.push(listed(file, site));
    }
    let title = site.collection.trim();
    let title = if title.is_empty() { "The collection" } else { title }.to_owned();
    print("site/index.html", &IndexPage { title, pieces: pieces.len(), sections }, "")
}

fn heading_of(nature: Option<&TermId>) -> String {
    match nature.map(TermId::name) {
        Some("extant") => "Extant pieces".into(),
        Some(name) => capital(&format!("{name}s")),
        None => "Pieces".into(),
    }
}

fn listed(file: &PieceFile, site: &Site<'_>) -> Entry {
    let photo = entry::chosen(&file.photographs).0.into_iter().next();
    let src = photo.and_then(|p| site.pictures.thumbnail(&p.sha256)).unwrap_or_default();
    let (heading, line) = identity::head(file);
    Entry {
        href: page_of(file.number()),
        number: file.number().to_owned(),
        heading,
        line,
        src: src.trim_start_matches("../").to_owned(),
        wide: photo.is_some_and(|p| p.width > p.height),
    }
}

/// The page of the piece at a place among the pieces.
///
/// # Errors
/// If there is no such piece, or a template is at fault.
pub fn piece(pieces: &[PieceFile], at: usize, site: &Site<'_>) -> Result<String, ReportFault> {
    let Some(file) = pieces.get(at) else {
        return Err(ReportFault::Asked(format!("there is no piece {at} among {}", pieces.len())));
    };
    let neighbour = |at: Option<usize>| {
        let other = pieces.get(at?)?;
        let href = page_of(other.number()).trim_start_matches("pieces/").to_owned();
        Some(Link { href, words: format!("{}, {}", other.number(), identity::head(other).0) })
    };
    let page = page(file, pieces, site, (neighbour(at.checked_sub(1)), neighbour(at.checked_add(1))));
    print("site/piece.html", &page, "../")
}

fn page(
    file: &PieceFile,
    pieces: &[PieceFile],
    site: &Site<'_>,
    (before, after): (Option<Link>, Option<Link>),
) -> PiecePage {
    let settings = Settings {
        vocabulary: site.vocabulary,
        // No part that is laid out here prints a day.
        printed_on: jiff::civil::Date::ZERO,
        collection: site.collection,
        place: None,
        units: site.units,
        pictures: site.pictures,
    };
    let at = file.examinations.len().saturating_sub(1);
    let p = &file.piece;
    let (heading, line) = identity::head(file);
    let letters = Letters::of(&file.examinations, at, &[]);
    let (first, rest) = entry::chosen(&file.photographs);
    let clean: Vec<Photograph> = first.iter().map(|p| Photograph { regions: Vec::new(), ..(*p).clone() }).collect();
    let subject = joined([heading.clone(), file.number().to_owned()], ", ");
    let of = Subject { file, letters: &letters, names: &names(&file.examinations), words: &subject };
    // A large picture on which something is drawn comes again among the small ones, with the drawing.
    let drawn = first.iter().copied().filter(|p| !p.regions.is_empty());
    let mut large = plates(clean.iter().chain(drawn).chain(rest), &of, &settings);
    for plate in &mut large {
        plate.missing.clear();
    }
    let small = large.split_off(clean.len());
    let garment = term(p.garment.as_ref());
    let garment = if Some(&garment) == p.object_name.as_ref() { String::new() } else { garment };
    let facts = Facts::default()
        .may_say("Object", text(p.object_name.as_ref()))
        .may_say("Kind of garment", garment)
        .may_say("Nature", term(p.nature.as_ref()))
        .may_say("Date", dated(p.date.as_ref()))
        .may_say("Maker", text(p.maker.as_ref()))
        .may_say("Place", text(p.place.as_ref()))
        .may_say("Culture", text(p.culture.as_ref()))
        .may_say("Materials", entry::medium(file))
        .may_say("Dimensions", entry::dimensions_line(file, site.units))
        .may_say("Parts", identity::parts(file))
        .may_say("Features", text(p.distinguishing_features.as_ref()))
        .may_say("Lies in", identity::location(file))
        .may_say("Keywords", joined(p.keywords.iter().map(|k| k.trim()), ", "));
    // A model is linked where its page is there too.
    let published = |number: &str| {
        let known = pieces.iter().find(|f| f.number() == number)?;
        let words = format!("{}, {}", known.number(), identity::head(known).0);
        Some((words, page_of(number).trim_start_matches("pieces/").to_owned()))
    };
    PiecePage {
        title: joined([subject.clone(), site.collection.trim().to_owned()], " · "),
        number: file.number().to_owned(),
        collection: site.collection.trim().to_owned(),
        before,
        after,
        manifest: (site.manifest)(file).unwrap_or_default(),
        description: text(p.description.as_ref()),
        facts,
        inscriptions: p.inscriptions.iter().map(|i| i.trim().to_owned()).filter(|i| !i.is_empty()).collect(),
        made: Made::of(file, at, site.units, site.vocabulary),
        made_after: models(file, &published),
        departures: departures(file),
        provenance: identity::provenance(&file.events),
        people: identity::people(&file.people),
        conditions: making::groups(file, at, |e| &e.conditions, condition),
        overall: making::groups(file, at, |e| &e.overall, overall),
        dangers: dangers(file, at, site.vocabulary),
        decisions: file.overrules.iter().map(decided).filter(|words| !words.is_empty()).collect(),
        credit: credit(file, site.vocabulary),
        licences: licences(file, site.vocabulary),
        heading,
        line,
        large,
        small,
    }
}

/// A damage, where it is included.
fn condition(o: &Observed<Condition>) -> Line {
    let c = &o.what;
    let facts = Facts::default()
        .may_say("Place", text(c.place.as_ref()))
        .may_say("Extent", amount(c.extent.as_ref()))
        .may_say("Severity", term(c.severity.as_ref()))
        .may_say("Activity", term(c.activity.as_ref()))
        .may_say("Cause", term(c.cause.as_ref()));
    making::line(o, &term(c.damage.as_ref()), facts)
}

/// The state of the whole, or of a component as a whole.
fn overall(o: &Observed<Overall>) -> Line {
    let w = &o.what;
    let facts = Facts::default()
        .may_say("Stability", term(w.stability.as_ref()))
        .may_say("Urgency", term(w.urgency.as_ref()))
        .may_say("Statement", text(w.statement.as_ref()))
        .may_say("Handling", text(w.handling.as_ref()))
        .may_say("Storage", text(w.storage.as_ref()))
        .may_say("Light and display", text(w.display.as_ref()));
    let grade = term(w.grade.as_ref());
    making::line(o, if grade.is_empty() { "ungraded" } else { &grade }, facts)
}

/// A decision about care: `Storage: hung on a padded hanger (too stiff to fold), 2 March 2031`.
fn decided(o: &Overrule) -> String {
    let instead = bracketed(&text(o.instead.as_ref()), &text(o.reason.as_ref()));
    joined([joined([capital(&text(o.topic.as_ref())), instead], ": "), text(o.by.as_ref()), day(o.date)], ", ")
}

/// None where nothing is recorded of rights.
fn credit(file: &PieceFile, vocabulary: &Vocabulary) -> Option<Credit> {
    let rights = file.piece.rights();
    if rights.is_blank() {
        return None;
    }
    let stated = rights.stated(vocabulary);
    let own = || term(rights.statement.as_ref());
    Some(Credit {
        line: text(rights.credit_line.as_ref()),
        holder: text(rights.holder.as_ref()),
        statement: stated.map_or_else(own, |t| t.name().to_owned()),
        uri: stated.and_then(|t| t.uri.clone()).unwrap_or_default(),
        further: rights.further(vocabulary).unwrap_or_default().trim().to_owned(),
    })
}

/// Each statement with an address once, in the order of the photographs.
fn licences(file: &PieceFile, vocabulary: &Vocabulary) -> Vec<Licence> {
    let mut list = Vec::new();
    for stated in file.photographs.iter().filter_map(|photo| photo.rights.stated(vocabulary)) {
        let Some(uri) = stated.uri.clone() else { continue };
        let identifier = text(stated.identifier.as_ref());
        let licence = Licence { name: stated.name().to_owned(), identifier, uri };
        if !list.contains(&licence) {
            list.push(licence);
        }
    }
    list
}

/// `up` leads from the page to the folder of the index.
fn print<P: Serialize>(template: &str, page: &P, up: &str) -> Result<String, ReportFault> {
    let mut context = Context::new();
    context.insert("page", page);
    context.insert("up", up);
    ENGINE.render(template, &context).map_err(|why| ReportFault::Template { why })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_template_escapes_and_parses() {
        ENGINE.escapes(&[]);
    }
}
