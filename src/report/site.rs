//! The public's pages: an index of chosen pieces and a page a piece, as a catalogue in print would have them. The records
//! come as the public may see them: what is blank here may be recorded at home, so a blank fact is passed over, never
//! called "not recorded". Links are relative, there is no script, and nothing names the day, so that the same records
//! always give the same pages.

use std::sync::OnceLock;

use serde::Serialize;
use tera::{Context, Tera};

use super::cloth::{self, TextileRow};
use super::identity::{self, Passage};
use super::letters::Letters;
use super::making::{self, DimensionRow, Group, Line, StitchRow};
use super::plates::{Plate, Subject, names, plates};
use super::press::{PARTS, told};
use super::sums::{self, SumRow};
use super::words::{Facts, amount, capital, dated, joined, term, text};
use super::{Pictures, ReportFault, Settings, entry};
use crate::measure::System;
use crate::record::accession::file_stem;
use crate::record::condition::Condition;
use crate::record::photograph::Photograph;
use crate::record::{Observed, PieceFile};
use crate::vocabulary::{TermId, Vocabulary};

const TEMPLATES: &[(&str, &str)] = &[
    ("partials/way.html", include_str!("../../templates/partials/way.html")),
    ("site/base.html", include_str!("../../templates/site/base.html")),
    ("site/index.html", include_str!("../../templates/site/index.html")),
    ("site/piece.html", include_str!("../../templates/site/piece.html")),
];

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
    /// The address of a piece's IIIF manifest by its number, where the manifests are published.
    pub manifest: &'a dyn Fn(&str) -> Option<String>,
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
    textiles: Vec<Group<TextileRow>>,
    stitching: Vec<Group<StitchRow>>,
    fastenings: Vec<Group<Line>>,
    stiffening: Vec<Group<Line>>,
    trimmings: Vec<Group<Line>>,
    steps: Vec<Group<Line>>,
    dimensions: Vec<Group<DimensionRow>>,
    sums: Vec<SumRow>,
    signs: Vec<Group<Line>>,
    made_after: Vec<Link>,
    departures: Vec<Chosen>,
    provenance: Vec<Passage>,
    people: Vec<String>,
    conditions: Vec<Group<Line>>,
    credit: Option<Credit>,
}

/// A choice of the maker.
#[derive(Debug, Serialize)]
struct Chosen {
    feature: String,
    was: String,
    now: String,
    reason: String,
    note: String,
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
    PiecePage {
        title: joined([subject.clone(), site.collection.trim().to_owned()], " · "),
        number: file.number().to_owned(),
        collection: site.collection.trim().to_owned(),
        before,
        after,
        manifest: (site.manifest)(file.number()).unwrap_or_default(),
        description: text(p.description.as_ref()),
        facts,
        inscriptions: p.inscriptions.iter().map(|i| i.trim().to_owned()).filter(|i| !i.is_empty()).collect(),
        textiles: cloth::textiles(file, at, site.vocabulary),
        stitching: making::groups(file, at, |e| &e.stitching, making::stitching),
        fastenings: making::groups(file, at, |e| &e.fastenings, making::fastening),
        stiffening: making::groups(file, at, |e| &e.stiffening, making::stiffening),
        trimmings: making::groups(file, at, |e| &e.trimmings, making::trimming),
        steps: making::steps(file, at),
        dimensions: making::dimensions(file, at, site.units),
        sums: sums::rows(file, at),
        signs: making::groups(file, at, |e| &e.signs, making::sign),
        made_after: file.made_after.iter().filter_map(|m| model(m, pieces)).collect(),
        departures: file.departures.iter().map(chosen).collect(),
        provenance: identity::provenance(&file.events),
        people: identity::people(&file.people),
        conditions: making::groups(file, at, |e| &e.conditions, condition),
        credit: credit(file, site.vocabulary),
        heading,
        line,
        large,
        small,
    }
}

/// A model: linked where its page is there too.
fn model(m: &crate::record::making::MadeAfter, pieces: &[PieceFile]) -> Option<Link> {
    let known = m.model.as_ref().and_then(|number| pieces.iter().find(|f| f.number() == number));
    let name = known.map(|file| format!("{}, {}", file.number(), identity::head(file).0));
    let words = joined([name.unwrap_or_else(|| text(m.model.as_ref())), text(m.source.as_ref())], "; ");
    let scale = m.scale.as_ref().map(|s| format!("scale {}", s.as_written)).unwrap_or_default();
    let words = joined([words, scale], ", ");
    let href = known.map(|file| page_of(file.number()).trim_start_matches("pieces/").to_owned()).unwrap_or_default();
    (!words.is_empty()).then_some(Link { href, words })
}

fn chosen(d: &crate::record::making::Departure) -> Chosen {
    Chosen {
        feature: capital(&joined([text(d.feature.as_ref()), text(d.component.as_ref())], ", ")),
        was: text(d.was.as_ref()),
        now: text(d.now.as_ref()),
        reason: term(d.reason.as_ref()),
        note: joined([text(d.note.as_ref()), text(d.learned.as_ref())], " "),
    }
}

/// A damage, where it is let out.
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

/// `up` leads from the page to the folder of the index.
fn print<P: Serialize>(template: &str, page: &P, up: &str) -> Result<String, ReportFault> {
    static ENGINE: OnceLock<Result<Tera, String>> = OnceLock::new();
    let engine = ENGINE.get_or_init(|| {
        let mut engine = Tera::default();
        engine.add_raw_templates(PARTS.iter().chain(TEMPLATES).copied()).map_err(|e| told(&e))?;
        Ok(engine)
    });
    let engine = engine.as_ref().map_err(|why| ReportFault::Template { why: why.clone() })?;
    let mut context = Context::new();
    context.insert("page", page);
    context.insert("up", up);
    engine.render(template, &context).map_err(|e| ReportFault::Template { why: told(&e) })
}
