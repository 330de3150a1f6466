//! The entry of one piece, as in a printed catalogue.

use serde::Serialize;

use super::advice::{Danger, ToLookFor, dangers, hours, overall, to_look_for};
use super::care::{Topic, care};
use super::cure::{Cure, cures};
use super::followed::{DepartureRow, Model, departures, models};
use super::identity::{Identity, Passage, people, provenance};
use super::letters::Letters;
use super::made::Made;
use super::plates::{Plate, Subject, names, plates};
use super::press::{self, Sheet};
use super::words::{amount, bracketed, capital, day, joined, known, term, text};
use super::{ReportFault, Settings};
use crate::measure::{System, tape_inches};
use crate::record::photograph::Photograph;
use crate::record::textile::Textile;
use crate::record::{Observed, PieceFile};

/// Large photographs at the head of the entry.
const LARGE: usize = 2;
/// Dimensions in the line below the title; the table has them all.
const DIMENSIONS_IN_LINE: usize = 4;

/// Everything that the entry prints.
#[derive(Debug, Serialize)]
pub(crate) struct Page {
    identity: Identity,
    large: Vec<Plate>,
    small: Vec<Plate>,
    medium: String,
    dimensions_line: String,
    description: String,
    provenance: Vec<Passage>,
    people: Vec<String>,
    condition: String,
    #[serde(flatten)]
    made: Made,
    made_after: Vec<Model>,
    departures: Vec<DepartureRow>,
    work: Option<WorkSummary>,
    cures: Vec<Cure>,
    dangers: Vec<Danger>,
    /// Hazards that the record points to.
    to_look_for: ToLookFor,
    care: Vec<Topic>,
    keywords: String,
    /// Whether the piece is one that follows another.
    follows: bool,
}

impl Page {
    /// What the piece is called at the head of its page.
    pub(crate) fn heading(&self) -> &str {
        &self.identity.heading
    }
}

/// What the work took.
#[derive(Debug, Serialize)]
struct WorkSummary {
    hours: String,
    span: String,
    tasks: Vec<(String, String)>,
    without_hours: usize,
}

pub(super) fn print(file: &PieceFile, settings: &Settings<'_>) -> Result<String, ReportFault> {
    let page = page(file, settings);
    let number = &page.identity.number;
    let sheet = Sheet {
        title: format!("{number}, {}", page.identity.heading),
        running_left: number.clone(),
        running_right: page.identity.heading.clone(),
        printed_on: day(Some(settings.printed_on)),
        collection: settings.collection.trim().to_owned(),
    };
    press::print("catalogue.html", &sheet, &page)
}

pub(super) fn page(file: &PieceFile, s: &Settings<'_>) -> Page {
    let at = file.examinations.len().saturating_sub(1);
    let identity = Identity::of(file, s.vocabulary);
    let subject = joined([identity.heading.clone(), file.number().to_owned()], ", ");
    let letters = Letters::of(&file.examinations, at, &[]);
    let (first, rest) = chosen(&file.photographs);
    // Nothing is drawn over the large pictures; the condition report is the place for that.
    let clean: Vec<Photograph> = first.into_iter().map(|p| Photograph { regions: Vec::new(), ..p.clone() }).collect();
    let mut large = plates(
        clean.iter().chain(rest),
        &Subject { file, letters: &letters, names: &names(&file.examinations), words: &subject },
        s,
    );
    let small = large.split_off(clean.len());
    Page {
        medium: medium(file),
        dimensions_line: dimensions_line(file, s.units),
        description: text(file.piece.description.as_ref()),
        provenance: provenance(&file.events),
        people: people(&file.people),
        condition: condition(file),
        made: Made::of(file, at, s.units, s.vocabulary),
        made_after: models(file, &|_| None),
        departures: departures(file),
        work: work(file),
        cures: cures(file),
        dangers: dangers(file, at, s.vocabulary),
        to_look_for: to_look_for(file, s.vocabulary),
        care: care(file, s),
        keywords: joined(file.piece.keywords.iter().map(|k| k.trim()), ", "),
        follows: file.piece.nature.as_ref().is_some_and(|n| ["reconstruction", "mock-up"].contains(&n.name())),
        large,
        small,
        identity,
    }
}

/// The latest front and the latest back to be printed large, or whatever comes first; then all others, whole views
/// before details.
pub(super) fn chosen(photographs: &[Photograph]) -> (Vec<&Photograph>, Vec<&Photograph>) {
    let rank = |p: &Photograph| match p.view.as_ref().map(crate::vocabulary::TermId::name) {
        Some("front") => 0,
        Some("back") => 1,
        Some(v) if v.contains("side") || v.contains("overall") => 2,
        Some(_) => 3,
        None => 4,
    };
    let mut rest: Vec<&Photograph> = photographs.iter().collect();
    rest.sort_by_key(|p| (rank(p), std::cmp::Reverse(p.examination)));
    let mut large = Vec::new();
    for wanted in [0, 1] {
        if let Some(i) = rest.iter().position(|p| rank(p) == wanted) {
            large.push(rest.remove(i));
        }
    }
    while large.len() < LARGE && rest.first().is_some_and(|p| rank(p) != 0 && rank(p) != 1) {
        large.push(rest.remove(0));
    }
    (large, rest)
}

/// `Shell of silk, 2/1 twill; lining of linen, tabby`; a fibre that is not certain says so.
pub(super) fn medium(file: &PieceFile) -> String {
    let fibre = |f: &crate::record::textile::Fibre| {
        let name = term(f.fibre.as_ref());
        match f.certainty.as_ref().map(crate::vocabulary::TermId::name) {
            Some("certain") | None => name,
            Some(how) => format!("{how}ly {name}").replace("probablely", "probably").replace("possiblely", "possibly"),
        }
    };
    let one = |o: &&Observed<Textile>| {
        let t = &o.what;
        let of = joined(t.fibres.iter().map(fibre), " and ");
        let role = term(t.role.as_ref());
        let of = if of.is_empty() { "fibre not recorded".to_owned() } else { of };
        joined([joined([role, of], ": "), term(t.structure.as_ref())], ", ")
    };
    let textiles = file.standing(|e| &e.textiles, |t| t.role.as_ref());
    let mut parts: Vec<String> = textiles.iter().map(one).filter(|p| !p.is_empty()).collect();
    parts.dedup();
    capital(&parts.join("; "))
}

/// The first dimensions in one line, in the preferred system and as first read.
pub(super) fn dimensions_line(file: &PieceFile, units: System) -> String {
    let list = file.standing(|e| &e.measurements, |m| m.dimension.as_ref());
    let one = |o: &&Observed<crate::record::measurement::Measurement>| {
        let m = &o.what;
        let estimate = m.estimate()?;
        let written = m.readings.first().map(|q| q.as_written.clone()).unwrap_or_default();
        let name = joined([term(m.dimension.as_ref()), text(o.component.as_ref())], ", ");
        let [size, _] = units.ordered(format!("{:.1}\u{a0}cm", estimate.value / 10.0), tape_inches(estimate.value));
        Some(format!("{name} {}", bracketed(&size, &written)))
    };
    capital(&joined(list.iter().filter_map(one).take(DIMENSIONS_IN_LINE), "; "))
}

/// The latest grade in one line, with the day and the examiner.
fn condition(file: &PieceFile) -> String {
    let found = file.examinations.iter().rev().find_map(|e| Some((e, overall(e)?)));
    let Some((exam, o)) = found else { return String::new() };
    let words = joined([term(o.what.grade.as_ref()), term(o.what.stability.as_ref())], ", ");
    let urgency = o.what.urgency.as_ref().map(|u| format!("urgency: {u}")).unwrap_or_default();
    let how = joined([words, urgency, known(o)], "; ");
    format!("{how}. See the condition report of {}.", super::condition::whose(exam))
}

/// The work log in short; none if nothing was logged.
fn work(file: &PieceFile) -> Option<WorkSummary> {
    if file.work.is_empty() {
        return None;
    }
    let dates = || file.work.iter().filter_map(|w| w.date);
    let span = match (dates().min(), dates().max()) {
        (Some(a), Some(b)) if a != b => format!("{} to {}", day(Some(a)), day(Some(b))),
        (first, _) => day(first),
    };
    let tasks = file.work.iter().map(|w| {
        let task = joined([text(w.task.as_ref()), text(w.component.as_ref())], ", ");
        (capital(&task), amount(w.hours.as_ref()))
    });
    Some(WorkSummary {
        hours: hours(file.work.iter().filter_map(|w| w.hours.as_ref())),
        span,
        tasks: tasks.collect(),
        without_hours: file.work.iter().filter(|w| w.hours.is_none()).count(),
    })
}
